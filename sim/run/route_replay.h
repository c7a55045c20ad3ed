/* route_replay.h -- a procedure played whole, as the case that it is, from
 * each incoming state: what the shipped unit does after each reset in the
 * field, and how many assumed numbers that rests on.
 *
 * Owns: nothing; memory is in the arena.
 */
#ifndef RUN_ROUTE_REPLAY_H
#define RUN_ROUTE_REPLAY_H

#include "run/route_script.h"

/* Fills in `shipped`, `assumed` and `touched` of a procedure whose scripts are
 * there; `shipped_from` has a number for each of them (route_script). Errors:
 * those of play_prepare, if a file has changed meanwhile. */
enum sim_status route_replay(const struct catalog *c,
                             const uint32_t *shipped_from,
                             struct route_procedure *p, struct arena *arena,
                             struct sim_error *err);

#endif
