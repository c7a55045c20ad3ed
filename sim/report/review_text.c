#include <inttypes.h>

#include "report/review_report.h"
#include "report/text_parts.h"

#define MOHM_PER_OHM 1000

static void put_amount(struct page *page, enum unit unit, int64_t value)
{
  char text[64];
  page_together(page, units_text(text, sizeof text, unit, value));
}

/* nW is pJ a millisecond. */
static void put_power(struct page *page, int64_t nw)
{
  page_format(page, "%" PRId64 ".%03d mW", nw / 1000000,
              (int)(nw % 1000000 / 1000));
}

static void put_levels(struct page *page, const struct review_pin *p)
{
  page_say(page, p->first_high ? " high" : " low");
  if (p->high && p->low) page_say(page, ", later the other level too");
  page_say(page, ", ");
  text_time(page, p->after);
  page_say(page, " after the ROM's first instruction");
  if (p->pc != 0) {
    page_say(page, ", by ");
    page_address(page, p->pc);
  }
  if (p->symbol) {
    page_say(page, " ");
    page_say(page, p->symbol);
  }
  page_say(page, "; ");
}

static void put_worst(struct page *page, const struct review *r,
                      const struct review_pin *p)
{
  page_say(page, "at worst ");
  put_amount(page, UNIT_CURRENT, p->current_na);
  page_say(page, p->worst_high ? " out of it" : " into it");
  page_say(page, ", ");
  put_power(page, p->part_nw);
  page_say(page, " of ");
  put_power(page, p->net_nw);
  page_say(page, " in the part's driver (as many uJ a millisecond)");
  if (p->series_mohm == 0) {
    page_say(page, "; harmless");
    return;
  }
  page_say(page, "; a pin of this part may carry ");
  put_amount(page, UNIT_CURRENT, r->limit_na);
  page_format(page, ": harmful without %" PRId64 " ohm more in series",
              (p->series_mohm + MOHM_PER_OHM - 1) / MOHM_PER_OHM);
}

static void put_pin(struct page *page, const struct review *r,
                    const struct review_pin *p)
{
  page_item(page, 4, 10, p->pin);
  put_levels(page, p);
  page_say(page, p->net ? "net " : "on no net");
  if (p->net) page_say(page, p->net);
  page_say(page, ": ");
  if (p->current_na == 0)
    page_say(page, "nothing there disagrees");
  else
    put_worst(page, r, p);
  page_end(page);
}

static void put_head(struct page *page, const struct review *r)
{
  page_item(page, 2, 4, "");
  page_say(page, "board review, from a blank part's power-on: ");
  if (!r->rom_ran) {
    page_say(page, "the boot ROM does not run, nor could its start be forced");
  } else if (r->pin_count == 0) {
    page_say(page, "the boot ROM drives no pin");
  } else {
    page_format(page, "the boot ROM drives %" PRIu32 " pin%s", r->pin_count,
                r->pin_count == 1 ? "" : "s");
    if (r->harmful > 0)
      page_format(page, ", %" PRIu32 " of them to harm", r->harmful);
  }
  if (r->forced && r->rom_ran) {
    page_say(page, "; straps and options were set for rule ");
    page_say(page, r->rule);
    page_say(page, ", for a blank part does not start it");
  }
  page_end(page);
}

static void put_sum(struct page *page, const struct review *r)
{
  if (r->sum_na <= r->total_limit_na) return;
  page_item(page, 4, 6, "");
  page_say(page, "together ");
  put_amount(page, UNIT_CURRENT, r->sum_na);
  page_say(page, ", more than the ");
  put_amount(page, UNIT_CURRENT, r->total_limit_na);
  page_say(page, " that all pins of this part may carry");
  page_end(page);
}

static void put_worst_case(struct page *page, const struct review *r)
{
  page_item(page, 2, 4, "");
  page_say(page, "at worst: a driver of ");
  put_amount(page, UNIT_RESISTANCE, r->driver_mohm);
  page_say(page, " at ");
  put_amount(page, UNIT_VOLTAGE, r->supply_uv);
  page_say(page, "; the ROM was watched for ");
  text_time(page, r->watched);
  page_say(page, ", with no host. Contention can destroy parts: limit the "
                 "current on first power-up, and confirm pins and limits in "
                 "the part's own documentation.");
  page_end(page);
}

void review_text(struct page *page, const struct review *r)
{
  put_head(page, r);
  for (uint32_t i = 0; i < r->pin_count; i++)
    put_pin(page, r, &r->pins[i]);
  put_sum(page, r);
  if (r->undefined_below) {
    page_line(page, 4,
              "below power-on the pins of this part are undefined: any of "
              "them may be driven while the rail rises");
  }
  if (r->pin_count > 0) put_worst_case(page, r);
}
