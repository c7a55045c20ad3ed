/* fpu.h -- the floating-point registers as context: who may use them, and how
 * they are kept over an exception. The arithmetic is the engine's.
 *
 *   nobody's      FPCA 0. The first floating-point instruction loads FPSCR
 *                 from FPDSCR and sets FPCA (ASPEN)
 *   in use        FPCA 1. An exception makes an extended frame
 *   owed          LSPACT 1. The frame has room, at FPCAR, but the registers
 *                 are still in the register file; the next floating-point
 *                 instruction stores them first
 *
 * The rule a reader would get wrong: a handler that touches no floating-point
 * register returns without one having been stored or loaded.
 *
 * Source: from memory of ARM DDI 0403E B1.5.6, B1.5.7, B3.2.20 to B3.2.23;
 * 17 cycles from the totals of ARM DDI 0439D 3.9.1 (29 and 27 against 12 and
 * 10); for storing late no document gives a number, assumed the same 17.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_FPU_H
#define CORE_FPU_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "core/bus.h"
#include "core/core.h"

#define FPU_FRAME_SIZE 0x48u

void fpu_reset(struct core *c);

/* CPACR lets the running code use it. */
bool fpu_accessible(const struct core *c);

/* The next floating-point instruction needs fpu_prepare first. */
bool fpu_needs_care(const struct core *c);

/* Store what is owed and take the context. False if a store failed: the fault
 * has been taken. */
bool fpu_prepare(struct core *c, const struct bus *bus);

/* The extended part of a frame at `at`. */
bool fpu_push(struct core *c, const struct bus *bus, addr_t at,
              cycle_t *cycles);
bool fpu_pop(struct core *c, const struct bus *bus, addr_t at,
             cycle_t *cycles);

/* CPACR, FPCCR, FPCAR, FPDSCR, MVFR0, MVFR1. */
uint32_t fpu_read(const struct core *c, addr_t at);
void fpu_write(struct core *c, addr_t at, uint32_t value);

#endif
