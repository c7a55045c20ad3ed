#include "report/side_by_side.h"

#include <inttypes.h>
#include <stdbool.h>
#include <stddef.h>

#include "report/cell.h"
#include "report/page.h"
#include "report/rows.h"
#include "report/text_parts.h"

enum { LABEL_COLUMNS = 15, GAP_COLUMNS = 2 };

struct table {
  FILE *to;
  const struct result *const *results;
  uint32_t count;
  unsigned widths[ROWS_MAX_RESULTS];
  uint32_t first, end; /* the parts that are printed side by side now */
};

/* --- cells --------------------------------------------------------------- */

static void fill_start(struct cell *cell, const struct start *s, bool with_why)
{
  if (!s) {
    cell_line(cell, "-");
    return;
  }
  cell_line(cell, s->region);
  if (s->stale) cell_more(cell, ", stale");
  if (s->rule) cell_line(cell, s->rule);
  if (s->landing.landed) {
    cell_line(cell, "landing ");
    cell_more(cell, s->landing.region);
  }
  if (with_why) {
    cell_line(cell, "by ");
    cell_more(cell, rows_why(s));
  }
}

/* The last time, of how many. */
static void fill_measure(struct cell *cell, const struct measured *m)
{
  char text[64];
  if (m->count == 0) {
    cell_line(cell, "never");
    return;
  }
  cell_line(cell, units_text(text, sizeof text, UNIT_TIME, m->time.last));
  cell_line(cell, units_text(text, sizeof text, UNIT_CYCLES, m->cycles.last));
  if (m->count == 1) return;
  snprintf(text, sizeof text, "last of %" PRIu64, m->count);
  cell_line(cell, text);
}

static bool found_before(const struct result *r, uint32_t index)
{
  for (uint32_t i = 0; i < index; i++) {
    if (r->findings[i].kind == r->findings[index].kind) return true;
  }
  return false;
}

static void fill_findings(struct cell *cell, const struct result *r)
{
  if (r->finding_count == 0) cell_line(cell, "none");
  for (uint32_t i = 0; i < r->finding_count; i++) {
    if (found_before(r, i)) continue;
    cell_line(cell, finding_word(r->findings[i].kind));
  }
}

static void fill_assumed(struct cell *cell, const struct result *r)
{
  char text[32];
  snprintf(text, sizeof text, "%" PRIu32 " number%s", r->assumed,
           r->assumed == 1 ? "" : "s");
  cell_line(cell, r->assumed == 0 ? "none" : text);
}

static void fill_verdict(struct cell *cell, const struct result *r)
{
  char text[64];
  switch (r->verdict) {
  case VERDICT_NONE: cell_line(cell, "none"); break;
  case VERDICT_HELD: cell_line(cell, "held"); break;
  case VERDICT_FAILED:
    snprintf(text, sizeof text, "%" PRIu32 " of %" PRIu32, r->failed,
             r->held + r->failed);
    cell_line(cell, "failed");
    cell_line(cell, text);
    break;
  }
}

/* The rows under the starts: a cell says something of the whole result. */
static const struct {
  const char *label;
  void (*fill)(struct cell *cell, const struct result *r);
} summary[] = {
    {"findings", fill_findings},
    {"assumed", fill_assumed},
    {"verdict", fill_verdict},
};

/* --- layout -------------------------------------------------------------- */

static void widen(unsigned *width, const struct cell *cell)
{
  unsigned longest = cell_longest(cell);
  if (longest > *width) *width = longest;
}

/* The width of one part's column: of its name and of all its cells. */
static unsigned natural_width(const struct table *t, uint32_t i)
{
  const struct result *r = t->results[i];
  unsigned width = 1;
  struct cell cell;
  cell_begin(&cell, CELL_WIDTH);
  cell_line(&cell, r->part);
  widen(&width, &cell);
  struct rows rows;
  rows_begin(&rows, t->results, t->count);
  while (rows_next(&rows)) {
    cell_begin(&cell, CELL_WIDTH);
    fill_start(&cell, rows.starts[i], !rows_common_why(&rows));
    widen(&width, &cell);
  }
  for (uint32_t k = 0; k < r->measure_count; k++) {
    cell_begin(&cell, CELL_WIDTH);
    fill_measure(&cell, &r->measures[k]);
    widen(&width, &cell);
  }
  for (size_t k = 0; k < sizeof summary / sizeof summary[0]; k++) {
    cell_begin(&cell, CELL_WIDTH);
    summary[k].fill(&cell, r);
    widen(&width, &cell);
  }
  return width;
}

/* How many parts fit beside one another from t->first on; at least one. */
static void choose_group(struct table *t)
{
  unsigned columns = LABEL_COLUMNS;
  t->end = t->first;
  while (t->end < t->count) {
    columns += GAP_COLUMNS + t->widths[t->end];
    if (columns > PAGE_COLUMNS && t->end > t->first) break;
    t->end++;
  }
}

/* A row of cells; `cells` has one for each part of the group. */
static void put_row(const struct table *t, const struct cell *label,
                    const struct cell *cells)
{
  uint32_t group = t->end - t->first;
  unsigned lines = label->count;
  for (uint32_t i = 0; i < group; i++) {
    if (cells[i].count > lines) lines = cells[i].count;
  }
  for (unsigned line = 0; line < lines; line++) {
    uint32_t last = group;
    while (last > 0 && line >= cells[last - 1].count)
      last--;
    cell_put(label, line, last > 0 ? LABEL_COLUMNS : 0, t->to);
    for (uint32_t i = 0; i < last; i++) {
      fprintf(t->to, "%*s", GAP_COLUMNS, "");
      unsigned width = t->widths[t->first + i];
      cell_put(&cells[i], line, i + 1 < last ? width : 0, t->to);
    }
    fputc('\n', t->to);
  }
}

/* Column of the group's part `i` in a row's cells, empty. */
static struct cell *cell_of(const struct table *t, struct cell *cells,
                            uint32_t i)
{
  struct cell *cell = &cells[i - t->first];
  cell_begin(cell, t->widths[i]);
  return cell;
}

static void put_names(const struct table *t, struct cell *cells)
{
  struct cell label;
  cell_begin(&label, LABEL_COLUMNS);
  for (uint32_t i = t->first; i < t->end; i++) {
    cell_line(cell_of(t, cells, i), t->results[i]->part);
  }
  put_row(t, &label, cells);
}

static void put_starts(const struct table *t, struct cell *cells)
{
  struct rows rows;
  rows_begin(&rows, t->results, t->count);
  while (rows_next(&rows)) {
    struct cell label;
    char text[32];
    snprintf(text, sizeof text, "steps[%" PRIu32 "]", rows.step);
    cell_begin(&label, LABEL_COLUMNS);
    cell_line(&label, text);
    const char *why = rows_common_why(&rows);
    if (why) cell_line(&label, why);
    for (uint32_t i = t->first; i < t->end; i++) {
      fill_start(cell_of(t, cells, i), rows.starts[i], !why);
    }
    fputc('\n', t->to);
    put_row(t, &label, cells);
  }
}

/* All results are of one script, so they have the same measures. */
static void put_measures(const struct table *t, struct cell *cells)
{
  for (uint32_t k = 0; k < t->results[0]->measure_count; k++) {
    struct cell label;
    cell_begin(&label, LABEL_COLUMNS);
    cell_line(&label, t->results[0]->measures[k].name);
    for (uint32_t i = t->first; i < t->end; i++) {
      fill_measure(cell_of(t, cells, i), &t->results[i]->measures[k]);
    }
    fputc('\n', t->to);
    put_row(t, &label, cells);
  }
}

static void put_summary(const struct table *t, struct cell *cells)
{
  for (size_t k = 0; k < sizeof summary / sizeof summary[0]; k++) {
    struct cell label;
    cell_begin(&label, LABEL_COLUMNS);
    cell_line(&label, summary[k].label);
    for (uint32_t i = t->first; i < t->end; i++) {
      summary[k].fill(cell_of(t, cells, i), t->results[i]);
    }
    fputc('\n', t->to);
    put_row(t, &label, cells);
  }
}

static void put_table(struct table *t)
{
  struct cell cells[ROWS_MAX_RESULTS];
  for (uint32_t i = 0; i < t->count; i++)
    t->widths[i] = natural_width(t, i);
  for (t->first = 0; t->first < t->count; t->first = t->end) {
    choose_group(t);
    fputc('\n', t->to);
    put_names(t, cells);
    put_starts(t, cells);
    put_measures(t, cells);
    put_summary(t, cells);
  }
}

/* --- what follows the table ---------------------------------------------- */

static void say_where(struct page *page, const struct start *s)
{
  if (!s) {
    page_say(page, " does not start");
    return;
  }
  page_say(page, " starts in ");
  page_say(page, s->region);
  if (!s->landing.landed) return;
  page_say(page, " and lands in ");
  page_say(page, s->landing.region);
}

static void put_difference(const struct table *t, struct page *page)
{
  struct rows rows;
  rows_begin(&rows, t->results, t->count);
  while (rows_next(&rows)) {
    if (rows_alike(&rows)) continue;
    page_item(page, 0, 0, "");
    page_say(page, "They differ from ");
    text_step(page, rows.step);
    page_say(page, " on: ");
    for (uint32_t i = 0; i < t->count; i++) {
      page_say(page, t->results[i]->part);
      say_where(page, rows.starts[i]);
      page_say(page, i + 1 < t->count ? ", " : ".");
    }
    page_end(page);
    return;
  }
  page_line(page, 0,
            "They do not differ: every start of theirs leads to the "
            "same region.");
}

static void put_failures(const struct table *t, struct page *page)
{
  for (uint32_t i = 0; i < t->count; i++) {
    const struct result *r = t->results[i];
    if (r->failed == 0) continue;
    page_gap(page);
    page_item(page, 0, 0, "");
    page_say(page, r->part);
    page_say(page, ", what was asked and did not hold:");
    page_end(page);
    text_failures(page, r);
  }
}

static bool any_contention(const struct table *t)
{
  for (uint32_t i = 0; i < t->count; i++) {
    if (t->results[i]->contention) return true;
  }
  return false;
}

void report_side_by_side(FILE *to, const struct result *const *results,
                         uint32_t count)
{
  struct table table = {.to = to, .results = results, .count = count};
  struct page page;
  page_open(&page, to);
  page_line(&page, 0, results[0]->title);
  put_table(&table);
  page_gap(&page);
  put_difference(&table, &page);
  put_failures(&table, &page);
  page_gap(&page);
  text_caution(&page, any_contention(&table));
}
