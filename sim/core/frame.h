/* frame.h -- the stack: which one, and the frame an exception leaves on it.
 *
 *   basic, 8 words     R0 R1 R2 R3 R12 LR ReturnAddress xPSR
 *   extended, 26 words the same, then S0 to S15, FPSCR and a word unused
 *
 * The rule a reader would get wrong: the room for floating-point registers is
 * made where the context is in use (CONTROL.FPCA), but with lazy stacking
 * nothing is stored there until the handler itself uses one (fpu.h).
 *
 * Source: ARM DDI 0419E B1.5.6, B1.5.7; extended frame, CCR.STKALIGN from
 * memory of ARM DDI 0403E B1.5.6, B1.5.7.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_FRAME_H
#define CORE_FRAME_H

#include <stdbool.h>
#include <stdint.h>

#include "core/bus.h"
#include "core/core.h"

/* r[13] changes its bank; xpsr and control are the caller's business. */
void frame_swap_stack(struct core *c, bool from_process, bool to_process);

/* One data access of the core's own, outside any instruction: plain memory
 * or the bus, never private. False if it fails. */
bool frame_access(struct core *c, const struct bus *bus, addr_t at,
                  unsigned size, bool write, uint32_t *value);

/* Push a frame on the stack in use. The stack pointer moves even if a store
 * fails: the handler of that fault finds it there. `cycles` is what the
 * floating-point part adds. */
bool frame_push(struct core *c, const struct bus *bus, addr_t return_to,
                cycle_t *cycles);

/* The frame that r[13] points to: xPSR and return address in it. False if it
 * can't be read. */
bool frame_look(struct core *c, const struct bus *bus, uint32_t *psr,
                addr_t *return_to);

/* Pop it; `extended` as EXC_RETURN says. xPSR goes to *psr. False, and
 * nothing popped, if it can't be read. */
bool frame_pop(struct core *c, const struct bus *bus, bool extended,
               uint32_t *psr, cycle_t *cycles);

#endif
