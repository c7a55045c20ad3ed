/* exception.h -- entering and leaving exception handlers, and locking up.
 *
 * Any exception number is treated alike: stacking, vector, priorities. What
 * makes one pending is elsewhere (core_pend, SVC, a fault).
 *
 * The rule a reader would get wrong: a fault is not pending, it is taken on
 * the spot, and PRIMASK does not hold it back. Only the priority of HardFault
 * or NMI does, and then the core locks up.
 *
 * Source: ARM DDI 0419E B1.5. What it leaves UNPREDICTABLE in a return is a
 * fault here.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_EXCEPTION_H
#define CORE_EXCEPTION_H

#include <stdbool.h>
#include <stdint.h>

#include "core/bus.h"
#include "core/core.h"

/* Exceptions that a program can make pending and order by priority. */
#define EXCEPTION_SETTABLE UINT64_C(0x0000fffffffff800)

static inline uint64_t exception_bit(unsigned number)
{
  return UINT64_C(1) << number;
}

/* The pending exception that is taken at the next boundary, or 0. With
 * `ignore_mask` as if PRIMASK were clear: what ends a WFI. */
unsigned exception_next(const struct core *c, bool ignore_mask);

/* The most urgent pending exception, whether it can be taken or not, or 0. */
unsigned exception_most_urgent(const struct core *c);

/* Take exception `number`, returning later to `return_to`. Ends in its
 * handler, in that of HardFault, or in lockup. */
void exception_take(struct core *c, const struct bus *bus, unsigned number,
                    addr_t return_to);

/* SVC: take SVCall, or HardFault if its priority does not allow that. */
void exception_call(struct core *c, const struct bus *bus, addr_t svc);

/* The instruction at r[15] faulted, or can't be fetched. */
void exception_fault(struct core *c, const struct bus *bus);

/* An EXC_RETURN value, bit 0 included, went into PC in handler mode. */
void exception_return(struct core *c, const struct bus *bus, uint32_t value);

/* HardFault is active although no vector could be read: lock up. */
void exception_lockup(struct core *c, const struct bus *bus);

/* The processor stack is in use / is to be used from now on. */
bool exception_on_process_stack(const struct core *c);
void exception_use_stack(struct core *c, bool process);

#endif
