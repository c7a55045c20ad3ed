/* system.h -- instructions that touch more than registers and memory: MRS,
 * MSR, CPS, SVC, BKPT, WFI, WFE, SEV, YIELD. Executed here once for every
 * engine, which stops in front of them (CPU_SYSTEM).
 *
 * Instructions that an interrupt can break off come here where they may not
 * end before the next stop: LDM, STM, PUSH and POP (list.h); MULS where it
 * takes 32 cycles, and on v7-M divisions and M3's long multiplications, of
 * which only time passes here: if nothing happens they are begun again as of
 * the cycle at which they began.
 *
 * A MOV or ADD to SP whose result is no multiple of four comes here too: the
 * architecture clears the low bits.
 *
 * Source: ARM DDI 0419E B5.2 (MRS, MSR, CPS), A6.7 (the others).
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_SYSTEM_H
#define CORE_SYSTEM_H

#include "core/bus.h"
#include "core/core.h"

/* Execute the instruction at r[15], which an engine gave back, or let pass
 * what time of it there is before the next stop (core->progress). True if an
 * EXC_RETURN value went into PC: it is in r[15]. */
bool system_execute(struct core *c, const struct bus *bus);

/* A breakpoint, by instruction or by the breakpoint unit: Debug state, the
 * monitor exception (v7-M), or a fault. */
void system_breakpoint(struct core *c, const struct bus *bus);

#endif
