#include "core/core.h"

#include <assert.h>
#include <string.h>

#include "core/cpu.h"
#include "core/exception.h"
#include "core/fault.h"
#include "core/fpu.h"
#include "core/list.h"
#include "core/nvic.h"
#include "core/system.h"
#include "core/system_v7m.h"
#include "core/systick.h"
#include "core/thumb2.h"
#include "describe/trace_kinds.h"

/* Bits of the debug fault status, ARM DDI 0419E Table C1-12. */
#define DEBUG_FAULT_HALTED 0x1u
#define DEBUG_FAULT_VCATCH 0x8u

/* Bits of SCR, ARM DDI 0419E B3.2.7. */
#define CONTROL_SLEEP_ON_EXIT 0x02u
#define CONTROL_SEV_ON_PEND   0x10u

void core_init(struct core *c, const struct part_core *part)
{
  memset(c, 0, sizeof(*c));
  c->part = part;
  c->semihosting = part->semihosting;
  c->mode = CORE_OFF;
  c->region = BUS_NO_REGION;
  c->fetched = CORE_NOT_FETCHED;
  nvic_reset(c);
  systick_reset(c);
}

/* --- modes -------------------------------------------------------------- */

void core_enter_mode(struct core *c, const struct bus *bus,
                     enum core_mode mode)
{
  if (c->mode == mode) return;
  c->mode = mode;
  bus->report(bus->chip, c->cycle, TRACE_MODE, mode, c->r[15]);
}

void core_count(struct core *c, const struct bus *bus)
{
  uint64_t left = c->instructions - c->counted;
  c->counted = c->instructions;
  while (left > 0) {
    uint32_t some = left > UINT32_MAX ? UINT32_MAX : (uint32_t)left;
    bus->report(bus->chip, c->cycle, TRACE_RAN, c->region, some);
    left -= some;
  }
}

/* Everything a reset clears. */
static void clear(struct core *c)
{
  memset(c->r, 0, sizeof(c->r));
  c->msp = c->psp = 0;
  c->xpsr = 0;
  c->primask = c->control = 0;
  c->region = BUS_NO_REGION;
  c->fetched = CORE_NOT_FETCHED;
  c->fetch_ready = 0;
  memset(&c->flow, 0, sizeof(c->flow));
  memset(&c->progress, 0, sizeof(c->progress));
  c->basepri = c->faultmask = 0;
  nvic_reset(c);
  systick_reset(c);
  fpu_reset(c);
  memset(&c->fault_status, 0, sizeof(c->fault_status));
  c->configuration = core_is_v7m(c) ? FAULT_CCR_STACK : 0;
  c->auxiliary = 0;
  c->exclusive = false;
  c->entered_at = 0;
  c->came_due = c->cycle;
  c->pended_at = CYCLE_NEVER;
  c->stored.size = 0;
  c->event = c->sleeps_for_event = false;
  c->vector_base = c->system_control = 0;
  c->attention = c->boundary = c->reset_requested = false;
  c->debug_step = c->debug_mask = false;
}

static void lose_debug(struct core *c)
{
  c->debug_enabled = c->catch_reset = c->catch_hardfault = false;
  c->trace_enabled = false;
  c->catch_faults = c->debug_catch = c->monitor = 0;
  memset(&c->breakpoints, 0, sizeof(c->breakpoints));
  c->debug_fault_status = c->debug_data = 0;
}

void core_power_off(struct core *c, const struct bus *bus)
{
  core_count(c, bus);
  clear(c);
  lose_debug(c);
  core_enter_mode(c, bus, CORE_OFF);
}

void core_hold(struct core *c, const struct bus *bus, bool lose)
{
  core_count(c, bus);
  clear(c);
  if (lose) lose_debug(c);
  core_enter_mode(c, bus, CORE_HELD);
}

void core_reset(struct core *c, const struct bus *bus, addr_t vector_base)
{
  uint32_t sp = 0, pc = 0;
  assert(c->mode == CORE_HELD);
  clear(c);
  c->vector_base = vector_base;
  c->reset_seen = true;
  bool ok = bus_peek(bus, vector_base, 4, &sp) &&
            bus_peek(bus, vector_base + 4, 4, &pc);
  bus->report(bus->chip, c->cycle, TRACE_VECTORS, sp, pc);
  c->r[13] = sp & ~3u;
  c->r[15] = pc & ~1u;
  c->xpsr = pc & 1u ? CORE_THUMB : 0;
  if (core_is_v7m(c)) c->r[14] = UINT32_MAX; /* v6-M: unknown */
  if (!ok) {
    exception_lockup(c, bus);
  } else if (c->debug_enabled && c->catch_reset) {
    c->debug_fault_status |= DEBUG_FAULT_VCATCH;
    core_enter_mode(c, bus, CORE_HALTED);
  } else {
    core_enter_mode(c, bus, CORE_RUNNING);
  }
}

void core_attend(struct core *c)
{
  c->attention = true;
}

void core_idle(struct core *c, cycle_t to)
{
  assert(c->mode != CORE_RUNNING && to >= c->cycle);
  if (c->mode == CORE_HALTED) systick_freeze(c, to - c->cycle);
  c->cycle = c->came_due = to;
}

cycle_t core_next(const struct core *c)
{
  return c->mode == CORE_SLEEPING ? c->alarm : CYCLE_NEVER;
}

/* --- waking ------------------------------------------------------------- */

static void wake_from_sleep(struct core *c, const struct bus *bus)
{
  if (c->mode == CORE_SLEEPING) core_enter_mode(c, bus, CORE_RUNNING);
}

void core_event(struct core *c, const struct bus *bus)
{
  if (c->mode == CORE_OFF || c->mode == CORE_HELD) return;
  if (c->mode == CORE_SLEEPING && c->sleeps_for_event)
    wake_from_sleep(c, bus);
  else
    c->event = true;
}

void core_pend(struct core *c, const struct bus *bus, unsigned number)
{
  assert(nvic_can_pend(c, number));
  if (c->mode == CORE_OFF || c->mode == CORE_HELD) return;
  bool was_pending = nvic_has(&c->pending, number);
  nvic_add(&c->pending, number);
  c->pended_at = c->came_due == CYCLE_NEVER ? c->cycle : c->came_due;
  c->boundary = true;
  if (!was_pending && (c->system_control & CONTROL_SEV_ON_PEND))
    core_event(c, bus);
  bool takes = nvic_next(c, !c->sleeps_for_event) != 0;
  if (takes) wake_from_sleep(c, bus);
  if (takes && c->mode == CORE_LOCKUP) core_enter_mode(c, bus, CORE_RUNNING);
}

void core_wake(struct core *c, const struct bus *bus)
{
  if (c->cycle < c->alarm || c->mode != CORE_SLEEPING) return;
  systick_sync(c);
  core_pend(c, bus, EXCEPTION_SYSTICK);
}

/* --- debug -------------------------------------------------------------- */

void core_halt(struct core *c, const struct bus *bus)
{
  assert(c->debug_enabled);
  if (c->mode == CORE_OFF || c->mode == CORE_HELD || c->mode == CORE_HALTED)
    return;
  c->debug_fault_status |= DEBUG_FAULT_HALTED;
  list_break_off(c, bus);
  core_enter_mode(c, bus, CORE_HALTED);
}

void core_go(struct core *c, const struct bus *bus)
{
  assert(c->debug_enabled);
  c->fetched = CORE_NOT_FETCHED;
  if (c->mode == CORE_HALTED) core_enter_mode(c, bus, CORE_RUNNING);
}

uint32_t core_register(const struct core *c, unsigned number)
{
  bool process = exception_on_process_stack(c);
  assert(number < CORE_REGISTERS);
  if (number >= CORE_S0) return c->fpu.s[number - CORE_S0];
  switch (number) {
  case CORE_XPSR: return c->xpsr;
  case CORE_MSP: return process ? c->msp : c->r[13];
  case CORE_PSP: return process ? c->r[13] : c->psp;
  case CORE_PRIMASK: return c->primask;
  case CORE_CONTROL: return c->control;
  case CORE_BASEPRI: return c->basepri;
  case CORE_FAULTMASK: return c->faultmask;
  case CORE_FPSCR: return c->fpu.status;
  default: return c->r[number];
  }
}

static void set_stack(struct core *c, bool process, uint32_t value)
{
  if (process == exception_on_process_stack(c))
    c->r[13] = value & ~3u;
  else if (process)
    c->psp = value & ~3u;
  else
    c->msp = value & ~3u;
}

/* What was broken off lies elsewhere. */
static void set_pc(struct core *c, uint32_t value)
{
  c->r[15] = value & ~1u;
  if (core_is_v7m(c))
    c->xpsr &= ~thumb2_continue_bits(thumb2_continues(c->xpsr));
}

/* The exception number is not the debugger's to write. */
static void set_status(struct core *c, uint32_t value)
{
  uint32_t theirs = CORE_FLAGS | CORE_THUMB;
  if (core_is_v7m(c)) theirs |= CORE_SATURATED | CORE_GREATER | CORE_IT;
  c->xpsr = (c->xpsr & ~theirs) | (value & theirs);
}

static void set_control(struct core *c, uint32_t value)
{
  if ((c->xpsr & CORE_EXCEPTION) == 0)
    exception_use_stack(c, value & CORE_PROCESS_STACK);
  uint32_t theirs = c->part->kind == CORE_KIND_M0 ? 0 : CORE_UNPRIVILEGED;
  if (core_has_fpu(c)) theirs |= CORE_FLOATING;
  c->control = (c->control & ~theirs) | (value & theirs);
}

/* NMI and, for FAULTMASK, HardFault outrank it already. */
static void set_faultmask(struct core *c, uint32_t value)
{
  if (nvic_active_priority(c) > NVIC_PRIORITY_HARDFAULT || !(value & 1u))
    c->faultmask = value & 1u;
}

void core_set_register(struct core *c, unsigned number, uint32_t value)
{
  assert(number < CORE_REGISTERS);
  if (number >= CORE_S0) {
    c->fpu.s[number - CORE_S0] = value;
    return;
  }
  switch (number) {
  case 13: c->r[13] = value & ~3u; break;
  case 15: set_pc(c, value); break;
  case CORE_XPSR: set_status(c, value); break;
  case CORE_MSP: set_stack(c, false, value); break;
  case CORE_PSP: set_stack(c, true, value); break;
  case CORE_PRIMASK: c->primask = value & 1u; break;
  case CORE_CONTROL: set_control(c, value); break;
  case CORE_BASEPRI: c->basepri = value & nvic_priority_bits(c->part); break;
  case CORE_FAULTMASK: set_faultmask(c, value); break;
  case CORE_FPSCR: c->fpu.status = value & CORE_FPSCR_BITS; break;
  default: c->r[number] = value; break;
  }
}

/* --- running ------------------------------------------------------------ */

static enum core_stop stop_of_mode(enum core_mode mode)
{
  switch (mode) {
  case CORE_SLEEPING: return CORE_STOP_SLEEP;
  case CORE_HALTED: return CORE_STOP_HALTED;
  case CORE_LOCKUP: return CORE_STOP_LOCKUP;
  default: return CORE_STOP_RESET;
  }
}

static bool stopped(struct core *c, enum core_stop *stop)
{
  if (c->attention) {
    c->attention = false;
    *stop = CORE_STOP_ATTENTION;
  } else if (c->mode != CORE_RUNNING) {
    *stop = stop_of_mode(c->mode);
  } else if (c->cycle >= c->deadline) {
    *stop = CORE_STOP_DEADLINE;
  } else {
    return false;
  }
  return true;
}

static void return_from_handler(struct core *c, const struct bus *bus)
{
  exception_return(c, bus, c->r[15]);
  bool thread = (c->xpsr & CORE_EXCEPTION) == 0;
  if (c->mode == CORE_RUNNING && thread &&
      (c->system_control & CONTROL_SLEEP_ON_EXIT) && nvic_next(c, true) == 0) {
    c->sleeps_for_event = false;
    core_enter_mode(c, bus, CORE_SLEEPING);
  }
}

/* A coprocessor that is not there is told apart from other encodings that
 * are not (v7-M). */
static enum fault undefined(const struct core *c, const struct bus *bus)
{
  uint32_t first = 0;
  bus_peek(bus, c->r[15], 2, &first);
  if (!thumb2_is_coprocessor((uint16_t)first)) return FAULT_UNDEFINED;
  return core_has_fpu(c) && fpu_accessible(c) ? FAULT_UNDEFINED
                                              : FAULT_NO_COPROCESSOR;
}

static enum fault fault_of_exit(const struct core *c, const struct bus *bus,
                                enum cpu_exit exit)
{
  switch (exit) {
  case CPU_NOT_THUMB: return FAULT_NOT_THUMB;
  case CPU_UNALIGNED: return FAULT_UNALIGNED;
  case CPU_DIVIDE: return FAULT_DIVIDE;
  case CPU_DATA_FAULT: return FAULT_DATA;
  case CPU_FETCH_FAULT: return fault_of_fetch(c->r[15]);
  default: return undefined(c, bus);
  }
}

/* What the core stored by itself may be code. */
static void forget_stored(struct core *c, struct cpu *cpu)
{
  if (c->stored.size == 0) return;
  cpu_invalidate(cpu, c->stored.at, c->stored.size);
  c->stored.size = 0;
}

/* By the core itself. */
static void execute_here(struct core *c, struct cpu *cpu,
                         const struct bus *bus)
{
  bool returns = system_execute(c, bus);
  forget_stored(c, cpu);
  if (returns) return_from_handler(c, bus);
}

/* One that was broken off and not abandoned: a list goes on, another one is
 * begun again as of the cycle at which it began. */
static bool resume(struct core *c, struct cpu *cpu, const struct bus *bus)
{
  if (!c->progress.begun) return false;
  if (c->progress.list) {
    execute_here(c, cpu, bus);
    return true;
  }
  c->cycle -= c->progress.spent;
  c->progress.spent = 0;
  return false;
}

static void execute(struct core *c, struct cpu *cpu, const struct bus *bus)
{
  if (!(c->xpsr & CORE_THUMB)) {
    fault_take(c, bus, FAULT_NOT_THUMB, 0);
    return;
  }
  if (resume(c, cpu, bus)) return;
  bool in_block = thumb2_it_of(c->xpsr) != 0;
  uint64_t before = c->instructions;
  if (in_block && system_v7m_skips(c, bus)) return;
  enum cpu_exit exit = cpu_execute(cpu, c, bus);
  forget_stored(c, cpu);
  if (in_block && c->instructions != before) system_v7m_advance_it(c);
  switch (exit) {
  case CPU_BOUNDARY: break;
  case CPU_SYSTEM: execute_here(c, cpu, bus); break;
  case CPU_BREAKPOINT: system_breakpoint(c, bus); break;
  case CPU_RETURN: return_from_handler(c, bus); break;
  default: fault_take(c, bus, fault_of_exit(c, bus, exit), c->fault_at); break;
  }
}

/* What happens at one instruction boundary. */
static void advance(struct core *c, struct cpu *cpu, const struct bus *bus)
{
  c->boundary = false;
  if (c->cycle >= c->alarm) {
    c->pended_at = c->alarm;
    systick_sync(c);
  }
  unsigned number = nvic_next(c, false);
  if (number == 0)
    execute(c, cpu, bus);
  else if (core_is_v7m(c) && c->entered_at == c->instructions + 1)
    exception_arrive_late(c, bus, number);
  else
    exception_interrupt(c, bus, number);
}

/* One instruction or exception entry, then Debug state (ARM DDI 0419E
 * C1.5). */
static void single_step(struct core *c, struct cpu *cpu, const struct bus *bus)
{
  uint64_t instructions = c->instructions;
  struct exception_set active = c->active;
  cycle_t until = c->deadline;
  cycle_t soon = c->cycle + 1; /* until is later: else core_run had stopped */
  c->deadline = soon;
  advance(c, cpu, bus);
  if (c->mode == CORE_RUNNING &&
      (c->instructions != instructions ||
       memcmp(&c->active, &active, sizeof(active)) != 0))
    core_halt(c, bus);
  if (c->deadline == soon) c->deadline = until;
}

enum core_stop core_run(struct core *c, struct cpu *cpu, const struct bus *bus,
                        cycle_t until)
{
  enum core_stop stop;
  c->deadline = until;
  c->came_due = CYCLE_NEVER;
  while (!stopped(c, &stop)) {
    if (c->debug_step && c->debug_enabled)
      single_step(c, cpu, bus);
    else
      advance(c, cpu, bus);
  }
  c->came_due = c->deadline < c->cycle ? c->deadline : c->cycle;
  return stop;
}
