#include "core/system.h"

#include <assert.h>

#include "core/cycles.h"
#include "core/decode.h"
#include "core/exception.h"
#include "core/fault.h"
#include "core/list.h"
#include "core/nvic.h"
#include "core/cycles_v7m.h"
#include "core/semihost.h"
#include "core/system_v7m.h"
#include "core/thumb2.h"

#define DEBUG_FAULT_BKPT 0x2u     /* ARM DDI 0419E Table C1-12 */
#define MONITOR_ENABLE   0x10000u /* DEMCR.MON_EN */

/* Special register numbers, ARM DDI 0419E Table B5-1. */
enum {
  SYS_MSP = 8,
  SYS_PSP = 9,
  SYS_PRIMASK = 16,
  SYS_BASEPRI = 17, /* from here to 19 v7-M */
  SYS_BASEPRI_MAX = 18,
  SYS_FAULTMASK = 19,
  SYS_CONTROL = 20
};

#define SYS_HAS_IPSR 0x1u /* of numbers 0 to 7 */
#define SYS_NO_FLAGS 0x4u

/* Whether it can be broken off, and where. */
enum parts { PARTS_NONE, PARTS_WORDS, PARTS_TIME };

struct instruction {
  uint16_t first, second;
  enum decode_class class;
  enum parts parts;
  unsigned size;
};

/* Of what both architectures have. */
static enum decode_class common_class(enum thumb2_class class)
{
  switch (class) {
  case THUMB2_YIELD: return DECODE_YIELD;
  case THUMB2_WFE: return DECODE_WFE;
  case THUMB2_WFI: return DECODE_WFI;
  case THUMB2_SEV: return DECODE_SEV;
  case THUMB2_CPS: return DECODE_CPS;
  case THUMB2_MRS: return DECODE_MRS;
  case THUMB2_MSR: return DECODE_MSR;
  case THUMB2_SVC: return DECODE_SVC;
  case THUMB2_BKPT: return DECODE_BKPT;
  default: assert(class == THUMB2_WRITE_SP); return DECODE_WRITE_SP;
  }
}

static uint16_t read_half(const struct bus *bus, addr_t at)
{
  uint32_t half;
  bool ok = bus_peek(bus, at, 2, &half);
  assert(ok);
  return (uint16_t)half;
}

static enum parts parts_v6m(enum decode_class class)
{
  switch (class) {
  case DECODE_LOAD_MANY:
  case DECODE_STORE_MANY:
  case DECODE_PUSH:
  case DECODE_POP:
  case DECODE_POP_PC: return PARTS_WORDS;
  case DECODE_MULTIPLY: return PARTS_TIME;
  default: return PARTS_NONE;
  }
}

static enum parts parts_v7m(const struct core *c, const struct instruction *i)
{
  struct thumb2 t = thumb2_decode(c->part->kind, i->first, i->second);
  switch (t.class) {
  case THUMB2_LOAD_MANY:
  case THUMB2_STORE_MANY: return PARTS_WORDS;
  case THUMB2_DIVIDE:
  case THUMB2_LONG:
  case THUMB2_LONG_ADD: return PARTS_TIME;
  default: return PARTS_NONE;
  }
}

static struct instruction read_instruction(const struct core *c,
                                           const struct bus *bus)
{
  struct instruction i = {.first = read_half(bus, c->r[15]), .size = 2};
  i.class = decode_narrow(i.first);
  if (core_is_v7m(c) ? thumb2_is_wide(i.first) : i.class == DECODE_WIDE) {
    i.second = read_half(bus, c->r[15] + 2);
    i.class = decode_wide(i.first, i.second);
    i.size = 4;
  }
  i.parts = core_is_v7m(c) ? parts_v7m(c, &i) : parts_v6m(i.class);
  return i;
}

/* --- special registers -------------------------------------------------- */

static uint32_t program_flags(const struct core *c)
{
  if (!core_is_v7m(c)) return CORE_FLAGS;
  bool greater = c->part->kind != CORE_KIND_M3;
  return CORE_FLAGS | CORE_SATURATED | (greater ? CORE_GREATER : 0);
}

static uint32_t program_status(const struct core *c, unsigned number)
{
  uint32_t value = 0;
  if (number & SYS_HAS_IPSR) value |= c->xpsr & CORE_EXCEPTION;
  if (!(number & SYS_NO_FLAGS)) value |= c->xpsr & program_flags(c);
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
  case SYS_BASEPRI:
  case SYS_BASEPRI_MAX: return c->basepri;
  case SYS_FAULTMASK: return c->faultmask;
  default: assert(number == SYS_PRIMASK); return c->primask;
  }
}

/* Bits 11:10 of MSR say which flags; on v6-M always the first. */
static void write_flags(struct core *c, uint16_t opcode, uint32_t value)
{
  uint32_t bits = CORE_FLAGS;
  if (core_is_v7m(c))
    bits = (opcode & 0x800u ? CORE_FLAGS | CORE_SATURATED : 0) |
           (opcode & 0x400u ? CORE_GREATER : 0);
  c->xpsr = (c->xpsr & ~bits) | (value & bits);
}

/* Only ever more urgent. */
static void raise_basepri(struct core *c, uint32_t value)
{
  value &= nvic_priority_bits(c->part);
  if (value != 0 && (c->basepri == 0 || value < c->basepri))
    c->basepri = value;
}

static void write_special(struct core *c, uint16_t opcode, uint32_t value)
{
  unsigned number = opcode & 0xffu;
  if (number < SYS_MSP) {
    if (!(number & SYS_NO_FLAGS)) write_flags(c, opcode, value);
    return;
  }
  if (!core_privileged(c)) return;
  switch (number) {
  case SYS_MSP: core_set_register(c, CORE_MSP, value); break;
  case SYS_PSP: core_set_register(c, CORE_PSP, value); break;
  case SYS_PRIMASK: c->primask = value & 1u; break;
  case SYS_BASEPRI: core_set_register(c, CORE_BASEPRI, value & 0xffu); break;
  case SYS_BASEPRI_MAX: raise_basepri(c, value & 0xffu); break;
  case SYS_FAULTMASK: core_set_register(c, CORE_FAULTMASK, value); break;
  default:
    assert(number == SYS_CONTROL);
    core_set_register(c, CORE_CONTROL, value);
    break;
  }
}

/* --- sleep -------------------------------------------------------------- */

static void wait_for_interrupt(struct core *c, const struct bus *bus)
{
  if (nvic_next(c, true) != 0) return;
  c->sleeps_for_event = false;
  core_enter_mode(c, bus, CORE_SLEEPING);
}

static void wait_for_event(struct core *c, const struct bus *bus)
{
  if (c->event || nvic_next(c, false) != 0) {
    c->event = false;
    return;
  }
  c->sleeps_for_event = true;
  core_enter_mode(c, bus, CORE_SLEEPING);
}

/* --- the rest ----------------------------------------------------------- */

/* Halting debug comes first, then the monitor if it may preempt, then a fault
 * (ARM DDI 0419E C1.3; v7-M from memory). */
void system_breakpoint(struct core *c, const struct bus *bus)
{
  bool monitor = core_is_v7m(c) && (c->monitor & MONITOR_ENABLE) &&
                 nvic_priority_of(c, EXCEPTION_MONITOR) < nvic_priority(c);
  if (c->debug_enabled || monitor) c->debug_fault_status |= DEBUG_FAULT_BKPT;
  if (c->debug_enabled)
    core_enter_mode(c, bus, CORE_HALTED);
  else if (monitor)
    exception_take(c, bus, EXCEPTION_MONITOR, c->r[15]);
  else
    fault_take(c, bus, FAULT_BREAKPOINT, 0);
}

/* CPSIE and CPSID of i and, on v7-M, f. */
static void change_mask(struct core *c, uint16_t opcode)
{
  uint32_t value = (opcode >> 4) & 1u;
  if (!core_privileged(c)) return;
  if (opcode & 2u) c->primask = value;
  if (opcode & 1u) core_set_register(c, CORE_FAULTMASK, value);
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
  case DECODE_MSR: write_special(c, i->second, c->r[i->first & 15u]); break;
  case DECODE_MRS:
    c->r[(i->second >> 8) & 15u] = read_special(c, number);
    break;
  default:
    assert(i->class == DECODE_WRITE_SP);
    write_sp(c, i->first);
    break;
  }
}

/* An instruction that only takes time won't end before the next stop: so much
 * of the time passes. */
static void let_pass(struct core *c)
{
  cycle_t begun = c->cycle;
  cycle_t stop = c->alarm < c->deadline ? c->alarm : c->deadline;
  bool now = c->attention || c->boundary;
  if (!now && c->cycle < stop) c->cycle = stop;
  c->progress =
      (struct core_progress){.begun = true, .spent = c->cycle - begun};
}

/* What an engine gave back because it can be broken off. */
static bool in_parts(struct core *c, const struct bus *bus,
                     const struct instruction *i, bool *returns)
{
  *returns = false;
  switch (i->parts) {
  case PARTS_WORDS: *returns = list_execute(c, bus) == LIST_RETURNS; break;
  case PARTS_TIME: let_pass(c); break;
  default: return false;
  }
  return true;
}

/* Its class and cycles on v7-M. True if it has been executed. */
static bool prepare_v7m(struct core *c, const struct bus *bus,
                        struct instruction *i, cycle_t *cycles)
{
  struct thumb2 t = thumb2_decode(c->part->kind, i->first, i->second);
  if (system_v7m(c, bus, i->first, i->second, &t)) return true;
  i->class = common_class((enum thumb2_class)t.class);
  *cycles = cycles_v7m(c->part->kind, &t, &c->flow, false);
  c->flow = cycles_v7m_flow(&t);
  return false;
}

/* One in one go. */
static void execute(struct core *c, const struct bus *bus,
                    struct instruction *i)
{
  addr_t at = c->r[15];
  cycle_t cycles;
  if (!core_is_v7m(c))
    cycles = cost_cycles(cycles_of(c->part, i->class, 0));
  else if (prepare_v7m(c, bus, i, &cycles))
    return;
  c->cycle += cycles;
  if (i->class == DECODE_BKPT) {
    if (c->semihosting && i->first == SEMIHOST_BKPT)
      semihost_call(c, bus);
    else
      system_breakpoint(c, bus);
    return;
  }
  c->instructions++;
  system_v7m_advance_it(c);
  if (i->class == DECODE_SVC) {
    exception_call(c, bus, at);
    return;
  }
  c->r[15] = at + i->size;
  perform(c, bus, i);
}

bool system_execute(struct core *c, const struct bus *bus)
{
  struct instruction i = read_instruction(c, bus);
  bool returns = false;
  bool continues = core_is_v7m(c) && thumb2_continues(c->xpsr) != 0;
  if (continues && i.parts != PARTS_WORDS)
    system_v7m_refuse(c, bus);
  else if (!in_parts(c, bus, &i, &returns))
    execute(c, bus, &i);
  return returns;
}
