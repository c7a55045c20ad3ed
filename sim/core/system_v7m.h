/* system_v7m.h -- the part of system.c that only ARMv7-M has: IT, exclusive
 * accesses, and the care that floating-point instructions need.
 *
 * Source: from memory of ARM DDI 0403E A3.4, A7.3, A7.7.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_SYSTEM_V7M_H
#define CORE_SYSTEM_V7M_H

#include <stdbool.h>

#include "core/bus.h"
#include "core/core.h"
#include "core/thumb2.h"

/* Execute the instruction at r[15], if it is one of these; else false. */
bool system_v7m(struct core *c, const struct bus *bus, uint16_t first,
                uint16_t second, const struct thumb2 *t);

/* r[15] is in an IT block and its condition does not hold: pass over it. False
 * if it holds, or there is nothing to pass over. */
bool system_v7m_skips(struct core *c, const struct bus *bus);

/* xPSR says that a load or store multiple goes on, and there is none: a fault
 * (INVSTATE; from memory). */
void system_v7m_refuse(struct core *c, const struct bus *bus);

/* One more instruction of the IT block is done. */
void system_v7m_advance_it(struct core *c);

#endif
