/* The debug registers: ARM DDI 0419E C1.6; v7-M from memory of ARM DDI 0403E
 * C1.6. Not modelled: stepping by the monitor (MON_STEP is kept). */
#include "core/nvic.h"
#include "core/scs.h"

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
#define DCRSR_NUMBER  0x1fu /* v6-M */
#define DCRSR_NUMBER7 0x7fu /* v7-M */
#define DCRSR_WRITE   0x10000u
/* CONTROL at 31:24, PRIMASK at 7:0; v7-M: FAULTMASK 23:16, BASEPRI 15:8 */
#define DCRSR_SPECIAL 20u
#define DCRSR_FPSCR   0x21u
#define DCRSR_S0      0x40u

/* DEMCR, ARM DDI 0419E C1.6.6. */
#define DEMCR_CATCH_RESET     0x00000001u
#define DEMCR_CATCH_HARDFAULT 0x00000400u
#define DEMCR_CATCH_FAULTS    0x000003f0u /* v7-M */
#define DEMCR_MONITOR         0x000f0000u /* v7-M: MON_EN, _PEND, _STEP, _REQ */
#define DEMCR_MONITOR_PEND    0x00020000u
#define DEMCR_TRACE           0x01000000u

static uint32_t read_dfsr(struct core *c, addr_t at)
{
  (void)at;
  return c->debug_fault_status;
}

static void write_dfsr(struct core *c, const struct bus *bus, addr_t at,
                       uint32_t value)
{
  (void)at;
  (void)bus;
  c->debug_fault_status &= ~value;
}

/* The two sticky bits are cleared by this read. */
static uint32_t read_dhcsr(struct core *c, addr_t at)
{
  (void)at;
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

static void write_dhcsr(struct core *c, const struct bus *bus, addr_t at,
                        uint32_t value)
{
  (void)at;
  if ((value & KEY_MASK) != DHCSR_KEY) return;
  bool enable = value & DHCSR_DEBUGEN;
  c->debug_step = enable && (value & DHCSR_STEP);
  c->debug_mask = enable && (value & DHCSR_MASKINTS);
  if (!enable) {
    if (c->mode == CORE_HALTED && c->debug_enabled) core_go(c, bus);
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
  return c->control << 24 | c->faultmask << 16 | c->basepri << 8 | c->primask;
}

static void set_special_registers(struct core *c, uint32_t value)
{
  core_set_register(c, CORE_CONTROL, value >> 24);
  core_set_register(c, CORE_PRIMASK, value & 0xffu);
  if (!core_is_v7m(c)) return;
  core_set_register(c, CORE_FAULTMASK, (value >> 16) & 0xffu);
  core_set_register(c, CORE_BASEPRI, (value >> 8) & 0xffu);
}

/* The register that a number in DCRSR selects, or CORE_REGISTERS. */
static unsigned selected(const struct core *c, unsigned number)
{
  if (number <= CORE_PSP) return number;
  if (!core_has_fpu(c)) return CORE_REGISTERS;
  if (number == DCRSR_FPSCR) return CORE_FPSCR;
  bool single = number >= DCRSR_S0 && number < DCRSR_S0 + 32;
  return single ? CORE_S0 + number - DCRSR_S0 : CORE_REGISTERS;
}

/* A register transfer; only in Debug state. */
static void write_dcrsr(struct core *c, const struct bus *bus, addr_t at,
                        uint32_t value)
{
  (void)at;
  (void)bus;
  unsigned asked = value & (core_is_v7m(c) ? DCRSR_NUMBER7 : DCRSR_NUMBER);
  unsigned number = selected(c, asked);
  bool special = asked == DCRSR_SPECIAL;
  if (c->mode != CORE_HALTED) return;
  if (number == CORE_REGISTERS && !special) return;
  if (!(value & DCRSR_WRITE))
    c->debug_data = special ? special_registers(c) : core_register(c, number);
  else if (special)
    set_special_registers(c, c->debug_data);
  else
    core_set_register(c, number, c->debug_data);
}

static uint32_t read_dcrdr(struct core *c, addr_t at)
{
  (void)at;
  return c->debug_data;
}

static void write_dcrdr(struct core *c, const struct bus *bus, addr_t at,
                        uint32_t value)
{
  (void)at;
  (void)bus;
  c->debug_data = value;
}

static uint32_t read_demcr(struct core *c, addr_t at)
{
  (void)at;
  return (c->catch_reset ? DEMCR_CATCH_RESET : 0) |
         (c->catch_hardfault ? DEMCR_CATCH_HARDFAULT : 0) |
         (c->trace_enabled ? DEMCR_TRACE : 0) | c->catch_faults | c->monitor;
}

static void write_demcr(struct core *c, const struct bus *bus, addr_t at,
                        uint32_t value)
{
  (void)at;
  (void)bus;
  c->catch_reset = value & DEMCR_CATCH_RESET;
  c->catch_hardfault = value & DEMCR_CATCH_HARDFAULT;
  c->trace_enabled = value & DEMCR_TRACE;
  if (!core_is_v7m(c)) return;
  c->catch_faults = value & DEMCR_CATCH_FAULTS;
  c->monitor = value & DEMCR_MONITOR & ~DEMCR_MONITOR_PEND;
  if (value & DEMCR_MONITOR_PEND) nvic_add(&c->pending, EXCEPTION_MONITOR);
  c->boundary = true;
}

static const struct scs_row rows[] = {
    {0xe000ed30u, 4, SCS_BOTH | SCS_DEBUGGER | SCS_ONES_ACT, read_dfsr,
     write_dfsr},
    {0xe000edf0u, 4, SCS_BOTH | SCS_DEBUGGER, read_dhcsr, write_dhcsr},
    {0xe000edf4u, 4, SCS_BOTH | SCS_DEBUGGER, NULL, write_dcrsr},
    {0xe000edf8u, 4, SCS_BOTH | SCS_DEBUGGER, read_dcrdr, write_dcrdr},
    {0xe000edfcu, 4, SCS_BOTH | SCS_DEBUGGER, read_demcr, write_demcr},
};

const struct scs_table scs_debug = {rows, sizeof(rows) / sizeof(rows[0])};
