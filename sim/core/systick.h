/* systick.h -- the system timer: a 24-bit counter of core clocks.
 *
 * It counts down to 0 and on the next clock is loaded again, so its period is
 * the reload value + 1. Reaching 0 sets COUNTFLAG and pends SysTick, if that
 * is asked for; writing the counter clears it and pends nothing.
 *
 * The rule a reader would get wrong: nothing here counts. The state is the
 * counter at some cycle and is brought forward when somebody looks; when it
 * will next pend is core->alarm, which ends a run or a sleep. It stands still
 * while the core is halted.
 *
 * Source: ARM DDI 0419E B3.3. There is no external reference clock (CLKSOURCE
 * reads as one) and no calibration value: assumed, for no part says so.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_SYSTICK_H
#define CORE_SYSTICK_H

#include "base/units.h"
#include "core/core.h"

void systick_reset(struct core *c);

/* Bring it forward to core->cycle; SysTick is pending if it got to 0, and
 * whoever sleeps is woken by core_wake. */
void systick_sync(struct core *c);

/* `cycles` passed that it did not count. */
void systick_freeze(struct core *c, cycle_t cycles);

/* Registers SYST_CSR, _RVR, _CVR, _CALIB, as of core->cycle. */
uint32_t systick_read(struct core *c, addr_t at);
void systick_write(struct core *c, addr_t at, uint32_t value);

#endif
