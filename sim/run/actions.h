/* actions.h -- what each verb of a script does, and how long it takes.
 *
 * Steps follow one another: a step's time has passed when it returns. What
 * goes wrong on the bench (no power, in reset, locked) is a record in the
 * trace and the script goes on: that is what would happen to a person, too.
 *
 * Owns: nothing.
 */
#ifndef RUN_ACTIONS_H
#define RUN_ACTIONS_H

#include "run/machine.h"
#include "run/plan.h"
#include "run/starts.h"

/* What a step works on. */
struct acting {
  struct machine *machine;
  const struct plan *plan;
  const struct starts *starts;
  const struct step *step;
  const struct plan_step *resolved;
};

/* Carry out one step; VERB_EXPECT is expect.h's. */
void action_take(const struct acting *a);

#endif
