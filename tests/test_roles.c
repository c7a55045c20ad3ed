/* Roles: what a program finds behind the fields of pins, clocks, causes and
 * the serial port. */
#include <string.h>

#include "register_fixture.h"
#include "rows.h"

enum {
  MODE = 0x44000000,
  OUT = 0x44000004,
  SET = 0x44000008,
  CLEAR = 0x4400000c,
  IN = 0x44000010,
  CLOCK = 0x44000020,
  CAUSE = 0x44000030,
  SETUP = 0x44000040,
  STATE = 0x44000044,
  DATA = 0x44000048
};

static struct part_field mode[] = {FIELD(0, 4, RW, PIN_MODE, 0),
                                   FIELD(16, 4, RW, PIN_MODE, 4)};
static struct part_field out[] = {FIELD(0, 8, RW, PIN_OUT, 0)};
static struct part_field set[] = {FIELD(0, 8, W1S, PIN_OUT, 0)};
static struct part_field clear[] = {FIELD(0, 8, W1C, PIN_OUT, 0)};
static struct part_field in[] = {FIELD(8, 8, RO, PIN_IN, 0)};
static struct part_field clocks[] = {
    FIELD(0, 1, RW, CLOCK_ENABLE, 1), FIELD(1, 1, RO, CLOCK_READY, 1),
    FIELD(2, 1, RO, CLOCK_READY, 0), FIELD(4, 2, RW, CLOCK_SELECT, 0)};
static struct part_field causes[] = {
    FIELD(0, 1, W1S, CAUSE_CLEAR, 0),     FIELD(8, 1, RO, CAUSE_POWER_ON, 0),
    FIELD(9, 1, W1C, CAUSE_PIN, 0),       FIELD(10, 1, RW, CAUSE_SOFTWARE, 0),
    FIELD(11, 1, RO, CAUSE_CORE_ONLY, 0), FIELD(12, 1, RO, CAUSE_WATCHDOG, 0)};
static struct part_field setup[] = {FIELD(0, 1, RW, SERIAL_ENABLE, 0)};
static struct part_field state_[] = {FIELD(0, 1, RO, SERIAL_RECEIVED, 0),
                                     FIELD(1, 1, RO, SERIAL_SPACE, 0)};
static struct part_field data[] = {FIELD(0, 8, RW, SERIAL_DATA, 0),
                                   FIELD(8, 8, RW, NONE, 0)};

static struct part_register registers[] = {
    REGISTER(MODE, mode, 0),    REGISTER(OUT, out, 0),
    REGISTER(SET, set, 0),      REGISTER(CLEAR, clear, 0),
    REGISTER(IN, in, 0),        REGISTER(CLOCK, clocks, 0),
    REGISTER(CAUSE, causes, 0), REGISTER(SETUP, setup, 0),
    REGISTER(STATE, state_, 0), REGISTER(DATA, data, 0),
};

static struct register_bench bench;

static int set_up(void **state)
{
  (void)state;
  register_bench_init(&bench, registers, ROWS_COUNT(registers), 4);
  return 0;
}

static int tear_down(void **state)
{
  (void)state;
  register_bench_free(&bench);
  return 0;
}

static void pass(ps_t time)
{
  bench.cycle += time / CYCLE_PS;
}

/* --- pins ---------------------------------------------------------------- */

static void a_field_of_pins_begins_at_its_index(void **state)
{
  (void)state;
  write_word(&bench, OUT, 0xff);
  write_word(&bench, MODE, 0x00060001);
  assert_int_equal(bench.chip.pins.output, 0x61);
  assert_int_equal(read_word(&bench, MODE), 0x00060001);
  assert_int_equal(read_word(&bench, IN), 0x6100);
}

static void an_input_shows_the_bench_and_is_not_written(void **state)
{
  (void)state;
  const struct moment now = {0, 0};
  pins_drive_outside(&bench.chip.pins, 3, true, true, now, &bench.trace);
  write_word(&bench, IN, 0xffffffff);
  assert_int_equal(read_word(&bench, IN), 0x0800);
  assert_int_equal(bench.chip.pins.level, 0);
}

/* Registers that set or clear single pins (common practice, no source): the
 * bits written as 0 stay as they are. */
static void pins_are_set_and_cleared_alone(void **state)
{
  (void)state;
  write_word(&bench, OUT, 0x0f);
  write_word(&bench, SET, 0x30);
  assert_int_equal(bench.chip.pins.level, 0x3f);
  write_word(&bench, CLEAR, 0x05);
  assert_int_equal(bench.chip.pins.level, 0x3a);
  write_word(&bench, SET, 0);
  write_word(&bench, CLEAR, 0);
  assert_int_equal(bench.chip.pins.level, 0x3a);
  assert_int_equal(read_word(&bench, OUT), 0x3a);
}

/* --- clocks -------------------------------------------------------------- */

static void a_clock_is_chosen_when_it_is_ready(void **state)
{
  (void)state;
  assert_int_equal(read_word(&bench, CLOCK), 0x04); /* source 0 is ready */
  write_word(&bench, CLOCK, 0x11);
  assert_int_equal(read_word(&bench, CLOCK), 0x05);
  assert_int_equal(bench.chip.clock.hz, 8 * MHZ);
  pass(12 * PS_PER_US - CYCLE_PS);
  assert_int_equal(read_word(&bench, CLOCK), 0x05);
  pass(CYCLE_PS);
  assert_int_equal(read_word(&bench, CLOCK), 0x07);
  write_word(&bench, CLOCK, 0x11);
  assert_int_equal(read_word(&bench, CLOCK), 0x17);
  assert_int_equal(bench.chip.clock.hz, 24 * MHZ);
  const struct trace_record *t = kept_last(&bench.trace, TRACE_CLOCK);
  assert_true(t != NULL && t->a == 1 && t->b == 24 * MHZ);
  assert_int_equal(kept_count(&bench.trace, TRACE_CLOCK), 1);
}

static void enable_and_select_in_one_write_is_too_early(void **state)
{
  (void)state;
  write_word(&bench, CLOCK, 0x11);
  pass(PS_PER_S);
  assert_int_equal(read_word(&bench, CLOCK), 0x07);
}

static void a_clock_that_is_not_there_is_not_chosen(void **state)
{
  (void)state;
  write_word(&bench, CLOCK, 0x31);
  assert_int_equal(read_word(&bench, CLOCK) & 0x30, 0);
}

/* --- causes -------------------------------------------------------------- */

#define BIT(n) (1u << (n))
#define ALL                                                                   \
  (BIT(CAUSE_POWER_ON) | BIT(CAUSE_PIN) | BIT(CAUSE_SOFTWARE) |               \
   BIT(CAUSE_CORE_ONLY) | BIT(CAUSE_WATCHDOG))

static const struct cause_row {
  const char *name;
  uint32_t set, shows, written, left;
} cause_rows[] = {
    {"no cause, no flag", 0, 0x0000, 0, 0},
    {"each cause has its flag", ALL, 0x1f00, 0, ALL & ~BIT(CAUSE_SOFTWARE)},
    {"the first of them", BIT(CAUSE_POWER_ON), 0x0100, 0, BIT(CAUSE_POWER_ON)},
    {"the last of them", BIT(CAUSE_CORE_ONLY), 0x0800, 0,
     BIT(CAUSE_CORE_ONLY)},
    {"one clearing bit clears all", ALL, 0x1f00, 0x0401, 0},
    {"a w1c flag is cleared by its 1", ALL, 0x1f00, 0x0600,
     ALL & ~BIT(CAUSE_PIN)},
    {"an rw flag is cleared by its 0", ALL, 0x1f00, 0x0000,
     ALL & ~BIT(CAUSE_SOFTWARE)},
    {"a flag is not set by a program", 0, 0x0000, 0x1f00, 0},
};

static void cause_row(void **state)
{
  const struct cause_row *r = *state;
  set_up(NULL);
  for (enum cause c = 0; c < CAUSE_COUNT_; c++)
    if (r->set & BIT(c))
      reset_set_flag(&bench.chip.reset, c, (struct moment){0, 0},
                     &bench.trace);
  assert_int_equal(read_word(&bench, CAUSE), r->shows);
  write_word(&bench, CAUSE, r->written);
  assert_int_equal(bench.chip.reset.flags, r->left);
  tear_down(NULL);
}

/* --- the serial port ----------------------------------------------------- */

static void switched_on_it_idles_high_and_has_space(void **state)
{
  (void)state;
  assert_int_equal(read_word(&bench, STATE), 0);
  write_word(&bench, SETUP, 1);
  assert_int_equal(read_word(&bench, STATE), 2);
  const struct trace_record *t = kept_last(&bench.trace, TRACE_PIN);
  assert_true(t->a == 5 && t->b == PIN_DRIVEN_HIGH);
  write_word(&bench, SETUP, 0);
  t = kept_last(&bench.trace, TRACE_PIN);
  assert_true(t->a == 5 && t->b == PIN_RELEASED);
  assert_int_equal(read_word(&bench, STATE), 0);
}

static void a_byte_is_sent_once_and_only_when_it_is_on(void **state)
{
  (void)state;
  write_word(&bench, DATA, 0x55);
  assert_int_equal(kept_count(&bench.trace, TRACE_SENT), 0);
  write_word(&bench, SETUP, 1);
  write_word(&bench, DATA, 0x17e);
  register_access(&bench, DATA + 1, 1, true, 0x33); /* beside it */
  assert_int_equal(kept_count(&bench.trace, TRACE_SENT), 1);
  assert_int_equal(kept_last(&bench.trace, TRACE_SENT)->a, 0x7e);
}

static void sending_takes_no_byte_that_waits(void **state)
{
  (void)state;
  write_word(&bench, SETUP, 1);
  bench.chip.serial[0].received = true;
  bench.chip.serial[0].byte = 0xa7;
  write_word(&bench, DATA, 0x7e);
  assert_int_equal(read_word(&bench, STATE), 1);  /* and has no space yet */
  register_access(&bench, DATA + 1, 1, false, 0); /* beside it */
  assert_int_equal(read_word(&bench, DATA) & 0xff, 0xa7);
  assert_int_equal(read_word(&bench, STATE), 0);
  assert_int_equal(read_word(&bench, DATA) & 0xff, 0);
}

static void a_part_without_a_transmit_pin_sends_all_the_same(void **state)
{
  (void)state;
  bench.part.pins.serial_transmit = PART_NONE;
  write_word(&bench, SETUP, 1);
  write_word(&bench, DATA, 0x7e);
  assert_int_equal(kept_count(&bench.trace, TRACE_PIN), 0);
  assert_int_equal(kept_count(&bench.trace, TRACE_SENT), 1);
}

#define SINGLE(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      SINGLE(a_field_of_pins_begins_at_its_index),
      SINGLE(an_input_shows_the_bench_and_is_not_written),
      SINGLE(pins_are_set_and_cleared_alone),
      SINGLE(a_clock_is_chosen_when_it_is_ready),
      SINGLE(enable_and_select_in_one_write_is_too_early),
      SINGLE(a_clock_that_is_not_there_is_not_chosen),
      SINGLE(switched_on_it_idles_high_and_has_space),
      SINGLE(a_byte_is_sent_once_and_only_when_it_is_on),
      SINGLE(sending_takes_no_byte_that_waits),
      SINGLE(a_part_without_a_transmit_pin_sends_all_the_same),
  };
  struct CMUnitTest tests[ROWS_COUNT(cause_rows)];
  ROWS_ADD(tests, cause_row, cause_rows);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
