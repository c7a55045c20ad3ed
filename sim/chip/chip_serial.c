/* Serial ports between clock and pins. */
#include "chip/chip_serial.h"

/* What a bit takes, ps; 0 where the divider is 0. */
static ps_t bit_time(const struct chip *c, const struct serial *s)
{
  uint32_t baud = c->part->pins.serial_baud;
  if (part_field_of(c->part, ROLE_SERIAL_DIVIDER, NULL) == NULL)
    return baud > 0 ? PS_PER_S / baud : 0;
  return (ps_t)((wide_t)s->divider * PS_PER_S / c->clock.hz);
}

/* A receiver pulls its line up where nothing drives it. Assumed. */
static bool hears_high(const struct chip *c, uint32_t pin)
{
  if (pin == PART_NONE) return true;
  uint64_t bit = UINT64_C(1) << pin;
  bool driven = (c->pins.shown | c->pins.outside) & bit;
  return !driven || (pins_sense(&c->pins) & bit);
}

static bool follow_port(struct chip *c, struct serial *s, struct moment now)
{
  struct part_port pins = part_port(c->part, s->port);
  if (!s->on || !c->rail.up) return false;
  bool moved = serial_advance(s, hears_high(c, pins.receive), bit_time(c, s),
                              now, c->trace);
  if (moved && pins.transmit != PART_NONE)
    pins_take(&c->pins, pins.transmit, true, character_level(&s->out), now,
              c->trace);
  return moved;
}

bool chip_follow_serial(struct chip *c, struct moment now)
{
  bool moved = false;
  for (uint32_t i = 0; i < PART_MAX_PORTS; i++)
    moved |= follow_port(c, &c->serial[i], now);
  return moved;
}
