/* findings_power.h -- what follows from the offs and dips of the supply, and
 * from a supply that is too weak.
 *
 * Owns, borrows: nothing.
 */
#ifndef RUN_FINDINGS_POWER_H
#define RUN_FINDINGS_POWER_H

#include "run/findings.h"
#include "run/power_cycles.h"

/* The run is over, the cycles are answered; `charge_nc` is what the source
 * gave. */
void findings_power(struct findings *f, const struct power_cycles *cycles,
                    int64_t charge_nc);

#endif
