#include <inttypes.h>
#include <string.h>

#include "report/page.h"
#include "report/text_after.h"
#include "report/why_report.h"
#include "report/why_words.h"

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
  page_line(p, 0, d->title);
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

static void put_assumed(struct page *p, const struct explanation *e)
{
  if (e->assumed == 0) {
    put_item(p, "assumed", why_nothing_assumed);
    return;
  }
  for (uint32_t i = 0; i < e->assumed; i++)
    put_one_of(p, i, "assumed", why_cause_assumed(e->causes[i]));
}

static void put_remedies(struct page *p, const struct explanation *e)
{
  for (uint32_t i = 0; i < e->remedy_count; i++)
    put_one_of(p, i, "mends it", e->remedies[i]);
}

static void put_explanation(struct page *p, const struct explanation *e,
                            uint32_t number)
{
  char lead[16];
  snprintf(lead, sizeof(lead), "%" PRIu32 ".", number);
  page_item(p, 0, 4, lead);
  why_say_names(p, e);
  page_end(p);
  put_assumed(p, e);
  if (e->shown != NULL) put_item(p, "so", e->shown);
  page_item(p, 2, 15, "last start");
  text_answer(p, &e->start);
  page_end(p);
  why_not_this(p, e);
  put_remedies(p, e);
  why_mended(p, e);
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
    page_line(p, 0, why_all_alike);
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

static bool same_drop(const struct why_dropped *x, const struct why_dropped *y)
{
  return strcmp(x->seen.key, y->seen.key) == 0 &&
         strcmp(x->shown, y->shown) == 0;
}

/* All that one observation drops for the same reason. */
static void put_drop(struct page *p, const struct diagnosis *d, uint32_t first)
{
  const struct why_dropped *w = &d->dropped[first];
  page_item(p, 2, 4, "");
  page_say(p, w->seen.key);
  page_say(p, " would be ");
  page_say(p, w->shown);
  const char *before = ": ";
  for (uint32_t i = first; i < d->dropped_count; i++) {
    const struct why_dropped *x = &d->dropped[i];
    if (!same_drop(w, x)) continue;
    page_say(p, before);
    page_say(p, x->told ? "what was told" : why_cause_word(x->cause));
    if (x->detail) {
      page_say(p, " (");
      page_say(p, x->detail);
      page_say(p, ")");
    }
    before = ", ";
  }
  page_end(p);
}

static void put_dropped(struct page *p, const struct diagnosis *d)
{
  if (d->dropped_count == 0) return;
  page_line(p, 0, "Dropped, for alone they show something else:");
  for (uint32_t i = 0; i < d->dropped_count; i++) {
    bool told = false;
    for (uint32_t k = 0; k < i; k++)
      told |= same_drop(&d->dropped[k], &d->dropped[i]);
    if (!told) put_drop(p, d, i);
  }
  page_gap(p);
}

void why_text(FILE *to, const struct diagnosis *d)
{
  struct page p;
  page_open(&p, to);
  put_head(&p, d);
  if (d->count == 0) {
    page_line(&p, 0, why_none);
    page_gap(&p);
  }
  for (uint32_t i = 0; i < d->count; i++)
    put_explanation(&p, &d->list[i], i + 1);
  if (d->unlisted > 0) {
    page_item(&p, 0, 0, "");
    page_format(&p, "%" PRIu32 " more that assume as much are not listed.",
                d->unlisted);
    page_end(&p);
  }
  put_split(&p, d);
  if (d->count > 1) page_gap(&p);
  put_dropped(&p, d);
  if (d->count == 0) return;
  page_item(&p, 0, 0, "");
  page_format(&p, "It rests on %" PRIu32 " assumed numbers.",
              d->assumed_numbers);
  page_say(&p, " A simulation is not the board: confirm on the hardware, by "
               "the part's own documentation.");
  page_end(&p);
}
