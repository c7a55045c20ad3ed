/* lessons.h -- the fold that keeps what was learned about registers that
 * nothing describes.
 *
 * The same bits read the same way are one lesson, however often and by
 * whichever instruction they are learned again. What is withdrawn stays in
 * the list, marked. A wait that no bit ends is a lesson without bits.
 *
 * Owns: nothing; memory is in the arena. Borrows: plan, starts.
 */
#ifndef RUN_LESSONS_H
#define RUN_LESSONS_H

#include "base/arena.h"
#include "base/trace.h"
#include "describe/result.h"
#include "run/plan.h"
#include "run/starts.h"

struct lessons {
  const struct plan *plan;
  const struct starts *starts;
  struct arena *arena;
  struct learned *list;
  uint32_t count, room;
  uint64_t trials;
  addr_t at, mask;           /* TRACE_LEARNED_AS completes it */
  addr_t waits_on, waits_pc; /* TRACE_WAITING_FOR completes it */
};

/* After starts_init: the numbers of starts are asked there. */
void lessons_init(struct lessons *l, const struct plan *plan,
                  const struct starts *starts, struct arena *arena,
                  struct trace *tr);

#endif
