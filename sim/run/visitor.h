/* visitor.h -- somebody who looks at a machine while it runs and is no part of
 * it.
 *
 * The engine calls `look` whenever it lets time pass: with everything that is
 * due at that instant done. It also pauses at the cycle `next`, if that comes
 * first, at the first instruction boundary at or after it. A look may do what
 * it likes to the machine if it leaves it as it found it (fork.h). The run
 * goes on as if nobody had looked: tests/test_fork.c compares.
 *
 * Owns: nothing. Borrows: the context.
 */
#ifndef RUN_VISITOR_H
#define RUN_VISITOR_H

#include "base/units.h"

struct visitor {
  /* Nothing happens by itself before `until`; where no instruction executes
   * nothing at all does. */
  void (*look)(void *context, ps_t until);
  void *context;
  cycle_t next; /* CYCLE_NEVER: wherever the engine stops */
};

#endif
