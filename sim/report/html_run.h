/* html_run.h -- a run as part of a page (html.h).
 *
 * From top to bottom: the verdict in a sentence; findings with what mends
 * them; the timeline; a card for each start; what was asked; the part's start
 * rules, with the starts that each decided, and its reset table; what its pins
 * did to the board; measures, what each reset would do now; words; assumed
 * numbers. The sentences are those of the text report (text_start.h and so
 * on), so the two can't differ.
 *
 * Owns, borrows: nothing.
 */
#ifndef REPORT_HTML_RUN_H
#define REPORT_HTML_RUN_H

#include "describe/case.h"
#include "describe/part.h"
#include "describe/result.h"
#include "report/html.h"
#include "report/timeline.h"

struct html_run {
  const struct result *result;
  const struct case_script *script;
  const struct part *part;
  const struct timeline *timeline;
};

/* All of it but the title and the cautions. */
void html_run(struct html *h, const struct html_run *run);

/* Several runs of one script, 1 to ROWS_MAX_RESULTS: where they differ, from
 * which step on, because of what; then each of them. html_beside.c */
void html_beside(struct html *h, const struct html_run *runs, uint32_t count);

/* --- its parts: html_findings.c, html_starts.c, html_part.c, ... ----------
 */

void html_verdict(struct html *h, const struct result *r);
void html_findings(struct html *h, const struct result *r);
void html_timeline(struct html *h, const struct html_run *run);
void html_starts(struct html *h, const struct html_run *run);
void html_judgements(struct html *h, const struct html_run *run);
void html_rules(struct html *h, const struct html_run *run);
void html_resets(struct html *h, const struct html_run *run);
void html_board(struct html *h, const struct html_run *run);
void html_measures(struct html *h, const struct result *r);
void html_learned(struct html *h, const struct result *r);
void html_after(struct html *h, const struct result *r);

/* "option start.source is check, and the latch says blank"; "always". */
void html_rule_text(struct html *h, const struct part *part,
                    const struct part_rule *rule);

#endif
