#include "report/text.h"

#include <inttypes.h>

#include "base/file.h"
#include "report/page.h"
#include "report/text_findings.h"
#include "report/text_glance.h"
#include "report/text_learned.h"
#include "report/text_after.h"
#include "report/text_parts.h"
#include "report/text_power.h"
#include "report/text_start.h"

static void put_head(struct page *page, const struct result *r)
{
  page_line(page, 0, r->title);
  page_item(page, 0, 0, "");
  page_say(page, "part ");
  page_say(page, r->part);
  if (r->about) {
    page_say(page, ": ");
    page_say(page, r->about);
  }
  page_end(page);
}

static void put_starts(struct page *page, const struct result *r,
                       const struct text_style *style)
{
  if (r->start_count == 0) {
    page_gap(page);
    page_line(page, 0, "no start: nothing ever began to execute");
  } else if (!style->full) {
    page_gap(page);
    text_glance(page, r, style->words);
  }
  for (uint32_t i = 0; i < r->start_count && style->full; i++) {
    page_gap(page);
    text_start(page, &r->starts[i], style->words);
  }
}

/* "105.25 us", or "105.25 us to 110 us; the last 106 us" */
static void put_range(struct page *page, const char *lead, enum unit unit,
                      const struct measured_range *range)
{
  char text[64];
  page_item(page, 2, 15, lead);
  page_together(page, units_text(text, sizeof text, unit, range->least));
  if (range->least != range->most) {
    page_say(page, " to ");
    page_together(page, units_text(text, sizeof text, unit, range->most));
    page_say(page, "; the last ");
    page_together(page, units_text(text, sizeof text, unit, range->last));
  }
  page_end(page);
}

static void put_measure(struct page *page, const struct measured *m)
{
  page_gap(page);
  page_item(page, 0, 0, "");
  page_say(page, "measure: ");
  page_say(page, m->name);
  page_format(page, ", %" PRIu64 " time%s", m->count,
              m->count == 1 ? "" : "s");
  if (m->begun > 0)
    page_format(page, "; begun and not ended %" PRIu64 " more time%s",
                m->begun, m->begun == 1 ? "" : "s");
  page_end(page);
  if (m->count == 0) return;
  put_range(page, "time", UNIT_TIME, &m->time);
  put_range(page, "cycles", UNIT_CYCLES, &m->cycles);
}

static void put_failures(struct page *page, const struct result *r)
{
  if (r->failed == 0) return;
  page_gap(page);
  page_line(page, 0, "what was asked and did not hold:");
  text_failures(page, r);
}

static void put_limits(struct page *page, const struct result *r)
{
  if (r->stopped) {
    page_item(page, 0, 0, "");
    page_say(page, "The run was ended early: ");
    page_say(page, r->stopped);
    page_say(page, ".");
    page_end(page);
  }
  if (r->assumed == 0) return;
  page_item(page, 0, 0, "");
  page_format(page, "%" PRIu32 " assumed number%s behind this; ", r->assumed,
              r->assumed == 1 ? " stands" : "s stand");
  page_format(page, "the part's own documentation has the real one%s.",
              r->assumed == 1 ? "" : "s");
  page_end(page);
}

void report_text(FILE *to, const struct result *result,
                 const struct text_style *style)
{
  struct page page;
  page_open(&page, to);
  page.colour = style->colour;
  put_head(&page, result);
  put_starts(&page, result, style);
  text_power(&page, result);
  for (uint32_t i = 0; i < result->measure_count; i++) {
    put_measure(&page, &result->measures[i]);
  }
  text_findings(&page, result, style->words);
  text_learned(&page, result);
  put_failures(&page, result);
  text_after(&page, result->after);
  page_gap(&page);
  put_limits(&page, result);
  if (result->contention || style->last) {
    text_caution(&page, result->contention);
  }
  text_verdict(&page, result);
}

void report_verdict(FILE *to, const struct result *result, bool colour)
{
  struct page page;
  page_open(&page, to);
  page.colour = colour;
  page_item(&page, 0, 0, "");
  page_say(&page,
           result->case_file ? file_name(result->case_file) : result->title);
  page_say(&page, " on ");
  page_say(&page, result->part);
  page_say(&page, ": ");
  text_put_verdict(&page, result);
  page_end(&page);
}
