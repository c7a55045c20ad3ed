/* lesson.h -- a run as a lesson: what was done, a question before each start,
 * and what decided it.
 *
 *   lesson_listen(&lesson, part, script, trace);    before the run
 *   lesson.result = play_run(play);
 *   lesson_head(page, &lesson); lesson_rules(page, &lesson);
 *   for each start: text_steps, the question, lesson_answer, lesson_reasons
 *   lesson_free(&lesson);
 *
 * What is told are items of a page, so that a terminal and an HTML page say
 * the same. Expectations are not told: they would give the answers away.
 *
 * The rule a reader would get wrong: a start by hand-over or by the probe is
 * told, but not asked for; no rule decides it.
 *
 * Owns: the states. Borrows: part, script, result.
 */
#ifndef REPORT_LESSON_H
#define REPORT_LESSON_H

#include <stdbool.h>
#include <stdint.h>

#include "base/trace.h"
#include "describe/case.h"
#include "describe/part.h"
#include "describe/result.h"
#include "report/html.h"
#include "report/page.h"

/* What the part had sampled and loaded when a start began. */
struct lesson_state {
  uint32_t options[PART_MAX_WORDS];
  uint32_t options_known; /* bit per word */
  uint32_t straps, straps_known;
};

struct lesson {
  const struct part *part;
  const struct case_script *script;
  const struct result *result;
  struct lesson_state now;
  struct lesson_state *states; /* of the starts after a reset, in order */
  uint32_t count, room;
};

void lesson_listen(struct lesson *l, const struct part *part,
                   const struct case_script *script, struct trace *trace);
void lesson_free(struct lesson *l);

/* True if it is asked for: it follows a reset. */
bool lesson_asks(const struct start *start);

/* Where a start may begin, one after the other; NULL after the last. */
const char *lesson_region(const struct lesson *l, uint32_t index);

/* Number of the rule that decided, from 1; 0: the reset kept what the last
 * start had chosen. lesson_may_keep: the part has such resets. */
uint32_t lesson_rule(const struct lesson *l, const struct start *start);
bool lesson_may_keep(const struct lesson *l);

/* --- what is told -------------------------------------------------------- */

/* The part and what is to be learned. */
void lesson_head(struct page *page, const struct lesson *l);

/* The start rules, numbered. */
void lesson_rules(struct page *page, const struct lesson *l);

/* "Start 3 begins in rom, by rule 3, latch-blank. Because ..." */
void lesson_answer(struct page *page, const struct lesson *l,
                   const struct start *start);

/* The state that mattered, an item with a lead each: cause, what that reset
 * does and keeps, latch, options, straps. */
void lesson_reasons(struct page *page, const struct lesson *l,
                    const struct start *start);

/* The whole lesson as a page with its answers hidden. lesson_html.c */
void lesson_html(struct html *h, const struct lesson *l);

#endif
