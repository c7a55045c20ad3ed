/* cycles.h -- how many cycles an instruction takes, from the published tables.
 *
 * Costs depend on the opcode and the part's build options only, so a write to
 * flash never makes them stale. Wait states and stalls come on top; they are
 * the business of pace.h.
 *
 * The rule a reader would get wrong: a branch that always branches has its
 * refill in its cycles. Only a conditional branch has a refill of its own,
 * which is added if it was taken.
 *
 * ARMv6-M; for v7-M see cycles_v7m.h, which has no table of opcodes. The
 * cycles of exceptions are here for both.
 *
 * Not modelled: the overlap of an instruction with the fetch of the next,
 * which the tables' numbers contain for memory without wait states.
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

/* Cycles between the entry of an instruction and its first data phase; each
 * further access of the same instruction is one later. Assumed: a load or
 * store takes two cycles in the tables, the address phase and this one. */
#define CYCLES_DATA_PHASE 1

/* One word, so that the hook of an engine loads and keeps it in one go:
 * cycles at 7:0, refill if taken at 15:8, class at 23:16; at 24 whether the
 * engine must look closer before it executes this. */
typedef uint32_t cost_t;

#define COST_CLOSER UINT32_C(0x01000000)

static inline unsigned cost_cycles(cost_t cost)
{
  return cost & 0xffu;
}

static inline unsigned cost_taken(cost_t cost)
{
  return (cost >> 8) & 0xffu;
}

static inline enum decode_class cost_class(cost_t cost)
{
  return (enum decode_class)((cost >> 16) & 0xffu);
}

/* Cost of one instruction of this class; `words` is the length of its
 * register list, else 0. */
cost_t cycles_of(const struct part_core *part, enum decode_class class,
                 unsigned words);

/* Costs of all DECODE_NARROW_COUNT first halfwords; v6-M. */
void cycles_build(cost_t *table, const struct part_core *part);

/* From the instruction boundary at which an exception is taken to the first
 * instruction of its handler; and unstacking, on top of the branch or POP
 * that returns. */
cycle_t cycles_exception_entry(enum core_kind kind);
cycle_t cycles_exception_return(enum core_kind kind);

/* So many cycles of an entry may pass while the instruction that was in
 * progress at the request ends. */
cycle_t cycles_entry_overlap(enum core_kind kind);

/* From one handler to the next without a return between (v7-M). */
cycle_t cycles_tail_chain(enum core_kind kind);

#endif
