/* The system control space, as software and as the debug port see it.
 *
 * SysTick and the interrupt controller have no registers here: they read as
 * zero, and their exceptions become pending by core_pend.
 */
#include <assert.h>
#include <stddef.h>

#include "core/core.h"
#include "core/exception.h"

#define SPACE      0xe000e000u
#define SPACE_SIZE 0x1000u

/* Bits of ICSR, ARM DDI 0419E B3.2.4. */
#define ICSR_NMI_SET       0x80000000u
#define ICSR_PENDSV_SET    0x10000000u
#define ICSR_PENDSV_CLEAR  (1u << 27)
#define ICSR_SYSTICK_SET   0x04000000u
#define ICSR_SYSTICK_CLEAR 0x02000000u
#define ICSR_PREEMPTS      0x00800000u
#define ICSR_IRQ_PENDING   0x00400000u
#define ICSR_PENDING_SHIFT 12

/* AIRCR, ARM DDI 0419E B3.2.6. */
#define AIRCR_KEY           0x05fa0000u
#define AIRCR_KEY_READ      0xfa050000u /* UNKNOWN on v6-M; as v7-M, memory */
#define AIRCR_RESET_REQUEST 0x4u
#define AIRCR_CLEAR_ACTIVE  0x2u

/* Sleep-on-exit, deep sleep, event on pending: ARM DDI 0419E B3.2.7. */
#define SCR_BITS 0x16u

#define CCR_VALUE    0x3f8u      /* bits 9:3, ARM DDI 0419E B3.2.8 */
#define VTOR_BITS    0xffffff00u /* ARM DDI 0484C */
#define SHCSR_SVCALL 0x8000u

/* DHCSR, ARM DDI 0419E Table C1-13. */
#define DHCSR_KEY      0xa05f0000u
#define DHCSR_DEBUGEN  0x1u
#define DHCSR_HALT     0x2u
#define DHCSR_STEP     0x4u
#define DHCSR_MASKINTS 0x8u
#define DHCSR_READY    0x00010000u
#define DHCSR_HALTED   0x00020000u
#define DHCSR_SLEEPING 0x00040000u
#define DHCSR_LOCKUP   0x00080000u
#define DHCSR_RETIRED  0x01000000u
#define DHCSR_RESET    0x02000000u
#define KEY_MASK       0xffff0000u

/* DCRSR, ARM DDI 0419E C1.6.4. */
#define DCRSR_NUMBER  0x1fu
#define DCRSR_WRITE   0x10000u
#define DCRSR_SPECIAL 20u /* CONTROL at 31:24, PRIMASK at 7:0 */

/* DEMCR, ARM DDI 0419E C1.6.6. */
#define DEMCR_CATCH_RESET     0x00000001u
#define DEMCR_CATCH_HARDFAULT 0x00000400u
#define DEMCR_TRACE           0x01000000u

/* --- system control block ----------------------------------------------- */

static uint32_t read_cpuid(struct core *c)
{
  return c->part->kind == CORE_KIND_M0
             ? 0x410cc200u  /* from memory, widely quoted */
             : 0x410cc601u; /* r0p1, ARM DDI 0484C */
}

static uint32_t read_icsr(struct core *c)
{
  uint32_t value = c->xpsr & CORE_EXCEPTION;
  value |= (uint32_t)exception_most_urgent(c) << ICSR_PENDING_SHIFT;
  if (c->pending & exception_bit(EXCEPTION_NMI)) value |= ICSR_NMI_SET;
  if (c->pending & exception_bit(EXCEPTION_PENDSV)) value |= ICSR_PENDSV_SET;
  if (c->pending & exception_bit(EXCEPTION_SYSTICK)) value |= ICSR_SYSTICK_SET;
  if (c->pending >> EXCEPTION_IRQ0) value |= ICSR_IRQ_PENDING;
  if (c->mode == CORE_HALTED && exception_next(c, false) != 0)
    value |= ICSR_PREEMPTS;
  return value;
}

static void write_icsr(struct core *c, const struct bus *bus, uint32_t value)
{
  if (value & ICSR_PENDSV_CLEAR)
    c->pending &= ~exception_bit(EXCEPTION_PENDSV);
  if (value & ICSR_SYSTICK_CLEAR)
    c->pending &= ~exception_bit(EXCEPTION_SYSTICK);
  if (value & ICSR_NMI_SET) core_pend(c, bus, EXCEPTION_NMI);
  if (value & ICSR_PENDSV_SET) core_pend(c, bus, EXCEPTION_PENDSV);
  if (value & ICSR_SYSTICK_SET) core_pend(c, bus, EXCEPTION_SYSTICK);
}

static uint32_t read_vtor(struct core *c)
{
  return c->part->vector_base ? c->vector_base : 0;
}

static void write_vtor(struct core *c, const struct bus *bus, uint32_t value)
{
  (void)bus;
  if (c->part->vector_base) c->vector_base = value & VTOR_BITS;
}

static uint32_t read_aircr(struct core *c)
{
  return AIRCR_KEY_READ | (c->reset_requested ? AIRCR_RESET_REQUEST : 0);
}

static void write_aircr(struct core *c, const struct bus *bus, uint32_t value)
{
  (void)bus;
  if ((value & KEY_MASK) != AIRCR_KEY) return;
  if (value & AIRCR_RESET_REQUEST) {
    c->reset_requested = true;
    core_attend(c);
  }
  if ((value & AIRCR_CLEAR_ACTIVE) && c->mode == CORE_HALTED) {
    c->active = 0;
    c->xpsr &= ~CORE_EXCEPTION;
  }
}

static uint32_t read_scr(struct core *c)
{
  return c->system_control;
}

static void write_scr(struct core *c, const struct bus *bus, uint32_t value)
{
  (void)bus;
  c->system_control = value & SCR_BITS;
}

static uint32_t read_ccr(struct core *c)
{
  (void)c;
  return CCR_VALUE;
}

/* A priority is the top two bits of its byte. */
static uint32_t priority_at(const struct core *c, unsigned number,
                            unsigned byte)
{
  return (uint32_t)c->priority[number] << (8 * byte + 6);
}

static void set_priority(struct core *c, unsigned number, unsigned byte,
                         uint32_t value)
{
  c->priority[number] = (uint8_t)((value >> (8 * byte + 6)) & 3u);
  c->boundary = true;
}

static uint32_t read_shpr2(struct core *c)
{
  return priority_at(c, EXCEPTION_SVCALL, 3);
}

static void write_shpr2(struct core *c, const struct bus *bus, uint32_t value)
{
  (void)bus;
  set_priority(c, EXCEPTION_SVCALL, 3, value);
}

static uint32_t read_shpr3(struct core *c)
{
  return priority_at(c, EXCEPTION_PENDSV, 2) |
         priority_at(c, EXCEPTION_SYSTICK, 3);
}

static void write_shpr3(struct core *c, const struct bus *bus, uint32_t value)
{
  (void)bus;
  set_priority(c, EXCEPTION_PENDSV, 2, value);
  set_priority(c, EXCEPTION_SYSTICK, 3, value);
}

/* --- debug -------------------------------------------------------------- */

static uint32_t read_shcsr(struct core *c)
{
  return c->pending & exception_bit(EXCEPTION_SVCALL) ? SHCSR_SVCALL : 0;
}

static void write_shcsr(struct core *c, const struct bus *bus, uint32_t value)
{
  (void)bus;
  uint64_t bit = exception_bit(EXCEPTION_SVCALL);
  c->pending = value & SHCSR_SVCALL ? c->pending | bit : c->pending & ~bit;
  c->boundary = true;
}

static uint32_t read_dfsr(struct core *c)
{
  return c->debug_fault_status;
}

static void write_dfsr(struct core *c, const struct bus *bus, uint32_t value)
{
  (void)bus;
  c->debug_fault_status &= ~value;
}

/* The two sticky bits are cleared by this read. */
static uint32_t read_dhcsr(struct core *c)
{
  uint32_t value = DHCSR_READY;
  value |= c->debug_enabled ? DHCSR_DEBUGEN : 0;
  value |= c->debug_step ? DHCSR_STEP : 0;
  value |= c->debug_mask ? DHCSR_MASKINTS : 0;
  value |= c->mode == CORE_HALTED ? DHCSR_HALT | DHCSR_HALTED : 0;
  value |= c->mode == CORE_SLEEPING ? DHCSR_SLEEPING : 0;
  value |= c->mode == CORE_LOCKUP ? DHCSR_LOCKUP : 0;
  value |= c->instructions != c->retired_seen ? DHCSR_RETIRED : 0;
  value |= c->reset_seen ? DHCSR_RESET : 0;
  c->retired_seen = c->instructions;
  c->reset_seen = false;
  return value;
}

static void write_dhcsr(struct core *c, const struct bus *bus, uint32_t value)
{
  if ((value & KEY_MASK) != DHCSR_KEY) return;
  bool enable = value & DHCSR_DEBUGEN;
  c->debug_step = enable && (value & DHCSR_STEP);
  c->debug_mask = enable && (value & DHCSR_MASKINTS);
  if (!enable) {
    if (c->mode == CORE_HALTED) core_go(c, bus);
    c->debug_enabled = false;
    return;
  }
  c->debug_enabled = true;
  if (value & DHCSR_HALT)
    core_halt(c, bus);
  else
    core_go(c, bus);
}

static uint32_t special_registers(const struct core *c)
{
  return c->control << 24 | c->primask;
}

static void set_special_registers(struct core *c, uint32_t value)
{
  core_set_register(c, CORE_CONTROL, value >> 24);
  core_set_register(c, CORE_PRIMASK, value & 0xffu);
}

/* A register transfer; only in Debug state. */
static void write_dcrsr(struct core *c, const struct bus *bus, uint32_t value)
{
  (void)bus;
  unsigned number = value & DCRSR_NUMBER;
  bool known = number <= CORE_PSP || number == DCRSR_SPECIAL;
  if (c->mode != CORE_HALTED || !known) return;
  bool special = number == DCRSR_SPECIAL;
  if (!(value & DCRSR_WRITE))
    c->debug_data = special ? special_registers(c) : core_register(c, number);
  else if (special)
    set_special_registers(c, c->debug_data);
  else
    core_set_register(c, number, c->debug_data);
}

static uint32_t read_dcrdr(struct core *c)
{
  return c->debug_data;
}

static void write_dcrdr(struct core *c, const struct bus *bus, uint32_t value)
{
  (void)bus;
  c->debug_data = value;
}

static uint32_t read_demcr(struct core *c)
{
  return (c->catch_reset ? DEMCR_CATCH_RESET : 0) |
         (c->catch_hardfault ? DEMCR_CATCH_HARDFAULT : 0) |
         (c->trace_enabled ? DEMCR_TRACE : 0);
}

static void write_demcr(struct core *c, const struct bus *bus, uint32_t value)
{
  (void)bus;
  c->catch_reset = value & DEMCR_CATCH_RESET;
  c->catch_hardfault = value & DEMCR_CATCH_HARDFAULT;
  c->trace_enabled = value & DEMCR_TRACE;
}

/* --- the map ------------------------------------------------------------ */

enum reader { SOFTWARE_TOO, DEBUGGER_ONLY };

/* ARM DDI 0419E Tables B3-4 and C1-11; NULL: reads as zero, ignores writes,
 * as does every address without a row. */
static const struct row {
  addr_t at;
  enum reader reader;
  uint32_t (*read)(struct core *c);
  void (*write)(struct core *c, const struct bus *bus, uint32_t value);
} rows[] = {
    {0xe000ed00, SOFTWARE_TOO, read_cpuid, NULL},
    {0xe000ed04, SOFTWARE_TOO, read_icsr, write_icsr},
    {0xe000ed08, SOFTWARE_TOO, read_vtor, write_vtor},
    {0xe000ed0c, SOFTWARE_TOO, read_aircr, write_aircr},
    {0xe000ed10, SOFTWARE_TOO, read_scr, write_scr},
    {0xe000ed14, SOFTWARE_TOO, read_ccr, NULL},
    {0xe000ed1c, SOFTWARE_TOO, read_shpr2, write_shpr2},
    {0xe000ed20, SOFTWARE_TOO, read_shpr3, write_shpr3},
    {0xe000ed24, DEBUGGER_ONLY, read_shcsr, write_shcsr},
    {0xe000ed30, DEBUGGER_ONLY, read_dfsr, write_dfsr},
    {0xe000edf0, DEBUGGER_ONLY, read_dhcsr, write_dhcsr},
    {0xe000edf4, DEBUGGER_ONLY, NULL, write_dcrsr},
    {0xe000edf8, DEBUGGER_ONLY, read_dcrdr, write_dcrdr},
    {0xe000edfc, DEBUGGER_ONLY, read_demcr, write_demcr},
};

static const struct row *find(addr_t at, bool debugger)
{
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); i++) {
    if (rows[i].at == at && (debugger || rows[i].reader == SOFTWARE_TOO))
      return &rows[i];
  }
  return NULL;
}

bool core_scs_read(struct core *c, addr_t at, bool debugger, uint32_t *value)
{
  assert((at & 3u) == 0);
  if (at - SPACE >= SPACE_SIZE) return false;
  const struct row *r = find(at, debugger);
  *value = r != NULL && r->read != NULL ? r->read(c) : 0;
  return true;
}

bool core_scs_write(struct core *c, const struct bus *bus, addr_t at,
                    uint32_t value, bool debugger)
{
  assert((at & 3u) == 0);
  if (at - SPACE >= SPACE_SIZE) return false;
  const struct row *r = find(at, debugger);
  if (r != NULL && r->write != NULL) r->write(c, bus, value);
  return true;
}
