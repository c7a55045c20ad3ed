/* thumb2.h -- what an ARMv7-M opcode is, as far as its cost, its memory
 * accesses and its owner go.
 *
 * The 16-bit encodings that v6-M has are decoded by decode.h; this adds what
 * v7-M has besides, and for all of them the registers through which one
 * instruction delays the next.
 *
 * The rule a reader would get wrong: what is not in the tables is undefined,
 * also where an engine would execute it: the DSP instructions on M3, floating
 * point on all but M4F, double precision everywhere. Most of what the
 * architecture calls UNPREDICTABLE is not told apart and behaves as the engine
 * has it.
 *
 * Source of the encodings: ARM DDI 0403E chapter A5 and A7.7, from memory;
 * checked in tests against an assembler.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_THUMB2_H
#define CORE_THUMB2_H

#include <stdbool.h>
#include <stdint.h>

#include "describe/part.h"

#define THUMB2_NO_REGISTER 0xffu
#define THUMB2_ALWAYS      14u /* the condition */

enum thumb2_class {
  THUMB2_UNDEFINED,
  THUMB2_ALU,
  THUMB2_MULTIPLY,
  THUMB2_MULTIPLY_ADD,
  THUMB2_LONG,     /* UMULL, SMULL */
  THUMB2_LONG_ADD, /* UMLAL, SMLAL */
  THUMB2_DIVIDE,
  THUMB2_LOAD,
  THUMB2_STORE,
  THUMB2_LOAD_TWO, /* LDRD */
  THUMB2_STORE_TWO,
  THUMB2_LOAD_MANY,
  THUMB2_STORE_MANY,
  THUMB2_BRANCH,    /* B, BL: to an address in the opcode */
  THUMB2_BRANCH_IF, /* B<cond>, CBZ, CBNZ */
  THUMB2_JUMP,      /* BX, BLX, MOV PC, ADD PC: to one in a register */
  THUMB2_TABLE,     /* TBB, TBH */
  THUMB2_IT,
  THUMB2_NOP,
  THUMB2_BARRIER,
  THUMB2_FLUSH, /* ISB */
  THUMB2_FLOAT, /* one cycle */
  THUMB2_FLOAT_TWO,
  THUMB2_FLOAT_ADD, /* multiply and add */
  THUMB2_FLOAT_DIVIDE,
  THUMB2_FLOAT_LOAD,
  THUMB2_FLOAT_STORE,
  THUMB2_WRITE_SP, /* MOV or ADD with a register, to SP */
  /* from here executed by system.c */
  THUMB2_YIELD,
  THUMB2_WFE,
  THUMB2_WFI,
  THUMB2_SEV,
  THUMB2_CPS,
  THUMB2_MRS,
  THUMB2_MSR,
  THUMB2_SVC,
  THUMB2_BKPT,
  THUMB2_LOAD_EXCLUSIVE,
  THUMB2_STORE_EXCLUSIVE,
  THUMB2_CLEAR_EXCLUSIVE,
  THUMB2_COUNT_
};

struct thumb2 {
  uint8_t class;
  uint8_t size;      /* bytes of the opcode: 2 or 4 */
  uint8_t condition; /* of a conditional branch; CBZ and CBNZ: see `index` */
  uint8_t bytes;     /* of each access, 1, 2 or 4; 0: none */
  uint8_t count;     /* of accesses, or of registers in a list */
  uint8_t base;      /* address = base + (index << shift) + offset; */
  uint8_t index;     /* CBZ, CBNZ: the register that is compared */
  uint8_t shift;
  uint16_t results;     /* bit per register that it computes or loads */
  uint32_t floats_read; /* S registers: but a MAC's addend, which it takes a
                           cycle later; and those that arithmetic makes */
  uint32_t floats_made;
  bool loads_pc;
  bool non_zero; /* CBNZ */
  bool as_user;  /* LDRT, STRT */
  bool floating; /* needs the floating-point extension to be accessible */
  bool returns;  /* an EXC_RETURN value that it puts into PC is one */
  uint32_t offset;
};

/* Decode; `second` is looked at only where the first is half of 32 bits. */
struct thumb2 thumb2_decode(enum core_kind kind, uint16_t first,
                            uint16_t second);

/* The first half of a 32-bit encoding. */
static inline bool thumb2_is_wide(uint16_t first)
{
  return first >= 0xe800u;
}

/* Coprocessor space, floating point among it. */
static inline bool thumb2_is_coprocessor(uint16_t first)
{
  return (first & 0xec00u) == 0xec00u;
}

static inline bool thumb2_is_system(enum thumb2_class class)
{
  return class >= THUMB2_YIELD;
}

/* ITSTATE (IT[7:0]) as IT sets it; as it is after one more instruction; and
 * the condition of the next instruction. */
static inline unsigned thumb2_it_next(unsigned it)
{
  return (it & 7u) == 0 ? 0 : (it & 0xe0u) | ((it << 1) & 0x1fu);
}

static inline unsigned thumb2_it_condition(unsigned it)
{
  return it >> 4;
}

/* ITSTATE in xPSR; 0 outside an IT block. */
static inline unsigned thumb2_it_of(uint32_t xpsr)
{
  unsigned it = ((xpsr >> 25) & 3u) | ((xpsr >> 8) & 0xfcu);
  return (it & 15u) != 0 ? it : 0;
}

/* Outside an IT block the same bits may hold the register with which a load
 * or store multiple goes on (ICI); 0: it begins. */
static inline unsigned thumb2_continues(uint32_t xpsr)
{
  return thumb2_it_of(xpsr) != 0 ? 0 : (xpsr >> 12) & 15u;
}

static inline uint32_t thumb2_continue_bits(unsigned number)
{
  return (uint32_t)number << 12;
}

static inline uint32_t thumb2_it_bits(unsigned it)
{
  return (it & 3u) << 25 | (it & 0xfcu) << 8;
}

/* For the files of this folder: floating-point encodings. */
void thumb2_decode_float(uint16_t first, uint16_t second, struct thumb2 *t);

#endif
