/* decode.h -- what an ARMv6-M opcode is, as far as its cost and its owner go.
 *
 * Three kinds of instruction leave a decoder: those that an engine executes
 * by itself, those that touch the system (special registers, exceptions,
 * sleep) and are executed once for all engines by system.c, and those that
 * ARMv6-M does not have, which fault before anything is executed.
 *
 * The rule a reader would get wrong: an encoding that the architecture calls
 * UNPREDICTABLE (a should-be-zero bit that is one, an empty register list, PC
 * where it must not be) counts as undefined here. Real cores do something
 * with most of them; a program that relies on it is told so by a fault.
 *
 * Source of the encodings: ARM DDI 0419E chapter A5 and section A6.7.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_DECODE_H
#define CORE_DECODE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"

#define DECODE_NARROW_COUNT 65536u

enum decode_class {
  DECODE_UNDEFINED,
  DECODE_ALU,
  DECODE_MULTIPLY,
  DECODE_WRITE_SP, /* MOV or ADD with a register, to SP */
  DECODE_WRITE_PC, /* MOV or ADD with a register, to PC */
  DECODE_LITERAL,  /* LDR relative to PC */
  DECODE_LOAD,
  DECODE_STORE,
  DECODE_LOAD_MANY,
  DECODE_STORE_MANY,
  DECODE_PUSH,
  DECODE_POP,
  DECODE_POP_PC,
  DECODE_BRANCH_IF,
  DECODE_BRANCH,
  DECODE_BX,
  DECODE_BLX,
  DECODE_NOP, /* and hints that no core defines */
  DECODE_YIELD,
  DECODE_WFE,
  DECODE_WFI,
  DECODE_SEV,
  DECODE_CPS,
  DECODE_SVC,
  DECODE_BKPT,
  DECODE_WIDE, /* the first half of a 32-bit encoding; ask decode_wide */
  DECODE_BL,
  DECODE_BARRIER,
  DECODE_MRS,
  DECODE_MSR,
  DECODE_COUNT_
};

/* Class of a 16-bit encoding, or DECODE_WIDE. */
enum decode_class decode_narrow(uint16_t opcode);

/* The class of every halfword at once, into DECODE_NARROW_COUNT bytes: a
 * hundred times faster than asking for each. */
void decode_every(uint8_t *classes);

/* Class of a 32-bit encoding whose first half is DECODE_WIDE. */
enum decode_class decode_wide(uint16_t first, uint16_t second);

/* True if system.c executes it, not an engine. */
bool decode_is_system(enum decode_class class);

/* Number of registers a load or store multiple, PUSH or POP transfers,
 * LR and PC counted. */
unsigned decode_list_length(enum decode_class class, uint16_t opcode);

#define DECODE_NO_REGISTER 0xffu

/* Where a load (DECODE_LITERAL, _LOAD, _LOAD_MANY, _POP, _POP_PC) begins to
 * read: the sum of up to two registers and an offset. PC as a base is its
 * aligned value, the instruction's address + 4. */
struct decode_operand {
  uint8_t base, index; /* register numbers, or DECODE_NO_REGISTER */
  uint32_t offset;
  unsigned words; /* successive accesses */
};
struct decode_operand decode_load(enum decode_class class, uint16_t opcode);

/* The source register of DECODE_WRITE_SP, and whether SP is added to it. */
unsigned decode_sp_source(uint16_t opcode, bool *add);

/* True if a conditional branch to the instruction behind it: taking it or not
 * leads to the same place, at another cost. */
static inline bool decode_branches_to_next(uint16_t opcode)
{
  return (opcode & 0xffu) == 0xffu;
}

/* Whether condition 0..13 holds with these flags (N Z C V at 31:28), ARM DDI
 * 0419E Table A6-1. */
bool decode_condition(unsigned condition, uint32_t flags);

#endif
