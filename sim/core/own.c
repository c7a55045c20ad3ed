/* The engine over our own interpreter of ARMv6-M (own_table.inc): no
 * translation, so that code which runs once costs no more than code in a
 * loop, and nothing to be told about changed bytes.
 */
#include "core/own.h"

#include <stdlib.h>
#include <string.h>

#include "core/decode.h"

/* Where no instruction is: execution has left. The architecture allows none
 * there, so no region that code runs in holds it. */
#define NOWHERE 0xffffffffu

/* The first halfword of a 32-bit encoding, defined or not, is no less: ARM DDI
 * 0419E A5.1. */
#define WIDE_FIRST 0xe800u

/* --- leaving ------------------------------------------------------------ */

void own_leave(struct own *o, enum cpu_exit exit, addr_t at)
{
  o->exit = exit;
  o->at = at;
  o->pc = NOWHERE;
}

void own_leave_settled(struct own *o, enum cpu_exit exit, addr_t at)
{
  own_leave(o, pace_settle(&o->pace, at) ? CPU_BOUNDARY : exit, at);
}

void own_undo(struct own *o, enum cpu_exit exit)
{
  pace_undo(&o->pace);
  own_leave(o, exit, o->pace.pc);
}

/* --- registers ---------------------------------------------------------- */

uint32_t own_flags(const struct own *o)
{
  return (o->negative & 0x80000000u) | (o->zero == 0 ? 0x40000000u : 0) |
         o->carry << 29 | o->overflow >> 31 << 28;
}

static uint32_t read_register(void *engine, unsigned number)
{
  const struct own *o = engine;
  return number < 15 ? o->r[number] : own_flags(o);
}

static void take(struct own *o, const struct core *core)
{
  memcpy(o->r, core->r, sizeof(o->r));
  o->pc = core->r[15];
  o->negative = core->xpsr;
  o->zero = ~core->xpsr & 0x40000000u;
  o->carry = (core->xpsr >> 29) & 1u;
  o->overflow = core->xpsr << 3;
}

static void give_back(const struct own *o, struct core *core)
{
  memcpy(core->r, o->r, 15 * sizeof(o->r[0]));
  core->xpsr = (core->xpsr & ~CORE_FLAGS) | own_flags(o);
}

/* --- PC ------------------------------------------------------------------ */

void own_branch_link(struct own *o, addr_t address)
{
  if (address & 1u) {
    own_branch(o, address);
  } else {
    o->pace.core->xpsr &= ~CORE_THUMB;
    own_leave_settled(o, CPU_NOT_THUMB, address);
  }
}

void own_branch_exchange(struct own *o, addr_t address)
{
  bool handler = o->pace.core->xpsr & CORE_EXCEPTION;
  if (handler && address >= CORE_EXC_RETURN)
    own_leave(o, CPU_RETURN, address);
  else
    own_branch_link(o, address);
}

static bool can_fetch(const struct own *o, addr_t at, uint32_t *half)
{
  return !bus_execute_never(at) && bus_peek(o->cpu.bus, at, 2, half);
}

/* Execution got to a place where it was not before, to the end of a region,
 * or there are wait states: can all of the instruction be fetched? */
static bool arrive(struct own *o, addr_t pc)
{
  uint32_t first, second;
  if (pc == NOWHERE) return false;
  if ((uint64_t)(pc - o->pace.from) + 2 < o->pace.size) return true;
  if (can_fetch(o, pc, &first) &&
      (first < WIDE_FIRST || can_fetch(o, pc + 2, &second)))
    return true;
  own_leave_settled(o, CPU_FETCH_FAULT, pc);
  return false;
}

/* --- memory ------------------------------------------------------------- */

const struct own_view *own_look(struct own *o, addr_t at)
{
  const struct bus *bus = o->cpu.bus;
  uint32_t offset;
  unsigned i = bus_find(bus, at, &offset);
  if (i == BUS_NO_REGION) return NULL;
  const struct bus_region *r = &bus->regions[i];
  struct own_view *v = &o->views[(at >> 24) % OWN_VIEWS];
  *v = (struct own_view){.from = at - offset,
                         .size = r->size,
                         .bytes = r->bytes,
                         .writable = r->writable};
  return v;
}

bool own_device(struct own *o, addr_t at, unsigned size, bool write,
                uint32_t *value)
{
  uint32_t lanes = UINT32_MAX >> (32 - 8 * size);
  uint32_t written = write ? *value & lanes : 0;
  *value = pace_access(&o->pace, at, size, write, written) & lanes;
  if (o->pace.faulted) own_undo(o, CPU_DATA_FAULT);
  if (o->pace.handed_over) own_undo(o, CPU_SYSTEM);
  return !o->pace.faulted && !o->pace.handed_over;
}

/* --- the engine --------------------------------------------------------- */

/* In the region it is in, with room for an instruction of either length, it
 * can. */
static inline bool begins(struct own *o, addr_t pc)
{
  struct pace *p = &o->pace;
  bool inside = (uint64_t)(pc - p->from) + 2 < p->span;
  return (inside || arrive(o, pc)) && pace_next(p, pc);
}

static void run(struct own *o)
{
  struct pace *p = &o->pace;
  for (addr_t pc = o->pc; begins(o, pc); pc = o->pc) {
    uint16_t opcode = pace_halfword(p->bytes + (pc - p->from));
    struct operation i = o->operations[opcode];
    o->r[15] = pc + 4;
    o->pc = p->next;
    own_table[i.row].execute(o, i);
  }
}

static enum cpu_exit execute(struct cpu *cpu, struct core *core)
{
  struct own *o = (struct own *)cpu;
  take(o, core);
  pace_begin(&o->pace, core, cpu->bus);
  run(o);
  if (o->pace.stopped) own_leave(o, o->pace.exit, o->pace.next);
  give_back(o, core);
  pace_end(&o->pace, o->at);
  return o->exit;
}

static void map(struct cpu *cpu)
{
  struct own *o = (struct own *)cpu;
  memset(o->views, 0, sizeof(o->views));
}

/* Nothing is remembered about code. */
static void forget(struct cpu *cpu, addr_t at, uint32_t size)
{
  (void)cpu;
  (void)at;
  (void)size;
}

/* It asks pace_next itself. */
static void halt(void *engine)
{
  (void)engine;
}

static void close_engine(struct cpu *cpu)
{
  free(cpu);
}

static const struct cpu_ops ops = {
    .close = close_engine, .map = map, .forget = forget, .execute = execute};

static void learn_conditions(struct own *o)
{
  for (unsigned condition = 0; condition < 14; condition++) {
    for (uint32_t flags = 0; flags < 16; flags++) {
      if (decode_condition(condition, flags << 28))
        o->holds[condition] |= (uint16_t)(1u << flags);
    }
  }
}

enum sim_status cpu_open_own(struct cpu **cpu, const struct part_core *part,
                             struct sim_error *err)
{
  if (part->kind >= CORE_KIND_M3)
    return sim_fail(err, SIM_USAGE, NULL,
                    "the own engine executes ARMv6-M only; expected a part "
                    "with a Cortex-M0 or M0+, or the unicorn engine");
  struct own *o = calloc(1, sizeof(*o));
  if (o == NULL)
    return sim_fail(err, SIM_LIMIT, NULL,
                    "no memory for the instruction engine");
  o->cpu.ops = &ops;
  cycles_build(o->costs, part);
  own_table_apply(o->operations);
  learn_conditions(o);
  o->pace = (struct pace){.costs = o->costs,
                          .read_register = read_register,
                          .halt = halt,
                          .engine = o};
  *cpu = &o->cpu;
  return SIM_OK;
}
