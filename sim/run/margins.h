/* margins.h -- how much time each expectation had left when it held.
 *
 * The margin of an `expect` step is its `within` less the time that the step
 * took. One that did not hold has none.
 *
 * Owns: nothing; the list is in the arena. Borrows: the script.
 */
#ifndef RUN_MARGINS_H
#define RUN_MARGINS_H

#include "base/arena.h"
#include "base/trace.h"
#include "describe/result.h"

struct margins {
  const struct case_script *script;
  ps_t *took; /* by step; PS_NEVER: it was not taken */
  ps_t begun;
};

void margins_init(struct margins *m, const struct case_script *script,
                  struct arena *arena, struct trace *tr);

/* Of one step; PS_NEVER if it is no expectation, or did not hold. */
ps_t margins_of(const struct margins *m, const struct result *result,
                uint32_t step);

#endif
