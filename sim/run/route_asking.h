/* route_asking.h -- one question of `route`, ready to be searched; for the
 * files of route alone.
 *
 * Owns: the bench, the incoming states.
 */
#ifndef RUN_ROUTE_ASKING_H
#define RUN_ROUTE_ASKING_H

#include "run/route.h"

struct route_asking {
  struct catalog catalog;
  struct route_bench bench;
  struct route_kept *incoming[ROUTE_MAX_STATES];
};

/* `means` at hand. On error nothing is left behind. */
enum sim_status route_asking_open(struct route_asking *a, struct arena *arena,
                                  const struct case_script *script,
                                  const struct part *part, uint32_t means,
                                  struct sim_error *err);
void route_asking_close(struct route_asking *a);

/* Bits of all incoming states. */
uint32_t route_asking_all(const struct route_asking *a);

/* Which constraints stand in the way: what is found without each of them, or
 * if none helps alone, without two. */
enum sim_status route_lift(const struct route_request *request,
                           struct arena *arena, struct route_result *result,
                           struct sim_error *err);

#endif
