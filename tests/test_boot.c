/* The boot sequence: order, skipped phases, and what a reset in the middle of
 * one still owes. */
#include <string.h>

#include "chip/boot.h"
#include "rows.h"
#include "chip_fixture.h"

static const struct part_boot before_line = {
    .option_load = EXACTLY(40),
    .blank_check = EXACTLY(6),
    .strap_delay = EXACTLY(4),
    .vector_fetch = EXACTLY(3),
    .in_reset = true,
};
static const struct part_boot after_line = {
    .option_load = EXACTLY(40),
    .blank_check = EXACTLY(6),
    .strap_delay = EXACTLY(4),
    .vector_fetch = EXACTLY(3),
    .in_reset = false,
};

/* One letter a phase: Off, Held, Options, Check, Line, Straps, Vectors,
 * Running. */
static const char letters[] = {
    [BOOT_OFF] = 'F',     [BOOT_HELD] = 'H',    [BOOT_OPTIONS] = 'O',
    [BOOT_CHECK] = 'C',   [BOOT_LINE] = 'L',    [BOOT_STRAPS] = 'S',
    [BOOT_VECTORS] = 'V', [BOOT_RUNNING] = 'R',
};

/* A row of the reset table out of the letters of what it does. */
static struct part_reset row_of(const char *does)
{
  struct part_reset row = {.present = true};
  row.does[RESET_OPTIONS] = strchr(does, 'O') != NULL;
  row.does[RESET_LATCH] = strchr(does, 'C') != NULL;
  row.does[RESET_STRAPS] = strchr(does, 'S') != NULL;
  row.does[RESET_ALIAS] = strchr(does, 'A') != NULL;
  return row;
}

static void begin(struct boot *b, enum cause cause, const char *does,
                  ps_t until)
{
  struct part_reset row = row_of(does);
  boot_begin(b, cause, &row, until);
}

/* The phases from the present one to the last; the sequence is at its end. */
static const char *rest(struct boot *b, char *order)
{
  size_t n = 0;
  order[n++] = letters[b->phase];
  while (b->phase != BOOT_RUNNING) {
    assert_true(boot_busy(b) && n < 9);
    boot_enter(b, boot_after(b), 0);
    order[n++] = letters[b->phase];
  }
  assert_false(boot_busy(b));
  order[n] = '\0';
  return order;
}

/* --- orders -------------------------------------------------------------- */

static const struct order_row {
  const char *name;
  const struct part_boot *part;
  const char *does, *order;
} orders[] = {
    {"options and check while the line is low", &before_line, "OCS",
     "HOCLSVR"},
    {"or after it is high", &after_line, "OCS", "HLOCSVR"},
    {"no options are loaded where they are kept", &before_line, "CS",
     "HCLSVR"},
    {"nor after the line", &after_line, "CS", "HLCSVR"},
    {"no check is made where the latch is kept", &before_line, "OS", "HOLSVR"},
    {"nor after the line", &after_line, "OS", "HLOSVR"},
    {"no strap is sampled where they are kept", &before_line, "OC", "HOCLVR"},
    {"nor after the line", &after_line, "OC", "HLOCVR"},
    {"options alone", &before_line, "O", "HOLVR"},
    {"options alone, after the line", &after_line, "O", "HLOVR"},
    {"a check alone", &before_line, "C", "HCLVR"},
    {"a check alone, after the line", &after_line, "C", "HLCVR"},
    {"straps alone", &before_line, "S", "HLSVR"},
    {"straps alone, after the line", &after_line, "S", "HLSVR"},
    {"what keeps all still waits for the line", &before_line, "", "HLVR"},
    {"and fetches vectors", &after_line, "", "HLVR"},
};

static void order_row(void **state)
{
  const struct order_row *r = *state;
  struct boot b;
  char order[16];
  boot_init(&b, r->part);
  assert_true(boot_busy(&b) && b.ends_at == PS_NEVER);
  begin(&b, CAUSE_PIN, r->does, 7);
  assert_int_equal(b.ends_at, 7);
  assert_string_equal(rest(&b, order), r->order);
}

/* --- a reset during a sequence ------------------------------------------- */

/* `first` begins a sequence that gets as far as the phase `at`; there the
 * rail falls if `off`; then comes `second`. */
static const struct merge_row {
  const char *name;
  enum cause first;
  const char *first_does;
  char at;
  bool off;
  enum cause second;
  const char *second_does;
  enum cause cause;
  const char *order;
} merges[] = {
    {"a pin reset during a power-on still does all of it", CAUSE_POWER_ON,
     "OCS", 'H', false, CAUSE_PIN, "S", CAUSE_POWER_ON, "HLOCSVR"},
    {"what was done already is done again", CAUSE_POWER_ON, "OCS", 'V', false,
     CAUSE_PIN, "S", CAUSE_POWER_ON, "HLOCSVR"},
    {"what either of them does is done", CAUSE_OPTION_RELOAD, "O", 'V', false,
     CAUSE_PIN, "C", CAUSE_OPTION_RELOAD, "HLOCVR"},
    {"the later cause stays where it outranks the first", CAUSE_PIN, "S", 'L',
     false, CAUSE_WATCHDOG, "O", CAUSE_WATCHDOG, "HLOSVR"},
    {"a cause twice is itself", CAUSE_PIN, "S", 'L', false, CAUSE_PIN, "S",
     CAUSE_PIN, "HLSVR"},
    {"after the first fetch nothing is owed", CAUSE_POWER_ON, "OCS", 'R',
     false, CAUSE_PIN, "S", CAUSE_PIN, "HLSVR"},
    {"nor does a higher cause stay", CAUSE_WATCHDOG, "O", 'R', false,
     CAUSE_SOFTWARE, "S", CAUSE_SOFTWARE, "HLSVR"},
    {"a supply that bounces still has its power-on", CAUSE_POWER_ON, "OCS",
     'H', true, CAUSE_BROWN_OUT, "S", CAUSE_POWER_ON, "HLOCSVR"},
    {"also where it bounces late", CAUSE_POWER_ON, "OCS", 'V', true,
     CAUSE_BROWN_OUT, "S", CAUSE_POWER_ON, "HLOCSVR"},
    {"a brown-out of a part that ran is only that", CAUSE_POWER_ON, "OCS", 'R',
     true, CAUSE_BROWN_OUT, "S", CAUSE_BROWN_OUT, "HLSVR"},
    {"a brown-out outranks the pin reset that it cut", CAUSE_PIN, "S", 'L',
     true, CAUSE_BROWN_OUT, "O", CAUSE_BROWN_OUT, "HLOSVR"},
};

static void merge_row(void **state)
{
  const struct merge_row *r = *state;
  struct boot b;
  char order[16];
  boot_init(&b, &after_line);
  begin(&b, r->first, r->first_does, 0);
  while (letters[b.phase] != r->at)
    boot_enter(&b, boot_after(&b), 0);
  if (r->off) {
    boot_off(&b);
    assert_true(b.phase == BOOT_OFF && boot_busy(&b) && b.ends_at == PS_NEVER);
  }
  begin(&b, r->second, r->second_does, 100);
  assert_int_equal(b.cause, r->cause);
  assert_int_equal(b.ends_at, 100);
  assert_string_equal(rest(&b, order), r->order);
}

static void the_merged_columns_hold_beyond_the_phases(void **state)
{
  (void)state;
  struct boot b;
  boot_init(&b, &after_line);
  begin(&b, CAUSE_POWER_ON, "OCSA", 0);
  begin(&b, CAUSE_CORE_ONLY, "", 0);
  assert_true(b.does[RESET_ALIAS]);
}

static void three_in_a_row_owe_all_they_do(void **state)
{
  (void)state;
  struct boot b;
  char order[16];
  boot_init(&b, &after_line);
  begin(&b, CAUSE_PIN, "S", 0);
  begin(&b, CAUSE_SOFTWARE, "C", 0);
  begin(&b, CAUSE_CORE_ONLY, "O", 0);
  assert_int_equal(b.cause, CAUSE_SOFTWARE);
  assert_string_equal(rest(&b, order), "HLOCSVR");
}

/* The upper row of causes.def wins, whichever comes first. */
static void of_any_two_causes_the_upper_one_stays(void **state)
{
  (void)state;
  for (enum cause first = 0; first < CAUSE_COUNT_; first++)
    for (enum cause second = 0; second < CAUSE_COUNT_; second++) {
      struct boot b;
      boot_init(&b, &after_line);
      begin(&b, first, "S", 0);
      begin(&b, second, "S", 0);
      assert_int_equal(b.cause, first < second ? first : second);
    }
}

/* --- how long ------------------------------------------------------------ */

static void a_reset_does_not_shorten_the_start_up_delay(void **state)
{
  (void)state;
  struct boot b;
  boot_init(&b, &after_line);
  begin(&b, CAUSE_POWER_ON, "OCS", 300 * PS_PER_US);
  begin(&b, CAUSE_PIN, "S", 100 * PS_PER_US);
  assert_int_equal(b.ends_at, 300 * PS_PER_US);
  begin(&b, CAUSE_PIN, "S", 400 * PS_PER_US);
  assert_int_equal(b.ends_at, 400 * PS_PER_US);
}

static void a_delay_cut_by_the_rail_is_forgotten(void **state)
{
  (void)state;
  struct boot b;
  boot_init(&b, &after_line);
  begin(&b, CAUSE_POWER_ON, "OCS", 300 * PS_PER_US);
  boot_off(&b);
  begin(&b, CAUSE_BROWN_OUT, "S", 200 * PS_PER_US);
  assert_int_equal(b.ends_at, 200 * PS_PER_US);
}

static const struct cycles_row {
  const char *name;
  enum boot_phase phase;
  int64_t cycles;
} cycles[] = {
    {"the start-up delay is no number of cycles", BOOT_HELD, 0},
    {"options take their load", BOOT_OPTIONS, 40},
    {"the check takes its own", BOOT_CHECK, 6},
    {"the line takes as long as it is low", BOOT_LINE, 0},
    {"straps take their delay", BOOT_STRAPS, 4},
    {"vectors take their fetch", BOOT_VECTORS, 3},
    {"running is no phase that ends", BOOT_RUNNING, 0},
};

static void cycles_row(void **state)
{
  const struct cycles_row *r = *state;
  struct boot b;
  boot_init(&b, &after_line);
  assert_int_equal(boot_cycles(&b, r->phase), r->cycles);
}

/* --- misuse -------------------------------------------------------------- */

static void what_comes_after_off(void)
{
  struct boot b;
  boot_init(&b, &after_line);
  boot_after(&b);
}

static void what_comes_after_running(void)
{
  struct boot b;
  boot_init(&b, &after_line);
  boot_enter(&b, BOOT_RUNNING, PS_NEVER);
  boot_after(&b);
}

static const struct misuse_row misuses[] = {
    {"nothing comes after off by itself", what_comes_after_off},
    {"nothing comes after running", what_comes_after_running},
};

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(the_merged_columns_hold_beyond_the_phases),
      cmocka_unit_test(three_in_a_row_owe_all_they_do),
      cmocka_unit_test(of_any_two_causes_the_upper_one_stays),
      cmocka_unit_test(a_reset_does_not_shorten_the_start_up_delay),
      cmocka_unit_test(a_delay_cut_by_the_rail_is_forgotten),
  };
  struct CMUnitTest tests[ROWS_COUNT(orders) + ROWS_COUNT(merges) +
                          ROWS_COUNT(cycles) + ROWS_COUNT(misuses)];
  size_t n = ROWS_ADD(tests, order_row, orders);
  n += ROWS_ADD(tests + n, merge_row, merges);
  n += ROWS_ADD(tests + n, cycles_row, cycles);
  n += ROWS_ADD(tests + n, misuse_row, misuses);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
