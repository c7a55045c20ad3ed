#include "core/cycles_v7m.h"

#include <assert.h>

enum { REFILL_DIRECT = 1, REFILL_REGISTER = 2, REFILL_LOADED = 3 };
enum { REFILL_MOST = 3 };

enum { DIVIDE_LEAST = 2, DIVIDE_MOST = 12 };

/* M3, then M4; of a list for each register besides. */
static const struct row {
  uint8_t m3, m4, each;
} rows[THUMB2_COUNT_] = {
    [THUMB2_UNDEFINED] = {0, 0, 0}, /* refused before execution */
    [THUMB2_ALU] = {1, 1, 0},
    [THUMB2_MULTIPLY] = {1, 1, 0},
    [THUMB2_MULTIPLY_ADD] = {2, 1, 0},
    [THUMB2_LONG] = {0, 1, 0}, /* M3: by the operands, as division */
    [THUMB2_LONG_ADD] = {0, 1, 0},
    [THUMB2_DIVIDE] = {0, 0, 0},
    [THUMB2_LOAD] = {2, 2, 0},
    [THUMB2_STORE] = {2, 2, 0},
    [THUMB2_LOAD_TWO] = {1, 1, 1},
    [THUMB2_STORE_TWO] = {1, 1, 1},
    [THUMB2_LOAD_MANY] = {1, 1, 1},
    [THUMB2_STORE_MANY] = {1, 1, 1},
    [THUMB2_BRANCH] = {1, 1, 0},
    [THUMB2_BRANCH_IF] = {1, 1, 0},
    [THUMB2_JUMP] = {1, 1, 0},
    [THUMB2_TABLE] = {3, 3, 0}, /* 2 to load, 1 to add */
    [THUMB2_IT] = {1, 1, 0},
    [THUMB2_NOP] = {1, 1, 0},
    [THUMB2_BARRIER] = {1, 1, 0},
    [THUMB2_FLUSH] = {1 + REFILL_DIRECT, 1 + REFILL_DIRECT, 0},
    [THUMB2_FLOAT] = {0, 1, 0},
    [THUMB2_FLOAT_TWO] = {0, 2, 0},
    [THUMB2_FLOAT_ADD] = {0, 3, 0},
    [THUMB2_FLOAT_DIVIDE] = {0, 14, 0},
    [THUMB2_FLOAT_LOAD] = {0, 1, 1},
    [THUMB2_FLOAT_STORE] = {0, 1, 1},
    [THUMB2_WRITE_SP] = {1, 1, 0},
    [THUMB2_YIELD] = {1, 1, 0},
    [THUMB2_WFE] = {1, 1, 0},
    [THUMB2_WFI] = {1, 1, 0},
    [THUMB2_SEV] = {1, 1, 0},
    [THUMB2_CPS] = {1, 1, 0},
    [THUMB2_MRS] = {2, 2, 0},
    [THUMB2_MSR] = {2, 2, 0},
    [THUMB2_SVC] = {1, 1, 0}, /* assumed: its decode cycle, then the entry */
    [THUMB2_BKPT] = {1, 1, 0},
    [THUMB2_LOAD_EXCLUSIVE] = {2, 2, 0},
    [THUMB2_STORE_EXCLUSIVE] = {2, 2, 0},
    [THUMB2_CLEAR_EXCLUSIVE] = {1, 1, 0},
};

static bool has_register(unsigned number)
{
  return number < 15;
}

static unsigned address_registers(const struct thumb2 *t)
{
  unsigned set = 0;
  if (has_register(t->base)) set |= 1u << t->base;
  if (has_register(t->index)) set |= 1u << t->index;
  return set;
}

static bool depends(const struct thumb2 *t, const struct core_flow *flow)
{
  return flow->results & address_registers(t);
}

/* A single load or store, which pairs with a load before it. A store with an
 * immediate offset "is always one cycle". */
static unsigned single(const struct thumb2 *t, const struct core_flow *flow)
{
  bool behind_load = flow->kind == CORE_FLOW_LOAD;
  bool buffered = t->class == THUMB2_STORE && t->index == THUMB2_NO_REGISTER;
  return buffered || (behind_load && !depends(t, flow)) ? 1 : 2;
}

/* More, for what the instruction before it has only just computed: a register
 * of its address (but of TBB and TBH, whose 6 cycles the text gives), and a
 * floating-point operand. */
static unsigned stall(const struct thumb2 *t, const struct core_flow *flow)
{
  bool address = t->bytes != 0 && t->class != THUMB2_TABLE &&
                 flow->kind == CORE_FLOW_RESULT && depends(t, flow);
  bool operand = (flow->floats & t->floats_read) != 0;
  return (address ? 1u : 0) + (operand ? 1u : 0);
}

static unsigned alone(enum core_kind kind, const struct thumb2 *t,
                      const struct core_flow *flow, bool fold)
{
  const struct row *r = &rows[t->class];
  if (t->class == THUMB2_LOAD && t->loads_pc) return 2;
  if (t->class == THUMB2_LOAD || t->class == THUMB2_STORE)
    return single(t, flow);
  if (t->class == THUMB2_IT && fold && flow->narrow) return 0;
  return (kind == CORE_KIND_M3 ? r->m3 : r->m4) + (unsigned)r->each * t->count;
}

unsigned cycles_v7m(enum core_kind kind, const struct thumb2 *t,
                    const struct core_flow *flow, bool fold)
{
  return alone(kind, t, flow, fold) + stall(t, flow);
}

bool cycles_v7m_needs_operands(enum core_kind kind, const struct thumb2 *t)
{
  bool is_long = t->class == THUMB2_LONG || t->class == THUMB2_LONG_ADD;
  return t->class == THUMB2_DIVIDE || (is_long && kind == CORE_KIND_M3);
}

static uint32_t magnitude(bool is_signed, uint32_t value)
{
  return is_signed && value >> 31 ? 0u - value : value;
}

static unsigned length(uint32_t value)
{
  return value == 0 ? 0 : 32u - (unsigned)__builtin_clz(value);
}

/* Each cycle beyond the least finds about three bits of the quotient. */
static unsigned divide(uint32_t a, uint32_t b)
{
  if (b == 0 || a < b) return DIVIDE_LEAST;
  unsigned bits = length(a) - length(b) + 1;
  return DIVIDE_LEAST + (bits * (DIVIDE_MOST - DIVIDE_LEAST) + 31) / 32;
}

unsigned cycles_v7m_of_operands(const struct thumb2 *t, bool is_signed,
                                uint32_t a, uint32_t b)
{
  a = magnitude(is_signed, a);
  b = magnitude(is_signed, b);
  if (t->class == THUMB2_DIVIDE) return divide(a, b);
  unsigned large = (a >> 16 != 0 ? 1u : 0) + (b >> 16 != 0 ? 1u : 0);
  assert(t->class == THUMB2_LONG || t->class == THUMB2_LONG_ADD);
  if (t->class == THUMB2_LONG) return 3 + large;
  return 4 + large + (large == 2 ? 1 : 0);
}

unsigned cycles_v7m_refill(const struct thumb2 *t, bool unaligned)
{
  unsigned refill = REFILL_REGISTER;
  if (t->class == THUMB2_BRANCH || t->class == THUMB2_BRANCH_IF)
    refill = REFILL_DIRECT;
  else if (t->class != THUMB2_JUMP)
    refill = REFILL_LOADED;
  refill += unaligned;
  return refill > REFILL_MOST ? REFILL_MOST : refill;
}

unsigned cycles_v7m_unaligned(unsigned bytes, uint32_t at)
{
  if (bytes == 4 && (at & 1u)) return 2;
  return (at & (bytes - 1)) != 0 ? 1 : 0;
}

struct core_flow cycles_v7m_flow(const struct thumb2 *t)
{
  struct core_flow flow = {.kind = CORE_FLOW_NONE,
                           .narrow = t->size == 2,
                           .floats = t->floats_made};
  bool computes = (t->class >= THUMB2_ALU && t->class <= THUMB2_DIVIDE) ||
                  t->class == THUMB2_WRITE_SP;
  if (t->class == THUMB2_LOAD && !t->loads_pc) flow.kind = CORE_FLOW_LOAD;
  if (computes) flow.kind = CORE_FLOW_RESULT;
  if (flow.kind != CORE_FLOW_NONE) flow.results = t->results;
  return flow;
}
