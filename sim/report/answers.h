/* answers.h -- what was learned about registers that nothing describes, as
 * JSON to be pasted into the part's file.
 *
 *   {
 *     "answers": [
 *       { "at": "0x40200000", "bit": 25, "is": 1, "when": "polled" }
 *     ]
 *   }
 *
 * The list has what the part's file says already, then what was learned, so
 * it takes the place of the one that is there. With it the same program needs
 * no trial.
 *
 * Owns, borrows: nothing. Errors stay in the stream.
 */
#ifndef REPORT_ANSWERS_H
#define REPORT_ANSWERS_H

#include <stdio.h>

#include "describe/part.h"
#include "describe/result.h"

void report_answers(FILE *to, const struct part *part,
                    const struct result *result);

/* The bit, if the mask has just one; else 32. */
unsigned report_single_bit(uint32_t mask);

#endif
