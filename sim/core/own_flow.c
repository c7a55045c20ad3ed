/* Branches, and what only takes time.
 *
 * Source: ARM DDI 0419E A6.7. */
#include <assert.h>

#include "core/own.h"

/* `imm` has `bits` bits, the lowest of which is 0. */
static void branch_by(struct own *o, uint32_t imm, unsigned bits)
{
  uint32_t sign = 1u << (bits - 1);
  own_branch(o, o->r[15] + (imm ^ sign) - sign);
}

void op_branch(struct own *o, struct operation i)
{
  branch_by(o, i.imm, 12);
}

void op_branch_if(struct own *o, struct operation i)
{
  uint32_t holds = o->holds[i.d];
  if ((holds >> (own_flags(o) >> 28)) & 1u) branch_by(o, i.imm, 9);
}

void op_branch_exchange(struct own *o, struct operation i)
{
  own_branch_exchange(o, o->r[i.m]);
}

/* A return address is odd. An EXC_RETURN means nothing here: it is an address
 * (ARM DDI 0419E A6.7.15, BLXWritePC). */
void op_call_register(struct own *o, struct operation i)
{
  uint32_t target = o->r[i.m];
  o->r[14] = o->pc | 1u;
  own_branch_link(o, target);
}

static void call(struct own *o, uint32_t first, uint32_t second)
{
  uint32_t s = (first >> 10) & 1u;
  uint32_t i1 = ~((second >> 13) ^ s) & 1u;
  uint32_t i2 = ~((second >> 11) ^ s) & 1u;
  uint32_t imm = s << 24 | i1 << 23 | i2 << 22 | (first & 0x3ffu) << 12 |
                 (second & 0x7ffu) << 1;
  o->r[14] = o->pc | 1u;
  branch_by(o, imm, 25);
}

/* BL, or a barrier: here every access is complete before the next begins. */
void op_wide(struct own *o, struct operation i)
{
  uint32_t second;
  if (cost_class(o->pace.cost) != DECODE_BL) return;
  bool ok = bus_peek(o->cpu.bus, o->r[15] - 2, 2, &second);
  assert(ok);
  call(o, i.imm, second);
}

void op_nothing(struct own *o, struct operation i)
{
  (void)o;
  (void)i;
}

/* pace_next refuses it. */
void op_system(struct own *o, struct operation i)
{
  (void)o;
  (void)i;
  assert(false);
}
