/* power.h -- the `power` steps: the source is switched on or off, or sags.
 *
 * When it comes back the question is answered that every off and every dip
 * asks: where was the rail, and after how long off would the next rise have
 * been a power-on? It is worked out from the discharge that goes on (supply.h)
 * and told in TRACE_SOURCE_BACK and TRACE_OFF_ENOUGH; power_cycles.h reads
 * them. For a dip the question is the same: had the source been open from
 * here on.
 *
 * Owns, borrows: nothing.
 */
#ifndef RUN_POWER_H
#define RUN_POWER_H

#include "describe/case.h"
#include "run/machine.h"

/* What the part would go through if the source were open from here on for
 * `off` and then came back: nothing, a brown-out, or a power-on. */
enum power_loss { POWER_KEPT, POWER_DIPPED, POWER_LOST };
enum power_loss power_lost_in(const struct machine *m, ps_t off);

void power_take(struct machine *m, const struct step *step);

#endif
