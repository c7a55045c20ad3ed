#include "core/core.h"

#include <assert.h>
#include <string.h>

#include "core/cpu.h"
#include "core/exception.h"
#include "core/system.h"
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
  c->mode = CORE_OFF;
  c->region = BUS_NO_REGION;
  c->fetched = CORE_NOT_FETCHED;
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
  c->active = c->pending = 0;
  memset(c->priority, 0, sizeof(c->priority));
  c->event = c->sleeps_for_event = false;
  c->vector_base = c->system_control = 0;
  c->attention = c->boundary = c->reset_requested = false;
  c->debug_step = c->debug_mask = false;
}

static void lose_debug(struct core *c)
{
  c->debug_enabled = c->catch_reset = c->catch_hardfault = false;
  c->trace_enabled = false;
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
  c->cycle = to;
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
  assert(number == EXCEPTION_NMI ||
         (EXCEPTION_SETTABLE & exception_bit(number)));
  if (c->mode == CORE_OFF || c->mode == CORE_HELD) return;
  bool was_pending = c->pending & exception_bit(number);
  c->pending |= exception_bit(number);
  c->boundary = true;
  if (!was_pending && (c->system_control & CONTROL_SEV_ON_PEND))
    core_event(c, bus);
  bool takes = exception_next(c, !c->sleeps_for_event) != 0;
  if (takes) wake_from_sleep(c, bus);
  if (takes && c->mode == CORE_LOCKUP) core_enter_mode(c, bus, CORE_RUNNING);
}

/* --- debug -------------------------------------------------------------- */

void core_halt(struct core *c, const struct bus *bus)
{
  assert(c->debug_enabled);
  if (c->mode == CORE_OFF || c->mode == CORE_HELD || c->mode == CORE_HALTED)
    return;
  c->debug_fault_status |= DEBUG_FAULT_HALTED;
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
  assert(number <= CORE_CONTROL);
  switch (number) {
  case CORE_XPSR: return c->xpsr;
  case CORE_MSP: return process ? c->msp : c->r[13];
  case CORE_PSP: return process ? c->r[13] : c->psp;
  case CORE_PRIMASK: return c->primask;
  case CORE_CONTROL: return c->control;
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

/* The exception number is not the debugger's to write. */
static void set_status(struct core *c, uint32_t value)
{
  uint32_t theirs = CORE_FLAGS | CORE_THUMB;
  c->xpsr = (c->xpsr & ~theirs) | (value & theirs);
}

static void set_control(struct core *c, uint32_t value)
{
  if ((c->xpsr & CORE_EXCEPTION) == 0)
    exception_use_stack(c, value & CORE_PROCESS_STACK);
  if (c->part->kind == CORE_KIND_M0PLUS)
    c->control =
        (c->control & ~CORE_UNPRIVILEGED) | (value & CORE_UNPRIVILEGED);
}

void core_set_register(struct core *c, unsigned number, uint32_t value)
{
  assert(number <= CORE_CONTROL);
  switch (number) {
  case 13: c->r[13] = value & ~3u; break;
  case 15: c->r[15] = value & ~1u; break;
  case CORE_XPSR: set_status(c, value); break;
  case CORE_MSP: set_stack(c, false, value); break;
  case CORE_PSP: set_stack(c, true, value); break;
  case CORE_PRIMASK: c->primask = value & 1u; break;
  case CORE_CONTROL: set_control(c, value); break;
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
      (c->system_control & CONTROL_SLEEP_ON_EXIT) &&
      exception_next(c, true) == 0) {
    c->sleeps_for_event = false;
    core_enter_mode(c, bus, CORE_SLEEPING);
  }
}

static void execute(struct core *c, struct cpu *cpu, const struct bus *bus)
{
  if (!(c->xpsr & CORE_THUMB)) {
    exception_fault(c, bus);
    return;
  }
  switch (cpu_execute(cpu, c, bus)) {
  case CPU_BOUNDARY: break;
  case CPU_SYSTEM: system_execute(c, bus); break;
  case CPU_RETURN: return_from_handler(c, bus); break;
  case CPU_UNDEFINED:
  case CPU_NOT_THUMB:
  case CPU_UNALIGNED:
  case CPU_DATA_FAULT:
  case CPU_FETCH_FAULT: exception_fault(c, bus); break;
  }
}

/* What happens at one instruction boundary. */
static void advance(struct core *c, struct cpu *cpu, const struct bus *bus)
{
  c->boundary = false;
  unsigned number = exception_next(c, false);
  if (number != 0)
    exception_take(c, bus, number, c->r[15]);
  else
    execute(c, cpu, bus);
}

/* One instruction or exception entry, then Debug state (ARM DDI 0419E
 * C1.5). */
static void single_step(struct core *c, struct cpu *cpu, const struct bus *bus)
{
  uint64_t instructions = c->instructions;
  uint64_t active = c->active;
  cycle_t until = c->deadline;
  cycle_t soon = c->cycle + 1; /* until is later: else core_run had stopped */
  c->deadline = soon;
  advance(c, cpu, bus);
  if (c->mode == CORE_RUNNING &&
      (c->instructions != instructions || c->active != active))
    core_halt(c, bus);
  if (c->deadline == soon) c->deadline = until;
}

enum core_stop core_run(struct core *c, struct cpu *cpu, const struct bus *bus,
                        cycle_t until)
{
  enum core_stop stop;
  c->deadline = until;
  while (!stopped(c, &stop)) {
    if (c->debug_step && c->debug_enabled)
      single_step(c, cpu, bus);
    else
      advance(c, cpu, bus);
  }
  return stop;
}
