#include "chip/pins.h"

#include <assert.h>

static uint64_t bit(uint32_t pin)
{
  return UINT64_C(1) << pin;
}

void pins_init(struct pins *p, const struct part *part)
{
  *p = (struct pins){.part = part, .by = PINS_BY_NONE};
}

static uint64_t driven_by_part(const struct pins *p)
{
  return p->dark ? 0 : p->output | p->taken;
}

/* Report every pin whose drive differs from what was last reported. */
static void show(struct pins *p, struct moment now, struct trace *tr)
{
  uint64_t driven = driven_by_part(p);
  uint64_t high =
      ((p->level & ~p->taken) | (p->taken_level & p->taken)) & driven;
  uint64_t changed = (driven ^ p->shown) | (high ^ p->shown_level);
  p->shown = driven;
  p->shown_level = high;
  for (; changed != 0; changed &= changed - 1) {
    uint32_t pin = (uint32_t)__builtin_ctzll(changed);
    enum trace_drive drive = !(driven & bit(pin)) ? PIN_RELEASED
                             : high & bit(pin)    ? PIN_DRIVEN_HIGH
                                                  : PIN_DRIVEN_LOW;
    trace_add(tr, now, TRACE_PIN, pin, drive);
  }
}

void pins_reset(struct pins *p, struct moment now, struct trace *tr)
{
  p->output = p->level = p->taken = p->taken_level = 0;
  show(p, now, tr);
}

void pins_supply(struct pins *p, bool on, struct moment now, struct trace *tr)
{
  p->dark = !on;
  show(p, now, tr);
}

void pins_output(struct pins *p, uint64_t mask, uint64_t on, struct moment now,
                 struct trace *tr)
{
  p->output = (p->output & ~mask) | (on & mask);
  show(p, now, tr);
}

void pins_level(struct pins *p, uint64_t mask, uint64_t high,
                struct moment now, struct trace *tr)
{
  p->level = (p->level & ~mask) | (high & mask);
  show(p, now, tr);
}

void pins_take(struct pins *p, uint32_t pin, bool take, bool high,
               struct moment now, struct trace *tr)
{
  assert(pin < p->part->pins.count);
  p->taken = take ? p->taken | bit(pin) : p->taken & ~bit(pin);
  p->taken_level =
      high ? p->taken_level | bit(pin) : p->taken_level & ~bit(pin);
  show(p, now, tr);
}

void pins_drive_outside(struct pins *p, uint32_t pin, bool drive, bool high,
                        struct moment now, struct trace *tr)
{
  assert(pin < p->part->pins.count);
  bool was = p->outside & bit(pin);
  p->outside = drive ? p->outside | bit(pin) : p->outside & ~bit(pin);
  p->outside_level =
      high ? p->outside_level | bit(pin) : p->outside_level & ~bit(pin);
  if (tr == NULL)
    p->talks |= bit(pin);
  else if (drive)
    trace_add(tr, now, TRACE_NET, pin, high);
  else if (was)
    trace_add(tr, now, TRACE_NET_RELEASED, pin, 0);
}

uint64_t pins_standing(const struct pins *p)
{
  return p->outside_level | p->talks;
}

uint64_t pins_sense(const struct pins *p)
{
  uint64_t pulled = p->part->pins.pulled_up;
  for (uint32_t i = 0; i < p->part->strap_count; i++)
    if (p->part->straps[i].pull > 0)
      pulled |= bit(p->part->straps[i].pin);
    else if (p->part->straps[i].pull < 0)
      pulled &= ~bit(p->part->straps[i].pin);
  uint64_t driven = driven_by_part(p);
  uint64_t free_pins = ~driven & ~p->outside;
  return (p->shown_level & driven) |
         (p->outside_level & p->outside & ~driven) | (pulled & free_pins);
}

uint32_t pins_straps(const struct pins *p, struct moment now, struct trace *tr)
{
  uint32_t straps = 0;
  uint64_t sensed = pins_sense(p);
  for (uint32_t i = 0; i < p->part->strap_count; i++) {
    bool high = sensed & bit(p->part->straps[i].pin);
    straps |= (uint32_t)high << i;
    trace_add(tr, now, TRACE_STRAP, i, high);
  }
  return straps;
}
