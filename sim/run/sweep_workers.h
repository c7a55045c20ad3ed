/* sweep_workers.h -- the points of a sweep, shared out among processes.
 *
 *   parent --fork(2)--> worker 1 --records, through a pipe--> parent
 *                       worker 2 ...
 *
 * Processes, because an instruction engine that goes wrong takes its process
 * with it. A worker that dies costs the point that it was asking, which is
 * recorded as CLASS_CRASHED; another takes over the rest. What a worker does
 * is sweep_ask, the same as without workers, so records differ only in where
 * neighbours are joined; sweep_records_order levels that.
 *
 * A worker dies with its parent, and by nothing that the terminal sends.
 *
 * Owns: the processes, while sweep_work runs.
 */
#ifndef RUN_SWEEP_WORKERS_H
#define RUN_SWEEP_WORKERS_H

#include "run/sweep.h"

#define SWEEP_MAX_JOBS 64u

struct sweep_work {
  const struct sweep *sweep;
  const struct sweep_range *ranges; /* ascending */
  uint32_t range_count;
  uint32_t jobs; /* 1 to SWEEP_MAX_JOBS */
  int stop;      /* file handle: readable ends the work early; or -1 */
  /* Called with each record as it comes, in any order. */
  void (*record)(void *context, const struct sweep_record *r);
  /* Called now and then, whether records came or not. */
  void (*tick)(void *context);
  void *context;
};

/* *complete is false if `stop` ended it. Errors: SIM_LIMIT if the host gives
 * no processes, and those of sweep_ask. */
enum sim_status sweep_work(const struct sweep_work *work, bool *complete,
                           struct sim_error *err);

#endif
