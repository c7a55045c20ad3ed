#include "core/list.h"

#include <assert.h>

#include "core/access.h"
#include "core/cycles.h"
#include "core/cycles_v7m.h"
#include "core/fault.h"
#include "core/system_v7m.h"
#include "core/thumb2.h"

#define LINK (1u << 14)
#define PC   (1u << 15)

#define ADDRESS_PHASE 1

struct list {
  unsigned size; /* bytes of the opcode */
  unsigned base;
  uint32_t registers; /* a bit each */
  bool load, down, changes_base;
};

/* --- the instruction ---------------------------------------------------- */

static uint32_t with_ninth(uint32_t opcode, uint32_t ninth)
{
  return (opcode & 0xffu) | (opcode & 0x100u ? ninth : 0);
}

/* ARM DDI 0419E A6.7.25, .50, .58 and .59. */
static struct list narrow(uint32_t op)
{
  switch (op & 0xfe00u) {
  case 0xb400u:
    return (struct list){.base = 13,
                         .registers = with_ninth(op, LINK),
                         .down = true,
                         .changes_base = true};
  case 0xbc00u:
    return (struct list){.base = 13,
                         .registers = with_ninth(op, PC),
                         .load = true,
                         .changes_base = true};
  default: break;
  }
  unsigned base = (op >> 8) & 7u;
  bool load = op & 0x800u;
  assert((op & 0xf000u) == 0xc000u);
  return (struct list){.base = base,
                       .registers = op & 0xffu,
                       .load = load,
                       .changes_base = !load || !((op >> base) & 1u)};
}

/* LDM, STM; up and down; from memory of ARM DDI 0403E A5.3.5. */
static struct list wide(uint32_t first, uint32_t second)
{
  assert((first & 0xfe40u) == 0xe800u);
  return (struct list){.base = first & 15u,
                       .registers = second,
                       .load = first & 0x10u,
                       .down = (first & 0x180u) == 0x100u,
                       .changes_base = first & 0x20u};
}

static struct list read_list(const struct core *c, const struct bus *bus)
{
  uint32_t first = 0, second = 0;
  bool ok = bus_peek(bus, c->r[15], 2, &first);
  bool is_wide = core_is_v7m(c) && thumb2_is_wide((uint16_t)first);
  if (is_wide) ok = ok && bus_peek(bus, c->r[15] + 2, 2, &second);
  assert(ok);
  struct list l = is_wide ? wide(first, second) : narrow(first);
  l.size = is_wide ? 4 : 2;
  return l;
}

static unsigned count(uint32_t registers)
{
  return (unsigned)__builtin_popcount(registers);
}

/* What is left of a list when so many have been transferred. */
static uint32_t behind(uint32_t registers, unsigned words)
{
  for (; words > 0; words--)
    registers &= registers - 1;
  return registers;
}

/* --- in parts ----------------------------------------------------------- */

/* What is stored below SP lies where the exception frame will. */
static bool restarts(const struct core *c, const struct list *l)
{
  bool own_base = l->load && ((l->registers >> l->base) & 1u);
  bool in_frame = !l->load && l->down && l->base == 13;
  return !core_is_v7m(c) || thumb2_it_of(c->xpsr) != 0 || own_base || in_frame;
}

/* From held to the registers, up to `words` of the list. */
static void take_over(struct core *c, const struct list *l, unsigned words)
{
  const struct core_progress *p = &c->progress;
  uint32_t rest = behind(l->registers, p->first);
  for (unsigned i = p->first; i < words; i++, rest &= rest - 1) {
    unsigned number = (unsigned)__builtin_ctz(rest);
    if (number != 15) c->r[number] = p->held[number];
  }
}

void list_break_off(struct core *c, const struct bus *bus)
{
  struct core_progress *p = &c->progress;
  bool in_list = p->begun && p->list;
  p->begun = false;
  if (!in_list) return;
  struct list l = read_list(c, bus);
  if (restarts(c, &l) || p->words == 0) return;
  if (l.load) take_over(c, &l, p->words);
  unsigned next = (unsigned)__builtin_ctz(behind(l.registers, p->words));
  c->xpsr |= thumb2_continue_bits(next);
}

static void begin(struct core *c, const struct list *l)
{
  unsigned next = core_is_v7m(c) ? thumb2_continues(c->xpsr) : 0;
  uint32_t before = l->registers & ((1u << next) - 1);
  c->xpsr &= ~thumb2_continue_bits(next);
  uint8_t words = (uint8_t)count(before);
  c->progress = (struct core_progress){
      .begun = true, .list = true, .words = words, .first = words};
  c->cycle += ADDRESS_PHASE;
}

static bool must_stop(const struct core *c)
{
  return c->attention || c->boundary || c->cycle >= c->deadline ||
         c->cycle >= c->alarm;
}

/* --- words -------------------------------------------------------------- */

/* What the core stores by itself may be code. */
static void note_store(struct core *c, addr_t at)
{
  if (c->stored.size == 0)
    c->stored = (struct core_stored){at, 4};
  else
    c->stored.size = at + 4 - c->stored.at;
}

static bool transfer(struct core *c, const struct bus *bus, addr_t at,
                     bool load, uint32_t *value)
{
  struct bus_access a = {.at = at,
                         .value = load ? 0 : *value,
                         .stamp = c->cycle,
                         .pc = c->r[15],
                         .size = 4,
                         .write = !load};
  uint32_t offset;
  unsigned region = bus_find(bus, at, &offset);
  if (region == BUS_NO_REGION) {
    struct bus_answer answer = access_device(c, bus, &a, core_privileged(c));
    c->cycle += answer.stall;
    *value = answer.value;
    return !answer.fault || access_ignores_fault(c, &a);
  }
  if (load) c->cycle += bus->regions[region].wait_states;
  if (!load) note_store(c, at);
  return load ? bus_peek(bus, at, 4, value) : bus_poke(bus, at, 4, *value);
}

/* False: it faulted, and everything is as if it had not begun. */
static bool one_word(struct core *c, const struct bus *bus,
                     const struct list *l, addr_t lowest)
{
  uint32_t rest = behind(l->registers, c->progress.words);
  unsigned number = (unsigned)__builtin_ctz(rest);
  addr_t at = lowest + 4u * c->progress.words;
  uint32_t value = c->r[number];
  if (!transfer(c, bus, at, l->load, &value)) {
    c->progress.begun = false;
    fault_take(c, bus, FAULT_DATA, at);
    return false;
  }
  c->cycle += 1;
  c->progress.words++;
  if (l->load) c->progress.held[number] = value;
  return true;
}

/* --- the end ------------------------------------------------------------ */

static cycle_t refill(const struct core *c, const struct bus *bus,
                      const struct list *l, addr_t target)
{
  unsigned words = count(l->registers);
  uint32_t first = 0;
  if (!core_is_v7m(c))
    return cost_cycles(cycles_of(c->part, DECODE_POP_PC, words)) -
           (ADDRESS_PHASE + words);
  struct thumb2 t = {.class = THUMB2_LOAD_MANY, .loads_pc = true};
  bool unaligned = (target & 2u) && bus_peek(bus, target & ~1u, 2, &first) &&
                   thumb2_is_wide((uint16_t)first);
  return cycles_v7m_refill(&t, unaligned);
}

/* ARM DDI 0419E A2.3.1, LoadWritePC. */
static enum list_end jump(struct core *c, const struct bus *bus,
                          const struct list *l, uint32_t target)
{
  c->cycle += refill(c, bus, l, target);
  c->fetched = CORE_NOT_FETCHED;
  c->r[15] = target;
  if ((c->xpsr & CORE_EXCEPTION) && target >= CORE_EXC_RETURN)
    return LIST_RETURNS;
  c->r[15] = target & ~1u;
  if (!(target & 1u)) c->xpsr &= ~CORE_THUMB;
  return LIST_DONE;
}

static enum list_end finish(struct core *c, const struct bus *bus,
                            const struct list *l, addr_t lowest)
{
  unsigned words = count(l->registers);
  uint32_t after = l->down ? lowest : lowest + 4 * words;
  c->progress.begun = false;
  if (l->changes_base) c->r[l->base] = after;
  if (l->load) take_over(c, l, words);
  if (core_is_v7m(c)) c->r[13] &= ~3u;
  c->flow = (struct core_flow){.narrow = l->size == 2};
  c->instructions++;
  system_v7m_advance_it(c);
  if (l->load && (l->registers & PC))
    return jump(c, bus, l, c->progress.held[15]);
  c->r[15] += l->size;
  return LIST_DONE;
}

enum list_end list_execute(struct core *c, const struct bus *bus)
{
  struct list l = read_list(c, bus);
  unsigned words = count(l.registers);
  addr_t lowest = c->r[l.base] - (l.down ? 4 * words : 0);
  if (lowest & 3u) {
    fault_take(c, bus, FAULT_UNALIGNED, lowest);
    return LIST_BROKEN_OFF;
  }
  if (!c->progress.begun) begin(c, &l);
  while (c->progress.words < words) {
    if (must_stop(c)) return LIST_BROKEN_OFF;
    if (!one_word(c, bus, &l, lowest)) return LIST_BROKEN_OFF;
  }
  return finish(c, bus, &l, lowest);
}
