/* fault.h -- what a fault becomes: which exception, which status bits.
 *
 * On v6-M every fault is HardFault. On v7-M each has an exception of its own
 * and bits in the fault status registers; where that exception is disabled or
 * not urgent enough it escalates to HardFault, and where HardFault is not
 * urgent enough either the core locks up.
 *
 * The rule a reader would get wrong: a synchronous fault is not pending, it is
 * taken on the spot, and PRIMASK holds back only those that can be
 * configured: they escalate.
 *
 * Source: ARM DDI 0419E Tables B1-6, B1-7; v7-M from memory of ARM DDI 0403E
 * B1.5.14, B1.5.15, B3.2.15 to B3.2.19.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_FAULT_H
#define CORE_FAULT_H

#include "core/bus.h"
#include "core/core.h"

enum fault {
  FAULT_UNDEFINED,
  FAULT_NO_COPROCESSOR,
  FAULT_NOT_THUMB,
  FAULT_RETURN, /* an EXC_RETURN that makes no sense */
  FAULT_UNALIGNED,
  FAULT_DIVIDE,
  FAULT_NEVER_EXECUTE,
  FAULT_FETCH,
  FAULT_DATA,
  FAULT_DATA_LATE, /* of a buffered store: the program went on */
  FAULT_STACKING,
  FAULT_UNSTACKING,
  FAULT_LAZY, /* while floating-point state was stacked late */
  FAULT_VECTOR,
  FAULT_BREAKPOINT,
  FAULT_ESCALATED, /* SVC, or another that can't be taken */
  FAULT_COUNT_
};

/* Bits of CCR, v7-M. */
#define FAULT_CCR_THREAD 0x0001u /* NONBASETHRDENA */
#define FAULT_CCR_USER   0x0002u /* USERSETMPEND */
#define FAULT_CCR_ALIGN  0x0008u /* UNALIGN_TRP */
#define FAULT_CCR_DIVIDE 0x0010u /* DIV_0_TRP */
#define FAULT_CCR_IGNORE 0x0100u /* BFHFNMIGN */
#define FAULT_CCR_STACK  0x0200u /* STKALIGN */

/* The instruction at r[15] faulted, or can't be fetched. `at` is the address
 * of a data access. Ends in a handler, in lockup, or in Debug state. */
void fault_take(struct core *c, const struct bus *bus, enum fault fault,
                addr_t at);

/* Status bits of a fault, and the exception it is taken as: the fault's own
 * or HardFault (v7-M). */
unsigned fault_record(struct core *c, enum fault fault, addr_t at);

/* A fault that its program has left behind: it becomes pending. */
void fault_pend(struct core *c, enum fault fault);

/* A fetch from `at` can't be made: why. */
enum fault fault_of_fetch(addr_t at);

/* The exception was entered because of a fault or not: does the debugger want
 * to halt at its handler? `number` is what was entered. */
void fault_catch(struct core *c, const struct bus *bus, unsigned number);

#endif
