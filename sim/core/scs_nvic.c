/* Interrupts, priorities and SysTick: ARM DDI 0419E B3.3, B3.4; v7-M from
 * memory of ARM DDI 0403E B3.4. */
#include "core/fault.h"
#include "core/nvic.h"
#include "core/scs.h"
#include "core/systick.h"

#define ICTR 0xe000e004u
#define ISER 0xe000e100u
#define ICER 0xe000e180u
#define ISPR 0xe000e200u
#define ICPR 0xe000e280u
#define IABR 0xe000e300u
#define IPR  0xe000e400u
#define STIR 0xe000ef00u

#define SHPR1 0xe000ed18u

static uint32_t read_systick(struct core *c, addr_t at)
{
  return systick_read(c, at);
}

static void write_systick(struct core *c, const struct bus *bus, addr_t at,
                          uint32_t value)
{
  (void)bus;
  systick_write(c, at, value);
}

/* --- a bit an interrupt ------------------------------------------------- */

static unsigned first_of(addr_t at)
{
  return EXCEPTION_IRQ0 + (at & 0x7fu) * 8;
}

static uint32_t bits_of(const struct exception_set *set, addr_t at)
{
  uint32_t value = 0;
  for (unsigned i = 0; i < 32; i++) {
    unsigned number = first_of(at) + i;
    if (number < EXCEPTION_LIMIT && nvic_has(set, number))
      value |= UINT32_C(1) << i;
  }
  return value;
}

static void change(struct core *c, struct exception_set *set, addr_t at,
                   uint32_t value, bool add)
{
  for (unsigned i = 0; i < 32; i++) {
    unsigned number = first_of(at) + i;
    if (!(value >> i & 1u) || !nvic_can_pend(c, number)) continue;
    if (add)
      nvic_add(set, number);
    else
      nvic_remove(set, number);
  }
  c->boundary = true;
}

static uint32_t read_enabled(struct core *c, addr_t at)
{
  return bits_of(&c->enabled, at);
}

static void write_iser(struct core *c, const struct bus *bus, addr_t at,
                       uint32_t value)
{
  (void)bus;
  change(c, &c->enabled, at, value, true);
}

static void write_icer(struct core *c, const struct bus *bus, addr_t at,
                       uint32_t value)
{
  (void)bus;
  change(c, &c->enabled, at, value, false);
}

static uint32_t read_pending(struct core *c, addr_t at)
{
  return bits_of(&c->pending, at);
}

static void write_ispr(struct core *c, const struct bus *bus, addr_t at,
                       uint32_t value)
{
  for (unsigned i = 0; i < 32; i++) {
    unsigned number = first_of(at) + i;
    if ((value >> i & 1u) && nvic_can_pend(c, number))
      core_pend(c, bus, number);
  }
}

static void write_icpr(struct core *c, const struct bus *bus, addr_t at,
                       uint32_t value)
{
  (void)bus;
  change(c, &c->pending, at, value, false);
}

static uint32_t read_active(struct core *c, addr_t at)
{
  return bits_of(&c->active, at);
}

/* --- a byte an exception ------------------------------------------------ */

/* Whose priority a byte is, or 0. */
static unsigned owner(const struct core *c, addr_t at)
{
  unsigned number;
  if (at >= IPR && at < IPR + 240) {
    number = EXCEPTION_IRQ0 + (at - IPR);
    return nvic_can_pend(c, number) ? number : 0;
  }
  number = EXCEPTION_MEMMANAGE + (at - SHPR1);
  if (number == EXCEPTION_SVCALL || number >= EXCEPTION_PENDSV) return number;
  if (!core_is_v7m(c)) return 0;
  return number <= EXCEPTION_USAGEFAULT || number == EXCEPTION_MONITOR ? number
                                                                       : 0;
}

static uint32_t read_priority(struct core *c, addr_t at)
{
  uint32_t value = 0;
  for (unsigned i = 0; i < 4; i++) {
    unsigned number = owner(c, at + i);
    if (number != 0) value |= (uint32_t)c->priority[number] << (8 * i);
  }
  return value;
}

static void write_priority(struct core *c, const struct bus *bus, addr_t at,
                           uint32_t value)
{
  (void)bus;
  for (unsigned i = 0; i < 4; i++) {
    unsigned number = owner(c, at + i);
    if (number == 0) continue;
    c->priority[number] =
        (uint8_t)(value >> (8 * i)) & nvic_priority_bits(c->part);
  }
  c->boundary = true;
}

/* --- v7-M --------------------------------------------------------------- */

static uint32_t read_ictr(struct core *c, addr_t at)
{
  (void)at;
  return c->part->interrupts == 0 ? 0 : (c->part->interrupts - 1) / 32;
}

static void write_stir(struct core *c, const struct bus *bus, addr_t at,
                       uint32_t value)
{
  unsigned number = EXCEPTION_IRQ0 + (value & 0xffu);
  (void)at;
  if (number < EXCEPTION_LIMIT && nvic_can_pend(c, number))
    core_pend(c, bus, number);
}

static const struct scs_row rows[] = {
    {ICTR, 4, SCS_V7M, read_ictr, NULL},
    {0xe000e010u, 16, SCS_BOTH, read_systick, write_systick},
    {ISER, 4, SCS_V6M | SCS_ONES_ACT, read_enabled, write_iser},
    {ISER, 32, SCS_V7M | SCS_ONES_ACT, read_enabled, write_iser},
    {ICER, 4, SCS_V6M | SCS_ONES_ACT, read_enabled, write_icer},
    {ICER, 32, SCS_V7M | SCS_ONES_ACT, read_enabled, write_icer},
    {ISPR, 4, SCS_V6M | SCS_ONES_ACT, read_pending, write_ispr},
    {ISPR, 32, SCS_V7M | SCS_ONES_ACT, read_pending, write_ispr},
    {ICPR, 4, SCS_V6M | SCS_ONES_ACT, read_pending, write_icpr},
    {ICPR, 32, SCS_V7M | SCS_ONES_ACT, read_pending, write_icpr},
    {IABR, 32, SCS_V7M, read_active, NULL},
    {IPR, 32, SCS_V6M, read_priority, write_priority},
    {IPR, 240, SCS_V7M, read_priority, write_priority},
    {SHPR1, 4, SCS_V7M, read_priority, write_priority},
    {SHPR1 + 4, 8, SCS_BOTH, read_priority, write_priority},
    {STIR, 4, SCS_V7M | SCS_ONES_ACT, NULL, write_stir},
};

const struct scs_table scs_interrupts = {rows, sizeof(rows) / sizeof(rows[0])};
