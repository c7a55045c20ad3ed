/* list.h -- LDM, STM, PUSH and POP word by word: executed here where an engine
 * can't do it in one go, because an interrupt may break it off or because it
 * reaches a device.
 *
 * One cycle for the address, then one a word, then what loading PC costs: the
 * sum is the table's (cycles.h, cycles_v7m.h). Between two words the core can
 * be asked to stop; core->progress says how far it got. If an exception is
 * taken there, v6-M begins the instruction anew when it comes back (ARM DDI
 * 0484C 3.6.1); v7-M goes on with the register that ITSTATE's bits 7:4 name
 * (ICI), unless it is in an IT block, loads its own base, or stores below SP,
 * which begin anew too (ARM 100165_0201_02 3.9.2; the field from memory of ARM
 * DDI 0403E; PUSH assumed, for the frame is stored in the same place).
 *
 * The rule a reader would get wrong: no register changes before the end, or
 * before the point from which it is to go on; so the instruction can be begun
 * anew, and one that faults has changed nothing (but what an engine loaded
 * from plain memory before it came to a device).
 *
 * Not modelled: lists of floating-point registers, which the engine executes
 * in one go; an interrupt waits for their end.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_LIST_H
#define CORE_LIST_H

#include <stdbool.h>
#include <stdint.h>

#include "core/bus.h"
#include "core/core.h"

enum list_end {
  LIST_BROKEN_OFF, /* something wants attention; or it faulted */
  LIST_DONE,       /* r[15] is the next instruction */
  LIST_RETURNS     /* an EXC_RETURN value went into PC: it is in r[15] */
};

/* Begin or continue the list instruction at r[15]. A fault is taken. */
enum list_end list_execute(struct core *c, const struct bus *bus);

/* An exception is taken, or the debugger halts: what was in progress goes into
 * xPSR or is forgotten. */
void list_break_off(struct core *c, const struct bus *bus);

#endif
