/* Deep sleep: who asks for it, and when the timer wakes. */
#include "chip/sleep.h"
#include "chip_fixture.h"
#include "rows.h"

static const struct part_deep_sleep by_core = {
    .present = true, .by_sleepdeep = true, .clock = EXACTLY(32000)};
static const struct part_deep_sleep by_field = {.present = true,
                                                .clock = EXACTLY(32000)};
static const struct part_deep_sleep none = {.by_sleepdeep = true};

static const struct enter_row {
  const char *name;
  const struct part_deep_sleep *part;
  bool asked, sleepdeep, deep;
} enter_rows[] = {
    {"SLEEPDEEP makes it deep", &by_core, false, true, true},
    {"without it sleep is light", &by_core, true, false, false},
    {"the field makes it deep", &by_field, true, false, true},
    {"where the field counts SLEEPDEEP does not", &by_field, false, true,
     false},
    {"a part without deep sleep has none", &none, true, true, false},
};

static void enter_row(void **state)
{
  const struct enter_row *r = *state;
  struct sleep s;
  sleep_init(&s, r->part);
  s.asked = r->asked;
  assert_int_equal(sleep_enter(&s, r->sleepdeep, 0), r->deep);
  assert_int_equal(s.deep, r->deep);
  assert_int_equal(s.wakes_at, PS_NEVER);
  assert_false(sleep_enter(&s, r->sleepdeep, 1)); /* only once */
}

/* 320 ticks of 32 kHz are 10 ms; 1 tick is 31.25 us. */
static void the_timer_counts_from_the_entry(void **state)
{
  (void)state;
  struct sleep s;
  sleep_init(&s, &by_core);
  s.timer = true;
  s.ticks = 320;
  assert_true(sleep_enter(&s, true, PS_PER_S));
  assert_int_equal(s.wakes_at, PS_PER_S + 10 * PS_PER_MS);
  sleep_leave(&s);
  assert_int_equal(s.wakes_at, PS_NEVER);
  s.ticks = 1;
  assert_true(sleep_enter(&s, true, 0));
  assert_int_equal(s.wakes_at, 31250000);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(the_timer_counts_from_the_entry),
  };
  struct CMUnitTest tests[ROWS_COUNT(enter_rows)];
  ROWS_ADD(tests, enter_row, enter_rows);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
