/* unicorn_registers.h -- registers between struct core and the library.
 *
 * The rule a reader would get wrong: on v7-M the status that is loaded makes
 * the first instruction the last of an IT block whose condition holds, where
 * core->xpsr says that it is in one: the library then executes just that one
 * without setting flags, and the core does the rest of ITSTATE.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_UNICORN_REGISTERS_H
#define CORE_UNICORN_REGISTERS_H

#include <stdint.h>

#include <unicorn/unicorn.h>

#include "core/core.h"
#include "describe/part.h"

#define UNICORN_REGISTERS 16u /* r0 to r14, then the status */

/* Register 0..14, or 16 for the status. */
uint32_t unicorn_register(uc_engine *uc, enum core_kind kind, unsigned number);

/* All of core's into the library. */
void unicorn_load(uc_engine *uc, struct core *core);

/* Out of the library, and into core. */
void unicorn_read(uc_engine *uc, enum core_kind kind, uint32_t *values);
void unicorn_store(struct core *core, const uint32_t *values);

/* The floating-point registers, where there are any. */
void unicorn_store_floats(uc_engine *uc, struct core *core);

#endif
