/* engine.h -- time passes.
 *
 * The core runs no further than the next thing that happens by itself; then
 * every block is brought up to that instant, the supply follows the load, and
 * so on. A core that spins for ever is stopped by a limit, and that is told.
 *
 * Owns: nothing.
 */
#ifndef RUN_ENGINE_H
#define RUN_ENGINE_H

#include <stdbool.h>

#include "run/machine.h"

/* Asked after every event: true ends the passing of time. */
typedef bool (*engine_done)(void *context);

/* Let time pass until `until`, until `done` (may be NULL) says so, until
 * engine_stopped, or until two engines in lockstep disagree. Running code may
 * overshoot `until` by less than an instruction. */
void engine_pass(struct machine *m, ps_t until, engine_done done,
                 void *context);

/* The last instant that is simulated: 106 days, less so much that what begins
 * then still ends before PS_NEVER. */
#define ENGINE_END (PS_NEVER - 1000 * PS_PER_S)

/* Instructions that a run may execute, some ten seconds of host time: far
 * above any script's need (assumed). What goes on beyond it has run away. */
#define ENGINE_INSTRUCTIONS 2000000000u

/* True once a limit says that nothing goes on: records of the trace,
 * instructions, simulated time. */
bool engine_stopped(const struct machine *m, enum trace_stop *why);

/* True if nothing will happen by itself any more: the core does not run, and
 * no block of the part or the board has anything ahead of it. */
bool engine_idle(const struct machine *m);

/* `lasts` from now; saturates at ENGINE_END. */
ps_t engine_later(const struct machine *m, ps_t lasts);

#endif
