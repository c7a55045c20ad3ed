#include "core/exception.h"

#include <assert.h>
#include <stddef.h>

#include "core/cycles.h"
#include "describe/trace_kinds.h"

#define FRAME_SIZE  0x20u
#define FRAME_WORDS 8u
#define ALIGNED_BIT 0x200u /* of a stacked xPSR: SP was 4 more */

/* EXC_RETURN, ARM DDI 0419E Table B1-5. */
#define RETURN_FIXED   0xfffffff0u
#define RETURN_HANDLER 0xfffffff1u
#define RETURN_MAIN    0xfffffff9u
#define RETURN_PROCESS 0xfffffffdu

/* Priorities: lower is more urgent. */
enum { PRIORITY_NMI = -2, PRIORITY_HARDFAULT = -1, PRIORITY_NONE = 4 };

/* Bits of the debug fault status, ARM DDI 0419E Table C1-12. */
#define DEBUG_FAULT_VCATCH 0x8u

static int priority_of(const struct core *c, unsigned number)
{
  if (number == EXCEPTION_NMI) return PRIORITY_NMI;
  if (number == EXCEPTION_HARDFAULT) return PRIORITY_HARDFAULT;
  return c->priority[number];
}

static int active_priority(const struct core *c)
{
  int least = PRIORITY_NONE;
  for (unsigned n = EXCEPTION_NMI; n < EXCEPTION_COUNT; n++) {
    if ((c->active & exception_bit(n)) && priority_of(c, n) < least)
      least = priority_of(c, n);
  }
  return least;
}

static int execution_priority(const struct core *c)
{
  int least = active_priority(c);
  return c->primask && least > 0 ? 0 : least;
}

/* Most urgent of a set, if it is more urgent than `than`; else 0. */
static unsigned most_urgent(const struct core *c, uint64_t set, int than)
{
  unsigned found = 0;
  for (unsigned n = EXCEPTION_NMI; set != 0 && n < EXCEPTION_COUNT; n++) {
    if ((set & exception_bit(n)) && priority_of(c, n) < than) {
      than = priority_of(c, n);
      found = n;
    }
  }
  return found;
}

unsigned exception_most_urgent(const struct core *c)
{
  return most_urgent(c, c->pending, PRIORITY_NONE);
}

unsigned exception_next(const struct core *c, bool ignore_mask)
{
  uint64_t set = c->pending;
  if (c->debug_mask && c->debug_enabled)
    set &= ~(EXCEPTION_SETTABLE & ~exception_bit(EXCEPTION_SVCALL));
  if (set == 0) return 0;
  return most_urgent(c, set,
                     ignore_mask ? active_priority(c) : execution_priority(c));
}

/* --- stacks ------------------------------------------------------------- */

bool exception_on_process_stack(const struct core *c)
{
  return (c->xpsr & CORE_EXCEPTION) == 0 && (c->control & CORE_PROCESS_STACK);
}

/* r[13] changes its bank; xpsr and control are the caller's business. */
static void swap_stack(struct core *c, bool from_process, bool to_process)
{
  if (from_process == to_process) return;
  if (from_process) {
    c->psp = c->r[13];
    c->r[13] = c->msp;
  } else {
    c->msp = c->r[13];
    c->r[13] = c->psp;
  }
}

void exception_use_stack(struct core *c, bool process)
{
  swap_stack(c, exception_on_process_stack(c), process);
  c->control = process ? c->control | CORE_PROCESS_STACK
                       : c->control & ~CORE_PROCESS_STACK;
}

static bool frame_word(struct core *c, const struct bus *bus, addr_t at,
                       bool write, uint32_t *value)
{
  if (write ? bus_poke(bus, at, 4, *value) : bus_peek(bus, at, 4, value))
    return true;
  if (bus_private(at) || bus_find(bus, at, NULL) != BUS_NO_REGION)
    return false;
  struct bus_answer answer =
      bus->access(bus->chip, &(struct bus_access){.at = at,
                                                  .value = write ? *value : 0,
                                                  .stamp = c->cycle,
                                                  .pc = c->r[15],
                                                  .size = 4,
                                                  .write = write});
  c->cycle += answer.stall;
  if (!write) *value = answer.value;
  return !answer.fault;
}

/* The stack pointer moves even if a store fails: the handler of that fault
 * finds it there. */
static bool push_frame(struct core *c, const struct bus *bus, addr_t return_to)
{
  uint32_t sp = c->r[13];
  uint32_t at = (sp - FRAME_SIZE) & ~(uint32_t)4;
  uint32_t xpsr = (c->xpsr & ~ALIGNED_BIT) | ((sp & 4u) ? ALIGNED_BIT : 0);
  uint32_t frame[FRAME_WORDS] = {c->r[0],  c->r[1],  c->r[2],   c->r[3],
                                 c->r[12], c->r[14], return_to, xpsr};
  bool ok = true;
  for (unsigned i = 0; ok && i < FRAME_WORDS; i++)
    ok = frame_word(c, bus, at + 4 * i, true, &frame[i]);
  c->r[13] = at;
  return ok;
}

static bool pop_frame(struct core *c, const struct bus *bus, uint32_t *psr)
{
  uint32_t at = c->r[13];
  uint32_t frame[FRAME_WORDS];
  for (unsigned i = 0; i < FRAME_WORDS; i++) {
    if (!frame_word(c, bus, at + 4 * i, false, &frame[i])) return false;
  }
  for (unsigned i = 0; i < 4; i++)
    c->r[i] = frame[i];
  c->r[12] = frame[4];
  c->r[14] = frame[5];
  c->r[15] = frame[6] & ~1u;
  *psr = frame[7];
  c->r[13] = (at + FRAME_SIZE) | (frame[7] & ALIGNED_BIT ? 4u : 0);
  return true;
}

/* --- entry -------------------------------------------------------------- */

static void lockup(struct core *c, const struct bus *bus)
{
  addr_t fault = c->r[15];
  int priority = active_priority(c);
  assert(priority < 0);
  c->r[15] = CORE_LOCKUP_PC;
  bus->report(bus->chip, c->cycle, TRACE_LOCKUP, fault, (uint32_t)-priority);
  core_enter_mode(c, bus, CORE_LOCKUP);
}

void exception_lockup(struct core *c, const struct bus *bus)
{
  c->active |= exception_bit(EXCEPTION_HARDFAULT);
  c->xpsr = (c->xpsr & ~CORE_EXCEPTION) | EXCEPTION_HARDFAULT;
  lockup(c, bus);
}

static uint32_t return_value(const struct core *c)
{
  if (c->xpsr & CORE_EXCEPTION) return RETURN_HANDLER;
  return c->control & CORE_PROCESS_STACK ? RETURN_PROCESS : RETURN_MAIN;
}

/* HardFault entered: does the debugger want it? */
static void catch_hardfault(struct core *c, const struct bus *bus)
{
  if (!c->debug_enabled || !c->catch_hardfault) return;
  c->debug_fault_status |= DEBUG_FAULT_VCATCH;
  core_enter_mode(c, bus, CORE_HALTED);
}

/* Registers of the handler. */
static void enter_handler(struct core *c, unsigned number, uint32_t link,
                          uint32_t vector)
{
  exception_use_stack(c, false);
  c->r[14] = link;
  c->r[15] = vector & ~1u;
  c->xpsr = (c->xpsr & CORE_FLAGS) | (vector & 1u ? CORE_THUMB : 0) | number;
  c->active |= exception_bit(number);
  c->pending &= ~exception_bit(number);
  c->event = true; /* from memory: entry and return set the event register */
  c->fetched = CORE_NOT_FETCHED;
  c->cycle += cycles_exception_entry(c->part->kind);
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
                  uint32_t link, addr_t return_to)
{
  uint32_t vector = c->r[15];
  bool ok = read_vector(c, bus, number, &vector);
  if (!ok && number > EXCEPTION_HARDFAULT) {
    number = EXCEPTION_HARDFAULT;
    ok = read_vector(c, bus, number, &vector);
  }
  bus->report(bus->chip, c->cycle, TRACE_EXCEPTION, number, return_to);
  enter_handler(c, number, link, vector);
  if (!ok)
    lockup(c, bus);
  else if (number == EXCEPTION_HARDFAULT)
    catch_hardfault(c, bus);
}

void exception_take(struct core *c, const struct bus *bus, unsigned number,
                    addr_t return_to)
{
  uint32_t link = return_value(c);
  bool ok = push_frame(c, bus, return_to);
  if (!ok && number <= EXCEPTION_HARDFAULT) {
    c->active |= exception_bit(number);
    exception_use_stack(c, false);
    c->xpsr = (c->xpsr & ~CORE_EXCEPTION) | number;
    lockup(c, bus);
    return;
  }
  /* A fault while stacking comes first; the exception stays pending. */
  if (!ok) c->pending |= exception_bit(number);
  enter(c, bus, ok ? number : EXCEPTION_HARDFAULT, link, return_to);
}

void exception_call(struct core *c, const struct bus *bus, addr_t svc)
{
  if (priority_of(c, EXCEPTION_SVCALL) < execution_priority(c)) {
    exception_take(c, bus, EXCEPTION_SVCALL, svc + 2);
    return;
  }
  /* Unsure: whether the frame of an escalated SVC holds its own address or
   * the next; its own, as for other synchronous faults. */
  c->r[15] = svc;
  exception_fault(c, bus);
}

void exception_fault(struct core *c, const struct bus *bus)
{
  if (active_priority(c) < 0)
    lockup(c, bus);
  else
    exception_take(c, bus, EXCEPTION_HARDFAULT, c->r[15]);
}

/* --- return ------------------------------------------------------------- */

static bool return_is_sound(const struct core *c, uint32_t value)
{
  uint64_t self = exception_bit(c->xpsr & CORE_EXCEPTION);
  bool nested = (c->active & ~self) != 0;
  if (!(c->active & self)) return false;
  return value == RETURN_HANDLER
             ? nested
             : (value == RETURN_MAIN || value == RETURN_PROCESS) && !nested;
}

/* A frame that can't be read: HardFault is entered with the stack as it is,
 * or the core locks up at the priority it returned to (ARM DDI 0484C leaves
 * that to the implementation and says so of this core). */
static void unstack_fault(struct core *c, const struct bus *bus,
                          uint32_t value)
{
  if (active_priority(c) < 0)
    lockup(c, bus);
  else
    enter(c, bus, EXCEPTION_HARDFAULT, value, c->r[15]);
}

static bool psr_fits(uint32_t psr, uint32_t value)
{
  unsigned number = psr & CORE_EXCEPTION;
  return value == RETURN_HANDLER ? number != 0 : number == 0;
}

void exception_return(struct core *c, const struct bus *bus, uint32_t value)
{
  uint32_t psr;
  unsigned number = c->xpsr & CORE_EXCEPTION;
  c->r[15] = value & ~1u;
  if (!return_is_sound(c, value)) {
    exception_fault(c, bus);
    return;
  }
  c->active &= ~exception_bit(number);
  c->cycle += cycles_exception_return(c->part->kind);
  c->fetched = CORE_NOT_FETCHED;
  c->event = true;
  swap_stack(c, false, value == RETURN_PROCESS);
  if (!pop_frame(c, bus, &psr)) {
    swap_stack(c, value == RETURN_PROCESS, false);
    unstack_fault(c, bus, value);
    return;
  }
  c->control = value == RETURN_PROCESS ? c->control | CORE_PROCESS_STACK
                                       : c->control & ~CORE_PROCESS_STACK;
  c->xpsr = psr & (CORE_FLAGS | CORE_THUMB | CORE_EXCEPTION);
  bus->report(bus->chip, c->cycle, TRACE_EXCEPTION_END, number, c->r[15]);
  if (!psr_fits(psr, value)) exception_fault(c, bus);
}
