#include "report/text.h"

#include <inttypes.h>

#include "report/page.h"
#include "report/text_parts.h"
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

static void put_starts(struct page *page, const struct result *r)
{
  for (uint32_t i = 0; i < r->start_count; i++) {
    page_gap(page);
    text_start(page, &r->starts[i]);
  }
  if (r->start_count == 0) {
    page_gap(page);
    page_line(page, 0, "no start: nothing ever began to execute");
  }
}

static void put_finding(struct page *page, const struct finding *f)
{
  page_gap(page);
  page_item(page, 0, 0, "");
  page_say(page, "finding: ");
  page_say(page, finding_word(f->kind));
  if (f->start > 0) page_format(page, ", start %" PRIu32, f->start);
  page_end(page);
  page_line(page, 2, f->text);
  if (f->remedy_count == 0) return;
  page_line(page, 2, "What mends it on this part:");
  for (uint32_t i = 0; i < f->remedy_count; i++) {
    page_item(page, 4, 6, "-");
    page_say(page, f->remedies[i]);
    page_end(page);
  }
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

void report_text(FILE *to, const struct result *result, bool last)
{
  struct page page;
  page_open(&page, to);
  put_head(&page, result);
  put_starts(&page, result);
  for (uint32_t i = 0; i < result->finding_count; i++) {
    put_finding(&page, &result->findings[i]);
  }
  put_failures(&page, result);
  page_gap(&page);
  put_limits(&page, result);
  if (result->contention || last) text_caution(&page, result->contention);
  text_verdict(&page, result);
}
