/* after.h -- from the state at the end of a run: where would the part start
 * after a power cycle, and after each cause of its reset table?
 *
 * Each event happens on a side branch of its own (outlook.h), so none sees
 * what another did.
 *
 * Owns: nothing.
 */
#ifndef RUN_AFTER_H
#define RUN_AFTER_H

#include "describe/answer.h"
#include "run/machine.h"
#include "run/plan.h"

/* The machine is as it was when it returns. */
void after_ask(struct machine *m, const struct plan *plan,
               struct after *after);

#endif
