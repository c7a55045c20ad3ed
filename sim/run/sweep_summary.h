/* sweep_summary.h -- what a sweep came to: points by class, with the first of
 * each.
 *
 * Owns: nothing. Borrows: the records, which are in order.
 */
#ifndef RUN_SWEEP_SUMMARY_H
#define RUN_SWEEP_SUMMARY_H

#include "run/sweep_file.h"

struct sweep_summary {
  uint64_t points[CLASS_COUNT_];
  const struct sweep_record *first[CLASS_COUNT_]; /* NULL: none */
  /* Points at which a flash order is cut, by what it may leave: how many, and
   * the worst class that came of it. */
  uint64_t cut[TORN_COUNT_];
  enum answer_class worst[TORN_COUNT_];
  uint64_t cut_points;
  uint64_t all;
  uint64_t with_cells; /* points that are after a full power loss ... */
  uint64_t cells;      /* ... and how many different cells they leave */
};

void sweep_summarize(const struct sweep_records *records,
                     struct sweep_summary *summary);

/* Records are the points of `whole`, each once. Errors: SIM_RANGE, with the
 * first point that is missing or there twice. */
enum sim_status sweep_complete(const struct sweep_records *records,
                               struct sweep_range whole,
                               struct sim_error *err);

#endif
