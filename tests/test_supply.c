/* The supply: closed forms, worked by hand in whole numbers.
 *
 *   on    V = V0 - I R, with the time constant R C
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

/* --- on, without a resistance: the rail is the ramp ---------------------- */

static const struct stiff_row {
  const char *name;
  uv_t source;
  ps_t ramp;
  uv_t level;
  int64_t load;
  ps_t lasts;
} stiff_rows[] = {
    {"a ramp takes its time", 3 * V, 100 * PS_PER_US, 0, 0, 100 * PS_PER_US},
    /* 1.5 V of 3 V in 100 us */
    {"half-way up it takes half the time", 3 * V, 100 * PS_PER_US, 1500 * MV,
     MA, 50 * PS_PER_US},
    {"a ramp of nothing is at once", 3300 * MV, 0, 0, MA, 0},
    {"no load drops anything", 3 * V, 0, 0, 10000 * MA, 0},
};

static void stiff_row(void **state)
{
  const struct stiff_row *r = *state;
  const struct case_supply board = {.source_uv = r->source,
                                    .bulk_pf = 22 * UF};
  struct supply s;
  supply_init(&s, &board);
  supply_on(&s, r->level, r->ramp, PS_PER_S);
  struct rail_segment g = supply_segment(&s, r->level, r->load, PS_PER_S);
  assert_int_equal(g.at, PS_PER_S);
  assert_int_equal(g.from, r->level);
  assert_int_equal(g.to, r->source);
  assert_int_equal(g.until - g.at, r->lasts);
}

/* --- on, through a resistance -------------------------------------------- */

/* V = V1 - (V1 - V0) e^(-t / RC), V1 = source - I R; e^-1 = 0.3678794412,
 * e^-2 = 0.1353352832, e^-5 = 0.0067379470 (Abramowitz and Stegun, Table 4.4,
 * from memory). */
static const struct charge_row {
  const char *name;
  int64_t r, c, load, board_load;
  uv_t source, from;
  ps_t after;
  uv_t level;
} charge_rows[] = {
    /* 10 ohm, 22 uF: 220 us. 3 V * (1 - e^-1) = 1.8963616764 V */
    {"after R C an empty capacitor has 63 %", 10 * OHM, 22 * UF, 0, 0, 3 * V,
     0, 220 * PS_PER_US, 1896361},
    /* 3 V * (1 - e^-5) = 2.979786159 V */
    {"after five of them 99.3 %", 10 * OHM, 22 * UF, 0, 0, 3 * V, 0,
     1100 * PS_PER_US, 2979786},
    /* 2.4 mA in 10 ohm: to 2.976 V; 2.976 V * (1 - e^-1) = 1.8811907830 V */
    {"a load drops I R", 10 * OHM, 22 * UF, 2400 * UA, 0, 3 * V, 0,
     220 * PS_PER_US, 1881190},
    /* 80 mV: 2.92 V * (1 - e^-1) */
    {"the board's own load counts", 10 * OHM, 22 * UF, 2400 * UA, 5600 * UA,
     3 * V, 0, 220 * PS_PER_US, 1845792},
    /* a cold cell: 500 ohm, 10 uF: 5 ms. From 2.9 V towards 3 V - 4 mA * 500
     * ohm = 1 V: 1 V + 1.9 V e^-1 = 1.6989709 V; e^-2: 1.2571370 V */
    {"a cold cell falls under its load", 500 * OHM, 10 * UF, 4 * MA, 0, 3 * V,
     2900 * MV, 5 * PS_PER_MS, 1698970},
    {"and goes on falling", 500 * OHM, 10 * UF, 4 * MA, 0, 3 * V, 2900 * MV,
     10 * PS_PER_MS, 1257137},
    /* 4 mA in 1 kohm would drop 4 V: towards -1 V. -1 V + 4 V e^-1 = 471.5178
     * mV; it is at 0 at R C ln 4, 1.386 ms */
    {"towards less than nothing it goes as far as there is", 1000 * OHM, UF,
     4 * MA, 0, 3 * V, 3 * V, PS_PER_MS, 471517},
    {"and stays at 0", 1000 * OHM, UF, 4 * MA, 0, 3 * V, 3 * V, 2 * PS_PER_MS,
     0},
    /* 10 V, 1 Mohm, 20 A: 2 * 10^7 V */
    {"the largest numbers that a case may have do not wrap", 1000000 * OHM,
     1000000 * UF, 10000 * MA, 10000 * MA, 10 * V, 0, PS_PER_S, 0},
};

static void charge_row(void **state)
{
  const struct charge_row *r = *state;
  const struct case_supply board = {.source_uv = r->source,
                                    .resistance_mohm = r->r,
                                    .bulk_pf = r->c,
                                    .load_na = r->board_load};
  struct supply s;
  supply_init(&s, &board);
  supply_on(&s, r->from, 0, PS_PER_S);
  struct rail_segment g = supply_segment(&s, r->from, r->load, PS_PER_S);
  assert_int_equal(rail_segment_level(&g, PS_PER_S), r->from);
  uv_t level = rail_segment_level(&g, PS_PER_S + r->after);
  assert_true(level - r->level <= 1 && r->level - level <= 1);
}

/* A ramp s through tau, from empty: s (t - tau (1 - e^(-t / tau))). 3 V in
 * 220 us with tau 220 us: at its end 3 V * (1 - (1 - e^-1)) = 3 V e^-1 =
 * 1.1036383 V; then towards 3 V: after 220 us more 3 V - 1.8963617 V e^-1 =
 * 2.3023675 V. */
static void a_ramp_through_a_resistance_lags(void **state)
{
  (void)state;
  static const struct case_supply board = {
      .source_uv = 3 * V, .resistance_mohm = 10 * OHM, .bulk_pf = 22 * UF};
  const ps_t tau = 220 * PS_PER_US;
  struct supply s;
  supply_init(&s, &board);
  supply_on(&s, 0, tau, 0);
  struct rail_segment g = supply_segment(&s, 0, 0, 0);
  assert_int_equal(s.asks_at, tau);
  assert_in_range(rail_segment_level(&g, tau), 1103637, 1103639);
  g = supply_segment(&s, rail_segment_level(&g, tau), 0, tau);
  assert_int_equal(s.asks_at, PS_NEVER);
  assert_in_range(rail_segment_level(&g, 2 * tau), 2302366, 2302368);
}

/* What a capacitor holds is C V: 22 uF * 3 V = 66 uC through any resistance;
 * 1 mA for a second is 1 mC more. */
static void charge_is_what_the_load_and_the_capacitor_took(void **state)
{
  (void)state;
  static const struct case_supply board = {
      .source_uv = 3 * V, .resistance_mohm = 10 * OHM, .bulk_pf = 22 * UF};
  struct supply s;
  supply_init(&s, &board);
  supply_on(&s, 0, 0, 0);
  struct rail_segment g = supply_segment(&s, 0, 0, 0);
  uv_t level = rail_segment_level(&g, PS_PER_S);
  assert_int_equal(level, 3 * V);
  assert_int_equal(supply_charge_nc(&s, level, PS_PER_S), 66000);
  supply_segment(&s, level, MA, PS_PER_S);
  /* 10 mV less: 0.22 uC came out of the capacitor */
  assert_int_equal(supply_charge_nc(&s, 2990 * MV, 2 * PS_PER_S),
                   66000 + 1000000 - 220);
  supply_off(&s, 0, 2 * PS_PER_S);
  supply_segment(&s, 2990 * MV, MA, 2 * PS_PER_S);
  assert_int_equal(supply_charge_nc(&s, 1 * V, 3 * PS_PER_S), 1065780);
}

/* --- back-power ---------------------------------------------------------- */

/* Signals of 2.6 V behind 100 ohm, 22 uF, 1 mA: down to 2.6 V by 1 / 22 V a
 * ms, then towards 2.6 V - 100 mV = 2.5 V with 2.2 ms. */
static void signals_keep_a_rail_up(void **state)
{
  (void)state;
  static const struct case_supply board = {.source_uv = 3 * V,
                                           .bulk_pf = 22 * UF};
  const struct feed feed = {
      .pins = 1, .level = 2600 * MV, .each_mohm = 100 * OHM};
  struct supply s;
  supply_init(&s, &board);
  supply_feed(&s, &feed);
  struct rail_segment g = supply_segment(&s, 3 * V, MA, 0);
  assert_false(s.conducts);
  assert_int_equal(g.to, 2600 * MV);
  assert_int_equal(g.until, 8800 * PS_PER_US);
  assert_int_equal(s.asks_at, g.until);
  g = supply_segment(&s, g.to, MA, g.until);
  assert_true(s.conducts);
  assert_int_equal(g.to, 2500 * MV);
  assert_int_equal(s.asks_at, PS_NEVER);
  /* 100 mV e^-1 = 36.788 mV are left */
  assert_in_range(rail_segment_level(&g, g.at + 2200 * PS_PER_US), 2536787,
                  2536789);
  uv_t settles = 0;
  assert_int_equal(supply_falls_below(&s, 3 * V, MA, 400 * MV, &settles),
                   PS_NEVER);
  assert_int_equal(settles, 2500 * MV);
}

/* Two pins: half the resistance, 50 mV. The rail was empty. */
static void two_pins_are_half_the_resistance(void **state)
{
  (void)state;
  static const struct case_supply board = {.source_uv = 3 * V,
                                           .bulk_pf = 22 * UF};
  const struct feed feed = {
      .pins = 2, .level = 2600 * MV, .each_mohm = 100 * OHM};
  struct supply s;
  supply_init(&s, &board);
  supply_feed(&s, &feed);
  struct rail_segment g = supply_segment(&s, 0, MA, 0);
  assert_int_equal(g.to, 2550 * MV);
  /* 1.1 ms: 2.55 V (1 - e^-1) = 1.6119074 V */
  assert_in_range(rail_segment_level(&g, 1100 * PS_PER_US), 1611906, 1611908);
}

/* 3 V behind 100 ohm and 2 V behind 100 ohm, 4 mA: below 2 V both feed, 2.5 V
 * behind 50 ohm, towards 2.3 V with 1.1 ms; above 2 V the source alone,
 * towards 2.6 V with 2.2 ms. */
static void source_and_signals_feed_together(void **state)
{
  (void)state;
  static const struct case_supply board = {
      .source_uv = 3 * V, .resistance_mohm = 100 * OHM, .bulk_pf = 22 * UF};
  const struct feed feed = {.pins = 1, .level = 2 * V, .each_mohm = 100 * OHM};
  struct supply s;
  supply_init(&s, &board);
  supply_feed(&s, &feed);
  supply_on(&s, 0, 0, 0);
  struct rail_segment g = supply_segment(&s, 0, 4 * MA, 0);
  assert_true(s.conducts);
  assert_int_equal(g.decay.tau_fs / 1000, 1100 * PS_PER_US);
  assert_int_equal(g.to, 2 * V);
  /* 1.1 ms ln (2.3 / 0.3) = 2.2405... ms */
  assert_in_range(g.until, 2240 * PS_PER_US, 2241 * PS_PER_US);
  g = supply_segment(&s, g.to, 4 * MA, g.until);
  assert_false(s.conducts);
  assert_int_equal(g.to, 2600 * MV);
  assert_int_equal(g.decay.tau_fs / 1000, 2200 * PS_PER_US);
}

/* --- off and dips -------------------------------------------------------- */

/* A source that goes down from 3 V in 30 ms takes the rail along, then is
 * open. */
static void a_source_that_ramps_down_ends_open(void **state)
{
  (void)state;
  static const struct case_supply board = {.source_uv = 3 * V,
                                           .bulk_pf = 22 * UF};
  struct supply s;
  supply_init(&s, &board);
  supply_on(&s, 0, 0, 0);
  supply_segment(&s, 0, 0, 0);
  supply_off(&s, 30 * PS_PER_MS, PS_PER_S);
  struct rail_segment g = supply_segment(&s, 3 * V, 0, PS_PER_S);
  assert_int_equal(rail_segment_level(&g, PS_PER_S + 10 * PS_PER_MS), 2 * V);
  assert_int_equal(s.asks_at, PS_PER_S + 30 * PS_PER_MS);
  assert_true(supply_due(&s, 0, s.asks_at));
  supply_segment(&s, 0, 0, s.asks_at);
  assert_false(s.on);
}

/* 3 V sags to 1.2 V behind 10 ohm: after 220 us 1.2 V + 1.8 V e^-1 =
 * 1.8621830 V. */
static void a_dip_is_as_deep_as_its_time_lets_it(void **state)
{
  (void)state;
  static const struct case_supply board = {
      .source_uv = 3 * V, .resistance_mohm = 10 * OHM, .bulk_pf = 22 * UF};
  struct supply s;
  supply_init(&s, &board);
  supply_on(&s, 3 * V, 0, 0);
  supply_segment(&s, 3 * V, 0, 0);
  supply_go(&s, 1200 * MV, 0, PS_PER_S);
  struct rail_segment g = supply_segment(&s, 3 * V, 0, PS_PER_S);
  assert_in_range(rail_segment_level(&g, PS_PER_S + 220 * PS_PER_US), 1862182,
                  1862184);
}

static void a_cut_is_at_once_whatever_feeds(void **state)
{
  (void)state;
  static const struct case_supply board = {.source_uv = 3 * V,
                                           .bulk_pf = 22 * UF};
  const struct feed feed = {.pins = 9, .level = 3 * V, .each_mohm = 1};
  struct supply s;
  supply_init(&s, &board);
  supply_feed(&s, &feed);
  supply_cut(&s);
  struct rail_segment g = supply_segment(&s, 3 * V, MA, 7);
  assert_true(g.at == 7 && g.until == 7 && g.to == 0);
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
  supply_on(&s, 0, 0, 0);
  struct rail_segment g = supply_segment(&s, 0, 2400 * UA, 0);
  rail_move(&r, &g);
  while (rail_next(&r) < PS_PER_S)
    rail_advance(&r, (struct moment){rail_next(&r), 0}, &trace);
  assert_int_equal(rail_level(&r, PS_PER_S), 2976 * MV);
  supply_off(&s, 0, PS_PER_S);
  g = supply_segment(&s, 2976 * MV, 2400 * UA, PS_PER_S);
  rail_move(&r, &g);
  ps_t at = rail_next(&r); /* below 1.6 V */
  rail_advance(&r, (struct moment){at, 0}, &trace);
  at = rail_next(&r);
  assert_int_equal(rail_advance(&r, (struct moment){at, 0}, &trace),
                   RAIL_DOWN);
  assert_int_equal(at, PS_PER_S + 13530009167);
  assert_true(supply_due(&s, 6 * UA, at));
  g = supply_segment(&s, rail_level(&r, at), 6 * UA, at);
  assert_false(supply_due(&s, 6 * UA, at));
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
  assert_false(supply_due(&s, 7 * UA, 0));
  assert_true(supply_due(&s, 7 * UA + 1, 0));
  assert_true(supply_due(&s, 12 * UA, 0));
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(a_part_that_is_switched_off_falls_by_the_closed_forms),
      cmocka_unit_test(off_is_how_it_begins),
      cmocka_unit_test(a_ramp_through_a_resistance_lags),
      cmocka_unit_test(charge_is_what_the_load_and_the_capacitor_took),
      cmocka_unit_test(signals_keep_a_rail_up),
      cmocka_unit_test(two_pins_are_half_the_resistance),
      cmocka_unit_test(source_and_signals_feed_together),
      cmocka_unit_test(a_source_that_ramps_down_ends_open),
      cmocka_unit_test(a_dip_is_as_deep_as_its_time_lets_it),
      cmocka_unit_test(a_cut_is_at_once_whatever_feeds),
      cmocka_unit_test(only_the_part_changes_the_load),
  };
  struct CMUnitTest tests[ROWS_COUNT(stiff_rows) + ROWS_COUNT(charge_rows) +
                          ROWS_COUNT(off_rows)];
  size_t n = ROWS_ADD(tests, stiff_row, stiff_rows);
  n += ROWS_ADD(tests + n, charge_row, charge_rows);
  n += ROWS_ADD(tests + n, off_row, off_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
