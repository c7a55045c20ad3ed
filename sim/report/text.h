/* text.h -- what a run found, for people: 80 columns, no colour.
 *
 * From top to bottom: the case and the part; each start; measures; findings;
 * what was learned about registers that nothing describes; what was asked and
 * did not hold; how much of it rests on assumed numbers; the verdict, last.
 * The words at the left are those of expectations and of the JSON report.
 *
 * Owns, borrows: nothing. Errors stay in the stream.
 */
#ifndef REPORT_TEXT_H
#define REPORT_TEXT_H

#include <stdbool.h>
#include <stdio.h>

#include "describe/result.h"

/* `last`: no other report follows, so this one carries the line that a
 * simulation is not the board. Where nets were fought over the longer caution
 * is there in any case. */
void report_text(FILE *to, const struct result *result, bool last);

/* The same, each start with its first instructions and those where it
 * stopped. */
void report_text_with_code(FILE *to, const struct result *result, bool last);

#endif
