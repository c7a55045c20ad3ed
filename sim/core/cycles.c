#include "core/cycles.h"

#include <assert.h>

/* One row a class; M0 and M0+ side by side.
 *
 * [M0P]  ARM DDI 0484C Table 3-1 (Cortex-M0+ r0p1)
 * [M0]   ARM DDI 0432C Table 3-1 (Cortex-M0 r0p0), from a second-hand copy
 * [mem]  from memory; not read in either document
 */
#define KINDS 2

_Static_assert(CORE_KIND_M0 == 0 && CORE_KIND_M0PLUS == 1,
               "the columns are indexed by enum core_kind");

static const struct row {
  uint8_t base[KINDS];  /* not taken, where that can be */
  uint8_t each[KINDS];  /* for each register of the list */
  uint8_t taken[KINDS]; /* on top, if a conditional branch is taken */
} rows[DECODE_COUNT_] = {
    /* refused before execution: nothing of it runs */
    [DECODE_UNDEFINED] = {{0, 0}, {0, 0}, {0, 0}},
    [DECODE_ALU] = {{1, 1}, {0, 0}, {0, 0}}, /* [M0] [M0P] */
    /* [M0] [M0P] 1 or 32: replaced by the part's option */
    [DECODE_MULTIPLY] = {{1, 1}, {0, 0}, {0, 0}},
    [DECODE_WRITE_SP] = {{1, 1}, {0, 0}, {0, 0}},   /* [M0] [M0P] as ALU */
    [DECODE_WRITE_PC] = {{3, 2}, {0, 0}, {0, 0}},   /* [M0] [M0P] */
    [DECODE_LITERAL] = {{2, 2}, {0, 0}, {0, 0}},    /* [M0] [M0P] */
    [DECODE_LOAD] = {{2, 2}, {0, 0}, {0, 0}},       /* [M0] [M0P] */
    [DECODE_STORE] = {{2, 2}, {0, 0}, {0, 0}},      /* [M0] [M0P] */
    [DECODE_LOAD_MANY] = {{1, 1}, {1, 1}, {0, 0}},  /* [M0] [M0P] 1+N */
    [DECODE_STORE_MANY] = {{1, 1}, {1, 1}, {0, 0}}, /* [M0] [M0P] 1+N */
    [DECODE_PUSH] = {{1, 1}, {1, 1}, {0, 0}},      /* [M0] [M0P] 1+N with LR */
    [DECODE_POP] = {{1, 1}, {1, 1}, {0, 0}},       /* [M0] [M0P] 1+N */
    [DECODE_POP_PC] = {{4, 3}, {1, 1}, {0, 0}},    /* [M0] 4+N, [M0P] 3+N */
    [DECODE_BRANCH_IF] = {{1, 1}, {0, 0}, {2, 1}}, /* [M0] 1/3 [M0P] 1/2 */
    [DECODE_BRANCH] = {{3, 2}, {0, 0}, {0, 0}},    /* [M0] [M0P] */
    [DECODE_BX] = {{3, 2}, {0, 0}, {0, 0}},        /* [M0] [M0P] */
    [DECODE_BLX] = {{3, 2}, {0, 0}, {0, 0}},       /* [M0] [M0P] */
    [DECODE_NOP] = {{1, 1}, {0, 0}, {0, 0}},       /* [M0] [M0P] */
    [DECODE_YIELD] = {{1, 1}, {0, 0}, {0, 0}},     /* [M0] [M0P] as NOP */
    [DECODE_WFE] = {{2, 2}, {0, 0}, {0, 0}}, /* [M0] [M0P] and the waiting */
    [DECODE_WFI] = {{2, 2}, {0, 0}, {0, 0}}, /* [M0] [M0P] and the waiting */
    [DECODE_SEV] = {{1, 1}, {0, 0}, {0, 0}}, /* [M0] [M0P] */
    [DECODE_CPS] = {{1, 1}, {0, 0}, {0, 0}}, /* [M0] [M0P] */
    /* SVC, BKPT: neither document gives a number. Assumed: the decode cycle
     * of any 16-bit instruction, then the exception entry. */
    [DECODE_SVC] = {{1, 1}, {0, 0}, {0, 0}},
    [DECODE_BKPT] = {{1, 1}, {0, 0}, {0, 0}},
    [DECODE_WIDE] = {{0, 0}, {0, 0}, {0, 0}},    /* has no cost of its own */
    [DECODE_BL] = {{4, 3}, {0, 0}, {0, 0}},      /* [M0] 1 + 3, [M0P] */
    [DECODE_BARRIER] = {{4, 3}, {0, 0}, {0, 0}}, /* M0 [mem], [M0P] */
    [DECODE_MRS] = {{4, 3}, {0, 0}, {0, 0}},     /* M0 [mem], [M0P] */
    [DECODE_MSR] = {{4, 3}, {0, 0}, {0, 0}},     /* M0 [mem], [M0P] */
};

/* Exceptions, in cycles.
 *
 * Entry: 15 on M0+ (ARM DDI 0484C 3.6.1, worst case without jitter
 * suppression), 16 on M0 (a second-hand copy of Arm's article on interrupt
 * latency), 12 on M3 (ARM 100165_0201_02 3.9.2) and M4 (ARM DDI 0439D 3.9.1).
 * Applied to every exception; for faults and SVC no document gives a number.
 *
 * Overlap: the numbers are the most there is, so they contain the end of the
 * instruction that is in progress at the request: up to all but one cycle of
 * the longest that is not broken off (4 on M0, 3 on M0+, 6 on M3 and M4). That
 * they are always the most, and not less at a boundary, is assumed; of M0 it
 * is known (the same article: no jitter).
 *
 * Return: 12 on M3, 10 on M4 (the same sections), from the instruction that
 * returns to the next; its own decode cycle is not in these numbers. On M0 and
 * M0+ not published; assumed: the eight words of the frame are read as by a
 * load multiple, 1+N; the refill is in the returning branch.
 *
 * Tail-chaining: 6 on M3 and M4 (the same sections), counted like the return.
 * v6-M does not get there. Late arrival costs the same: assumed. */
static const struct exception_row {
  uint8_t entry, overlap, leave, chain;
} exception_rows[] = {
    [CORE_KIND_M0] = {16, 3, 9, 0},  [CORE_KIND_M0PLUS] = {15, 2, 9, 0},
    [CORE_KIND_M3] = {12, 5, 11, 5}, [CORE_KIND_M4] = {12, 5, 9, 5},
    [CORE_KIND_M4F] = {12, 5, 9, 5},
};

cost_t cycles_of(const struct part_core *part, enum decode_class class,
                 unsigned words)
{
  assert(class < DECODE_COUNT_ && part->kind < KINDS);
  const struct row *r = &rows[class];
  unsigned cycles = r->base[part->kind] + r->each[part->kind] * words;
  unsigned taken = r->taken[part->kind];
  if (class == DECODE_MULTIPLY) cycles = (unsigned)part->multiplier.typ;
  return cycles | taken << 8 | (unsigned)class << 16;
}

static bool has_list(enum decode_class class)
{
  return class == DECODE_LOAD_MANY || class == DECODE_STORE_MANY ||
         class == DECODE_PUSH || class == DECODE_POP || class == DECODE_POP_PC;
}

static bool look_closer(enum decode_class class, uint16_t opcode)
{
  if (class == DECODE_BRANCH_IF) return decode_branches_to_next(opcode);
  return class == DECODE_UNDEFINED || class == DECODE_WIDE ||
         class == DECODE_WRITE_SP || decode_is_system(class);
}

void cycles_build(cost_t *table, const struct part_core *part)
{
  uint8_t classes[DECODE_NARROW_COUNT];
  decode_every(classes);
  for (unsigned i = 0; i < DECODE_NARROW_COUNT; i++) {
    uint16_t opcode = (uint16_t)i;
    enum decode_class class = (enum decode_class)classes[i];
    unsigned words = has_list(class) ? decode_list_length(class, opcode) : 0;
    table[i] = cycles_of(part, class, words);
    if (look_closer(class, opcode)) table[i] |= COST_CLOSER;
  }
}

cycle_t cycles_exception_entry(enum core_kind kind)
{
  return exception_rows[kind].entry;
}

cycle_t cycles_entry_overlap(enum core_kind kind)
{
  return exception_rows[kind].overlap;
}

cycle_t cycles_exception_return(enum core_kind kind)
{
  return exception_rows[kind].leave;
}

cycle_t cycles_tail_chain(enum core_kind kind)
{
  return exception_rows[kind].chain;
}
