#include "core/pace_v7m.h"

#include <assert.h>
#include <stddef.h>

#include "core/cycles_v7m.h"
#include "core/decode.h"
#include "core/fault.h"
#include "core/fpu.h"
#include "core/pace_parts.h"

#define FLAGS_REGISTER 16u /* to read_register */

/* Bits of ACTLR. */
#define ACTLR_NO_BUFFER 0x2u
#define ACTLR_NO_FOLD   0x4u

/* --- opcodes ------------------------------------------------------------ */

/* False if not all of the instruction at `pc` lies in the region. */
static bool look_up(struct pace *p, addr_t pc, struct thumb2 *t,
                    uint16_t *first)
{
  uint32_t offset = pc - p->from;
  uint16_t second = 0;
  if (p->size - offset < 2) return false;
  *first = pace_halfword(p->bytes + offset);
  if (thumb2_is_wide(*first)) {
    if (p->size - offset < 4) return false;
    second = pace_halfword(p->bytes + offset + 2);
  }
  uint32_t opcode = (uint32_t)*first << 16 | second;
  unsigned slot = (opcode ^ opcode >> 16) % PACE_CACHE_SIZE;
  if (!p->v7m->cache[slot].filled || p->v7m->cache[slot].opcode != opcode) {
    p->v7m->cache[slot].filled = true;
    p->v7m->cache[slot].opcode = opcode;
    p->v7m->cache[slot].decoded =
        thumb2_decode(p->core->part->kind, *first, second);
  }
  *t = p->v7m->cache[slot].decoded;
  return true;
}

static uint16_t second_half(const struct pace *p, addr_t pc)
{
  return pace_halfword(p->bytes + (pc - p->from) + 2);
}

/* --- between instructions ----------------------------------------------- */

void pace_v7m_begin(struct pace *p)
{
  struct pace_v7m *v = p->v7m;
  v->last.class = THUMB2_NOP;
  v->last.as_user = false;
  v->last.loads_pc = false;
  v->always = v->done = v->primed = false;
  v->it = 0;
  v->single = thumb2_it_of(p->core->xpsr) != 0;
}

/* What the engine skipped in an IT block on its way to `pc`. */
static void skip_to(struct pace *p, addr_t pc)
{
  struct pace_v7m *v = p->v7m;
  struct thumb2 t;
  uint16_t first;
  while (v->it != 0 && p->next != pc && look_up(p, p->next, &t, &first)) {
    if (p->waits) pace_fetch(p, p->next);
    v->it = thumb2_it_next(v->it);
    p->next += t.size;
    p->cycle += 1;
    p->instructions++;
    p->core->flow = (struct core_flow){.narrow = t.size == 2};
  }
}

static bool begins_unaligned(const struct pace *p, addr_t pc)
{
  uint32_t first = 0;
  if (!(pc & 2u)) return false;
  bus_peek(p->bus, pc, 2, &first);
  return thumb2_is_wide((uint16_t)first);
}

bool pace_v7m_settle(struct pace *p, addr_t pc)
{
  struct pace_v7m *v = p->v7m;
  skip_to(p, pc);
  if (pc != p->next || v->always) {
    p->cycle += cycles_v7m_refill(&v->last, begins_unaligned(p, pc));
    p->core->fetched = CORE_NOT_FETCHED;
    p->core->flow = (struct core_flow){.kind = CORE_FLOW_NONE};
  }
  v->always = false;
  p->cost = 0;
  p->next = pc;
  return p->cycle >= p->stop_at;
}

/* --- IT ----------------------------------------------------------------- */

/* The engine can't stop within it: nothing there may want to. */
static bool runs_freely(const struct thumb2 *t, bool last)
{
  if (t->class == THUMB2_BRANCH || t->class == THUMB2_JUMP) return last;
  return (t->class >= THUMB2_ALU && t->class <= THUMB2_LONG_ADD) ||
         t->class == THUMB2_NOP;
}

static bool block_runs_freely(struct pace *p, addr_t pc, unsigned it)
{
  for (; it != 0; it = thumb2_it_next(it)) {
    struct thumb2 t;
    uint16_t first;
    if (pace_watched(p, pc) || !look_up(p, pc, &t, &first)) return false;
    if (!runs_freely(&t, thumb2_it_next(it) == 0)) return false;
    pc += t.size;
  }
  return true;
}

/* --- operands ----------------------------------------------------------- */

static uint32_t value_of(const struct pace *p, unsigned number, addr_t pc)
{
  if (number == THUMB2_NO_REGISTER) return 0;
  if (number == 15) return (pc + 4) & ~(addr_t)3;
  return p->read_register(p->engine, number);
}

static bool may_be_unaligned(const struct thumb2 *t)
{
  return t->class == THUMB2_LOAD || t->class == THUMB2_STORE ||
         t->class == THUMB2_TABLE;
}

/* The address of its data; cycles that it costs. False: it faults. */
static bool reach_data(struct pace *p, const struct thumb2 *t, addr_t pc,
                       unsigned *cycles)
{
  struct core *c = p->core;
  addr_t at = value_of(p, t->base, pc) +
              (value_of(p, t->index, pc) << t->shift) + t->offset;
  if (t->class == THUMB2_TABLE && t->base == 15)
    at = pc + 4 + (value_of(p, t->index, pc) << t->shift);
  bool store = t->class == THUMB2_STORE || t->class == THUMB2_STORE_TWO ||
               t->class == THUMB2_STORE_MANY || t->class == THUMB2_FLOAT_STORE;
  c->fault_at = p->v7m->data = at;
  if ((at & (t->bytes - 1u)) != 0) {
    bool plain = bus_find(p->bus, at, NULL) != BUS_NO_REGION;
    if (!plain || !may_be_unaligned(t) || (c->configuration & FAULT_CCR_ALIGN))
      return pace_stop(p, CPU_UNALIGNED);
    *cycles += cycles_v7m_unaligned(t->bytes, at);
  }
  p->data_waits = 0;
  if (store) return true;
  if (p->bus->guarded && !pace_guard(p, at, t->count))
    return pace_stop(p, CPU_DATA_FAULT);
  if (p->waits) p->data_waits = pace_data_waits(p, at, t->count);
  return true;
}

/* SDIV, UDIV and M3's long multiplications. False: division by zero. */
static bool weigh_operands(struct pace *p, const struct thumb2 *t,
                           uint16_t first, unsigned *cycles)
{
  bool is_signed = !(first & 0x20u);
  uint32_t a = value_of(p, t->base, 0), b = value_of(p, t->index, 0);
  if (t->class == THUMB2_DIVIDE && b == 0 &&
      (p->core->configuration & FAULT_CCR_DIVIDE))
    return pace_stop(p, CPU_DIVIDE);
  *cycles = cycles_v7m_of_operands(t, is_signed, a, b);
  return true;
}

/* --- the instruction ---------------------------------------------------- */

/* A conditional branch to what follows it anyhow: only its flags tell. */
static bool taken_to_next(struct pace *p, const struct thumb2 *t, addr_t pc,
                          uint16_t first)
{
  if (t->class != THUMB2_BRANCH_IF || t->condition == THUMB2_ALWAYS)
    return false;
  bool to_next = t->size == 2 ? decode_branches_to_next(first)
                              : (first & 0x43fu) == 0 &&
                                    (second_half(p, pc) & 0x2fffu) == 0;
  return to_next &&
         decode_condition(t->condition,
                          p->read_register(p->engine, FLAGS_REGISTER));
}

static bool sp_needs_care(const struct pace *p, uint16_t opcode)
{
  bool add;
  unsigned source = decode_sp_source(opcode, &add);
  return (value_of(p, source, p->next) & 3u) != 0;
}

/* False if the engine must not execute it. */
static bool is_for_engine(struct pace *p, addr_t pc, const struct thumb2 *t,
                          uint16_t first)
{
  enum thumb2_class class = (enum thumb2_class)t->class;
  if (class == THUMB2_UNDEFINED) return pace_stop(p, CPU_UNDEFINED);
  if (thumb2_continues(p->core->xpsr) != 0) return pace_stop(p, CPU_SYSTEM);
  if (thumb2_is_system(class)) return pace_stop(p, CPU_SYSTEM);
  if (class == THUMB2_WRITE_SP && sp_needs_care(p, first))
    return pace_stop(p, CPU_SYSTEM);
  if (t->floating && !fpu_accessible(p->core))
    return pace_stop(p, CPU_UNDEFINED);
  if (t->floating && fpu_needs_care(p->core)) return pace_stop(p, CPU_SYSTEM);
  if (class != THUMB2_IT) return true;
  if (p->v7m->single) return pace_stop(p, CPU_UNDEFINED);
  if (!block_runs_freely(p, pc + 2, first & 0xffu))
    return pace_stop(p, CPU_SYSTEM);
  p->v7m->it = first & 0xffu;
  return true;
}

static bool branches(const struct thumb2 *t)
{
  return t->class == THUMB2_BRANCH || t->class == THUMB2_JUMP ||
         t->class == THUMB2_TABLE || t->loads_pc;
}

/* What a failed access leaves changed: registers loaded before it, and in an
 * IT block all, for there the engine goes on to the end. */
static bool must_restore(const struct pace *p, const struct thumb2 *t)
{
  return t->count > 1 || p->v7m->single;
}

static void account(struct pace *p, addr_t pc, const struct thumb2 *t,
                    unsigned cycles)
{
  struct pace_v7m *v = p->v7m;
  if (v->it != 0 && t->class != THUMB2_IT) v->it = thumb2_it_next(v->it);
  p->cycle += cycles + p->data_waits;
  p->cost = cycles;
  p->restores = must_restore(p, t);
  p->pc = pc;
  p->next = pc + t->size;
  p->instructions++;
  p->core->flow = cycles_v7m_flow(t);
  v->last = *t;
  v->done = true;
}

static bool is_list(const struct thumb2 *t)
{
  return t->class == THUMB2_LOAD_MANY || t->class == THUMB2_STORE_MANY;
}

bool pace_v7m_transfers_list(const struct pace *p)
{
  return is_list(&p->v7m->last);
}

/* An interrupt does not wait for its end: lists, divisions, M3's long
 * multiplications (ARM 100165_0201_02 Table 3-1 and its notes). */
static bool may_break_off(enum core_kind kind, const struct thumb2 *t)
{
  return is_list(t) || cycles_v7m_needs_operands(kind, t);
}

static bool charge(struct pace *p, addr_t pc)
{
  struct core *c = p->core;
  struct thumb2 t;
  uint16_t first;
  bool whole = look_up(p, pc, &t, &first);
  assert(whole);
  bool fetches = p->waits && p->instructions != p->resumed;
  if (fetches) pace_fetch(p, pc);
  if (fetches && t.size == 4) pace_fetch(p, pc + 2);
  p->data_waits = 0;
  if (!is_for_engine(p, pc, &t, first)) return false;
  unsigned cycles =
      cycles_v7m(c->part->kind, &t, &c->flow, !(c->auxiliary & ACTLR_NO_FOLD));
  if (cycles_v7m_needs_operands(c->part->kind, &t) &&
      !weigh_operands(p, &t, first, &cycles))
    return false;
  if (t.bytes != 0 && !reach_data(p, &t, pc, &cycles)) return false;
  if (may_break_off(c->part->kind, &t) && pace_breaks_off(p, cycles))
    return pace_stop(p, CPU_SYSTEM);
  p->v7m->always = branches(&t) || taken_to_next(p, &t, pc, first);
  account(p, pc, &t, cycles);
  return true;
}

bool pace_v7m_closer(struct pace *p, addr_t pc)
{
  struct pace_v7m *v = p->v7m;
  if (v->primed) {
    v->primed = false;
    return true;
  }
  if (p->faulted) return false;
  bool due = pace_v7m_settle(p, pc);
  if (v->it != 0) return charge(p, pc);
  if (due || (v->single && v->done)) return pace_stop(p, CPU_BOUNDARY);
  return pace_arrive(p, pc) && charge(p, pc);
}

/* All of the instruction can be fetched; else the engine finds out. */
static bool can_be_fetched(const struct pace *p, addr_t pc)
{
  uint32_t first, second;
  if (bus_execute_never(pc) || !bus_peek(p->bus, pc, 2, &first)) return false;
  return !thumb2_is_wide((uint16_t)first) || bus_peek(p->bus, pc, 4, &second);
}

bool pace_v7m_prime(struct pace *p)
{
  addr_t pc = p->core->r[15];
  if (!p->v7m->single || !can_be_fetched(p, pc)) return true;
  bool goes = pace_v7m_closer(p, pc);
  p->v7m->primed = goes;
  return goes;
}

bool pace_v7m_buffers(const struct pace *p)
{
  const struct thumb2 *t = &p->v7m->last;
  return t->class == THUMB2_STORE && !(p->core->auxiliary & ACTLR_NO_BUFFER);
}

bool pace_v7m_as_user(const struct pace *p)
{
  return p->v7m != NULL && p->v7m->last.as_user;
}
