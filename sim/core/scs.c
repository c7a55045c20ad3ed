/* The system control block, and who may see what of the system control space.
 *
 * ARM DDI 0419E B3.2; v7-M from memory of ARM DDI 0403E B3.2. Not modelled:
 * VECTRESET, auxiliary fault status, feature registers (read as zero).
 */
#include "core/scs.h"

#include <assert.h>
#include <string.h>

#include "core/fault.h"
#include "core/fpu.h"
#include "core/nvic.h"

#define SPACE      0xe000e000u
#define SPACE_SIZE 0x1000u
#define DHCSR      0xe000edf0u
#define STIR       0xe000ef00u

#define DHCSR_DEBUGEN 0x1u

/* Bits of ICSR, ARM DDI 0419E B3.2.4. */
#define ICSR_NMI_SET       0x80000000u
#define ICSR_PENDSV_SET    0x10000000u
#define ICSR_PENDSV_CLEAR  (1u << 27)
#define ICSR_SYSTICK_SET   0x04000000u
#define ICSR_SYSTICK_CLEAR 0x02000000u
#define ICSR_PREEMPTS      0x00800000u
#define ICSR_IRQ_PENDING   0x00400000u
#define ICSR_PENDING_SHIFT 12
#define ICSR_TO_BASE       0x00000800u /* v7-M */

/* AIRCR, ARM DDI 0419E B3.2.6; the key reads so on v7-M (memory) and is
 * UNKNOWN on v6-M. */
#define AIRCR_KEY           0x05fa0000u
#define AIRCR_KEY_MASK      0xffff0000u
#define AIRCR_KEY_READ      0xfa050000u
#define AIRCR_RESET_REQUEST 0x4u
#define AIRCR_CLEAR_ACTIVE  0x2u
#define AIRCR_GROUP_SHIFT   8

/* Sleep-on-exit, deep sleep, event on pending: ARM DDI 0419E B3.2.7. */
#define SCR_BITS 0x16u

#define CCR_VALUE_V6M 0x3f8u /* bits 9:3, ARM DDI 0419E B3.2.8 */
#define CCR_BITS_V7M                                                          \
  (FAULT_CCR_THREAD | FAULT_CCR_USER | FAULT_CCR_ALIGN | FAULT_CCR_DIVIDE |   \
   FAULT_CCR_IGNORE | FAULT_CCR_STACK)

#define VTOR_BITS_V6M 0xffffff00u /* ARM DDI 0484C */
#define VTOR_BITS_V7M 0xffffff80u
#define ACTLR_BITS    0x307u /* ARM DDI 0439D 4.3.1 */

#define SHCSR_SVCALL 0x8000u /* pended; all that v6-M has */

/* --- identity, pending bits --------------------------------------------- */

static uint32_t read_cpuid(struct core *c, addr_t at)
{
  static const uint32_t values[] = {
      [CORE_KIND_M0] = 0x410cc200u,     /* from memory, widely quoted */
      [CORE_KIND_M0PLUS] = 0x410cc601u, /* r0p1, ARM DDI 0484C */
      [CORE_KIND_M3] = 0x412fc231u,     /* r2p1, from memory */
      [CORE_KIND_M4] = 0x410fc241u,     /* r0p1, ARM DDI 0439D Table 4-1 */
      [CORE_KIND_M4F] = 0x410fc241u,
  };
  (void)at;
  return values[c->part->kind];
}

static bool interrupt_waits(const struct core *c)
{
  struct exception_set set = c->pending;
  set.words[0] &= ~((UINT64_C(1) << EXCEPTION_IRQ0) - 1);
  return !nvic_is_empty(&set);
}

static uint32_t read_icsr(struct core *c, addr_t at)
{
  uint32_t value = c->xpsr & CORE_EXCEPTION;
  (void)at;
  value |= (uint32_t)nvic_most_urgent(c) << ICSR_PENDING_SHIFT;
  if (nvic_has(&c->pending, EXCEPTION_NMI)) value |= ICSR_NMI_SET;
  if (nvic_has(&c->pending, EXCEPTION_PENDSV)) value |= ICSR_PENDSV_SET;
  if (nvic_has(&c->pending, EXCEPTION_SYSTICK)) value |= ICSR_SYSTICK_SET;
  if (interrupt_waits(c)) value |= ICSR_IRQ_PENDING;
  if (c->mode == CORE_HALTED && nvic_next(c, false) != 0)
    value |= ICSR_PREEMPTS;
  if (core_is_v7m(c) && nvic_count(&c->active) <= 1) value |= ICSR_TO_BASE;
  return value;
}

static void write_icsr(struct core *c, const struct bus *bus, addr_t at,
                       uint32_t value)
{
  (void)at;
  if (value & ICSR_PENDSV_CLEAR) nvic_remove(&c->pending, EXCEPTION_PENDSV);
  if (value & ICSR_SYSTICK_CLEAR) nvic_remove(&c->pending, EXCEPTION_SYSTICK);
  if (value & ICSR_NMI_SET) core_pend(c, bus, EXCEPTION_NMI);
  if (value & ICSR_PENDSV_SET) core_pend(c, bus, EXCEPTION_PENDSV);
  if (value & ICSR_SYSTICK_SET) core_pend(c, bus, EXCEPTION_SYSTICK);
}

/* --- control ------------------------------------------------------------ */

static uint32_t vtor_bits(const struct core *c)
{
  if (core_is_v7m(c)) return VTOR_BITS_V7M;
  return c->part->vector_base ? VTOR_BITS_V6M : 0;
}

static uint32_t read_vtor(struct core *c, addr_t at)
{
  (void)at;
  return vtor_bits(c) != 0 ? c->vector_base : 0;
}

static void write_vtor(struct core *c, const struct bus *bus, addr_t at,
                       uint32_t value)
{
  (void)bus;
  (void)at;
  if (vtor_bits(c) != 0) c->vector_base = value & vtor_bits(c);
}

static uint32_t read_aircr(struct core *c, addr_t at)
{
  (void)at;
  return AIRCR_KEY_READ | c->priority_group << AIRCR_GROUP_SHIFT |
         (c->reset_requested ? AIRCR_RESET_REQUEST : 0);
}

static void write_aircr(struct core *c, const struct bus *bus, addr_t at,
                        uint32_t value)
{
  (void)bus;
  (void)at;
  if ((value & AIRCR_KEY_MASK) != AIRCR_KEY) return;
  if (core_is_v7m(c)) {
    c->priority_group = (value >> AIRCR_GROUP_SHIFT) & 7u;
    c->boundary = true;
  }
  if (value & AIRCR_RESET_REQUEST) {
    c->reset_requested = true;
    core_attend(c);
  }
  if ((value & AIRCR_CLEAR_ACTIVE) && c->mode == CORE_HALTED) {
    memset(&c->active, 0, sizeof(c->active));
    c->xpsr &= ~CORE_EXCEPTION;
  }
}

static uint32_t read_scr(struct core *c, addr_t at)
{
  (void)at;
  return c->system_control;
}

static void write_scr(struct core *c, const struct bus *bus, addr_t at,
                      uint32_t value)
{
  (void)bus;
  (void)at;
  c->system_control = value & SCR_BITS;
}

static uint32_t read_ccr(struct core *c, addr_t at)
{
  (void)at;
  return core_is_v7m(c) ? c->configuration : CCR_VALUE_V6M;
}

static void write_ccr(struct core *c, const struct bus *bus, addr_t at,
                      uint32_t value)
{
  (void)bus;
  (void)at;
  c->configuration = value & CCR_BITS_V7M;
}

static uint32_t read_actlr(struct core *c, addr_t at)
{
  (void)at;
  return c->auxiliary;
}

static void write_actlr(struct core *c, const struct bus *bus, addr_t at,
                        uint32_t value)
{
  (void)bus;
  (void)at;
  c->auxiliary = value & ACTLR_BITS;
}

/* --- handlers: SHCSR ---------------------------------------------------- */

/* A bit and the exception whose state it shows; v7-M. */
static const struct handler_bit {
  uint32_t bit;
  unsigned exception;
  size_t set;
} handler_bits[] = {
#define ACTIVE  offsetof(struct core, active)
#define PENDING offsetof(struct core, pending)
#define ENABLED offsetof(struct core, enabled)
    {1u << 0, EXCEPTION_MEMMANAGE, ACTIVE},
    {1u << 1, EXCEPTION_BUSFAULT, ACTIVE},
    {1u << 3, EXCEPTION_USAGEFAULT, ACTIVE},
    {1u << 7, EXCEPTION_SVCALL, ACTIVE},
    {1u << 8, EXCEPTION_MONITOR, ACTIVE},
    {1u << 10, EXCEPTION_PENDSV, ACTIVE},
    {1u << 11, EXCEPTION_SYSTICK, ACTIVE},
    {1u << 12, EXCEPTION_USAGEFAULT, PENDING},
    {1u << 13, EXCEPTION_MEMMANAGE, PENDING},
    {1u << 14, EXCEPTION_BUSFAULT, PENDING},
    {SHCSR_SVCALL, EXCEPTION_SVCALL, PENDING},
    {1u << 16, EXCEPTION_MEMMANAGE, ENABLED},
    {1u << 17, EXCEPTION_BUSFAULT, ENABLED},
    {1u << 18, EXCEPTION_USAGEFAULT, ENABLED},
#undef ACTIVE
#undef PENDING
#undef ENABLED
};

static struct exception_set *set_of(struct core *c,
                                    const struct handler_bit *b)
{
  return (struct exception_set *)(void *)((unsigned char *)c + b->set);
}

static bool is_there(const struct core *c, const struct handler_bit *b)
{
  return core_is_v7m(c) || b->bit == SHCSR_SVCALL;
}

static uint32_t read_shcsr(struct core *c, addr_t at)
{
  uint32_t value = 0;
  (void)at;
  for (size_t i = 0; i < sizeof(handler_bits) / sizeof(handler_bits[0]); i++) {
    const struct handler_bit *b = &handler_bits[i];
    if (is_there(c, b) && nvic_has(set_of(c, b), b->exception))
      value |= b->bit;
  }
  return value;
}

static void write_shcsr(struct core *c, const struct bus *bus, addr_t at,
                        uint32_t value)
{
  (void)bus;
  (void)at;
  for (size_t i = 0; i < sizeof(handler_bits) / sizeof(handler_bits[0]); i++) {
    const struct handler_bit *b = &handler_bits[i];
    if (!is_there(c, b)) continue;
    if (value & b->bit)
      nvic_add(set_of(c, b), b->exception);
    else
      nvic_remove(set_of(c, b), b->exception);
  }
  c->boundary = true;
}

/* --- fault status, floating point --------------------------------------- */

#define CFSR  0xe000ed28u
#define HFSR  0xe000ed2cu
#define MMFAR 0xe000ed34u
#define BFAR  0xe000ed38u

static uint32_t *fault_register(struct core *c, addr_t at)
{
  switch (at) {
  case CFSR: return &c->fault_status.configurable;
  case HFSR: return &c->fault_status.hard;
  case MMFAR: return &c->fault_status.memory;
  default: assert(at == BFAR); return &c->fault_status.bus;
  }
}

static uint32_t read_fault(struct core *c, addr_t at)
{
  return *fault_register(c, at);
}

static void clear_fault(struct core *c, const struct bus *bus, addr_t at,
                        uint32_t value)
{
  (void)bus;
  *fault_register(c, at) &= ~value;
}

static void write_fault_address(struct core *c, const struct bus *bus,
                                addr_t at, uint32_t value)
{
  (void)bus;
  *fault_register(c, at) = value;
}

static uint32_t read_fpu(struct core *c, addr_t at)
{
  return fpu_read(c, at);
}

static void write_fpu(struct core *c, const struct bus *bus, addr_t at,
                      uint32_t value)
{
  (void)bus;
  fpu_write(c, at, value);
  c->boundary = true;
}

/* --- the map ------------------------------------------------------------ */

/* ARM DDI 0419E Table B3-4; v7-M: ARM DDI 0403E Table B3-4 (memory). */
static const struct scs_row rows[] = {
    {0xe000e008u, 4, SCS_V7M, read_actlr, write_actlr},
    {0xe000ed00u, 4, SCS_BOTH, read_cpuid, NULL},
    {0xe000ed04u, 4, SCS_BOTH | SCS_ONES_ACT, read_icsr, write_icsr},
    {0xe000ed08u, 4, SCS_BOTH, read_vtor, write_vtor},
    {0xe000ed0cu, 4, SCS_BOTH, read_aircr, write_aircr},
    {0xe000ed10u, 4, SCS_BOTH, read_scr, write_scr},
    {0xe000ed14u, 4, SCS_V6M, read_ccr, NULL},
    {0xe000ed14u, 4, SCS_V7M, read_ccr, write_ccr},
    {0xe000ed24u, 4, SCS_BOTH | SCS_DEBUGGER, read_shcsr, write_shcsr},
    {CFSR, 8, SCS_V7M | SCS_ONES_ACT, read_fault, clear_fault},
    {MMFAR, 8, SCS_V7M, read_fault, write_fault_address},
    {0xe000ed88u, 4, SCS_V7M | SCS_FLOATING, read_fpu, write_fpu},
    {0xe000ef34u, 20, SCS_V7M | SCS_FLOATING, read_fpu, write_fpu},
};

static const struct scs_table block = {rows, sizeof(rows) / sizeof(rows[0])};

static bool shows(const struct core *c, const struct scs_row *r, bool debugger)
{
  bool v7m = core_is_v7m(c);
  if (!(r->flags & (v7m ? SCS_V7M : SCS_V6M))) return false;
  if ((r->flags & SCS_FLOATING) && !core_has_fpu(c)) return false;
  return debugger || v7m || !(r->flags & SCS_DEBUGGER);
}

static const struct scs_row *find(const struct core *c, addr_t at,
                                  bool debugger)
{
  static const struct scs_table *const tables[] = {&scs_interrupts, &block,
                                                   &scs_debug};
  for (size_t t = 0; t < sizeof(tables) / sizeof(tables[0]); t++) {
    for (size_t i = 0; i < tables[t]->count; i++) {
      const struct scs_row *r = &tables[t]->rows[i];
      if (at - r->at < r->size && shows(c, r, debugger)) return r;
    }
  }
  return NULL;
}

bool core_scs_read(struct core *c, addr_t at, bool debugger, uint32_t *value)
{
  assert((at & 3u) == 0);
  if (at - SPACE >= SPACE_SIZE) return false;
  const struct scs_row *r = find(c, at, debugger);
  *value = r != NULL && r->read != NULL ? r->read(c, at) : 0;
  return true;
}

/* C_DEBUGEN is not the program's to write. */
static uint32_t as_written_by(const struct core *c, addr_t at, uint32_t value,
                              bool debugger)
{
  if (debugger || at != DHCSR) return value;
  return (value & ~DHCSR_DEBUGEN) | (c->debug_enabled ? DHCSR_DEBUGEN : 0);
}

bool core_scs_write(struct core *c, const struct bus *bus, addr_t at,
                    uint32_t value, bool debugger)
{
  assert((at & 3u) == 0);
  if (at - SPACE >= SPACE_SIZE) return false;
  const struct scs_row *r = find(c, at, debugger);
  if (r != NULL && r->write != NULL)
    r->write(c, bus, at, as_written_by(c, at, value, debugger));
  return true;
}

/* --- what a program does ------------------------------------------------ */

/* Whole words of privileged code; on v7-M other sizes too, and with
 * USERSETMPEND the software trigger of anybody (ARM DDI 0484C 3.4; ARM DDI
 * 0403E B3.1.1, memory). */
static bool is_allowed(const struct core *c, const struct bus_access *a,
                       bool privileged)
{
  if (!core_is_v7m(c)) return privileged && a->size == 4;
  return privileged ||
         (a->at == STIR && a->write && (c->configuration & FAULT_CCR_USER));
}

static uint32_t read_word(struct core *c, addr_t at)
{
  uint32_t value = 0;
  if (!core_scs_read(c, at, false, &value) &&
      !core_breakpoint_read(c, at, false, &value))
    value = 0;
  return value;
}

static void write_word(struct core *c, const struct bus *bus, addr_t at,
                       uint32_t value)
{
  if (!core_scs_write(c, bus, at, value, false))
    core_breakpoint_write(c, at, value, false);
}

/* What stands beside a part of a word that is written. */
static uint32_t beside(struct core *c, addr_t at)
{
  const struct scs_row *r = find(c, at, false);
  return r != NULL && (r->flags & SCS_ONES_ACT) ? 0 : read_word(c, at);
}

bool scs_access(struct core *c, const struct bus *bus,
                const struct bus_access *a, bool privileged, uint32_t *value)
{
  addr_t at = a->at & ~(addr_t)3;
  unsigned shift = (a->at & 3u) * 8;
  uint32_t lanes =
      a->size == 4 ? UINT32_MAX : ((1u << (a->size * 8)) - 1) << shift;
  *value = 0;
  if (!is_allowed(c, a, privileged)) return false;
  if (!a->write) {
    *value = (read_word(c, at) & lanes) >> shift;
    return true;
  }
  uint32_t kept = lanes == UINT32_MAX ? 0 : beside(c, at) & ~lanes;
  write_word(c, bus, at, kept | ((a->value << shift) & lanes));
  return true;
}
