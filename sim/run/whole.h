/* whole.h -- which of a case's images the flash holds whole.
 *
 * Images count in the order in which the script writes them; one that it never
 * writes (a program may) counts as the last.
 *
 * The rule a reader would get wrong: of several that are whole, the answer is
 * the last that holds the instruction where the program is now: a new image
 * that no loader starts is not what the part runs. A program that is in flash
 * outside all of them runs none. Where it is in RAM or elsewhere the last
 * whole one counts.
 *
 * Owns: nothing. Borrows: machine, plan.
 */
#ifndef RUN_WHOLE_H
#define RUN_WHOLE_H

#include "describe/answer.h"
#include "run/machine.h"
#include "run/plan.h"

/* True if an image is in flash whole: what of it goes there, and something
 * does. */
bool whole_holds(const struct machine *m, const struct image *image);

/* CLASS_APPLICATION where the script has one image for flash, else CLASS_NEW
 * for the last and CLASS_OLD for others; CLASS_TORN if there is none. Sets
 * answer->image. */
enum answer_class whole_class(const struct machine *m, const struct plan *plan,
                              struct answer *answer);

#endif
