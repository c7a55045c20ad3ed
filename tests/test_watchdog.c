/* The watchdog: (reload + 1) ticks of its clock, worked by hand. */
#include "chip/watchdog.h"
#include "chip_fixture.h"
#include "rows.h"

#define MS PS_PER_MS

/* 1 kHz: a tick is a millisecond; ten of them. */
static const struct part_watchdog slow = {
    .present = true, .clock = EXACTLY(1000), .reload = 9};
/* 32.768 kHz: a tick is 30.517578125 us; 4096 of them are 125 ms. */
static const struct part_watchdog crystal = {
    .present = true, .clock = EXACTLY(32768), .reload = 4095};
/* 3 Hz: a tick is a third of a second, which is no whole picosecond. */
static const struct part_watchdog thirds = {
    .present = true, .clock = EXACTLY(3), .reload = 0};
static const struct part_watchdog none = {0};

static struct watchdog begun(const struct part_watchdog *part, ps_t now)
{
  struct watchdog w;
  watchdog_init(&w, part);
  watchdog_start(&w, now);
  return w;
}

static const struct due_row {
  const char *name;
  const struct part_watchdog *part;
  ps_t begins, due;
} due_rows[] = {
    {"ten ticks of a millisecond", &slow, 5 * MS, 15 * MS},
    {"4096 ticks of a crystal are an eighth of a second", &crystal, 0,
     125 * MS},
    {"a third of a second is rounded up", &thirds, 0, 333333333334},
    {"a part that has none never counts", &none, 0, PS_NEVER},
};

static void due_row(void **state)
{
  const struct due_row *r = *state;
  struct watchdog w = begun(r->part, r->begins);
  assert_int_equal(w.due_at, r->due);
  assert_int_equal(w.running, r->due != PS_NEVER);
}

static void a_kick_begins_anew(void **state)
{
  (void)state;
  struct watchdog w = begun(&slow, 0);
  assert_true(watchdog_kick(&w, 9 * MS));
  assert_int_equal(w.due_at, 19 * MS);
  assert_int_equal(watchdog_counted(&w, 12 * MS), 3 * MS);
  watchdog_start(&w, 15 * MS); /* it counts already */
  assert_int_equal(w.due_at, 19 * MS);
}

static void a_new_reload_counts_from_the_next_kick(void **state)
{
  (void)state;
  struct watchdog w = begun(&slow, 0);
  w.reload = 1;
  assert_int_equal(w.due_at, 10 * MS);
  assert_true(watchdog_kick(&w, 1 * MS));
  assert_int_equal(w.due_at, 3 * MS);
}

/* Ten ticks, the last four open: a kick before 6 ms is too early. */
static void a_window_is_shut_at_first(void **state)
{
  (void)state;
  struct watchdog w = begun(&slow, 0);
  w.window = 4;
  assert_true(watchdog_kick(&w, 6 * MS));
  assert_int_equal(w.due_at, 16 * MS);
  assert_false(watchdog_kick(&w, 12 * MS - 1));
  assert_int_equal(w.due_at, 12 * MS - 1);
  w = begun(&slow, 0);
  w.window = 10; /* all of it */
  assert_true(watchdog_kick(&w, 0));
}

static void it_stands_still_and_goes_on(void **state)
{
  (void)state;
  struct watchdog w = begun(&slow, 0);
  watchdog_hold(&w, true, 4 * MS);
  assert_int_equal(w.due_at, PS_NEVER);
  assert_int_equal(watchdog_counted(&w, 50 * MS), 4 * MS);
  watchdog_hold(&w, true, 20 * MS); /* no second time */
  watchdog_hold(&w, false, 104 * MS);
  assert_int_equal(w.due_at, 110 * MS);
  assert_int_equal(watchdog_counted(&w, 105 * MS), 5 * MS);
}

static void fed_while_it_stands_still_it_has_all_its_time(void **state)
{
  (void)state;
  struct watchdog w = begun(&slow, 0);
  watchdog_hold(&w, true, 4 * MS);
  assert_true(watchdog_kick(&w, 30 * MS));
  assert_int_equal(w.due_at, PS_NEVER);
  watchdog_hold(&w, false, 100 * MS);
  assert_int_equal(w.due_at, 110 * MS);
}

static void stopped_it_is_as_after_a_power_on(void **state)
{
  (void)state;
  struct watchdog w = begun(&slow, 0);
  w.reload = 3;
  w.window = 2;
  w.freeze = true;
  watchdog_stop(&w);
  assert_false(w.running || w.freeze);
  assert_int_equal(w.reload, 9);
  assert_int_equal(w.window, 0);
  assert_int_equal(w.due_at, PS_NEVER);
  assert_true(watchdog_kick(&w, MS)); /* nothing to feed */
  assert_int_equal(w.due_at, PS_NEVER);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(a_kick_begins_anew),
      cmocka_unit_test(a_new_reload_counts_from_the_next_kick),
      cmocka_unit_test(a_window_is_shut_at_first),
      cmocka_unit_test(it_stands_still_and_goes_on),
      cmocka_unit_test(fed_while_it_stands_still_it_has_all_its_time),
      cmocka_unit_test(stopped_it_is_as_after_a_power_on),
  };
  struct CMUnitTest tests[ROWS_COUNT(due_rows)];
  ROWS_ADD(tests, due_row, due_rows);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
