/* The supply: closed forms, worked by hand in whole numbers.
 *
 *   on    V = V0 - I R, reached at V0 / ramp
 *   off   t = C V / I
 */
#include <string.h>

#include "board/supply.h"
#include "chip_fixture.h"
#include "rows.h"

#define V  INT64_C(1000000) /* uV */
#define MV INT64_C(1000)

#define OHM INT64_C(1000)    /* milliohm */
#define UF  INT64_C(1000000) /* pF */
#define MA  INT64_C(1000000) /* nA */
#define UA  INT64_C(1000)

/* --- on ------------------------------------------------------------------ */

static const struct on_row {
  const char *name;
  struct case_supply board;
  uv_t level;
  int64_t load;
  uv_t to;
  ps_t lasts;
} on_rows[] = {
    {"without a load it is the source",
     {.source_uv = 3 * V,
      .resistance_mohm = 10 * OHM,
      .bulk_pf = 22 * UF,
      .ramp_ps = 100 * PS_PER_US},
     0,
     0,
     3 * V,
     100 * PS_PER_US},
    /* 2.4 mA in 10 ohm: 24 mV; 2.976 V at 3 V in 100 us: 99.2 us */
    {"a load drops I R, and is reached sooner",
     {.source_uv = 3 * V,
      .resistance_mohm = 10 * OHM,
      .bulk_pf = 22 * UF,
      .ramp_ps = 100 * PS_PER_US},
     0,
     2400 * UA,
     2976 * MV,
     99200 * PS_PER_NS},
    /* 2.4 mA and 5.6 mA in 10 ohm: 80 mV; 97.333333 us */
    {"the board's own load counts",
     {.source_uv = 3 * V,
      .resistance_mohm = 10 * OHM,
      .bulk_pf = 22 * UF,
      .ramp_ps = 100 * PS_PER_US,
      .load_na = 5600 * UA},
     0,
     2400 * UA,
     2920 * MV,
     97333333},
    /* 1.5 V of 3 V in 100 us */
    {"half-way up it takes half the time",
     {.source_uv = 3 * V, .bulk_pf = 22 * UF, .ramp_ps = 100 * PS_PER_US},
     1500 * MV,
     MA,
     3 * V,
     50 * PS_PER_US},
    /* 24 mV down, at the same slope: 0.8 us */
    {"more load goes down by the same slope",
     {.source_uv = 3 * V,
      .resistance_mohm = 10 * OHM,
      .bulk_pf = 22 * UF,
      .ramp_ps = 100 * PS_PER_US},
     3 * V,
     2400 * UA,
     2976 * MV,
     800 * PS_PER_NS},
    {"a ramp of nothing is at once",
     {.source_uv = 3300 * MV, .bulk_pf = 22 * UF},
     0,
     MA,
     3300 * MV,
     0},
    /* 4 mA in 1 kohm would drop 4 V */
    {"a load that the source can't carry leaves nothing",
     {.source_uv = 3 * V,
      .resistance_mohm = 1000 * OHM,
      .bulk_pf = UF,
      .ramp_ps = 100 * PS_PER_US},
     0,
     4 * MA,
     0,
     0},
    /* 3 mA in 1 kohm drop 3 V exactly */
    {"nor does one that takes all of it",
     {.source_uv = 3 * V,
      .resistance_mohm = 1000 * OHM,
      .bulk_pf = UF,
      .ramp_ps = 100 * PS_PER_US},
     0,
     3 * MA,
     0,
     0},
    /* 10 V, 1 Mohm, 20 A: 2 * 10^7 V, far beyond 64 bits in nV */
    {"the largest numbers that a case may have do not wrap",
     {.source_uv = 10 * V,
      .resistance_mohm = 1000000 * OHM,
      .bulk_pf = 1000000 * UF,
      .ramp_ps = 100 * PS_PER_S,
      .load_na = 10000 * MA},
     0,
     10000 * MA,
     0,
     0},
};

static void on_row(void **state)
{
  const struct on_row *r = *state;
  struct supply s;
  supply_init(&s, &r->board);
  supply_switch(&s, true);
  struct rail_segment g = supply_segment(&s, r->level, r->load, PS_PER_S);
  assert_int_equal(g.at, PS_PER_S);
  assert_int_equal(g.from, r->level);
  assert_int_equal(g.to, r->to);
  assert_int_equal(g.until - g.at, r->lasts);
}

/* --- off ----------------------------------------------------------------- */

static const struct off_row {
  const char *name;
  int64_t bulk, board_load;
  uv_t level;
  int64_t load;
  ps_t now;
  uv_t to;
  ps_t lasts;
} off_rows[] = {
    /* 22 uF * 3 V = 66 uC; at 2.4 mA 27.5 ms */
    {"22 uF feed 2.4 mA for 27.5 ms", 22 * UF, 0, 3 * V, 2400 * UA, 0, 0,
     27500 * PS_PER_US},
    /* 22 uF * 1.499999 V / 6 uA = 5.499996333... s */
    {"and what is left feeds 6 uA for 5.5 s", 22 * UF, 0, 1499999, 6 * UA, 77,
     0, 5499996333333},
    /* 22 uF * 3 V / 6.6 mA = 10 ms */
    {"the board's own load counts", 22 * UF, 4200 * UA, 3 * V, 2400 * UA, 0, 0,
     10 * PS_PER_MS},
    /* 1 pF * 0.1 V / 20 A = 5 * 10^-15 s */
    {"what is less than a picosecond is at once", 1, 10000 * MA, 100 * MV,
     10000 * MA, 0, 0, 0},
    {"without a load the level stays", 22 * UF, 0, 3 * V, 0, 0, 3 * V, 0},
    {"an empty capacitor stays empty", 22 * UF, 0, 0, 2400 * UA, 0, 0, 0},
    /* 1 F * 10 V / 1 uA = 10^7 s, beyond the 9223372.036854 s there are: then
     * 10 V - 9.223372036 V = 0.776627 V and 0.96 uV are left */
    {"a discharge that outlasts time is cut where time ends", 1000000 * UF, 0,
     10 * V, 1 * UA, 0, 776628, PS_NEVER - 1},
    /* 10 ms before the end, 27.5 ms to go: 3 V * 10 / 27.5 = 1.090909 V */
    {"near the end of time too", 22 * UF, 0, 3 * V, 2400 * UA,
     PS_NEVER - 1 - 10 * PS_PER_MS, 1909091, 10 * PS_PER_MS},
};

static void off_row(void **state)
{
  const struct off_row *r = *state;
  const struct case_supply board = {.source_uv = 3 * V,
                                    .resistance_mohm = 10 * OHM,
                                    .bulk_pf = r->bulk,
                                    .ramp_ps = 100 * PS_PER_US,
                                    .load_na = r->board_load};
  struct supply s;
  supply_init(&s, &board);
  struct rail_segment g = supply_segment(&s, r->level, r->load, r->now);
  assert_int_equal(g.at, r->now);
  assert_int_equal(g.from, r->level);
  assert_int_equal(g.to, r->to);
  assert_int_equal(g.until - g.at, r->lasts);
}

/* --- with a rail behind it ----------------------------------------------- */

/* 22 uF charged to 3.0 V - 2.4 mA * 10 ohm = 2.976 V. Off at 1 s; the part
 * draws 2.4 mA until it falls below 1.5 V, then 6 uA.
 *
 *   to 1.5 V    22 uF * 1.476 V / 2.4 mA = 13.53 ms; 1 uV takes 9.1667 ns
 *   to 0.9 V    22 uF * 0.6 V / 6 uA = 2.2 s more
 *   to 0.4 V    22 uF * 1.1 V / 6 uA = 4.0333 s more; 1 uV takes 3.6667 us
 */
static void a_part_that_is_switched_off_falls_by_the_closed_forms(void **state)
{
  (void)state;
  static const struct part_power power = {.on_rise = EXACTLY(1600 * MV),
                                          .on_fall = EXACTLY(1500 * MV),
                                          .ram_keep = EXACTLY(900 * MV),
                                          .rearm_below = EXACTLY(400 * MV),
                                          .rearm_for = EXACTLY(0)};
  static const struct case_supply board = {
      .source_uv = 3 * V, .resistance_mohm = 10 * OHM, .bulk_pf = 22 * UF};
  struct supply s;
  struct rail r;
  struct trace trace;
  kept_init(&trace);
  rail_init(&r, &power);
  supply_init(&s, &board);
  supply_switch(&s, true);
  struct rail_segment g = supply_segment(&s, 0, 2400 * UA, 0);
  rail_move(&r, &g);
  while (rail_next(&r) == 0)
    rail_advance(&r, (struct moment){0, 0}, &trace);
  assert_int_equal(rail_level(&r, PS_PER_S), 2976 * MV);
  supply_switch(&s, false);
  g = supply_segment(&s, 2976 * MV, 2400 * UA, PS_PER_S);
  rail_move(&r, &g);
  ps_t at = rail_next(&r); /* below 1.6 V */
  rail_advance(&r, (struct moment){at, 0}, &trace);
  at = rail_next(&r);
  assert_int_equal(rail_advance(&r, (struct moment){at, 0}, &trace),
                   RAIL_DOWN);
  assert_int_equal(at, PS_PER_S + 13530009167);
  assert_true(supply_load_changed(&s, 6 * UA));
  g = supply_segment(&s, rail_level(&r, at), 6 * UA, at);
  assert_false(supply_load_changed(&s, 6 * UA));
  rail_move(&r, &g);
  assert_int_equal(rail_next(&r), at + 2200 * PS_PER_MS);
  rail_advance(&r, (struct moment){rail_next(&r), 0}, &trace);
  assert_int_equal(rail_next(&r), at + 4033333333334);
  trace_free(&trace);
}

static void off_is_how_it_begins(void **state)
{
  (void)state;
  static const struct case_supply board = {
      .source_uv = 3 * V, .bulk_pf = 22 * UF, .load_na = 5 * UA};
  struct supply s;
  memset(&s, 0xff, sizeof s);
  supply_init(&s, &board);
  assert_false(s.on);
  assert_int_equal(supply_segment(&s, 0, 1, 0).to, 0);
}

static void only_the_part_changes_the_load(void **state)
{
  (void)state;
  static const struct case_supply board = {
      .source_uv = 3 * V, .bulk_pf = 22 * UF, .load_na = 5 * UA};
  struct supply s;
  supply_init(&s, &board);
  supply_segment(&s, 0, 7 * UA, 0);
  assert_false(supply_load_changed(&s, 7 * UA));
  assert_true(supply_load_changed(&s, 7 * UA + 1));
  assert_true(supply_load_changed(&s, 12 * UA));
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(a_part_that_is_switched_off_falls_by_the_closed_forms),
      cmocka_unit_test(off_is_how_it_begins),
      cmocka_unit_test(only_the_part_changes_the_load),
  };
  struct CMUnitTest tests[ROWS_COUNT(on_rows) + ROWS_COUNT(off_rows)];
  size_t n = ROWS_ADD(tests, on_row, on_rows);
  n += ROWS_ADD(tests + n, off_row, off_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
