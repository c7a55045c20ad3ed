/* Pins: who drives, what is read, what the straps say.
 *
 * Common practice, no source: out of reset a general-purpose pin is an input
 * and drives nothing; its level out of an output that is switched on is that
 * of the output register; a pull holds only what nothing else drives. */
#include <string.h>

#include "chip/pins.h"
#include "chip_fixture.h"
#include "rows.h"

#define BIT(n) (UINT64_C(1) << (n))

/* Eight pins and the last there can be. Straps: 2 pulled up, 3 down, 4 not,
 * and 63 up. The part pulls 10 up and 11 down, and 3 up but for its strap. */
static const struct part part = {
    .pins = {.count = 64,
             .debug = BIT(6) | BIT(7),
             .pulled_up = BIT(10) | BIT(3),
             .pulled_down = BIT(11)},
    .straps = {{"up", 2, 1}, {"down", 3, -1}, {"open", 4, 0}, {"last", 63, 1}},
    .strap_count = 4,
};

static const struct moment now = {11, 12};

/* The drive of a pin as the trace tells it. */
static enum trace_drive told(const struct trace *trace, uint32_t pin)
{
  enum trace_drive drive = PIN_RELEASED;
  const struct trace_record *t;
  for (size_t n = 0; (t = kept_nth(trace, TRACE_PIN, n)) != NULL; n++)
    if (t->a == pin) drive = (enum trace_drive)t->b;
  return drive;
}

/* --- one pin, any history ------------------------------------------------ */

/* One letter an event: o/O output off/on, l/h level, S/s the serial block
 * takes it high/low, r it lets go, D/d the bench drives high/low, x the bench
 * lets go, R a reset, - the supply goes, + it is
 * back. `drive`: Z, L or H; `reads`: what the part reads. */
static const struct pin_row {
  const char *name;
  uint32_t pin;
  const char *events;
  char drive;
  bool reads;
} pins_rows[] = {
    {"out of reset a pin drives nothing", 0, "", 'Z', false},
    {"a floating pin reads low (assumed)", 0, "R", 'Z', false},
    {"a level alone drives nothing", 0, "h", 'Z', false},
    {"an output drives low first", 0, "O", 'L', false},
    {"the level set before shows when it is switched on", 0, "hO", 'H', true},
    {"and follows", 0, "hOl", 'L', false},
    {"switched off it lets go", 0, "hOo", 'Z', false},
    {"and comes back with its level", 0, "hOoO", 'H', true},
    {"a reset lets go", 0, "hOR", 'Z', false},
    {"and forgets the level", 0, "hORO", 'L', false},
    {"the serial block drives without an output", 0, "S", 'H', true},
    {"and overrules one", 0, "OSl", 'H', true},
    {"low too", 0, "hOs", 'L', false},
    {"when it lets go the output is back", 0, "hOsr", 'H', true},
    {"without one the pin is free", 0, "Sr", 'Z', false},
    {"a reset takes it from the serial block", 0, "SR", 'Z', false},
    {"the bench is read where the part is silent", 0, "D", 'Z', true},
    {"low as well", 2, "d", 'Z', false},
    {"until it lets go", 0, "Dx", 'Z', false},
    {"the part reads what it drives itself", 0, "OD", 'L', false},
    {"in both directions", 0, "hOd", 'H', true},
    {"the bench is still there when the part lets go", 0, "OhdR", 'Z', false},
    {"and high where it was high", 0, "ODR", 'Z', true},
    {"a reset is nothing to the bench", 0, "DR", 'Z', true},
    {"a pull-up is read", 2, "", 'Z', true},
    {"a pull-down is low", 3, "", 'Z', false},
    {"a strap without a pull is low (assumed)", 4, "", 'Z', false},
    {"the bench is stronger than a pull-up", 2, "d", 'Z', false},
    {"and than a pull-down", 3, "D", 'Z', true},
    {"a pull is back when the bench has gone", 2, "dx", 'Z', true},
    {"an output is stronger than a pull", 2, "O", 'L', false},
    {"a pin that the part pulls up reads high", 10, "", 'Z', true},
    {"out of reset, too", 10, "OR", 'Z', true},
    {"the bench is stronger", 10, "d", 'Z', false},
    {"and so is its own output", 10, "O", 'L', false},
    {"one that it pulls down reads low", 11, "", 'Z', false},
    {"the pull of a strap comes first", 3, "R", 'Z', false},
    {"without a supply an output drives nothing", 0, "hO-", 'Z', false},
    {"and does again when it is back, unless a reset let go", 0, "hO-+", 'H',
     true},
    {"which it may have done", 0, "hO-R+", 'Z', false},
    {"what is set meanwhile waits for the supply", 0, "-hO", 'Z', false},
    {"the serial block is as dead", 0, "S-", 'Z', false},
    {"the bench is not", 0, "hO-d", 'Z', false},
    {"and is read", 0, "O-D", 'Z', true},
    {"the debug port's pins drive nothing by themselves", 7, "R", 'Z', false},
    {"the highest pin is a pin", 63, "hO", 'H', true},
    {"with its pull", 63, "", 'Z', true},
};

static void pin_event(struct pins *p, uint32_t pin, char event,
                      struct trace *t)
{
  uint64_t b = BIT(pin);
  switch (event) {
  case 'o': pins_output(p, b, 0, now, t); break;
  case 'O': pins_output(p, b, UINT64_MAX, now, t); break;
  case 'l': pins_level(p, b, 0, now, t); break;
  case 'h': pins_level(p, b, UINT64_MAX, now, t); break;
  case 'S': pins_take(p, pin, true, true, now, t); break;
  case 's': pins_take(p, pin, true, false, now, t); break;
  case 'r': pins_take(p, pin, false, false, now, t); break;
  case 'D': pins_drive_outside(p, pin, true, true, now, t); break;
  case 'd': pins_drive_outside(p, pin, true, false, now, t); break;
  case 'x': pins_drive_outside(p, pin, false, false, now, t); break;
  case '-': pins_supply(p, false, now, t); break;
  case '+': pins_supply(p, true, now, t); break;
  default: pins_reset(p, now, t);
  }
}

static void pin_row(void **state)
{
  const struct pin_row *r = *state;
  static const char drives[] = "ZLH";
  struct pins p;
  struct trace trace;
  kept_init(&trace);
  pins_init(&p, &part);
  for (const char *e = r->events; *e != '\0'; e++)
    pin_event(&p, r->pin, *e, &trace);
  assert_int_equal(drives[told(&trace, r->pin)], r->drive);
  assert_int_equal(pins_sense(&p) >> r->pin & 1, r->reads);
  uint64_t others = ~BIT(r->pin);
  assert_int_equal(pins_sense(&p) & others,
                   (BIT(2) | BIT(10) | BIT(63)) & others);
  trace_free(&trace);
}

/* --- all pins ------------------------------------------------------------ */

static void after_a_reset_every_pin_is_high_impedance(void **state)
{
  (void)state;
  struct pins p;
  struct trace trace;
  kept_init(&trace);
  pins_init(&p, &part);
  pins_output(&p, UINT64_MAX, UINT64_MAX, now, &trace);
  pins_level(&p, UINT64_MAX, 0x5555555555555555, now, &trace);
  for (uint32_t pin = 0; pin < 64; pin++)
    assert_int_equal(told(&trace, pin),
                     pin % 2 == 0 ? PIN_DRIVEN_HIGH : PIN_DRIVEN_LOW);
  pins_reset(&p, now, &trace);
  for (uint32_t pin = 0; pin < 64; pin++)
    assert_int_equal(told(&trace, pin), PIN_RELEASED);
  assert_int_equal(pins_sense(&p), BIT(2) | BIT(10) | BIT(63));
  trace_free(&trace);
}

static void only_the_pins_of_the_mask_change(void **state)
{
  (void)state;
  struct pins p;
  struct trace trace;
  kept_init(&trace);
  pins_init(&p, &part);
  pins_level(&p, 0xf0, 0xff, now, &trace);
  pins_output(&p, 0x3c, 0xff, now, &trace);
  assert_int_equal(p.level, 0xf0);
  assert_int_equal(p.output, 0x3c);
  pins_output(&p, 0x30, 0x00, now, &trace);
  assert_int_equal(p.output, 0x0c);
  pins_level(&p, 0x0c, 0x04, now, &trace);
  assert_int_equal(p.level, 0xf4);
  trace_free(&trace);
}

static void a_pin_is_told_once_a_change(void **state)
{
  (void)state;
  struct pins p;
  struct trace trace;
  kept_init(&trace);
  pins_init(&p, &part);
  pins_level(&p, BIT(1), BIT(1), now, &trace);
  assert_int_equal(trace.kept_count, 0);
  for (int i = 0; i < 3; i++)
    pins_output(&p, BIT(1), BIT(1), now, &trace);
  assert_int_equal(trace.kept_count, 1);
  pins_take(&p, 1, true, true, now, &trace); /* another drives the same */
  assert_int_equal(trace.kept_count, 1);
  pins_reset(&p, now, &trace);
  pins_reset(&p, now, &trace);
  assert_int_equal(trace.kept_count, 2);
  const struct trace_record *t = kept_last(&trace, TRACE_PIN);
  assert_true(t->a == 1 && t->b == PIN_RELEASED);
  assert_true(t->at == now.at && t->cycle == now.cycle);
  trace_free(&trace);
}

/* --- straps -------------------------------------------------------------- */

/* Straps in the order of the part: up, down, open, last. */
static const struct strap_row {
  const char *name;
  uint64_t bench, bench_high;
  uint32_t straps;
} straps[] = {
    {"with nothing soldered the pulls speak", 0, 0, 0x9},
    {"the board overrules them", BIT(2) | BIT(3), BIT(3), 0xa},
    {"an open strap is what the board makes it", BIT(4), BIT(4), 0xd},
    {"all low", BIT(2) | BIT(3) | BIT(4) | BIT(63), 0, 0x0},
    {"all high", BIT(2) | BIT(3) | BIT(4) | BIT(63), UINT64_MAX, 0xf},
    {"another pin is none of theirs", BIT(0) | BIT(1), UINT64_MAX, 0x9},
};

static void strap_row(void **state)
{
  const struct strap_row *r = *state;
  struct pins p;
  struct trace trace;
  kept_init(&trace);
  pins_init(&p, &part);
  for (uint32_t pin = 0; pin < 64; pin++)
    if (r->bench & BIT(pin))
      pins_drive_outside(&p, pin, true, r->bench_high & BIT(pin), now, &trace);
  assert_int_equal(pins_straps(&p, now, &trace), r->straps);
  assert_int_equal(kept_count(&trace, TRACE_STRAP), 4);
  for (uint32_t i = 0; i < 4; i++) {
    const struct trace_record *t = kept_nth(&trace, TRACE_STRAP, i);
    assert_true(t->a == i && t->b == (r->straps >> i & 1));
  }
  trace_free(&trace);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(after_a_reset_every_pin_is_high_impedance),
      cmocka_unit_test(only_the_pins_of_the_mask_change),
      cmocka_unit_test(a_pin_is_told_once_a_change),
  };
  struct CMUnitTest tests[ROWS_COUNT(pins_rows) + ROWS_COUNT(straps)];
  size_t n = ROWS_ADD(tests, pin_row, pins_rows);
  n += ROWS_ADD(tests + n, strap_row, straps);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
