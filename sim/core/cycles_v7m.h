/* cycles_v7m.h -- how many cycles an instruction takes on M3 and M4, from the
 * published tables and pairing rules.
 *
 * The rule a reader would get wrong: what an instruction costs depends on the
 * one before it. A load or store behind a load overlaps with it, unless its
 * address is what was loaded; one whose address was just computed stalls, and
 * so does one of floating point whose operand was; IT behind a 16-bit
 * instruction is free.
 *
 * [M3] ARM 100165_0201_02 Table 3-1, 3.3.2; [M4] ARM DDI 0439D Tables 3-1 and
 * 3-2, 3.3.2; floating point ARM DDI 0439D Table 7-1 and its notes (memory).
 *
 * Assumed, where the tables leave a range; each is one constant or function in
 * cycles_v7m.c:
 *   P, the refill behind a branch (1 to 3): 1 to an address in the opcode, 2
 *   to one in a register, 3 to one that is loaded (which gives the 5 cycles
 *   of LDR to PC and the 6 of TBB in the text); 1 more, up to 3, where the
 *   target is a 32-bit instruction that does not begin at a word. Delay
 *   loops in wide use count 3 cycles for SUBS and BNE (memory)
 *   SDIV, UDIV (2 to 12): by the length of the quotient
 *   M3's UMULL to SMLAL (3 to 7): by whether the operands fit 16 bits
 *   MRS, MSR (1 or 2): 2; CPS (1 or 2): 1; DMB, DSB: 1; ISB: 1 and a refill
 *   LDR relative to PC: never the cycle more for contention
 *   STR with an immediate offset to an address that was just loaded: 1, for
 *   the text says "always"; both readings are within the pairing rules
 *
 * Not modelled: that integer instructions go on beside VDIV and VSQRT; that
 * LDREX and STREX pair as LDR does; that a buffered store which stalls lets
 * the program go on, its stall is charged at once.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_CYCLES_V7M_H
#define CORE_CYCLES_V7M_H

#include <stdbool.h>
#include <stdint.h>

#include "core/core.h"
#include "core/thumb2.h"

/* Cycles of one instruction behind `flow`, not taken if it is a branch.
 * `fold` is false where ACTLR forbids IT to be folded. SDIV, UDIV and long
 * multiplications: see cycles_v7m_of_operands. */
unsigned cycles_v7m(enum core_kind kind, const struct thumb2 *t,
                    const struct core_flow *flow, bool fold);

/* True if its cycles depend on the registers `base` and `index`. */
bool cycles_v7m_needs_operands(enum core_kind kind, const struct thumb2 *t);
unsigned cycles_v7m_of_operands(const struct thumb2 *t, bool is_signed,
                                uint32_t a, uint32_t b);

/* Refill behind a branch that is taken to an address; `unaligned` if there is
 * a 32-bit instruction there that does not begin at a word. */
unsigned cycles_v7m_refill(const struct thumb2 *t, bool unaligned);

/* More for an access that is not aligned. */
unsigned cycles_v7m_unaligned(unsigned bytes, uint32_t at);

/* What it leaves for the next. */
struct core_flow cycles_v7m_flow(const struct thumb2 *t);

#endif
