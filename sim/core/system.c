#include "core/system.h"

#include <assert.h>

#include "core/cycles.h"
#include "core/decode.h"
#include "core/exception.h"

#define DEBUG_FAULT_BKPT 0x2u /* ARM DDI 0419E Table C1-12 */

/* Special register numbers, ARM DDI 0419E Table B5-1. */
enum { SYS_MSP = 8, SYS_PSP = 9, SYS_PRIMASK = 16, SYS_CONTROL = 20 };

#define SYS_HAS_IPSR 0x1u /* of numbers 0 to 7 */
#define SYS_NO_FLAGS 0x4u

struct instruction {
  uint16_t first, second;
  enum decode_class class;
  unsigned size;
};

static struct instruction read_instruction(const struct core *c,
                                           const struct bus *bus)
{
  struct instruction i = {.size = 2};
  uint32_t half;
  bool ok = bus_peek(bus, c->r[15], 2, &half);
  assert(ok);
  i.first = (uint16_t)half;
  i.class = decode_narrow(i.first);
  if (i.class == DECODE_WIDE) {
    ok = bus_peek(bus, c->r[15] + 2, 2, &half);
    assert(ok);
    i.second = (uint16_t)half;
    i.class = decode_wide(i.first, i.second);
    i.size = 4;
  }
  return i;
}

/* --- special registers -------------------------------------------------- */

static uint32_t program_status(const struct core *c, unsigned number)
{
  uint32_t value = 0;
  if (number & SYS_HAS_IPSR) value |= c->xpsr & CORE_EXCEPTION;
  if (!(number & SYS_NO_FLAGS)) value |= c->xpsr & CORE_FLAGS;
  return value; /* EPSR reads as zero */
}

static uint32_t read_special(const struct core *c, unsigned number)
{
  if (number < SYS_MSP) return program_status(c, number);
  if (number == SYS_CONTROL) return c->control;
  if (!core_privileged(c)) return 0;
  switch (number) {
  case SYS_MSP: return core_register(c, CORE_MSP);
  case SYS_PSP: return core_register(c, CORE_PSP);
  default: assert(number == SYS_PRIMASK); return c->primask;
  }
}

static void write_special(struct core *c, unsigned number, uint32_t value)
{
  if (number < SYS_MSP) {
    if (!(number & SYS_NO_FLAGS))
      c->xpsr = (c->xpsr & ~CORE_FLAGS) | (value & CORE_FLAGS);
    return;
  }
  if (!core_privileged(c)) return;
  switch (number) {
  case SYS_MSP: core_set_register(c, CORE_MSP, value); break;
  case SYS_PSP: core_set_register(c, CORE_PSP, value); break;
  case SYS_PRIMASK: c->primask = value & 1u; break;
  default:
    assert(number == SYS_CONTROL);
    core_set_register(c, CORE_CONTROL, value);
    break;
  }
}

/* --- sleep -------------------------------------------------------------- */

static void wait_for_interrupt(struct core *c, const struct bus *bus)
{
  if (exception_next(c, true) != 0) return;
  c->sleeps_for_event = false;
  core_enter_mode(c, bus, CORE_SLEEPING);
}

static void wait_for_event(struct core *c, const struct bus *bus)
{
  if (c->event || exception_next(c, false) != 0) {
    c->event = false;
    return;
  }
  c->sleeps_for_event = true;
  core_enter_mode(c, bus, CORE_SLEEPING);
}

/* --- the rest ----------------------------------------------------------- */

static void breakpoint(struct core *c, const struct bus *bus)
{
  if (!c->debug_enabled) {
    exception_fault(c, bus);
    return;
  }
  c->debug_fault_status |= DEBUG_FAULT_BKPT;
  core_enter_mode(c, bus, CORE_HALTED);
}

static void change_mask(struct core *c, uint16_t opcode)
{
  if (core_privileged(c)) c->primask = (opcode >> 4) & 1u;
}

static void write_sp(struct core *c, uint16_t opcode)
{
  bool add;
  unsigned source = decode_sp_source(opcode, &add);
  uint32_t value = c->r[source];
  if (source == 15)
    value = c->r[15] + 2; /* PC reads as the instruction's address + 4 */
  c->r[13] = (value + (add ? c->r[13] : 0)) & ~3u;
}

static void perform(struct core *c, const struct bus *bus,
                    const struct instruction *i)
{
  unsigned number = i->second & 0xffu;
  switch (i->class) {
  case DECODE_WFI: wait_for_interrupt(c, bus); break;
  case DECODE_WFE: wait_for_event(c, bus); break;
  case DECODE_SEV: c->event = true; break;
  case DECODE_YIELD: break;
  case DECODE_CPS: change_mask(c, i->first); break;
  case DECODE_MSR: write_special(c, number, c->r[i->first & 15u]); break;
  case DECODE_MRS:
    c->r[(i->second >> 8) & 15u] = read_special(c, number);
    break;
  default:
    assert(i->class == DECODE_WRITE_SP);
    write_sp(c, i->first);
    break;
  }
}

void system_execute(struct core *c, const struct bus *bus)
{
  struct instruction i = read_instruction(c, bus);
  addr_t at = c->r[15];
  c->cycle += cost_cycles(cycles_of(c->part, i.class, 0));
  if (i.class == DECODE_BKPT) {
    breakpoint(c, bus);
    return;
  }
  c->instructions++;
  if (i.class == DECODE_SVC) {
    exception_call(c, bus, at);
    return;
  }
  c->r[15] = at + i.size;
  perform(c, bus, &i);
}
