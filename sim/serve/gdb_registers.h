/* gdb_registers.h -- the core's registers as gdb numbers them, and the target
 * description that tells gdb so.
 *
 * Features org.gnu.gdb.arm.m-profile, .m-system and, with the floating-point
 * extension, .vfp (GDB manual, "ARM Features"); which registers there are
 * follows from the part's core. Numbers count from 0 in the order of the
 * description: 13 is the stack pointer, 15 the program counter. Values travel
 * as little-endian bytes.
 *
 * The rule a reader would get wrong: they can be read at any time, as nothing
 * moves while gdb looks, but written only in Debug state.
 *
 * Owns, borrows: nothing.
 */
#ifndef SERVE_GDB_REGISTERS_H
#define SERVE_GDB_REGISTERS_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

#include "core/core.h"

/* Bytes of all registers of any core: 17, 6, 16 of 8 bytes, 1. */
#define GDB_REGISTERS_BYTES 256
#define GDB_WIDEST_REGISTER 8 /* bytes of one */

#define GDB_SP_NUMBER 13u
#define GDB_PC_NUMBER 15u

/* Bytes of a register; 0: this core has none of that number. */
uint32_t gdb_registers_size(const struct core *c, uint32_t number);

void gdb_registers_read(const struct core *c, uint32_t number, uint8_t *bytes);
void gdb_registers_write(struct core *c, uint32_t number,
                         const uint8_t *bytes);

/* The target description, XML. */
void gdb_registers_describe(const struct core *c, FILE *to);

#endif
