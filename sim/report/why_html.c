/* A diagnosis as a page. What the text says of an explanation is said here in
 * the same words; what takes a table is a table. */
#include <inttypes.h>
#include <string.h>

#include "describe/newcomer.h"
#include "report/html_parts.h"
#include "report/page.h"
#include "report/text_after.h"
#include "report/why_report.h"
#include "report/why_words.h"

/* More values than these are rows, not columns: on paper nothing scrolls. */
#define MAX_COLUMNS 6

/* --- the head ------------------------------------------------------------ */

static void put_tried(struct html *h, const struct diagnosis *d)
{
  html_put(h,
           "<p class=\"soft\">Tried: the case as told, %" PRIu32
           " causes alone, %" PRIu32
           " pairs of causes. Each was played whole, "
           "on the image and on the simulated part; those are kept that show "
           "all that was seen.</p>\n",
           d->singles, d->pairs);
}

static void put_verdict(struct html *h, const struct diagnosis *d)
{
  struct page page;
  page_open_markup(&page, h->to, PAGE_INLINE);
  html_put(h, "<p class=\"verdict%s\"><strong>",
           d->count == 0 ? " failed" : "");
  if (d->count == 0) {
    html_put(h, "%s</strong></p>\n", why_none);
    return;
  }
  const struct explanation *first = &d->list[0];
  html_put(h, "%" PRIu32 " explanation%s</strong> %s: <a href=\"#why-1\">",
           d->count, d->count == 1 ? " fits." : "s fit.",
           d->count == 1 ? "It is" : "The one that assumes least comes first");
  page_item(&page, 0, 0, "");
  why_say_names(&page, first);
  page_end(&page);
  html_put(h, "</a>");
  for (uint32_t i = 0; i < first->assumed; i++) {
    html_put(h, "%s", i > 0 ? ", and " : ", ");
    html_text(h, why_cause_assumed(first->causes[i]));
  }
  html_put(h, ".");
  if (d->split.key) {
    html_put(h, " To tell them apart, <a href=\"#measure\">measure</a> ");
    html_text(h, d->split.key);
    html_put(h, ".");
  }
  html_put(h, "</p>\n");
}

static void put_seen(struct html *h, const struct diagnosis *d,
                     const struct case_script *script)
{
  static const char *const columns[] = {"seen", "value", "how one sees it",
                                        NULL};
  html_section(h, "seen", "What was done and seen");
  if (!d->whole)
    html_put(h, "<p>What went before is not told, and is taken for: "
                "programmed before assembly, then powered.</p>\n");
  html_steps(h, script, 0, script->step_count);
  html_table(h, "What was seen after that", columns);
  for (uint32_t i = 0; i < d->seen_count; i++) {
    html_row(h, d->seen[i].key, false);
    html_cell(h, d->seen[i].value);
    html_cell(h, d->seen_how[i]);
    html_row_end(h);
  }
  html_table_end(h);
  html_section_end(h);
}

/* --- explanations -------------------------------------------------------- */

static void put_assumed(struct html *h, const struct explanation *e)
{
  html_put(h, "<dt>assumes</dt><dd>");
  if (e->assumed == 0) html_put(h, "%s", why_nothing_assumed);
  for (uint32_t i = 0; i < e->assumed; i++) {
    html_put(h, "%s", i > 0 ? "; and " : "");
    html_text(h, why_cause_assumed(e->causes[i]));
  }
  html_put(h, "</dd>\n");
}

/* For who has never heard of it. */
static void put_newcomer(struct html *h, const struct explanation *e)
{
  enum finding_kind finding;
  for (uint32_t i = 0; i < e->cause_count; i++)
    if (why_cause_finding(e->causes[i], &finding))
      html_paragraph(h, NULL, finding_newcomer(finding));
}

static void put_remedies(struct html *h, const struct explanation *e)
{
  if (e->remedy_count == 0) return;
  html_put(h, "<dt>mends it</dt><dd><ul>\n");
  for (uint32_t i = 0; i < e->remedy_count; i++) {
    html_put(h, "<li>");
    html_text(h, e->remedies[i]);
    html_put(h, "</li>\n");
  }
  html_put(h, "</ul></dd>\n");
}

static void put_rows(struct html *h, const struct explanation *e)
{
  struct page page;
  page_open_markup(&page, h->to, PAGE_ROWS);
  put_assumed(h, e);
  if (e->shown) {
    page_item(&page, 0, 0, "so");
    page_say(&page, e->shown);
    page_end(&page);
  }
  page_item(&page, 0, 0, "last start");
  text_answer(&page, &e->start);
  page_end(&page);
  why_not_this(&page, e);
  put_remedies(h, e);
  why_mended(&page, e);
}

static void put_explanation(struct html *h, const struct explanation *e,
                            uint32_t number)
{
  struct page page;
  page_open_markup(&page, h->to, PAGE_INLINE);
  html_put(h,
           "<div class=\"card\" id=\"why-%" PRIu32
           "\" data-explanation=\"%" PRIu32 "\">\n<h%u>%" PRIu32 ". ",
           number, number, h->level + 1, number);
  page_item(&page, 0, 0, "");
  why_say_names(&page, e);
  page_end(&page);
  html_put(h, " <span class=\"tag\">assumes %" PRIu32 "</span></h%u>\n",
           e->assumed, h->level + 1);
  put_newcomer(h, e);
  html_put(h, "<dl>\n");
  put_rows(h, e);
  html_put(h, "</dl>\n</div>\n");
}

static void put_explanations(struct html *h, const struct diagnosis *d)
{
  if (d->count == 0) return;
  html_section(h, "causes", "Causes that fit, fewest assumptions first");
  for (uint32_t i = 0; i < d->count; i++)
    put_explanation(h, &d->list[i], i + 1);
  if (d->unlisted > 0)
    html_put(h,
             "<p>%" PRIu32 " more that assume as much are not listed.</p>\n",
             d->unlisted);
  html_section_end(h);
}

/* --- what to measure next ------------------------------------------------ */

static void put_number(struct html *h, const struct explanation *e,
                       uint32_t number, bool heading)
{
  struct page page;
  page_open_markup(&page, h->to, PAGE_INLINE);
  html_put(h, "%s<a href=\"#why-%" PRIu32 "\">%" PRIu32 ". ",
           heading ? "<tr><th scope=\"row\">" : "", number, number);
  page_item(&page, 0, 0, "");
  why_say_names(&page, e);
  page_end(&page);
  html_put(h, "</a>%s", heading ? "</th>" : "");
}

/* A row a cause, a column a value. */
static void put_matrix(struct html *h, const struct diagnosis *d)
{
  const struct why_split *s = &d->split;
  const char *columns[MAX_COLUMNS + 2] = {"cause"};
  for (uint32_t g = 0; g < s->group_count; g++)
    columns[g + 1] = s->groups[g].value;
  html_table(h, "Which causes are left, by the value that is measured",
             columns);
  for (uint32_t i = 0; i < d->count; i++) {
    put_number(h, &d->list[i], i + 1, true);
    for (uint32_t g = 0; g < s->group_count; g++) {
      bool fits = s->groups[g].members >> i & 1u;
      html_put(h, "<td class=\"%s\">%s</td>", fits ? "yes" : "soft",
               fits ? "left" : "ruled out");
    }
    html_row_end(h);
  }
  html_table_end(h);
}

/* A row a value, where there are many. */
static void put_groups(struct html *h, const struct diagnosis *d)
{
  static const char *const columns[] = {"measured", "causes left", NULL};
  const struct why_split *s = &d->split;
  html_table(h, "Which causes are left, by the value that is measured",
             columns);
  for (uint32_t g = 0; g < s->group_count; g++) {
    html_row(h, s->groups[g].value, false);
    html_put(h, "<td>");
    bool any = false;
    for (uint32_t i = 0; i < d->count; i++) {
      if (!(s->groups[g].members >> i & 1u)) continue;
      html_put(h, "%s", any ? "<br>" : "");
      put_number(h, &d->list[i], i + 1, false);
      any = true;
    }
    html_put(h, "</td>");
    html_row_end(h);
  }
  html_table_end(h);
}

static void put_measure(struct html *h, const struct diagnosis *d)
{
  const struct why_split *s = &d->split;
  if (d->count < 2) return;
  html_section(h, "measure", "What to measure next");
  if (s->key == NULL) {
    html_put(h, "<p>%s</p>\n", why_all_alike);
    html_section_end(h);
    return;
  }
  html_put(h, "<p><strong>");
  html_text(h, s->key);
  html_put(h, "</strong>: ");
  html_text(h, s->how);
  html_put(h, ". Of all that can be measured on this part it leaves least to "
              "be found.</p>\n");
  if (s->group_count <= MAX_COLUMNS)
    put_matrix(h, d);
  else
    put_groups(h, d);
  html_section_end(h);
}

/* --- what does not fit --------------------------------------------------- */

static void put_dropped_row(struct html *h, const struct why_dropped *w)
{
  html_row(h, w->told ? "what was told" : why_cause_word(w->cause), false);
  html_put(h, "<td>");
  html_text(h, w->told ? "nothing else" : why_cause_assumed(w->cause));
  if (w->detail) {
    html_put(h, " (");
    html_text(h, w->detail);
    html_put(h, ")");
  }
  html_put(h, "</td>");
  html_cell(h, w->seen.key);
  html_cell(h, w->shown);
  html_cell(h, w->seen.value);
  html_row_end(h);
}

static void put_dropped(struct html *h, const struct diagnosis *d)
{
  static const char *const columns[] = {"cause",    "assumed",  "dropped by",
                                        "would be", "was seen", NULL};
  if (d->dropped_count == 0) return;
  html_section(h, "dropped", "Causes that were dropped");
  html_put(h, "<p>Each of these alone shows something else than what was "
              "seen; the first such observation is named. Together with "
              "another it may still fit: then it is above.</p>\n");
  html_table(h, "Dropped, each by an observation", columns);
  for (uint32_t i = 0; i < d->dropped_count; i++)
    put_dropped_row(h, &d->dropped[i]);
  html_table_end(h);
  html_section_end(h);
}

/* --- all of it ----------------------------------------------------------- */

static const struct html_entry contents[] = {
    {"seen", "What was seen"},
    {"measure", "What to measure next"},
    {"causes", "Causes that fit"},
    {"dropped", "Causes dropped"},
    {"assumed", "Assumed numbers"},
    {"cautions", "Cautions"},
    {NULL, NULL},
};
static const struct html_entry contents_of_none[] = {
    {"seen", "What was seen"},
    {"dropped", "Causes dropped"},
    {"cautions", "Cautions"},
    {NULL, NULL},
};
static const struct html_entry contents_of_one[] = {
    {"seen", "What was seen"},     {"causes", "Cause that fits"},
    {"dropped", "Causes dropped"}, {"assumed", "Assumed numbers"},
    {"cautions", "Cautions"},      {NULL, NULL},
};

void why_html(FILE *to, const struct diagnosis *d,
              const struct case_script *script, const struct part *part)
{
  struct html h = {.to = to};
  html_begin(&h, d->title);
  html_put(&h, "<p class=\"soft\">");
  html_subject(&h, d->part, part->about, d->case_file);
  html_put(&h, "</p>\n");
  put_verdict(&h, d);
  put_tried(&h, d);
  html_contents(&h, d->count == 0   ? contents_of_none
                    : d->count == 1 ? contents_of_one
                                    : contents);
  put_seen(&h, d, script);
  put_measure(&h, d);
  put_explanations(&h, d);
  put_dropped(&h, d);
  if (d->count > 0)
    html_assumed(&h, part, d->touched, d->assumed_numbers,
                 "the first explanation");
  html_words(&h);
  html_cautions(&h, false);
  html_end(&h);
}
