#include "report/text_parts.h"

#include <inttypes.h>

void text_time(struct page *page, ps_t at)
{
  char text[64];
  page_together(page, units_text(text, sizeof text, UNIT_TIME, at));
}

void text_step(struct page *page, uint32_t step)
{
  page_format(page, "steps[%" PRIu32 "]", step);
}

static void put_failure(struct page *page, const struct judgement *j)
{
  page_item(page, 2, 10, "failed");
  page_format(page, "line %" PRIu32, j->line);
  if (j->step != RESULT_NO_STEP) {
    page_say(page, ", ");
    text_step(page, j->step);
  }
  if (j->label) {
    page_say(page, ": ");
    page_say(page, j->label);
  }
  page_end(page);
  page_item(page, 4, 10, "asked");
  page_say(page, j->asked);
  page_end(page);
  page_item(page, 4, 10, "seen");
  page_say(page, j->seen ? j->seen : "nothing");
  page_end(page);
}

void text_failures(struct page *page, const struct result *result)
{
  for (uint32_t i = 0; i < result->judgement_count; i++) {
    if (!result->judgements[i].held) put_failure(page, &result->judgements[i]);
  }
}

void text_caution(struct page *page, bool contention)
{
  if (contention) {
    page_line(page, 0,
              "Contention can destroy parts: limit the current on first "
              "power-up. A simulation is not the board: confirm timing, "
              "thresholds and latch behaviour in the part's own documentation "
              "and on hardware before relying on a procedure.");
  } else {
    page_line(page, 0,
              "A simulation is not the board: confirm on hardware before "
              "relying on it.");
  }
}

void text_put_verdict(struct page *page, const struct result *result)
{
  uint32_t asked = result->held + result->failed;
  switch (result->verdict) {
  case VERDICT_NONE:
    page_say(page, "no verdict: nothing was asked, so nothing is judged");
    break;
  case VERDICT_HELD:
    page_tint(page, PAGE_GOOD, "held");
    page_format(page, ": %s%" PRIu32 " expectation%s",
                asked == 1 ? "" : "all ", asked, asked == 1 ? "" : "s");
    break;
  case VERDICT_FAILED:
    page_tint(page, PAGE_BAD, "failed");
    page_format(page, ": %" PRIu32 " of %" PRIu32 " expectation%s",
                result->failed, asked, asked == 1 ? "" : "s");
    break;
  }
}

void text_verdict(struct page *page, const struct result *result)
{
  page_item(page, 0, 0, "");
  text_put_verdict(page, result);
  page_end(page);
}
