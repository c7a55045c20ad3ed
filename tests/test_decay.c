/* The exponential, against published values and what it must be.
 *
 * e^(-x) to ten places: Abramowitz and Stegun, Handbook of Mathematical
 * Functions, Table 4.4, and ln 2 from its Table 4.2 (from memory; checked
 * against the series by hand for x = 1).
 */
#include <string.h>

#include "base/decay.h"
#include "chip_fixture.h"
#include "rows.h"

#define NS_TAU    ((wide_t)PS_PER_US * FS_PER_PS) /* 1 us */
#define US_OF_TAU PS_PER_US

static const struct left_row {
  const char *name;
  ps_t t;        /* tau is 1 us */
  uint64_t left; /* of 10^10 */
} left_rows[] = {
    {"nothing is gone at 0", 0, 10000000000},
    {"e^-0.01", 10000, 9900498337},
    {"e^-0.1", 100000, 9048374180},
    {"e^-0.5", 500000, 6065306597},
    {"a half at tau ln 2, 693147.18 ps", 693147, 5000000902},
    {"e^-1", 1000000, 3678794412},
    {"e^-2", 2000000, 1353352832},
    {"e^-3", 3000000, 497870684},
    {"e^-5, the trade's settled", 5000000, 67379470},
    {"e^-10", 10000000, 453999},
    {"e^-20", 20000000, 21},
    {"e^-43 is too little to be told", 43000000, 0},
    {"e^-64 and more is nothing", 64000000, 0},
    {"the longest time", PS_NEVER - 1, 0},
};

static void left_row(void **state)
{
  const struct left_row *r = *state;
  wide_t left = decay_left(NS_TAU, r->t);
  /* to the nearest, of 10^10 */
  wide_t told = (left * 10000000000 + ((wide_t)1 << 61)) >> 62;
  assert_true(told - (wide_t)r->left <= 1 && (wide_t)r->left - told <= 1);
}

/* e^-(a + b) = e^-a e^-b, whatever a and b: to 2^-54. */
static void exponents_add_up(void **state)
{
  (void)state;
  uint64_t seed = 1;
  for (int i = 0; i < 2000; i++) {
    ps_t a = fixture_random(&seed) % 20000000;
    ps_t b = fixture_random(&seed) % 20000000;
    wide_t whole = decay_left(NS_TAU, a + b);
    wide_t product =
        (wide_t)decay_left(NS_TAU, a) * (wide_t)decay_left(NS_TAU, b) >> 62;
    wide_t error = whole > product ? whole - product : product - whole;
    assert_true(error < 256);
  }
}

static void it_never_grows(void **state)
{
  (void)state;
  uint64_t last = UINT64_MAX;
  for (ps_t t = 0; t < 50000000; t += 999) {
    uint64_t left = decay_left(NS_TAU, t);
    assert_true(left <= last);
    last = left;
  }
}

/* 3 V through 1 ms from 0: the instant of each level is tau ln(3 / (3 - V)):
 * 1.5 V at 693.147181 us, 2 V at 1098.612289 us (ln 3), 2.7 V at 2302.585093
 * us (ln 10). */
static const struct first_row {
  const char *name;
  int64_t level;
  ps_t at;
} first_rows[] = {
    {"half the way after ln 2", 1500000, 693147180560},
    {"two thirds after ln 3", 2000000, 1098612288668},
    {"nine tenths after ln 10", 2700000, 2302585092994},
};

static void first_row(void **state)
{
  const struct first_row *r = *state;
  const struct decay d = {.tau_fs = (wide_t)PS_PER_S * 1000,
                          .gap = -3000000,
                          .aim = 3000000,
                          .high = INT64_MAX};
  ps_t at = decay_first(&d, r->level, true, 20 * PS_PER_S);
  /* the level is whole microvolts, which take tau uV / (3 V - level) */
  ps_t unit = PS_PER_S / (3000000 - r->level) + 1;
  assert_true(at - r->at <= unit && r->at - at <= unit);
  assert_true(decay_at(&d, at) >= r->level);
  assert_true(decay_at(&d, at - 1) < r->level);
}

/* A ramp of 1 V a second through 1 s, begun 0.5 V above: the line is
 * -1 V + t, the exponential 1.5 V; they cancel where 1.5 e^-t = 1, at ln 1.5
 * = 0.405465108108 s, and the level there is t. */
static void a_rail_above_its_ramp_turns_round(void **state)
{
  (void)state;
  const struct decay d = {.tau_fs = (wide_t)PS_PER_S * 1000,
                          .gap = 1500000,
                          .aim = -1000000,
                          .slope_way = 3000000,
                          .slope_lasts = 3 * PS_PER_S,
                          .high = INT64_MAX};
  ps_t turns = decay_turns(&d);
  assert_in_range(turns, 405464108108, 405466108108);
  assert_in_range(decay_at(&d, turns), 405464, 405466);
  assert_true(decay_at(&d, 0) == 500000);
}

static void what_goes_one_way_does_not_turn(void **state)
{
  (void)state;
  struct decay d = {.tau_fs = NS_TAU, .gap = 5, .high = INT64_MAX};
  assert_int_equal(decay_turns(&d), PS_NEVER); /* no slope */
  d.slope_lasts = PS_PER_US;
  d.slope_way = -5;
  assert_int_equal(decay_turns(&d), PS_NEVER); /* both down */
  d.slope_way = 50;
  assert_int_equal(decay_turns(&d), PS_NEVER); /* the slope is faster */
}

static void bounds_are_kept(void **state)
{
  (void)state;
  const struct decay d = {
      .tau_fs = NS_TAU, .gap = 100, .aim = -50, .low = 0, .high = 40};
  assert_int_equal(decay_at(&d, 0), 40);
  assert_int_equal(decay_at(&d, 10 * US_OF_TAU), 0);
}

static void settled_is_less_than_a_half(void **state)
{
  (void)state;
  for (int64_t gap = 1; gap < INT64_C(1) << 50; gap *= 3) {
    const struct decay d = {.tau_fs = NS_TAU, .gap = gap, .high = INT64_MAX};
    assert_int_equal(decay_at(&d, decay_settled(&d)), 0);
  }
}

static void no_time_constant(void)
{
  decay_left(0, 1);
}

static const struct misuse_row misuses[] = {
    {"a time constant of nothing stops the program", no_time_constant},
};

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(exponents_add_up),
      cmocka_unit_test(it_never_grows),
      cmocka_unit_test(a_rail_above_its_ramp_turns_round),
      cmocka_unit_test(what_goes_one_way_does_not_turn),
      cmocka_unit_test(bounds_are_kept),
      cmocka_unit_test(settled_is_less_than_a_half),
  };
  struct CMUnitTest tests[ROWS_COUNT(left_rows) + ROWS_COUNT(first_rows) +
                          ROWS_COUNT(misuses)];
  size_t n = ROWS_ADD(tests, left_row, left_rows);
  n += ROWS_ADD(tests + n, first_row, first_rows);
  n += ROWS_ADD(tests + n, misuse_row, misuses);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
