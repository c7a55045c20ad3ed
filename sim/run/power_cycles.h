/* power_cycles.h -- the fold that answers, for every off and every dip: was
 * that a power cycle?
 *
 * One begins when the source goes (TRACE_SOURCE below its full voltage) and is
 * answered by the first reset after it came back: power_on, or brown_out, for
 * which a threshold was missed; or by none, where the rail crossed nothing.
 *
 * It also counts how often the rail reset the part, and which of that no step
 * of the script asked for: a supply that can't carry the start.
 *
 * Owns: nothing; memory is in the arena.
 */
#ifndef RUN_POWER_CYCLES_H
#define RUN_POWER_CYCLES_H

#include "base/arena.h"
#include "base/trace.h"
#include "describe/result.h"
#include "run/plan.h"

struct power_cycles {
  const struct plan *plan;
  struct arena *arena;
  struct power_cycle *list;
  uint32_t count, room;
  bool open; /* the last one is not answered yet */
  uint32_t step;
  uint32_t brown_outs;     /* that no off and no dip led to */
  struct trace_record dip; /* the last excursion of the rail */
};

void power_cycles_init(struct power_cycles *p, const struct plan *plan,
                       struct arena *arena, struct trace *tr);

/* The run is over. */
void power_cycles_end(struct power_cycles *p);

#endif
