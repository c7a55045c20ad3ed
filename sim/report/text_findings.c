#include "report/text_findings.h"

#include <inttypes.h>
#include <string.h>

#include "describe/newcomer.h"

/* What an earlier life leaves is of many kinds. */
static bool is_first_of_kind(const struct result *r, uint32_t index)
{
  const struct finding *f = &r->findings[index];
  for (uint32_t i = 0; i < index; i++) {
    const struct finding *before = &r->findings[i];
    if (before->kind == f->kind && before->residue == f->residue) return false;
  }
  return true;
}

static bool say_the_same(const struct finding *a, const struct finding *b)
{
  if (a->kind != b->kind || a->remedy_count != b->remedy_count) return false;
  if (a->start == 0 || b->start == 0) return false;
  for (uint32_t i = 0; i < a->remedy_count; i++) {
    if (strcmp(a->remedies[i], b->remedies[i]) != 0) return false;
  }
  return strcmp(a->text, b->text) == 0;
}

static bool was_said(const struct result *r, uint32_t index)
{
  for (uint32_t i = 0; i < index; i++) {
    if (say_the_same(&r->findings[i], &r->findings[index])) return true;
  }
  return false;
}

/* --- ", start 3", or ", starts 2 to 7, 9" -------------------------------- */

static void put_range(struct page *page, uint32_t from, uint32_t to)
{
  page_format(page, from == to ? " %" PRIu32 : " %" PRIu32 " to %" PRIu32,
              from, to);
}

static void put_starts(struct page *page, const struct result *r,
                       uint32_t index)
{
  const struct finding *first = &r->findings[index];
  uint32_t from = first->start, to = from, ranges = 0;
  bool several = false;
  if (from == 0) return;
  for (uint32_t i = index + 1; i < r->finding_count && !several; i++) {
    several = say_the_same(first, &r->findings[i]);
  }
  page_say(page, several ? ", starts" : ", start");
  for (uint32_t i = index + 1; i < r->finding_count; i++) {
    const struct finding *f = &r->findings[i];
    if (!say_the_same(first, f)) continue;
    if (f->start != to + 1) {
      if (ranges++ > 0) page_say(page, ",");
      put_range(page, from, to);
      from = f->start;
    }
    to = f->start;
  }
  if (ranges > 0) page_say(page, ",");
  put_range(page, from, to);
}

static void put_finding(struct page *page, const struct result *r,
                        uint32_t index, enum text_words words)
{
  const struct finding *f = &r->findings[index];
  bool explained = words != TEXT_EXPERT && is_first_of_kind(r, index);
  page_gap(page);
  page_item(page, 0, 0, "");
  page_tint(page, PAGE_NOTE, "finding");
  page_say(page, ": ");
  page_say(page, finding_word(f->kind));
  put_starts(page, r, index);
  page_end(page);
  page_item(page, 2, 2, "");
  if (explained) page_say(page, finding_explained(f));
  if (explained) page_say(page, " ");
  page_say(page, f->text);
  page_end(page);
  if (f->remedy_count == 0) return;
  page_line(page, 2, "What mends it on this part:");
  for (uint32_t i = 0; i < f->remedy_count; i++) {
    page_item(page, 4, 6, "-");
    page_say(page, f->remedies[i]);
    page_end(page);
  }
}

void text_findings(struct page *page, const struct result *result,
                   enum text_words words)
{
  for (uint32_t i = 0; i < result->finding_count; i++) {
    if (!was_said(result, i)) put_finding(page, result, i, words);
  }
}
