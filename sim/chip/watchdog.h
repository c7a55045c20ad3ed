/* watchdog.h -- a counter with a clock of its own that resets the part unless
 * it is fed in time.
 *
 *   stopped --start, or the option--> counting --(reload + 1 ticks)--> due
 *                    a kick begins the count anew; too early it is due at once
 *
 * Once counting, only a reset whose row of the reset table stops it does. A
 * kick is too early while more than `window` ticks are left; window 0: at no
 * time.
 *
 * Reload and window are those that stand in the registers when a count begins.
 *
 * The rule a reader would get wrong: it does not count core clocks. Whatever
 * holds the core up, an erase that flash stalls it for, a ROM that waits for a
 * host, the watchdog counts on. It stands still while the part has no supply,
 * and where the part says so: while the core is halted, or in deep sleep.
 *
 * Not modelled: the time in which a kick crosses into the other clock.
 *
 * Owns: its fields. Borrows: the part.
 */
#ifndef CHIP_WATCHDOG_H
#define CHIP_WATCHDOG_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "describe/part.h"

struct fold;

struct watchdog {
  const struct part_watchdog *part;
  bool running;
  uint32_t reload, window; /* ticks */
  bool freeze;             /* a debugger asked for it to stand while halted */
  ps_t begun_at;           /* the count; moved on by what it stood still */
  ps_t due_at;             /* PS_NEVER: it stands still or is stopped */
  ps_t held_at;            /* it stands still since; PS_NEVER: it does not */
};

void watchdog_init(struct watchdog *w, const struct part_watchdog *part);

/* Stopped, all settings as after a power-on. */
void watchdog_stop(struct watchdog *w);

/* Nothing if it counts already. */
void watchdog_start(struct watchdog *w, ps_t now);

/* Begin anew. False: it was too early, and it is due now. Nothing if it is
 * stopped. */
bool watchdog_kick(struct watchdog *w, ps_t now);

/* Stand still, or go on. */
void watchdog_hold(struct watchdog *w, bool hold, ps_t now);

/* How long it has counted. */
ps_t watchdog_counted(const struct watchdog *w, ps_t now);

/* As it is seen from now (base/fold.h): what was counted, while it runs; since
 * when it stands still says nothing more. */
void watchdog_fold(const struct watchdog *w, ps_t now, struct fold *f);

#endif
