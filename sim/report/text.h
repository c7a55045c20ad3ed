/* text.h -- what a run found, for people: 80 columns, no colour.
 *
 * From top to bottom: the case and the part; the starts, two lines each, and
 * the rules that decided; measures; findings; what was learned about registers
 * that nothing describes; what was asked and did not hold; how much of it
 * rests on assumed numbers; the verdict, last. A usual case fits one screen.
 * The words are those of expectations and of the JSON report.
 *
 * Owns, borrows: nothing. Errors stay in the stream.
 */
#ifndef REPORT_TEXT_H
#define REPORT_TEXT_H

#include <stdbool.h>
#include <stdio.h>

#include "describe/result.h"

/* For whom findings, causes and start rules are explained. */
enum text_words {
  TEXT_NEWCOMER, /* for someone who has never heard of a blank latch */
  TEXT_EXPERT,
  TEXT_BOTH
};

struct text_style {
  bool full;   /* all that is known of each start, and its instructions */
  bool last;   /* no other report follows, so this one carries the line that a
                  simulation is not the board */
  bool colour; /* modest, and never the only one to say anything */
  enum text_words words;
};

/* Where nets were fought over the longer caution is there in any case. */
void report_text(FILE *to, const struct result *result,
                 const struct text_style *style);

/* One line: case, part, verdict. */
void report_verdict(FILE *to, const struct result *result, bool colour);

#endif
