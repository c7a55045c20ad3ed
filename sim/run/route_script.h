/* route_script.h -- a procedure as a case that can be run, and as moves that
 * can be told.
 *
 * The case plays the very steps that the search played, from one incoming
 * state: the steps that lead there, each action with its pause, the goal, what
 * is let go of, and each reset in the field with the goal again. The nevers
 * are watched from the first action on. Where something begins, a label says
 * what: "arrives", "1 attach held", "4 detach", "shipped",
 * "field: pin".
 *
 * Owns: nothing; memory is in the arena. Borrows: the catalog.
 */
#ifndef RUN_ROUTE_SCRIPT_H
#define RUN_ROUTE_SCRIPT_H

#include "run/route_search.h"

/* *shipped becomes the step that asks for the goal of the shipped unit. */
const struct case_script *route_script(const struct catalog *c,
                                       const struct route_path *path,
                                       uint32_t state, struct arena *arena,
                                       uint32_t *shipped);

/* The actions; with `ends` also what is let go of at the end. */
const struct route_move *route_moves(const struct catalog *c,
                                     const struct route_path *path, bool ends,
                                     struct arena *arena, uint32_t *count);

#endif
