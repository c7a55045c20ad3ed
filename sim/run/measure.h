/* measure.h -- how long it takes from one instant of the trace to another.
 *
 *   from  ____|______|___________________|_____________
 *   to    ________________|_________|____________|_____
 *                    <---->              <------->
 *         begun      measured   nothing  measured
 *
 * The rule a reader would get wrong: a time goes from the latest `from`
 * before a `to`, and the `to` uses that `from` up. A second `to` without a
 * `from` between is not measured; a `from` that another one follows is
 * counted as begun. A record that is both ends the one time and begins the
 * next. Resets and loss of power between the two make no difference.
 *
 * A watched place is told once a start (chip.h), so a mark at a symbol in a
 * loop is the first time through it.
 *
 * Bounds are judged like expectations: with the shortest and the longest of
 * all times, and at least one there must be.
 *
 * Owns: nothing; memory is in the arena.
 */
#ifndef RUN_MEASURE_H
#define RUN_MEASURE_H

#include "base/arena.h"
#include "base/trace.h"
#include "describe/result.h"
#include "run/judge.h"
#include "run/plan.h"

/* One that is being taken, or not. */
struct measure_begun {
  bool open;
  struct moment from;
};

struct measures {
  const struct plan *plan;
  struct measured *list;       /* one a measure of the script */
  struct measure_begun *begun; /* the same */
};

void measures_init(struct measures *m, const struct plan *plan,
                   struct arena *arena, struct trace *tr);

/* The run is over: what is open will not end. */
void measures_end(struct measures *m);

/* After measures_end: judge the bounds. */
void measures_judge(const struct measures *m, struct judge *judge);

#endif
