/* cycles.h -- how many cycles an instruction takes, from the published tables.
 *
 * Costs depend on the opcode and the part's build options only, so a write to
 * flash never makes them stale. Wait states and stalls come on top; they are
 * the business of pace.h.
 *
 * The rule a reader would get wrong: a branch that always branches has its
 * refill in `cycles`. Only a conditional branch has `taken`, which is added
 * when it was.
 *
 * Not modelled: the single-cycle I/O port (no part here has one); the overlap
 * of an instruction with the fetch of the next, which the tables' numbers
 * contain for memory without wait states.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_CYCLES_H
#define CORE_CYCLES_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "core/decode.h"
#include "describe/part.h"

#define CYCLES_TABLE_SIZE 65536u

/* Cycles between the entry of an instruction and its first data phase; each
 * further access of the same instruction is one later. Assumed: a load or
 * store takes two cycles in the tables, the address phase and this one. */
#define CYCLES_DATA_PHASE 1

struct cycle_cost {
  uint8_t cycles;
  uint8_t taken;
  uint8_t class;  /* enum decode_class */
  uint8_t closer; /* the engine must look closer before it executes this */
};

/* Cost of one instruction of this class; `words` is the length of its
 * register list, else 0. */
struct cycle_cost cycles_of(const struct part_core *part,
                            enum decode_class class, unsigned words);

/* Costs of all CYCLES_TABLE_SIZE first halfwords. */
void cycles_build(struct cycle_cost *table, const struct part_core *part);

/* From the instruction boundary at which an exception is taken to the first
 * instruction of its handler; and unstacking, on top of the branch or POP
 * that returns. */
cycle_t cycles_exception_entry(enum core_kind kind);
cycle_t cycles_exception_return(enum core_kind kind);

#endif
