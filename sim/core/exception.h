/* exception.h -- entering and leaving exception handlers, and locking up.
 *
 * Any exception number is treated alike: stacking, vector, priorities. What
 * makes one pending is elsewhere (core_pend, SVC, a fault).
 *
 * On v7-M a return with another exception waiting tail-chains: no frame is
 * popped and pushed again. One that becomes pending after an entry and before
 * the first instruction of its handler, and is more urgent, arrives late: its
 * handler is entered instead, with the same frame, and the other waits. On
 * v6-M a return and an entry follow each other.
 *
 * Source: ARM DDI 0419E B1.5. What it leaves UNPREDICTABLE in a return is a
 * fault here. v7-M from memory of ARM DDI 0403E B1.5.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_EXCEPTION_H
#define CORE_EXCEPTION_H

#include <stdbool.h>
#include <stdint.h>

#include "core/bus.h"
#include "core/core.h"

/* Take exception `number`, returning later to `return_to`. Ends in its
 * handler, in that of a more urgent fault, or in lockup. */
void exception_take(struct core *c, const struct bus *bus, unsigned number,
                    addr_t return_to);

/* Take one that came from outside or from SysTick, at an instruction boundary:
 * the published latency is counted from the request, so that the rest of the
 * instruction it came in is part of it. */
void exception_interrupt(struct core *c, const struct bus *bus,
                         unsigned number);

/* `number` is more urgent than the one whose handler was just entered. */
void exception_arrive_late(struct core *c, const struct bus *bus,
                           unsigned number);

/* SVC: take SVCall, or HardFault if its priority does not allow that. */
void exception_call(struct core *c, const struct bus *bus, addr_t svc);

/* An EXC_RETURN value, bit 0 included, went into PC in handler mode. */
void exception_return(struct core *c, const struct bus *bus, uint32_t value);

/* HardFault is active although no vector could be read: lock up. */
void exception_lockup(struct core *c, const struct bus *bus);

/* A fault that nothing can be taken for: lock up at the present priority. */
void exception_lock(struct core *c, const struct bus *bus);

/* The processor stack is in use / is to be used from now on. */
bool exception_on_process_stack(const struct core *c);
void exception_use_stack(struct core *c, bool process);

#endif
