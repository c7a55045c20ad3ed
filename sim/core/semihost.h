/* semihost.h -- BKPT 0xAB as a call of the host, where the part says so.
 *
 *   SYS_OPEN 0x01           of ":tt": 1 standard output, 2 standard error
 *   SYS_WRITEC 0x03         a character at R1
 *   SYS_WRITE0 0x04         a string at R1, ended by zero
 *   SYS_WRITE 0x05          to one of the two; R0 is what was not written
 *   SYS_EXIT 0x18           R1 is the reason
 *   SYS_EXIT_EXTENDED 0x20  reason and status at R1
 *
 * Any other operation answers -1. What is written becomes TRACE_SAID, a record
 * a byte; an exit becomes TRACE_EXITED and stops the core, as if halted, until
 * it is reset.
 *
 * The rule a reader would get wrong: it takes no time beyond the instruction
 * itself, which no real host manages.
 *
 * Source: Semihosting for AArch32 and AArch64, Arm's open specification (from
 * memory).
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_SEMIHOST_H
#define CORE_SEMIHOST_H

#include <stdint.h>

#include "core/bus.h"
#include "core/core.h"

#define SEMIHOST_BKPT 0xbeabu

/* The call at r[15], which is passed over. */
void semihost_call(struct core *c, const struct bus *bus);

#endif
