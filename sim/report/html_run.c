#include "report/html_run.h"

#include <inttypes.h>
#include <string.h>

#include "describe/names.h"
#include "describe/newcomer.h"
#include "report/html_parts.h"
#include "report/page.h"
#include "report/text_after.h"
#include "report/text_learned.h"
#include "report/text_parts.h"
#include "report/timeline_svg.h"

/* --- the verdict --------------------------------------------------------- */

static uint32_t starts_with(const struct result *r,
                            bool (*has)(const struct start *s))
{
  uint32_t count = 0;
  for (uint32_t i = 0; i < r->start_count; i++) {
    if (has(&r->starts[i])) count++;
  }
  return count;
}

static bool is_stale(const struct start *s)
{
  return s->stale;
}

static bool ran_rom(const struct start *s)
{
  return s->rom_instructions > 0;
}

/* "4 starts: 1 with a stale latch, 2 in which the boot ROM ran; the last began
 * in flash. No contention." */
static void put_starts(struct html *h, const struct result *r)
{
  const struct start *last = &r->starts[r->start_count - 1];
  uint32_t stale = starts_with(r, is_stale), rom = starts_with(r, ran_rom);
  html_put(h, " %" PRIu32 " start%s", r->start_count,
           r->start_count == 1 ? "" : "s");
  if (stale > 0) html_put(h, ": %" PRIu32 " with a stale latch", stale);
  if (rom > 0)
    html_put(h, "%s %" PRIu32 " in which the boot ROM ran",
             stale > 0 ? "," : ":", rom);
  html_put(h, "; the last began in ");
  html_text(h, last->region);
  if (last->landing.landed) {
    html_put(h, " and landed in ");
    html_text(h, last->landing.region);
  }
  html_put(h, ". %s",
           r->contention ? "Two drivers disagreed on a net."
                         : "No contention.");
}

void html_verdict(struct html *h, const struct result *r)
{
  struct page page;
  html_put(h, "<p class=\"verdict%s\"><strong>",
           r->verdict == VERDICT_FAILED ? " failed" : "");
  page_open_markup(&page, h->to, PAGE_INLINE);
  text_verdict(&page, r);
  html_put(h, ".</strong>");
  if (r->start_count == 0)
    html_put(h, " Nothing ever began to execute.");
  else
    put_starts(h, r);
  if (r->stopped) {
    html_put(h, " The run was ended early: ");
    html_text(h, r->stopped);
    html_put(h, ".");
  }
  html_put(h, "</p>\n");
}

static void put_head(struct html *h, const struct html_run *run)
{
  const struct result *r = run->result;
  html_put(h, "<p class=\"soft\">");
  html_subject(h, r->part, r->about, r->case_file);
  html_put(h, " The run ends at ");
  html_time(h, r->end);
  html_put(h, ".</p>\n");
}

/* --- findings ------------------------------------------------------------ */

static void put_finding(struct html *h, const struct finding *f)
{
  html_put(h, "<div class=\"card%s\" data-finding=\"%s\">\n<h%u>",
           f->remedy_count > 0 ? " heed" : "", finding_word(f->kind),
           h->level + 1);
  html_put(h, "%s", finding_word(f->kind));
  if (f->start > 0)
    html_put(h, ", <a href=\"#%sstart-%" PRIu32 "\">start %" PRIu32 "</a>",
             h->prefix, f->start, f->start);
  html_put(h, "</h%u>\n<p class=\"soft\">In short: %s.</p>\n", h->level + 1,
           finding_meaning(f));
  html_paragraph(h, NULL, finding_explained(f));
  html_paragraph(h, NULL, f->text);
  if (f->remedy_count > 0) {
    html_put(h, "<p>What mends it on this part:</p>\n<ul>\n");
    for (uint32_t i = 0; i < f->remedy_count; i++) {
      html_put(h, "<li>");
      html_text(h, f->remedies[i]);
      html_put(h, "</li>\n");
    }
    html_put(h, "</ul>\n");
  }
  html_put(h, "</div>\n");
}

void html_findings(struct html *h, const struct result *r)
{
  html_section(h, "findings", "Findings");
  if (r->finding_count == 0) html_put(h, "<p>None.</p>\n");
  for (uint32_t i = 0; i < r->finding_count; i++) {
    put_finding(h, &r->findings[i]);
  }
  html_section_end(h);
}

/* --- what comes after the starts ----------------------------------------- */

static void put_range(struct html *h, const struct measured *m, ps_t value)
{
  char text[64];
  html_cell(h, m->count == 0
                   ? "never"
                   : units_text(text, sizeof text, UNIT_TIME, value));
}

void html_measures(struct html *h, const struct result *r)
{
  static const char *const columns[] = {
      "measure", "times", "shortest", "longest", "last", "cycles, last", NULL};
  char text[64];
  if (r->measure_count == 0) return;
  html_section(h, "measures", "Measures");
  html_table(h, "How long it took", columns);
  for (uint32_t i = 0; i < r->measure_count; i++) {
    const struct measured *m = &r->measures[i];
    html_row(h, m->name, false);
    html_put(h, "<td>%" PRIu64 "</td>", m->count);
    put_range(h, m, m->time.least);
    put_range(h, m, m->time.most);
    put_range(h, m, m->time.last);
    html_cell(h, m->count == 0 ? ""
                               : units_text(text, sizeof text, UNIT_CYCLES,
                                            m->cycles.last));
    html_row_end(h);
  }
  html_table_end(h);
  html_section_end(h);
}

void html_learned(struct html *h, const struct result *r)
{
  struct page page;
  if (r->learned_count == 0) return;
  html_section(h, "learned", "Learned answers");
  page_open_markup(&page, h->to, PAGE_PARAGRAPHS);
  text_learned(&page, r);
  html_section_end(h);
}

void html_after(struct html *h, const struct result *r)
{
  static const char *const columns[] = {"event", "outcome", "where", NULL};
  if (!r->after) return;
  html_section(h, "after", "From here on");
  html_table(h, "From the state at the end: where each reset would start",
             columns);
  for (uint32_t i = 0; i < r->after->count; i++) {
    const struct after_row *row = &r->after->rows[i];
    struct page page;
    html_row(h, row->event, false);
    html_cell(h, answer_class_words[row->answer.class]);
    html_put(h, "<td>");
    page_open_markup(&page, h->to, PAGE_INLINE);
    page_item(&page, 0, 0, "");
    text_answer(&page, &row->answer);
    page_end(&page);
    html_put(h, "</td>");
    html_row_end(h);
  }
  html_table_end(h);
  html_section_end(h);
}

static void put_when(struct html *h, const struct judgement *j)
{
  if (j->step == RESULT_NO_STEP) {
    html_put(h, "<td>all the time</td>");
    return;
  }
  html_put(h, "<td>step %" PRIu32, j->step);
  if (j->label) {
    html_put(h, ", ");
    html_text(h, j->label);
  }
  html_put(h, "</td>");
}

void html_judgements(struct html *h, const struct html_run *run)
{
  static const char *const columns[] = {"verdict",      "asked", "when",
                                        "seen instead", "line",  NULL};
  const struct result *r = run->result;
  if (r->judgement_count == 0) return;
  html_section(h, "asked", "What was asked");
  html_table(h, "Expectations, nevers and bounds", columns);
  for (uint32_t i = 0; i < r->judgement_count; i++) {
    const struct judgement *j = &r->judgements[i];
    html_row(h, j->held ? "held" : "FAILED", !j->held);
    html_cell(h, j->asked);
    put_when(h, j);
    html_cell(h, j->held ? "" : j->seen ? j->seen : "nothing");
    html_put(h, "<td>%" PRIu32 "</td>", j->line);
    html_row_end(h);
  }
  html_table_end(h);
  html_section_end(h);
}

/* --- all of it ----------------------------------------------------------- */

static const struct html_entry contents[] = {
    {"findings", "Findings"},       {"timeline", "Timeline"},
    {"starts", "Starts"},           {"rules", "Start rules"},
    {"resets", "Reset table"},      {"board", "Pins and nets"},
    {"assumed", "Assumed numbers"}, {NULL, NULL},
};

void html_run(struct html *h, const struct html_run *run)
{
  put_head(h, run);
  html_verdict(h, run->result);
  html_contents(h, contents);
  html_findings(h, run->result);
  html_timeline(h, run);
  html_starts(h, run);
  html_judgements(h, run);
  html_rules(h, run);
  html_resets(h, run);
  html_board(h, run);
  html_measures(h, run->result);
  html_learned(h, run->result);
  html_after(h, run->result);
  html_assumed(h, run->part, run->result->touched, run->result->assumed,
               "this run");
}
