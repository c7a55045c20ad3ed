#include "chip/roles.h"

#include <stddef.h>

#include "chip/chip.h"
#include "chip/chip_watch.h"

/* Bits of consecutive pins that a field of the pin block stands for. */
static uint64_t pin_mask(const struct touch *t)
{
  return (uint64_t)roles_field_mask(t->field) << t->field->index;
}

/* --- what a field shows --- */

static uint32_t read_flash_locked(const struct touch *t)
{
  return t->chip->flash.locked;
}

static uint32_t read_flash_busy(const struct touch *t)
{
  return flash_busy(&t->chip->flash);
}

static uint32_t read_flash_refused(const struct touch *t)
{
  return t->chip->flash.refused;
}

static uint32_t read_flash_corrected(const struct touch *t)
{
  return t->chip->flash.corrected;
}

static uint32_t read_option_cell(const struct touch *t)
{
  return t->chip->options.cells[t->field->index];
}

static uint32_t read_latch_value(const struct touch *t)
{
  return t->chip->latch.programmed;
}

static enum cause cause_of(const struct touch *t)
{
  return (enum cause)(t->field->role - ROLE_CAUSE_POWER_ON);
}

static uint32_t read_cause(const struct touch *t)
{
  return (t->chip->reset.flags >> cause_of(t)) & 1u;
}

static uint32_t read_watchdog_running(const struct touch *t)
{
  return t->chip->watchdog.running;
}

static uint32_t read_watchdog_reload(const struct touch *t)
{
  return t->chip->watchdog.reload;
}

static uint32_t read_watchdog_window(const struct touch *t)
{
  return t->chip->watchdog.window;
}

static uint32_t read_watchdog_freeze(const struct touch *t)
{
  return t->chip->watchdog.freeze;
}

static uint32_t read_clock_enable(const struct touch *t)
{
  return clock_enabled(&t->chip->clock, t->field->index);
}

static uint32_t read_clock_ready(const struct touch *t)
{
  return clock_ready(&t->chip->clock, t->field->index, t->now.at);
}

static uint32_t read_clock_select(const struct touch *t)
{
  return t->chip->clock.source;
}

static uint32_t read_pin_mode(const struct touch *t)
{
  return (uint32_t)(t->chip->pins.output >> t->field->index);
}

static uint32_t read_pin_out(const struct touch *t)
{
  return (uint32_t)(t->chip->pins.level >> t->field->index);
}

static uint32_t read_pin_in(const struct touch *t)
{
  return (uint32_t)(pins_sense(&t->chip->pins) >> t->field->index);
}

static struct serial *port_of(const struct touch *t)
{
  return &t->chip->serial[t->field->index];
}

static uint32_t read_serial_enable(const struct touch *t)
{
  return port_of(t)->on;
}

static uint32_t read_serial_received(const struct touch *t)
{
  return port_of(t)->received;
}

static uint32_t read_serial_space(const struct touch *t)
{
  return port_of(t)->on && !port_of(t)->holds;
}

static uint32_t read_serial_drained(const struct touch *t)
{
  return serial_drained(port_of(t));
}

static uint32_t read_serial_overrun(const struct touch *t)
{
  return port_of(t)->overrun;
}

static uint32_t read_serial_broken(const struct touch *t)
{
  return port_of(t)->broken;
}

static uint32_t read_serial_data(const struct touch *t)
{
  return serial_take(port_of(t));
}

/* --- what a write sets in motion --- */

static void write_flash_unlock(const struct touch *t, uint32_t value)
{
  flash_key(&t->chip->flash, value, t->field->keys, t->field->key_count,
            t->now, t->chip->trace);
}

static void write_flash_lock(const struct touch *t, uint32_t value)
{
  if (value != 0) flash_lock(&t->chip->flash, t->now, t->chip->trace);
}

static void write_flash_target(const struct touch *t, uint32_t value)
{
  t->chip->flash.target = value;
}

static void write_flash_data(const struct touch *t, uint32_t value)
{
  t->chip->flash.data[t->field->index % FLASH_MAX_UNIT_WORDS] = value;
}

static void write_flash_program(const struct touch *t, uint32_t value)
{
  if (value != 0) chip_order_flash(t->chip, FLASH_PROGRAM, t->now);
}

static void write_flash_erase_page(const struct touch *t, uint32_t value)
{
  if (value != 0) chip_order_flash(t->chip, FLASH_ERASE_PAGE, t->now);
}

static void write_flash_erase_all(const struct touch *t, uint32_t value)
{
  if (value != 0) chip_order_flash(t->chip, FLASH_ERASE_ALL, t->now);
}

static void write_flash_erase_bank(const struct touch *t, uint32_t value)
{
  if (value != 0) chip_order_flash(t->chip, FLASH_ERASE_BANK, t->now);
}

static void write_flash_corrected(const struct touch *t, uint32_t value)
{
  t->chip->flash.corrected = value;
}

static void write_flash_refused(const struct touch *t, uint32_t value)
{
  if (value == 0) t->chip->flash.refused = false;
}

static void write_options_reload(const struct touch *t, uint32_t value)
{
  if (value != 0) chip_order_reload(t->chip, t->now);
}

static void write_latch_key(const struct touch *t, uint32_t value)
{
  t->chip->latch_open = t->field->key_count > 0 && value == t->field->keys[0];
}

static void write_latch_value(const struct touch *t, uint32_t value)
{
  chip_write_latch(t->chip, value != 0, t->now);
}

static void write_cause(const struct touch *t, uint32_t value)
{
  if (value == 0)
    reset_clear_flags(&t->chip->reset, 1u << cause_of(t), t->now,
                      t->chip->trace);
}

static void write_cause_clear(const struct touch *t, uint32_t value)
{
  if (value != 0)
    reset_clear_flags(&t->chip->reset, UINT32_MAX, t->now, t->chip->trace);
}

/* Without keys any value but 0 counts. */
static bool is_key(const struct touch *t, uint32_t value)
{
  return t->field->key_count > 0 ? value == t->field->keys[0] : value != 0;
}

static void write_watchdog_start(const struct touch *t, uint32_t value)
{
  if (is_key(t, value)) chip_start_watchdog(t->chip, false, t->now);
}

static void write_watchdog_kick(const struct touch *t, uint32_t value)
{
  if (is_key(t, value)) chip_kick_watchdog(t->chip, t->now);
}

static void write_watchdog_reload(const struct touch *t, uint32_t value)
{
  t->chip->watchdog.reload = value;
}

static void write_watchdog_window(const struct touch *t, uint32_t value)
{
  t->chip->watchdog.window = value;
}

static void write_watchdog_freeze(const struct touch *t, uint32_t value)
{
  t->chip->watchdog.freeze = value != 0;
}

static void write_sleep_deep(const struct touch *t, uint32_t value)
{
  t->chip->sleep.asked = value != 0;
}

static void write_sleep_wake_pins(const struct touch *t, uint32_t value)
{
  uint64_t pins = (uint64_t)value << t->field->index;
  t->chip->sleep.wake_pins = (t->chip->sleep.wake_pins & ~pin_mask(t)) | pins;
}

static void write_sleep_ticks(const struct touch *t, uint32_t value)
{
  t->chip->sleep.ticks = value;
}

static void write_sleep_timer(const struct touch *t, uint32_t value)
{
  t->chip->sleep.timer = value != 0;
}

static void write_clock_enable(const struct touch *t, uint32_t value)
{
  clock_enable(&t->chip->clock, t->field->index, value != 0, t->now.at);
}

static void write_clock_select(const struct touch *t, uint32_t value)
{
  chip_select_clock(t->chip, value, t->now);
}

static void write_pin_mode(const struct touch *t, uint32_t value)
{
  pins_output(&t->chip->pins, pin_mask(t), (uint64_t)value << t->field->index,
              t->now, t->chip->trace);
}

static void write_pin_out(const struct touch *t, uint32_t value)
{
  pins_level(&t->chip->pins, pin_mask(t), (uint64_t)value << t->field->index,
             t->now, t->chip->trace);
}

static void write_serial_divider(const struct touch *t, uint32_t value)
{
  port_of(t)->divider = value;
}

static void write_serial_overrun(const struct touch *t, uint32_t value)
{
  if (value == 0) port_of(t)->overrun = false;
}

static void write_serial_broken(const struct touch *t, uint32_t value)
{
  if (value == 0) port_of(t)->broken = false;
}

static void write_serial_data(const struct touch *t, uint32_t value)
{
  serial_put(port_of(t), (uint8_t)value, t->now, t->chip->trace);
}

static void write_serial_enable(const struct touch *t, uint32_t value)
{
  struct chip *c = t->chip;
  struct serial *s = port_of(t);
  uint32_t pin = part_port(c->part, s->port).transmit;
  serial_switch(s, value != 0);
  if (pin != PART_NONE)
    pins_take(&c->pins, pin, s->on, character_level(&s->out), t->now,
              c->trace);
}

#define read_NONE  NULL
#define write_NONE NULL

const struct role_functions roles[ROLE_COUNT_] = {
#define X(name, word, phase, reading, writing)                                \
  [ROLE_##name] = {ROLE_PHASE_##phase, read_##reading, write_##writing},
#include "describe/roles.def"
#undef X
};
