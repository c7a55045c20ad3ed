#include "core/systick.h"

#include <string.h>

#include "core/nvic.h"

/* ARM DDI 0419E Tables B3-13 to B3-16. */
#define SYST_CSR   0xe000e010u
#define SYST_RVR   0xe000e014u
#define SYST_CVR   0xe000e018u
#define SYST_CALIB 0xe000e01cu

#define CSR_ENABLE    0x1u
#define CSR_TICKINT   0x2u
#define CSR_CLKSOURCE 0x4u
#define CSR_COUNTFLAG 0x10000u
#define CALIB_NOREF   0x80000000u
#define COUNT_MASK    0x00ffffffu

void systick_reset(struct core *c)
{
  memset(&c->systick, 0, sizeof(c->systick));
  c->systick.at = c->cycle;
  c->alarm = CYCLE_NEVER;
}

/* Clocks until the counter gets to 0 from above; CYCLE_NEVER if it does not.
 */
static cycle_t clocks_to_zero(const struct systick *s)
{
  if (!s->enabled) return CYCLE_NEVER;
  if (s->current != 0) return s->current;
  return s->reload == 0 ? CYCLE_NEVER : (cycle_t)s->reload + 1;
}

static void set_alarm(struct core *c)
{
  const struct systick *s = &c->systick;
  cycle_t left = clocks_to_zero(s);
  bool pends = s->interrupts && left != CYCLE_NEVER;
  c->alarm = pends ? s->at + left : CYCLE_NEVER;
}

/* The counter `clocks` after it was 0. */
static uint32_t after_zero(const struct systick *s, cycle_t clocks)
{
  cycle_t phase = clocks % ((cycle_t)s->reload + 1);
  return phase == 0 ? 0 : s->reload - (uint32_t)(phase - 1);
}

/* True if it got to 0. */
static bool count(struct systick *s, cycle_t clocks)
{
  cycle_t left = clocks_to_zero(s);
  if (left == CYCLE_NEVER) return false;
  if (clocks >= left) {
    s->current = after_zero(s, clocks - left);
    return true;
  }
  s->current =
      s->current != 0 ? s->current - (uint32_t)clocks : after_zero(s, clocks);
  return false;
}

void systick_sync(struct core *c)
{
  struct systick *s = &c->systick;
  if (c->cycle <= s->at) return;
  bool zero = count(s, c->cycle - s->at);
  s->at = c->cycle;
  set_alarm(c);
  if (!zero) return;
  s->counted = true;
  if (!s->interrupts) return;
  nvic_add(&c->pending, EXCEPTION_SYSTICK);
  c->boundary = true;
}

void systick_freeze(struct core *c, cycle_t cycles)
{
  c->systick.at += cycles;
  set_alarm(c);
}

static uint32_t read_control(struct systick *s)
{
  uint32_t value = CSR_CLKSOURCE;
  value |= s->enabled ? CSR_ENABLE : 0;
  value |= s->interrupts ? CSR_TICKINT : 0;
  value |= s->counted ? CSR_COUNTFLAG : 0;
  s->counted = false;
  return value;
}

uint32_t systick_read(struct core *c, addr_t at)
{
  systick_sync(c);
  switch (at) {
  case SYST_CSR: return read_control(&c->systick);
  case SYST_RVR: return c->systick.reload;
  case SYST_CVR: return c->systick.current;
  case SYST_CALIB: return CALIB_NOREF;
  default: return 0;
  }
}

void systick_write(struct core *c, addr_t at, uint32_t value)
{
  struct systick *s = &c->systick;
  systick_sync(c);
  s->at = c->cycle;
  switch (at) {
  case SYST_CSR:
    s->enabled = value & CSR_ENABLE;
    s->interrupts = value & CSR_TICKINT;
    break;
  case SYST_RVR: s->reload = value & COUNT_MASK; break;
  case SYST_CVR:
    s->current = 0;
    s->counted = false;
    break;
  default: break;
  }
  set_alarm(c);
}
