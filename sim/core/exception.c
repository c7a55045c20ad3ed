#include "core/exception.h"

#include <assert.h>
#include <stddef.h>

#include "core/cycles.h"
#include "core/fault.h"
#include "core/frame.h"
#include "core/list.h"
#include "core/nvic.h"
#include "describe/trace_kinds.h"

/* EXC_RETURN, ARM DDI 0419E Table B1-5. With bit 4 clear the frame is
 * extended (v7-M with floating point). */
#define RETURN_HANDLER 0xfffffff1u
#define RETURN_MAIN    0xfffffff9u
#define RETURN_PROCESS 0xfffffffdu
#define RETURN_BASIC   0x00000010u

#define STATUS_V6M 0x3fu /* bits of IPSR that are there */
#define STATUS_V7M 0x1ffu

/* --- stacks ------------------------------------------------------------- */

bool exception_on_process_stack(const struct core *c)
{
  return (c->xpsr & CORE_EXCEPTION) == 0 && (c->control & CORE_PROCESS_STACK);
}

void exception_use_stack(struct core *c, bool process)
{
  frame_swap_stack(c, exception_on_process_stack(c), process);
  c->control = process ? c->control | CORE_PROCESS_STACK
                       : c->control & ~CORE_PROCESS_STACK;
}

/* --- lockup ------------------------------------------------------------- */

void exception_lock(struct core *c, const struct bus *bus)
{
  addr_t fault = c->r[15];
  int priority = nvic_priority(c);
  assert(priority < 0);
  c->r[15] = CORE_LOCKUP_PC;
  c->xpsr &= ~CORE_IT;
  bus->report(bus->chip, c->cycle, TRACE_LOCKUP, fault, (uint32_t)-priority);
  core_enter_mode(c, bus, CORE_LOCKUP);
}

void exception_lockup(struct core *c, const struct bus *bus)
{
  nvic_add(&c->active, EXCEPTION_HARDFAULT);
  c->xpsr = (c->xpsr & ~CORE_EXCEPTION) | EXCEPTION_HARDFAULT;
  exception_lock(c, bus);
}

/* --- entry -------------------------------------------------------------- */

static uint32_t return_value(const struct core *c)
{
  uint32_t basic = c->control & CORE_FLOATING ? RETURN_BASIC : 0;
  uint32_t value = RETURN_MAIN;
  if (c->xpsr & CORE_EXCEPTION)
    value = RETURN_HANDLER;
  else if (c->control & CORE_PROCESS_STACK)
    value = RETURN_PROCESS;
  return value & ~basic;
}

/* Registers of the handler. */
static void enter_handler(struct core *c, unsigned number, uint32_t link,
                          uint32_t vector)
{
  uint32_t kept =
      CORE_FLAGS | (core_is_v7m(c) ? CORE_SATURATED | CORE_GREATER : 0);
  exception_use_stack(c, false);
  c->control &= ~CORE_FLOATING;
  c->r[14] = link;
  c->r[15] = vector & ~1u;
  c->xpsr = (c->xpsr & kept) | (vector & 1u ? CORE_THUMB : 0) | number;
  nvic_add(&c->active, number);
  nvic_remove(&c->pending, number);
  c->event = true; /* from memory: entry and return set the event register */
  c->exclusive = false;
  c->fetched = CORE_NOT_FETCHED;
  c->flow = (struct core_flow){.kind = CORE_FLOW_NONE};
  c->entered_at = c->instructions + 1;
}

static bool read_vector(const struct core *c, const struct bus *bus,
                        unsigned number, uint32_t *vector)
{
  return bus_peek(bus, c->vector_base + 4 * number, 4, vector);
}

/* Handler of `number`, the frame being on the stack already; `return_to` is
 * for the report. A vector that can't be read is a HardFault taken instead,
 * or lockup at -1 or -2 (ARM DDI 0419E Table B1-7). */
static void enter(struct core *c, const struct bus *bus, unsigned number,
                  uint32_t link, addr_t return_to, cycle_t cycles)
{
  uint32_t vector = c->r[15];
  bool ok = read_vector(c, bus, number, &vector);
  if (!ok && number > EXCEPTION_HARDFAULT) {
    nvic_add(&c->pending, number);
    number = EXCEPTION_HARDFAULT;
    if (core_is_v7m(c)) fault_record(c, FAULT_VECTOR, 0);
    ok = read_vector(c, bus, number, &vector);
  }
  bus->report(bus->chip, c->cycle, TRACE_EXCEPTION, number, return_to);
  enter_handler(c, number, link, vector);
  c->cycle += cycles;
  if (!ok)
    exception_lock(c, bus);
  else
    fault_catch(c, bus, number);
}

/* Stacking failed while `number` was to be taken: which of the two is entered,
 * the other stays pending. */
static unsigned after_stacking_fault(struct core *c, unsigned number)
{
  unsigned fault = EXCEPTION_HARDFAULT;
  if (core_is_v7m(c)) fault = fault_record(c, FAULT_STACKING, 0);
  bool first = nvic_priority_of(c, fault) < nvic_priority_of(c, number) ||
               fault == number;
  nvic_add(&c->pending, first ? number : fault);
  return first ? fault : number;
}

/* `waited`: so much of the entry has passed already. */
static void take(struct core *c, const struct bus *bus, unsigned number,
                 addr_t return_to, cycle_t waited)
{
  uint32_t link = return_value(c);
  cycle_t cycles;
  list_break_off(c, bus);
  bool ok = frame_push(c, bus, return_to, &cycles);
  if (!ok && number <= EXCEPTION_HARDFAULT) {
    nvic_add(&c->active, number);
    exception_use_stack(c, false);
    c->xpsr = (c->xpsr & ~CORE_EXCEPTION) | number;
    exception_lock(c, bus);
    return;
  }
  if (!ok) number = after_stacking_fault(c, number);
  cycles += cycles_exception_entry(c->part->kind) - waited;
  enter(c, bus, number, link, return_to, cycles);
}

void exception_take(struct core *c, const struct bus *bus, unsigned number,
                    addr_t return_to)
{
  take(c, bus, number, return_to, 0);
}

void exception_interrupt(struct core *c, const struct bus *bus,
                         unsigned number)
{
  cycle_t waited = c->cycle - c->pended_at;
  bool overlaps = waited > 0 && waited <= cycles_entry_overlap(c->part->kind);
  c->pended_at = CYCLE_NEVER;
  take(c, bus, number, c->r[15], overlaps ? waited : 0);
}

static bool returns_to_process(uint32_t value)
{
  return (value | RETURN_BASIC) == RETURN_PROCESS;
}

/* What the frame in use says, for the report; the handler's own address if it
 * can't be read. */
static addr_t frame_returns_to(struct core *c, const struct bus *bus,
                               uint32_t link)
{
  uint32_t psr;
  addr_t to = c->r[15];
  bool process = returns_to_process(link);
  frame_swap_stack(c, false, process);
  frame_look(c, bus, &psr, &to);
  frame_swap_stack(c, process, false);
  return to;
}

void exception_arrive_late(struct core *c, const struct bus *bus,
                           unsigned number)
{
  unsigned waits = c->xpsr & CORE_EXCEPTION;
  addr_t to = frame_returns_to(c, bus, c->r[14]);
  nvic_remove(&c->active, waits);
  nvic_add(&c->pending, waits);
  bus->report(bus->chip, c->cycle, TRACE_EXCEPTION_END, waits, to);
  enter(c, bus, number, c->r[14], to, cycles_tail_chain(c->part->kind));
}

void exception_call(struct core *c, const struct bus *bus, addr_t svc)
{
  if (nvic_priority_of(c, EXCEPTION_SVCALL) < nvic_priority(c)) {
    exception_take(c, bus, EXCEPTION_SVCALL, svc + 2);
    return;
  }
  /* Unsure: whether the frame of an escalated SVC holds its own address or
   * the next; its own, as for other synchronous faults. */
  c->r[15] = svc;
  fault_take(c, bus, FAULT_ESCALATED, 0);
}

/* --- return ------------------------------------------------------------- */

static bool return_is_sound(const struct core *c, uint32_t value)
{
  bool nested = nvic_count(&c->active) > 1;
  bool deep = core_is_v7m(c) && (c->configuration & FAULT_CCR_THREAD);
  if (!nvic_has(&c->active, c->xpsr & CORE_EXCEPTION)) return false;
  if (core_has_fpu(c)) value |= RETURN_BASIC;
  if (value == RETURN_HANDLER) return nested;
  return (value == RETURN_MAIN || value == RETURN_PROCESS) &&
         (!nested || deep);
}

static bool psr_fits(uint32_t psr, uint32_t value)
{
  bool handler = (value | RETURN_BASIC) == RETURN_HANDLER;
  return handler == ((psr & CORE_EXCEPTION) != 0);
}

static void deactivate(struct core *c, unsigned number)
{
  nvic_remove(&c->active, number);
  if (number != EXCEPTION_NMI) c->faultmask = 0;
  c->exclusive = false;
  c->fetched = CORE_NOT_FETCHED;
  c->flow = (struct core_flow){.kind = CORE_FLOW_NONE};
  c->event = true;
}

/* The frame stays where it is and another handler is entered on top. */
static void chain(struct core *c, const struct bus *bus, unsigned number,
                  uint32_t value)
{
  enter(c, bus, number, value, frame_returns_to(c, bus, value),
        cycles_tail_chain(c->part->kind));
}

/* A return that fails, the frame still on the stack: the fault's handler is
 * entered with it, or the core locks up at the priority it returned to (ARM
 * DDI 0484C leaves that to the implementation and says so of this core). */
static void fail_return(struct core *c, const struct bus *bus,
                        enum fault fault, uint32_t value)
{
  int priority = nvic_priority(c);
  unsigned number = EXCEPTION_HARDFAULT;
  if (core_is_v7m(c)) number = fault_record(c, fault, 0);
  if (number == EXCEPTION_HARDFAULT && priority <= NVIC_PRIORITY_HARDFAULT)
    exception_lock(c, bus);
  else if (core_is_v7m(c))
    chain(c, bus, number, value);
  else
    enter(c, bus, number, value, c->r[15],
          cycles_exception_entry(c->part->kind));
}

/* The registers and the mode that the frame says. False: it failed. */
static bool unstack(struct core *c, const struct bus *bus, uint32_t value)
{
  uint32_t psr;
  cycle_t cycles;
  bool process = returns_to_process(value);
  bool extended = core_is_v7m(c) && !(value & RETURN_BASIC);
  uint32_t kept = CORE_FLAGS | CORE_THUMB | STATUS_V6M;
  if (core_is_v7m(c))
    kept = CORE_FLAGS | CORE_SATURATED | CORE_GREATER | CORE_IT | CORE_THUMB |
           STATUS_V7M;
  frame_swap_stack(c, false, process);
  if (!frame_pop(c, bus, extended, &psr, &cycles)) {
    frame_swap_stack(c, process, false);
    fail_return(c, bus, FAULT_UNSTACKING, value);
    return false;
  }
  c->cycle += cycles;
  c->control &= ~(CORE_PROCESS_STACK | CORE_FLOATING);
  c->control |=
      (process ? CORE_PROCESS_STACK : 0) | (extended ? CORE_FLOATING : 0);
  c->xpsr = psr & kept;
  return true;
}

/* v7-M: the exception number in the frame is looked at before it is popped. */
static bool frame_fits(struct core *c, const struct bus *bus, uint32_t value)
{
  uint32_t psr;
  addr_t to;
  bool process = returns_to_process(value);
  frame_swap_stack(c, false, process);
  bool fits = !frame_look(c, bus, &psr, &to) || psr_fits(psr, value);
  frame_swap_stack(c, process, false);
  return fits;
}

/* v7-M, the handler of `number` having ended. True if the frame is not to be
 * popped: something else was entered. */
static bool enter_instead(struct core *c, const struct bus *bus,
                          unsigned number, uint32_t value)
{
  unsigned next = nvic_next(c, false);
  if (next == 0 && frame_fits(c, bus, value)) return false;
  bus->report(bus->chip, c->cycle, TRACE_EXCEPTION_END, number,
              frame_returns_to(c, bus, value));
  if (next != 0)
    chain(c, bus, next, value);
  else
    fail_return(c, bus, FAULT_RETURN, value);
  return true;
}

/* v7-M ends the handler all the same; v6-M faults within it. */
static void refuse_return(struct core *c, const struct bus *bus,
                          unsigned number, uint32_t value)
{
  if (!core_is_v7m(c)) {
    fault_take(c, bus, FAULT_RETURN, 0);
    return;
  }
  deactivate(c, number);
  fail_return(c, bus, FAULT_RETURN, value);
}

void exception_return(struct core *c, const struct bus *bus, uint32_t value)
{
  unsigned number = c->xpsr & CORE_EXCEPTION;
  c->r[15] = value & ~1u;
  if (!return_is_sound(c, value)) {
    refuse_return(c, bus, number, value);
    return;
  }
  deactivate(c, number);
  if (core_is_v7m(c) && enter_instead(c, bus, number, value)) return;
  c->cycle += cycles_exception_return(c->part->kind);
  if (!unstack(c, bus, value)) return;
  bus->report(bus->chip, c->cycle, TRACE_EXCEPTION_END, number, c->r[15]);
  if (!psr_fits(c->xpsr, value)) fault_take(c, bus, FAULT_RETURN, 0);
}
