/* The rail: the instant of each crossing, against I = C dV/dt worked by hand
 * in whole numbers. */
#include "chip/rail.h"
#include "chip_fixture.h"
#include "rows.h"

#define V  INT64_C(1000000) /* uV */
#define MV INT64_C(1000)

static const struct part_power power = {
    .on_rise = EXACTLY(1600 * MV),
    .on_fall = EXACTLY(1500 * MV),
    .ram_keep = EXACTLY(900 * MV),
    .rearm_below = EXACTLY(400 * MV),
    .rearm_for = EXACTLY(20 * PS_PER_US),
};

static struct rail rail;
static struct trace trace;

static int set_up(void **state)
{
  (void)state;
  kept_init(&trace);
  rail_init(&rail, &power);
  return 0;
}

static int tear_down(void **state)
{
  (void)state;
  trace_free(&trace);
  return 0;
}

/* Every crossing up to `until`, each at its own instant. */
static void run_to(ps_t until)
{
  for (ps_t at = rail_next(&rail); at <= until; at = rail_next(&rail))
    rail_advance(&rail, (struct moment){at, 0}, &trace);
  assert_int_equal(rail_advance(&rail, (struct moment){until, 0}, &trace),
                   RAIL_NOTHING);
}

static void move(ps_t at, ps_t lasts, uv_t from, uv_t to)
{
  rail_move(&rail, &(struct rail_segment){
                       .at = at, .until = at + lasts, .from = from, .to = to});
}

static const struct trace_record *crossed(enum trace_kind kind,
                                          enum trace_threshold threshold)
{
  const struct trace_record *r;
  for (size_t n = 0; (r = kept_nth(&trace, kind, n)) != NULL; n++)
    if (r->a == threshold) return r;
  return NULL;
}

static void assert_crossed(enum trace_kind kind,
                           enum trace_threshold threshold, ps_t at)
{
  const struct trace_record *r = crossed(kind, threshold);
  assert_non_null(r);
  assert_int_equal(r->at, at);
}

/* --- a capacitor feeds a constant current: t = C (V0 - V) / I -------------
 */

/* The level is whole microvolts, so "below V" begins where it has fallen one
 * microvolt further: C * 1 uV / I later. */
static const struct fall_row {
  const char *name;
  int64_t c_pf, i_na;
  uv_t from;
  ps_t rise, fall, ram_keep, rearm; /* after the beginning */
} falls[] = {
    /* 100 V/s: 1.4 V 14 ms, 1.5 V 15 ms, 2.1 V 21 ms, 2.6 V 26 ms, 1 uV 10 ns
     */
    {"22 uF at 2.2 mA fall from 3.0 V by 100 V a second", 22000000, 2200000,
     3 * V, 14000010000, 15000010000, 21000010000, 26000010000},
    /* the same slope, 0.3 V more: 3 ms later */
    {"10 uF at 1 mA from 3.3 V cross 3 ms later", 10000000, 1000000, 3300 * MV,
     17000010000, 18000010000, 24000010000, 29000010000},
    /* 10 V/us: 1 uV takes 0.1 ps, and the next whole picosecond counts */
    {"100 nF at 1 A: a fraction of a picosecond counts as one", 100000,
     1000000000, 3 * V, 140001, 150001, 210001, 260001},
    /* 5.875 s a volt: 8.225 s, 8.8125 s, 12.3375 s, 15.275 s; 1 uV 5.875 us */
    {"47 uF at 8 uA take seconds", 47000000, 8000, 3 * V, 8225005875000,
     8812505875000, 12337505875000, 15275005875000},
};

static void fall_row(void **state)
{
  const struct fall_row *r = *state;
  const ps_t begin = PS_PER_S;
  /* Q = C V: pF * uV is 10^-18 C; a nA takes 10^-9 C a second */
  ps_t lasts = r->c_pf * r->from / r->i_na * 1000;
  assert_int_equal(lasts / 1000 * r->i_na, r->c_pf * r->from);
  move(0, 0, 0, r->from);
  run_to(0);
  move(begin, lasts, r->from, 0);
  run_to(begin + lasts);
  assert_crossed(TRACE_RAIL_FALL, THRESHOLD_ON_RISE, begin + r->rise);
  assert_crossed(TRACE_RAIL_FALL, THRESHOLD_ON_FALL, begin + r->fall);
  assert_crossed(TRACE_RAIL_FALL, THRESHOLD_RAM_KEEP, begin + r->ram_keep);
  assert_crossed(TRACE_RAIL_FALL, THRESHOLD_REARM, begin + r->rearm);
  assert_int_equal(rail_next(&rail), PS_NEVER);
  assert_false(rail.up);
  assert_true(rail.ram_lost);
}

static void a_ramp_crosses_each_level_from_below(void **state)
{
  (void)state;
  /* 3.0 V in 100 us: 0.4 V at 13.3333333 us, 1.6 V at 53.3333333 us */
  move(0, 100 * PS_PER_US, 0, 3 * V);
  run_to(100 * PS_PER_US);
  assert_crossed(TRACE_RAIL_RISE, THRESHOLD_REARM, 13333334);
  assert_crossed(TRACE_RAIL_RISE, THRESHOLD_RAM_KEEP, 30000000);
  assert_crossed(TRACE_RAIL_RISE, THRESHOLD_ON_FALL, 50000000);
  assert_crossed(TRACE_RAIL_RISE, THRESHOLD_ON_RISE, 53333334);
  assert_true(rail.up);
}

static void a_segment_that_turns_goes_on_from_where_it_was(void **state)
{
  (void)state;
  /* 22 uF at 2.2 mA: below 1.5 V after 15 ms and 10 ns, at 1.499999 V. There
   * the load falls to 22 uA, 1 V/s: 0.599999 V and 1 uV more take 0.6 s. */
  move(0, 0, 0, 3 * V);
  run_to(0);
  move(0, 30 * PS_PER_MS, 3 * V, 0);
  const ps_t turn = 15 * PS_PER_MS + 10 * PS_PER_NS;
  run_to(turn);
  assert_int_equal(rail_level(&rail, turn), 1499999);
  move(turn, 1499999 * PS_PER_US, 1499999, 0);
  run_to(2 * PS_PER_S);
  assert_crossed(TRACE_RAIL_FALL, THRESHOLD_RAM_KEEP, turn + 600 * PS_PER_MS);
  assert_crossed(TRACE_RAIL_FALL, THRESHOLD_REARM, turn + 1100 * PS_PER_MS);
}

/* Without a pattern: where exactly does a straight line cross a level? Both
 * sides multiplied out, so that nothing is rounded. */
static void the_crossing_is_the_first_instant_that_holds(void **state)
{
  (void)state;
  uint64_t seed = 1;
  for (int i = 0; i < 2000; i++) {
    ps_t at = fixture_random(&seed), lasts = fixture_random(&seed) % 999983;
    if (i % 2 != 0) lasts *= 1000003;
    uv_t high = 1600 * MV + fixture_random(&seed) % 3000000;
    uv_t low = fixture_random(&seed) % 1500000;
    wide_t way = high - low;
    rail_init(&rail, &power);
    move(at, 0, 0, low);
    run_to(at);
    move(at, lasts, low, high);
    run_to(at + lasts);
    ps_t up = crossed(TRACE_RAIL_RISE, THRESHOLD_ON_RISE)->at - at;
    assert_true(way * up >= (wide_t)(1600 * MV - low) * lasts);
    assert_true(up == 0 || way * (up - 1) < (wide_t)(1600 * MV - low) * lasts);
    ps_t top = at + lasts;
    move(top, lasts, high, low);
    run_to(top + lasts);
    ps_t down = crossed(TRACE_RAIL_FALL, THRESHOLD_ON_FALL)->at - top;
    wide_t need = high - 1500 * MV; /* above the threshold by so much */
    assert_true(lasts == 0 || way * down > need * lasts);
    assert_true(down == 0 || way * (down - 1) < (need + 1) * lasts);
    trace.kept_count = 0;
  }
}

static const struct level_row {
  const char *name;
  ps_t now;
  uv_t level;
} levels[] = {
    /* from 3.0 V at 1 s to 1.0 V at 1 s and 2 us: 1 uV a picosecond */
    {"before a segment the level is its first", 0, 3 * V},
    {"at its beginning too", PS_PER_S, 3 * V},
    {"a picosecond later one microvolt is gone", PS_PER_S + 1, 2999999},
    {"half-way it is half-way", PS_PER_S + PS_PER_US, 2 * V},
    {"one picosecond before the end", PS_PER_S + 2 * PS_PER_US - 1, 1000001},
    {"at its end it is the last", PS_PER_S + 2 * PS_PER_US, 1 * V},
    {"and it stays there", PS_NEVER - 1, 1 * V},
};

static void level_row(void **state)
{
  const struct level_row *r = *state;
  move(PS_PER_S, 2 * PS_PER_US, 3 * V, 1 * V);
  assert_int_equal(rail_level(&rail, r->now), r->level);
}

static void a_late_look_measures_by_the_crossings(void **state)
{
  (void)state;
  /* 100 V/s down to 0.3 V, then at once up; looked at only at both ends. Below
   * 0.4 V for 1 ms less the 10 ns of the first microvolt. */
  struct moment turn = {27 * PS_PER_MS, 7}, late = {PS_PER_S, 9};
  move(0, 0, 0, 3 * V);
  run_to(0);
  move(0, 27 * PS_PER_MS, 3 * V, 300 * MV);
  assert_int_equal(rail_advance(&rail, turn, &trace), RAIL_NOTHING);
  assert_int_equal(rail_advance(&rail, turn, &trace), RAIL_DOWN);
  while (rail_next(&rail) <= turn.at)
    assert_int_equal(rail_advance(&rail, turn, &trace), RAIL_NOTHING);
  move(turn.at, 0, 300 * MV, 3 * V);
  enum rail_event last = RAIL_NOTHING;
  while (rail_next(&rail) <= late.at)
    last = rail_advance(&rail, late, &trace);
  assert_int_equal(last, RAIL_POWER_ON);
  const struct trace_record *dip = kept_last(&trace, TRACE_RAIL_DIP);
  assert_int_equal(dip->a, 300);
  assert_int_equal(dip->b, 1000000 - 10);
  assert_true(dip->at == late.at && dip->cycle == 9);
}

/* --- misuse -------------------------------------------------------------- */

static void end_before_the_beginning(void)
{
  rail_init(&rail, &power);
  move(10, -1, 0, 0);
}

static const struct misuse_row misuses[] = {
    {"a segment that ends before it begins stops the program",
     end_before_the_beginning},
};

#define SINGLE(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

static void each(struct CMUnitTest *tests, size_t count)
{
  for (size_t i = 0; i < count; i++) {
    tests[i].setup_func = set_up;
    tests[i].teardown_func = tear_down;
  }
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      SINGLE(a_ramp_crosses_each_level_from_below),
      SINGLE(a_segment_that_turns_goes_on_from_where_it_was),
      SINGLE(the_crossing_is_the_first_instant_that_holds),
      SINGLE(a_late_look_measures_by_the_crossings),
  };
  struct CMUnitTest tests[ROWS_COUNT(falls) + ROWS_COUNT(levels)];
  struct CMUnitTest wrong[ROWS_COUNT(misuses)];
  size_t n = ROWS_ADD(tests, fall_row, falls);
  n += ROWS_ADD(tests + n, level_row, levels);
  each(tests, n);
  ROWS_ADD(wrong, misuse_row, misuses);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  failed += cmocka_run_group_tests_name("misuse", wrong, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
