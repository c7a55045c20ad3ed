#include <inttypes.h>
#include <string.h>

#include "report/page.h"
#include "report/text_after.h"
#include "report/why_report.h"

static void put_item(struct page *p, const char *lead, const char *text)
{
  page_item(p, 2, 15, lead);
  page_say(p, text);
  page_end(p);
}

/* The next of a list, below the first. */
static void put_next(struct page *p, const char *text)
{
  page_item(p, 15, 17, "");
  page_say(p, text);
  page_end(p);
}

static void put_one_of(struct page *p, uint32_t index, const char *lead,
                       const char *text)
{
  if (index == 0)
    put_item(p, lead, text);
  else
    put_next(p, text);
}

static void put_head(struct page *p, const struct diagnosis *d)
{
  put_item(p, "case", d->title);
  put_item(p, "part", d->part);
  for (uint32_t i = 0; i < d->seen_count; i++) {
    page_item(p, i == 0 ? 2 : 15, i == 0 ? 15 : 17, i == 0 ? "seen" : "");
    page_say(p, d->seen[i].key);
    page_say(p, ": ");
    page_say(p, d->seen[i].value);
    page_end(p);
  }
  if (!d->whole)
    put_item(p, "before that",
             "not told; taken for: programmed before assembly, then powered");
  page_item(p, 2, 15, "tried");
  page_format(p,
              "the case as told, %" PRIu32 " causes alone, %" PRIu32
              " pairs of causes; each played whole on the image",
              d->singles, d->pairs);
  page_end(p);
  page_gap(p);
}

/* "stale-latch", "strap-level (start high) and start-option (...)" */
static void put_names(struct page *p, const struct explanation *e)
{
  if (e->cause_count == 0) page_say(p, "what was told");
  for (uint32_t i = 0; i < e->cause_count; i++) {
    if (i > 0) page_say(p, " and ");
    page_say(p, why_cause_word(e->causes[i]));
    if (e->details[i] == NULL) continue;
    page_say(p, " (");
    page_say(p, e->details[i]);
    page_say(p, ")");
  }
}

static void put_assumed(struct page *p, const struct explanation *e)
{
  if (e->assumed == 0) {
    put_item(p, "assumed", "nothing: what was told leads to it by itself");
    return;
  }
  for (uint32_t i = 0; i < e->assumed; i++)
    put_one_of(p, i, "assumed", why_cause_assumed(e->causes[i]));
}

static void put_remedies(struct page *p, const struct explanation *e)
{
  for (uint32_t i = 0; i < e->remedy_count; i++)
    put_one_of(p, i, "mends it", e->remedies[i]);
  if (e->mended_by_count == 0) return;
  page_item(p, 2, 15, "from there");
  for (uint32_t i = 0; i < e->mended_by_count; i++) {
    page_say(p, i == 0 ? "" : ", ");
    page_together(p, e->mended_by[i]);
  }
  page_say(p, e->mended_by_count == 1 ? " starts" : " start");
  page_say(p, " the application");
  page_end(p);
}

static void put_explanation(struct page *p, const struct explanation *e,
                            uint32_t number)
{
  char lead[16];
  snprintf(lead, sizeof(lead), "%" PRIu32 ".", number);
  page_item(p, 0, 4, lead);
  put_names(p, e);
  page_end(p);
  put_assumed(p, e);
  if (e->shown != NULL) put_item(p, "so", e->shown);
  page_item(p, 2, 15, "last start");
  text_answer(p, &e->start);
  page_end(p);
  if (e->rules_out.key != NULL) {
    page_item(p, 2, 15, "not this, if");
    page_say(p, e->rules_out.key);
    page_say(p, " is anything but ");
    page_say(p, e->rules_out.value);
    page_end(p);
  }
  put_remedies(p, e);
  page_gap(p);
}

static void put_members(struct page *p, uint32_t bits)
{
  const char *before = "";
  for (uint32_t i = 0; i < WHY_MAX_LISTED; i++) {
    if (!(bits >> i & 1u)) continue;
    page_say(p, before);
    page_format(p, "%" PRIu32, i + 1);
    before = ", ";
  }
}

static void put_split(struct page *p, const struct diagnosis *d)
{
  const struct why_split *s = &d->split;
  if (d->count < 2) return;
  if (s->key == NULL) {
    page_line(p, 0,
              "Nothing that can be measured on this part tells them apart.");
    return;
  }
  page_item(p, 0, 0, "");
  page_say(p, "Measure next: ");
  page_say(p, s->key);
  page_say(p, " (");
  page_say(p, s->how);
  page_say(p, ").");
  page_end(p);
  for (uint32_t i = 0; i < s->group_count; i++) {
    page_item(p, 2, 4, "");
    page_say(p, s->groups[i].value);
    page_say(p, ": leaves ");
    put_members(p, s->groups[i].members);
    page_end(p);
  }
}

void why_text(FILE *to, const struct diagnosis *d)
{
  struct page p;
  page_open(&p, to);
  put_head(&p, d);
  if (d->count == 0)
    page_line(&p, 0,
              "None of these explains all that was seen. Either something "
              "seen or told is not so, or the cause is one that is not "
              "known here.");
  for (uint32_t i = 0; i < d->count; i++)
    put_explanation(&p, &d->list[i], i + 1);
  if (d->unlisted > 0) {
    page_item(&p, 0, 0, "");
    page_format(&p, "%" PRIu32 " more that assume as much are not listed.",
                d->unlisted);
    page_end(&p);
  }
  put_split(&p, d);
  if (d->count == 0) return;
  page_gap(&p);
  page_item(&p, 0, 0, "");
  page_format(&p, "It rests on %" PRIu32 " assumed numbers.",
              d->assumed_numbers);
  page_say(&p, " A simulation is not the board: confirm on the hardware, by "
               "the part's own documentation.");
  page_end(&p);
}
