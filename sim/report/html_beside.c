/* One script on several parts: where they differ, from which step on, and
 * because of which rows of the parts. */
#include <inttypes.h>
#include <string.h>

#include "describe/names.h"
#include "report/html_run.h"
#include "report/rows.h"

struct beside {
  const struct html_run *runs;
  const struct result *results[ROWS_MAX_RESULTS];
  uint32_t count;
};

/* --- the table of starts ------------------------------------------------- */

static void put_start(struct html *h, const struct start *s, bool differs)
{
  html_put(h, "<td%s>", differs ? " class=\"differs\"" : "");
  if (!s) {
    html_put(h, "no start</td>");
    return;
  }
  html_text(h, s->region);
  if (s->landing.landed) {
    html_put(h, ", landing in ");
    html_text(h, s->landing.region);
  }
  if (s->has_latch)
    html_put(h, "<br>latch %s%s", latch_word(s->latch_programmed),
             s->stale ? ", stale" : "");
  if (s->rule) {
    html_put(h, "<br>rule ");
    html_text(h, s->rule);
  }
  html_put(h, "</td>");
}

static void put_row(struct html *h, const struct beside *b,
                    const struct rows *rows)
{
  char text[64];
  bool alike = rows_alike(rows);
  const char *why = rows_common_why(rows);
  snprintf(text, sizeof text, "step %" PRIu32 "%s%s", rows->step,
           why ? ", " : "", why ? why : "");
  html_row(h, text, !alike);
  html_put(h, "<td>%s</td>", alike ? "alike" : "they differ");
  for (uint32_t i = 0; i < b->count; i++) {
    put_start(h, rows->starts[i], !alike);
  }
  html_row_end(h);
}

static void put_starts(struct html *h, const struct beside *b)
{
  const char *columns[ROWS_MAX_RESULTS + 3] = {"start", "parts"};
  struct rows rows;
  for (uint32_t i = 0; i < b->count; i++)
    columns[i + 2] = b->results[i]->part;
  html_table(h, "The starts of each part, step by step", columns);
  rows_begin(&rows, b->results, b->count);
  while (rows_next(&rows))
    put_row(h, b, &rows);
  html_table_end(h);
}

/* --- why they differ ----------------------------------------------------- */

/* What the part's row of the reset table says about what decides a start. */
static void put_reset_row(struct html *h, const struct part *part,
                          const struct start *s)
{
  static const enum reset_column deciding[] = {RESET_OPTIONS, RESET_LATCH,
                                               RESET_STRAPS, RESET_ALIAS};
  html_put(h, "<td>");
  if (!s || s->how != START_RESET || !part->resets[s->cause].present) {
    html_put(h, "no reset");
  } else {
    html_put(h, "%s: ", cause_word(s->cause));
    for (size_t i = 0; i < sizeof deciding / sizeof deciding[0]; i++)
      html_put(
          h, "%s%s %s", i > 0 ? ", " : "", column_key(deciding[i]),
          column_word(deciding[i], part->resets[s->cause].does[deciding[i]]));
  }
  html_put(h, "</td>");
}

static void put_rule(struct html *h, const struct part *part,
                     const struct start *s)
{
  html_put(h, "<td>");
  if (s && s->rule) html_text(h, s->rule);
  for (uint32_t i = 0; s && s->rule && i < part->rule_count; i++) {
    if (strcmp(part->rules[i].name, s->rule) != 0) continue;
    html_put(h, ": ");
    html_rule_text(h, part, &part->rules[i]);
  }
  html_put(h, "</td>");
}

static void put_reasons(struct html *h, const struct beside *b,
                        const struct rows *rows)
{
  static const char *const columns[] = {
      "part",        "starts in", "its reset table says",
      "blank check", "latch",     "rule that decided",
      NULL};
  html_table(h, "What decided there, on each part", columns);
  for (uint32_t i = 0; i < b->count; i++) {
    const struct start *s = rows->starts[i];
    const struct part *part = b->runs[i].part;
    html_row(h, b->results[i]->part, false);
    html_cell(h, s ? s->region : "no start");
    put_reset_row(h, part, s);
    html_put(h, "<td>%s</td>", blank_held_words[part->blank_check.held]);
    html_put(h, "<td>%s%s</td>",
             s && s->has_latch ? latch_word(s->latch_programmed) : "-",
             s && s->stale ? ", stale" : "");
    put_rule(h, part, s);
    html_row_end(h);
  }
  html_table_end(h);
}

static void put_difference(struct html *h, const struct beside *b)
{
  struct rows rows;
  html_section(h, "difference", "Where they differ");
  rows_begin(&rows, b->results, b->count);
  while (rows_next(&rows)) {
    if (rows_alike(&rows)) continue;
    html_put(h,
             "<p class=\"verdict\"><strong>They differ from step %" PRIu32
             " on.</strong> Before that, all of them began and landed in the "
             "same regions.</p>\n",
             rows.step);
    put_reasons(h, b, &rows);
    html_section_end(h);
    return;
  }
  html_put(h, "<p class=\"verdict\"><strong>They do not differ</strong> in "
              "where starts begin and land.</p>\n");
  html_section_end(h);
}

/* --- each of them -------------------------------------------------------- */

static void put_verdicts(struct html *h, const struct beside *b)
{
  static const char *const columns[] = {
      "part", "verdict", "starts", "findings", "assumed numbers", NULL};
  static const char *const words[] = {[VERDICT_NONE] = "nothing was asked",
                                      [VERDICT_HELD] = "held",
                                      [VERDICT_FAILED] = "FAILED"};
  html_table(h, "The whole run on each part", columns);
  for (uint32_t i = 0; i < b->count; i++) {
    const struct result *r = b->results[i];
    html_row(h, r->part, r->verdict == VERDICT_FAILED);
    html_cell(h, words[r->verdict]);
    html_put(h, "<td>%" PRIu32 "</td><td>", r->start_count);
    for (uint32_t k = 0; k < r->finding_count; k++)
      html_put(h, "%s%s", k > 0 ? ", " : "",
               finding_word(r->findings[k].kind));
    html_put(h, "</td><td>%" PRIu32 "</td>", r->assumed);
    html_row_end(h);
  }
  html_table_end(h);
}

static void put_whole(struct html *h, const struct html_run *run)
{
  char heading[160];
  snprintf(heading, sizeof heading, "On part %s", run->result->part);
  html_section(h, "run", heading);
  html_put(h, "<details>\n<summary>The whole run on this part</summary>\n");
  html_run(h, run);
  html_put(h, "</details>\n");
  html_section_end(h);
}

void html_beside(struct html *h, const struct html_run *runs, uint32_t count)
{
  struct beside b = {.runs = runs, .count = count};
  char prefix[sizeof h->prefix];
  for (uint32_t i = 0; i < count; i++)
    b.results[i] = runs[i].result;
  put_difference(h, &b);
  html_section(h, "beside", "Side by side");
  put_verdicts(h, &b);
  put_starts(h, &b);
  html_section_end(h);
  memcpy(prefix, h->prefix, sizeof prefix);
  for (uint32_t i = 0; i < count; i++) {
    snprintf(h->prefix, sizeof h->prefix, "%.10sp%" PRIu32 "-", prefix, i + 1);
    put_whole(h, &runs[i]);
  }
  memcpy(h->prefix, prefix, sizeof prefix);
}
