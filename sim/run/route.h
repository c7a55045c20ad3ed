/* route.h -- which procedures reach the goal without breaking a never; or why
 * there is none.
 *
 * Where no procedure works from every incoming state, each state is searched
 * alone. Where none works at all, each constraint is lifted in turn, really:
 * the search is made again without it. Constraints are the nevers, what is not
 * at hand, and which actions may be done; where no single one helps, pairs.
 * The searches without one constraint together look at no more states than the
 * question may, and so do those without two: a share each. What that cuts
 * short is told as incomplete.
 *
 * Owns: nothing; the result lives in the arena. Borrows: script and part,
 * which outlive the result.
 */
#ifndef RUN_ROUTE_H
#define RUN_ROUTE_H

#include "base/arena.h"
#include "base/status.h"
#include "describe/part.h"
#include "describe/route.h"
#include "run/route_search.h"

/* Assumed to be enough for a bench, and to answer within a minute. */
#define ROUTE_DEPTH      6
#define ROUTE_STATES     2000
#define ROUTE_PROCEDURES 3

struct route_request {
  const struct case_script *script;
  const struct part *part;
  struct route_limits limits;
  route_tick tick; /* called now and then */
  void *context;
};

/* Errors: those of resolving names; SIM_KEY where the script asks nothing of
 * `route`; SIM_REFERENCE where an incoming state can't be reached. */
enum sim_status route_ask(const struct route_request *request,
                          struct arena *arena,
                          const struct route_result **result,
                          struct sim_error *err);

#endif
