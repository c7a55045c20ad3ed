/* The engine over the Unicorn library; the only file that knows it.
 *
 * Unicorn is used for plain instructions and nothing else: it stays in
 * privileged thread mode with one stack pointer for ever, so that none of its
 * banked registers, interrupt or return handling is ever relied on. One hook
 * runs before each instruction (pace.h); hooks record a reason and stop, they
 * never write PC. Everything that is no region is mapped as device memory,
 * which can't be executed from and calls back for data.
 *
 * What the library does that one would not expect is pinned down row by row in
 * tests/test_core_traps.c.
 */
#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include <unicorn/unicorn.h>

#include "core/cycles.h"
#include "core/engine.h"
#include "core/layout.h"
#include "core/pace.h"
#include "core/pace_v7m.h"
#include "core/unicorn_registers.h"

/* An address no program counter reaches: run until a hook says stop. */
#define NEVER (UINT64_C(1) << 32)

/* The library's code buffer holds about seven million instructions and then
 * the process dies; it is never reused within one instance. */
#define TRANSLATED_LIMIT 2000000u

#define UNALIGNED_INTERRUPT 4u /* data abort, the way Unicorn numbers it */
#define FETCH_INTERRUPT     3u /* prefetch abort: v7-M, system space */
#define NO_INTERRUPT        UINT32_MAX

#define LATE_MAX 16u

struct unicorn;

struct stretch {
  addr_t at;
  uint32_t size;
};

/* Device memory, told to its callbacks. */
struct span {
  struct unicorn *unicorn;
  addr_t at;
};

struct unicorn {
  struct cpu cpu; /* first */
  uc_engine *uc;
  struct pace pace;
  uint64_t translated; /* instructions, by this instance of the library */
  uint32_t interrupt;
  enum cpu_exit refused;              /* why a store to flash can't be */
  uint32_t before[UNICORN_REGISTERS]; /* a load multiple from devices */
  bool running;                       /* inside uc_emu_start */
  struct stretch late[LATE_MAX]; /* to be forgotten at the next boundary */
  unsigned late_count;

  struct bus mapped; /* a copy: regions and alias */
  struct layout layout;
  struct span spans[LAYOUT_MAX];

  enum core_kind kind;
  struct pace_v7m *v7m;              /* owned; NULL on v6-M */
  cost_t costs[DECODE_NARROW_COUNT]; /* v6-M */
};

/* The library's answer to calls that only fail if this file is wrong. */
static void must(uc_err error)
{
  assert(error == UC_ERR_OK);
  (void)error;
}

static uint32_t read_register(void *engine, unsigned number)
{
  struct unicorn *u = engine;
  return unicorn_register(u->uc, u->kind, number);
}

static void halt(void *engine)
{
  struct unicorn *u = engine;
  uc_emu_stop(u->uc);
}

/* --- hooks -------------------------------------------------------------- */

static void on_code(uc_engine *uc, uint64_t at, uint32_t size, void *user)
{
  struct unicorn *u = user;
  (void)uc;
  (void)size;
  pace_next(&u->pace, (addr_t)at);
}

static void on_interrupt(uc_engine *uc, uint32_t number, void *user)
{
  struct unicorn *u = user;
  u->interrupt = number;
  uc_emu_stop(uc);
}

/* The library looks at the rights before it looks at the alignment. */
static bool on_refused(uc_engine *uc, uc_mem_type type, uint64_t at, int size,
                       int64_t value, void *user)
{
  struct unicorn *u = user;
  bool aligned = (at & ((uint64_t)size - 1)) == 0;
  (void)uc;
  (void)type;
  (void)value;
  u->refused = aligned ? CPU_DATA_FAULT : CPU_UNALIGNED;
  return false;
}

static void on_translated(uc_engine *uc, uc_tb *block, uc_tb *from, void *user)
{
  struct unicorn *u = user;
  (void)uc;
  (void)from;
  u->translated += block->icount;
  if (u->translated >= TRANSLATED_LIMIT) pace_interrupt(&u->pace);
}

static bool loads_list(const struct pace *p)
{
  return p->restores || pace_transfers_list(p);
}

/* Stopping inside the access abandons the instruction before it changes a
 * register; only what a list has loaded already must be put back. */
static uint32_t device(struct span *span, uint64_t offset, unsigned size,
                       bool write, uint64_t value)
{
  struct unicorn *u = span->unicorn;
  struct pace *p = &u->pace;
  if (!p->handed_over && loads_list(p) && p->access_of != p->instructions)
    unicorn_read(u->uc, u->kind, u->before);
  uint32_t read =
      pace_access(p, span->at + (addr_t)offset, size, write, (uint32_t)value);
  if (p->faulted || p->handed_over) uc_emu_stop(u->uc);
  return read;
}

static uint64_t on_read(uc_engine *uc, uint64_t offset, unsigned size,
                        void *user)
{
  (void)uc;
  return device(user, offset, size, false, 0);
}

static void on_write(uc_engine *uc, uint64_t offset, unsigned size,
                     uint64_t value, void *user)
{
  (void)uc;
  device(user, offset, size, true, value);
}

/* --- the map ------------------------------------------------------------ */

static void forget_now(struct unicorn *u, addr_t at, uint32_t size)
{
  must(uc_ctl_remove_cache(u->uc, (uint64_t)at, (uint64_t)at + size));
}

/* Code must not vanish while it executes: from inside a callback it is
 * forgotten at the next boundary, which comes at once. */
static void forget(struct cpu *cpu, addr_t at, uint32_t size)
{
  struct unicorn *u = (struct unicorn *)cpu;
  if (bus_execute_never(at)) return;
  if (!u->running) {
    forget_now(u, at, size);
    return;
  }
  if (u->late_count == LATE_MAX)
    u->translated = TRANSLATED_LIMIT; /* a new instance knows nothing */
  else
    u->late[u->late_count++] = (struct stretch){at, size};
  pace_interrupt(&u->pace);
}

static void forget_late(struct unicorn *u)
{
  for (unsigned i = 0; i < u->late_count; i++)
    forget_now(u, u->late[i].at, u->late[i].size);
  u->late_count = 0;
}

/* RAM that is seen at 0 too: to the library the code in it belongs to the
 * region, which was mapped first, and a store at 0 does not reach it. */
static void on_alias_store(uc_engine *uc, uc_mem_type type, uint64_t at,
                           int size, int64_t value, void *user)
{
  struct unicorn *u = user;
  (void)uc;
  (void)type;
  (void)value;
  forget(&u->cpu, u->mapped.regions[u->mapped.alias].at + (addr_t)at,
         (uint32_t)size);
}

static void map_region(struct unicorn *u, addr_t at,
                       const struct bus_region *r)
{
  uint32_t rights = UC_PROT_READ;
  if (r->writable) rights |= UC_PROT_WRITE;
  if (!bus_execute_never(at)) rights |= UC_PROT_EXEC;
  must(uc_mem_map_ptr(u->uc, at, r->size, rights, r->bytes));
}

static void map_device(struct unicorn *u, struct span *span,
                       const struct layout_stretch *s)
{
  *span = (struct span){.unicorn = u, .at = (addr_t)s->from};
  must(uc_mmio_map(u->uc, s->from, (size_t)(s->to - s->from), on_read, span,
                   on_write, span));
}

static void map_stretches(struct unicorn *u, unsigned from, unsigned to)
{
  for (unsigned i = from; i < to; i++) {
    const struct layout_stretch *s = &u->layout.stretches[i];
    if (s->region == BUS_NO_REGION)
      map_device(u, &u->spans[i], s);
    else
      map_region(u, (addr_t)s->from, &u->mapped.regions[s->region]);
  }
}

static void unmap_stretches(struct unicorn *u, unsigned from, unsigned to)
{
  for (unsigned i = from; i < to; i++) {
    const struct layout_stretch *s = &u->layout.stretches[i];
    must(uc_mem_unmap(u->uc, s->from, (size_t)(s->to - s->from)));
  }
}

/* RAM seen at 0 too needs a hook of its own. */
static bool mirrored(const struct bus *bus)
{
  return bus->alias != BUS_NO_REGION && bus->regions[bus->alias].at != 0 &&
         bus->regions[bus->alias].writable;
}

/* --- an instance of the library ----------------------------------------- */

static void add_hook(struct unicorn *u, int type, void *callback, addr_t from,
                     addr_t to)
{
  uc_hook hook;
  must(uc_hook_add(u->uc, &hook, type, callback, u, from, to));
}

/* Hooks come before the first translation: later ones are not called from
 * code that exists. A range with its end before its start is all of it. */
static void add_hooks(struct unicorn *u)
{
  add_hook(u, UC_HOOK_CODE, (void *)(uintptr_t)on_code, 1, 0);
  add_hook(u, UC_HOOK_INTR, (void *)(uintptr_t)on_interrupt, 1, 0);
  add_hook(u, UC_HOOK_MEM_WRITE_PROT, (void *)(uintptr_t)on_refused, 1, 0);
  add_hook(u, UC_HOOK_EDGE_GENERATED, (void *)(uintptr_t)on_translated, 1, 0);
  if (mirrored(&u->mapped))
    add_hook(u, UC_HOOK_MEM_WRITE, (void *)(uintptr_t)on_alias_store, 0,
             u->mapped.regions[u->mapped.alias].size - 1);
}

static const int models[] = {
    [CORE_KIND_M0] = UC_CPU_ARM_CORTEX_M0,
    [CORE_KIND_M0PLUS] = UC_CPU_ARM_CORTEX_M0,
    [CORE_KIND_M3] = UC_CPU_ARM_CORTEX_M3,
    [CORE_KIND_M4] = UC_CPU_ARM_CORTEX_M4,
    [CORE_KIND_M4F] = UC_CPU_ARM_CORTEX_M4,
};

/* The mode must not be M-class: that would choose another processor. */
static uc_err open_library(struct unicorn *u)
{
  u->translated = 0;
  uc_err error = uc_open(UC_ARCH_ARM, UC_MODE_THUMB, &u->uc);
  if (error == UC_ERR_OK) error = uc_ctl_set_cpu_model(u->uc, models[u->kind]);
  return error;
}

/* Regions come before the alias: code that is seen at 0 is then the region's
 * to the library, and translations of it outlive a change of the alias. */
static void start_afresh(struct unicorn *u)
{
  must(uc_close(u->uc));
  must(open_library(u));
  add_hooks(u);
  map_stretches(u, 0, u->layout.count);
}

static void take(struct unicorn *u, const struct bus *bus)
{
  u->mapped = *bus;
  layout_build(&u->layout, bus);
}

static void map(struct cpu *cpu)
{
  struct unicorn *u = (struct unicorn *)cpu;
  const struct bus *bus = cpu->bus;
  bool same = layout_same_regions(&u->mapped, bus);
  if (same && u->mapped.alias == bus->alias) return;
  if (same && !mirrored(&u->mapped) && !mirrored(bus)) {
    unmap_stretches(u, u->layout.fixed, u->layout.count);
    take(u, bus);
    map_stretches(u, u->layout.fixed, u->layout.count);
  } else {
    take(u, bus);
    start_afresh(u);
  }
}

/* --- execution ---------------------------------------------------------- */

/* Undone: what the pace counted did not happen. */
static enum cpu_exit undone(struct pace *p, enum cpu_exit exit, addr_t *pc)
{
  pace_undo(p);
  *pc = p->pc;
  return exit;
}

/* BX and POP give an EXC_RETURN in handler mode its meaning; for any other
 * way into PC it is an address (ARM DDI 0419E B1.5.8). */
static bool is_return(const struct pace *p, addr_t pc)
{
  enum decode_class class = cost_class(p->cost);
  if (p->v7m != NULL)
    return (p->core->xpsr & CORE_EXCEPTION) && pc >= CORE_EXC_RETURN &&
           p->v7m->last.returns;
  return (p->core->xpsr & CORE_EXCEPTION) && pc >= CORE_EXC_RETURN &&
         (class == DECODE_BX || class == DECODE_POP_PC);
}

/* Execution got to an address at which it can't go on; a boundary comes first
 * if it is one: attention outranks the fault that follows it. */
static enum cpu_exit nowhere(struct unicorn *u, uc_err error, addr_t *pc)
{
  struct pace *p = &u->pace;
  uint32_t xpsr;
  must(uc_reg_read(u->uc, UC_ARM_REG_PC, pc));
  must(uc_reg_read(u->uc, UC_ARM_REG_XPSR, &xpsr));
  bool thumb = xpsr & CORE_THUMB;
  if (error == UC_ERR_INSN_INVALID && thumb)
    return undone(p, CPU_UNDEFINED, pc);
  if (is_return(p, *pc)) {
    *pc |= thumb;
    return CPU_RETURN;
  }
  if (!thumb) p->core->xpsr &= ~CORE_THUMB;
  if (pace_settle(p, *pc)) return CPU_BOUNDARY;
  return thumb ? CPU_FETCH_FAULT : CPU_NOT_THUMB;
}

/* Why it came back, most important first. */
static enum cpu_exit outcome(struct unicorn *u, uc_err error, addr_t *pc)
{
  struct pace *p = &u->pace;
  if (p->faulted) return undone(p, CPU_DATA_FAULT, pc);
  if (p->handed_over) return undone(p, CPU_SYSTEM, pc);
  if (p->stopped) {
    *pc = p->next;
    return p->exit;
  }
  if (u->interrupt == FETCH_INTERRUPT) return nowhere(u, error, pc);
  if (u->interrupt != NO_INTERRUPT) {
    assert(u->interrupt == UNALIGNED_INTERRUPT);
    return undone(p, CPU_UNALIGNED, pc);
  }
  if (error == UC_ERR_WRITE_PROT) return undone(p, u->refused, pc);
  assert(error == UC_ERR_FETCH_PROT || error == UC_ERR_INSN_INVALID);
  return nowhere(u, error, pc);
}

static uc_err run(struct unicorn *u, addr_t pc)
{
  u->running = true;
  uc_err error = uc_emu_start(u->uc, pc | 1u, NEVER, 0, 0);
  u->running = false;
  return error;
}

static enum cpu_exit execute(struct cpu *cpu, struct core *core)
{
  struct unicorn *u = (struct unicorn *)cpu;
  uint32_t after[UNICORN_REGISTERS];
  addr_t pc;
  if (u->translated >= TRANSLATED_LIMIT) start_afresh(u);
  unicorn_load(u->uc, core);
  u->interrupt = NO_INTERRUPT;
  pace_begin(&u->pace, core, cpu->bus);
  uc_err error = UC_ERR_OK;
  if (u->v7m == NULL || pace_v7m_prime(&u->pace)) error = run(u, core->r[15]);
  enum cpu_exit exit = outcome(u, error, &pc);
  if ((u->pace.faulted && loads_list(&u->pace)) || u->pace.handed_over) {
    unicorn_store(core, u->before);
  } else {
    unicorn_read(u->uc, u->kind, after);
    unicorn_store(core, after);
  }
  unicorn_store_floats(u->uc, core);
  pace_end(&u->pace, pc);
  forget_late(u);
  return exit;
}

static void close_engine(struct cpu *cpu)
{
  struct unicorn *u = (struct unicorn *)cpu;
  must(uc_close(u->uc));
  free(u->v7m);
  free(u);
}

static const struct cpu_ops ops = {
    .close = close_engine, .map = map, .forget = forget, .execute = execute};

static enum sim_status no_memory(struct sim_error *err)
{
  return sim_fail(err, SIM_LIMIT, NULL,
                  "no memory for the instruction engine");
}

enum sim_status cpu_open_unicorn(struct cpu **cpu,
                                 const struct part_core *part,
                                 struct sim_error *err)
{
  struct unicorn *u = calloc(1, sizeof(*u));
  if (u == NULL) return no_memory(err);
  u->cpu.ops = &ops;
  u->kind = part->kind;
  u->mapped.alias = BUS_NO_REGION;
  if (part->kind >= CORE_KIND_M3) u->v7m = calloc(1, sizeof(*u->v7m));
  if (part->kind >= CORE_KIND_M3 && u->v7m == NULL) {
    free(u);
    return no_memory(err);
  }
  uc_err error = open_library(u);
  if (error != UC_ERR_OK) {
    free(u->v7m);
    free(u);
    return sim_fail(err, SIM_LIMIT, NULL,
                    "the instruction engine can't be opened: %s",
                    uc_strerror(error));
  }
  if (u->v7m == NULL) cycles_build(u->costs, part);
  u->pace = (struct pace){.costs = u->costs,
                          .read_register = read_register,
                          .halt = halt,
                          .engine = u,
                          .v7m = u->v7m};
  *cpu = &u->cpu;
  return SIM_OK;
}
