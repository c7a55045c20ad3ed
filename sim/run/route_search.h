/* route_search.h -- the quickest lists of actions that reach the goal.
 *
 * Uniform cost over states of the whole machine (route_key.h): the state that
 * took least time is looked at first, every action that can follow is played
 * from it, and a state that was met before by as few actions is not looked at
 * again. Several incoming states are searched together, one machine each: an
 * action is done to all, and what fails in one fails.
 *
 *   cost = simulated time, pauses included, summed over the incoming states
 *          + a person's time (route_actions.def) for each of them
 *
 * A list is a procedure if, behind its last action, the image is in flash
 * whole, the goal holds, holds again when probe and straps are let go of, and
 * holds again after each reset in the field, all without breaking a never. One
 * that contains another procedure found is not told: it has superfluous
 * actions. Of lists that lead to one state, the quickest is told.
 *
 * Owns: a search its nodes. Borrows: the bench.
 */
#ifndef RUN_ROUTE_SEARCH_H
#define RUN_ROUTE_SEARCH_H

#include "base/arena.h"
#include "run/route_branch.h"

#define ROUTE_MAX_DEPTH      16
#define ROUTE_MAX_PROCEDURES 16
#define ROUTE_MAX_DEAD_ENDS  16

struct route_limits {
  uint32_t depth;      /* actions of a list at most */
  uint32_t procedures; /* that are wanted */
  uint64_t states;     /* that are looked at, at most */
  bool best_only;      /* of one procedure: what can't be quicker than one that
                          was seen to work is not played */
};

/* A list of actions, by number in the catalog. */
struct route_path {
  uint32_t actions[ROUTE_MAX_DEPTH];
  uint32_t count;
};

struct route_found {
  struct route_path path;
  ps_t times[ROUTE_MAX_STATES]; /* simulated, to the goal and let go of */
  ps_t person;
  ps_t cost;
};

/* Attempts that failed for one reason in one state. */
struct route_failed {
  char reason[96], why[192]; /* `why` of the shortest */
  uint32_t state;
  struct route_path path; /* the shortest; ends with the action that failed,
                             or with the last before the goal was asked for */
  uint64_t attempts;
};

struct route_answer {
  struct route_found found[ROUTE_MAX_PROCEDURES];
  uint32_t found_count;
  struct route_failed failed[ROUTE_MAX_DEAD_ENDS];
  uint32_t failed_count;
  struct route_effort effort;
};

/* Called now and then: how many states were looked at. */
typedef void (*route_tick)(void *context, uint64_t states);

/* From the states with a bit in `mask`, in `incoming` by number. */
void route_search(struct route_bench *b, struct route_kept *const *incoming,
                  uint32_t mask, const struct route_limits *limits,
                  route_tick tick, void *context, struct route_answer *answer);

#endif
