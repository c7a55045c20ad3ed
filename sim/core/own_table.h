/* own_table.h -- the instructions of own_table.inc as rows, and each of the
 * 65,536 opcodes taken apart by them.
 *
 * The rule a reader would get wrong: the table knows more than may be
 * executed. Whether an opcode is defined, and what it costs, is said by
 * decode.h alone; pace.h asks it before a row is used.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_OWN_TABLE_H
#define CORE_OWN_TABLE_H

#include <stdint.h>

#include "core/decode.h"

struct own;

/* An opcode taken apart; fields that its encoding lacks are 0. */
struct operation {
  uint8_t row;     /* of own_table */
  uint8_t d, n, m; /* register numbers; d may be a condition */
  uint32_t imm;    /* immediate, scaled; or register list */
};

typedef void own_function(struct own *o, struct operation i);

struct own_row {
  const char *diagram; /* sixteen bits, see own_table.inc */
  const char *syntax;  /* as in the manual */
  unsigned scale;
  own_function *execute;
};

enum {
#define X(diagram, syntax, scale, function) +1
  OWN_ROWS =
#include "core/own_table.inc"
#undef X
};

extern const struct own_row own_table[OWN_ROWS];

/* Fill `operations`, which has room for DECODE_NARROW_COUNT. */
void own_table_apply(struct operation *operations);

/* The row of one opcode. */
unsigned own_table_find(uint16_t opcode);

#define X(diagram, syntax, scale, function) own_function op_##function;
#include "core/own_table.inc"
#undef X

#endif
