#include "report/text_power.h"

#include "report/text_parts.h"

static void volts(struct page *page, uv_t level)
{
  char text[64];
  page_together(page, units_text(text, sizeof text, UNIT_VOLTAGE, level));
}

static const char *answer_of(const struct power_cycle *c)
{
  switch (c->answer) {
  case POWER_CYCLE_POWER_ON: return "yes: the part went through power_on";
  case POWER_CYCLE_BROWN_OUT:
    return "no: the part went through brown_out, and kept what that keeps";
  case POWER_CYCLE_UNNOTICED: return "no: the part was not reset at all";
  case POWER_CYCLE_OPEN: break;
  }
  return c->came_back ? "not yet: the part had not come up again at the end"
                      : "not yet: the supply was still off at the end";
}

static void put_lowest(struct page *page, const struct power_cycle *c)
{
  page_item(page, 2, 15, "lowest");
  volts(page, c->lowest);
  if (c->missed) {
    page_say(page, "; missed ");
    page_say(page, c->missed);
  }
  page_say(page,
           c->ram_kept ? "; RAM kept its content" : "; RAM lost its content");
  page_end(page);
}

static void put_enough(struct page *page, const struct power_cycle *c)
{
  page_item(page, 2, 15, "enough");
  if (!c->never) {
    page_say(page, "off for ");
    text_time(page, c->enough);
  } else {
    page_say(page, c->fed ? "never: it is back-powered to "
                          : "never: nothing draws it below ");
    volts(page, c->stays);
  }
  page_end(page);
}

static void put_cycle(struct page *page, const struct power_cycle *c)
{
  page_gap(page);
  page_item(page, 0, 0, "");
  page_say(page, c->dip ? "dip of the supply at " : "supply off at ");
  text_time(page, c->at);
  if (c->came_back) {
    page_say(page, ", for ");
    text_time(page, c->back - c->at);
  }
  page_say(page, ", ");
  text_step(page, c->step);
  page_end(page);
  page_item(page, 2, 15, "power cycle");
  page_say(page, answer_of(c));
  page_end(page);
  if (!c->came_back) return;
  put_lowest(page, c);
  put_enough(page, c);
}

void text_power(struct page *page, const struct result *result)
{
  for (uint32_t i = 0; i < result->power_cycle_count; i++) {
    put_cycle(page, &result->power_cycles[i]);
  }
}
