/* The clock: cycles and instants, at frequencies that do not divide a
 * picosecond; and which source may be chosen. */
#include "chip/clock.h"
#include "chip_fixture.h"
#include "rows.h"

/* Source 0 has the frequency under test. */
static struct part_clock part = {
    .sources = {{"base", EXACTLY(8 * MHZ), EXACTLY(0)},
                {"fast", EXACTLY(24 * MHZ), EXACTLY(12 * PS_PER_US)},
                {"slow", EXACTLY(32768), EXACTLY(0)}},
    .source_count = 3,
};

static struct clock clock_at(int64_t hz)
{
  struct clock c;
  part.sources[0].frequency = (struct quantity)EXACTLY(hz);
  clock_init(&c, &part);
  return c;
}

/* --- instants, worked out with 10^12 n / f ------------------------------- */

static const struct edge_row {
  const char *name;
  int64_t hz;
  cycle_t cycle;
  ps_t at;
} edges[] = {
    {"cycle 0 is at instant 0", 7600 * KHZ, 0, 0},
    /* 30517578.125 ps */
    {"a period of 32.768 kHz is rounded down", 32768, 1, 30517578},
    {"eight of them are exact", 32768, 8, 244140625},
    {"32768 of them are a second", 32768, 32768, PS_PER_S},
    /* 131578.947... ps */
    {"a period of 7.6 MHz is rounded down", 7600 * KHZ, 1, 131578},
    {"19 of them are 2.5 us", 7600 * KHZ, 19, 2500000},
    {"a period of 8 MHz is 125 ns", 8 * MHZ, 1, 125000},
    {"a period of 1 GHz is 1 ns", 1000000000, 1, 1000},
    /* A sum of rounded periods would be 0.125 / 30517578.125 short: 4 us a
     * 1000 s; and at 7.6 MHz 0.947 / 131578.947, 7 ms a 1000 s. */
    {"10^11 cycles at 32.768 kHz have not drifted", 32768, 100000000000,
     3051757812500000000},
    {"10^12 cycles at 7.6 MHz have not drifted", 7600 * KHZ, 1000000000000,
     131578947368421052},
    {"10^12 cycles at 8 MHz are 125000 s", 8 * MHZ, 1000000000000,
     125000 * PS_PER_S},
    {"10^12 cycles at 11.0592 MHz have not drifted", 11059200, 1000000000000,
     90422453703703703},
    {"10^12 cycles at a prime frequency have not drifted", 999999937,
     1000000000000, 1000000063000003},
    {"what no instant can say is never", 32768, 1000000000000, PS_NEVER},
    {"never is never", 8 * MHZ, CYCLE_NEVER, PS_NEVER},
};

static void edge_row(void **state)
{
  const struct edge_row *r = *state;
  struct clock c = clock_at(r->hz);
  assert_int_equal(clock_time(&c, r->cycle), r->at);
  if (r->at == PS_NEVER) return;
  assert_int_equal(clock_edge(&c, r->at), r->cycle);
  assert_int_equal(clock_edge(&c, r->at + 1), r->cycle + 1);
  assert_int_equal(clock_cycle(&c, r->at), r->cycle);
}

/* --- what must hold at any instant --------------------------------------- */

static const struct frequency_row {
  const char *name;
  int64_t hz;
} frequencies[] = {
    {"at 1 kHz", 1000},
    {"at 32.768 kHz", 32768},
    {"at 7.6 MHz", 7600 * KHZ},
    {"at 8 MHz", 8 * MHZ},
    {"at 8.4 MHz", 8400 * KHZ},
    {"at 11.0592 MHz", 11059200},
    {"at 23.52 MHz", 23520 * KHZ},
    {"at 999999937 Hz", 999999937},
    {"at 1 GHz", 1000000000},
};

/* Every edge lies between its neighbours: the edge at or after t, and the
 * last one not after t, said with clock_time alone. */
static void assert_dual(const struct clock *c, ps_t t)
{
  cycle_t after = clock_edge(c, t), before = clock_cycle(c, t);
  assert_true(clock_time(c, after) >= t);
  assert_true(after == c->base_cycle || clock_time(c, after - 1) < t);
  assert_true(clock_time(c, before) <= t);
  assert_true(clock_time(c, before + 1) > t);
  assert_true(after == before + (clock_time(c, before) < t));
  assert_true(clock_after(c, t, 1000) == clock_time(c, after + 1000));
}

static void frequency_row(void **state)
{
  const struct frequency_row *r = *state;
  struct clock c = clock_at(r->hz);
  c.base_at = 1234567890123; /* the source changed then */
  c.base_cycle = 9876543;
  uint64_t seed = (uint64_t)r->hz;
  for (int i = 0; i < 3000; i++) {
    uint64_t high = fixture_random(&seed), low = fixture_random(&seed);
    ps_t span = (ps_t)((high << 32 | low) >> (i % 40 + 4));
    assert_dual(&c, c.base_at + span);
    cycle_t n = c.base_cycle + span / PS_PER_US;
    ps_t at = clock_time(&c, n);
    if (at >= PS_NEVER - PS_PER_S) continue;
    assert_int_equal(clock_edge(&c, at), n);
    assert_int_equal(clock_cycle(&c, at), n);
    assert_dual(&c, at);
    assert_dual(&c, at + 1);
    if (at > c.base_at) assert_dual(&c, at - 1);
  }
}

static void an_instant_before_the_base_has_the_base_edge(void **state)
{
  (void)state;
  struct clock c = clock_at(8 * MHZ);
  clock_restart(&c, (struct moment){PS_PER_S, 77});
  assert_int_equal(clock_edge(&c, 0), 77);
  assert_int_equal(clock_cycle(&c, 0), 77);
  assert_int_equal(clock_edge(&c, PS_PER_S), 77);
  assert_int_equal(clock_cycle(&c, PS_PER_S), 77);
}

static void the_last_instant_has_an_edge_like_any_other(void **state)
{
  (void)state;
  struct clock c = clock_at(8 * MHZ);
  /* (2^63 - 2) / 125000 = 73786976294838.2 */
  assert_int_equal(clock_cycle(&c, PS_NEVER - 1), 73786976294838);
  assert_int_equal(clock_edge(&c, PS_NEVER - 1), 73786976294839);
  assert_int_equal(clock_edge(&c, PS_NEVER), CYCLE_NEVER);
}

static void cycles_are_counted_from_the_next_edge(void **state)
{
  (void)state;
  struct clock c = clock_at(8 * MHZ);
  assert_int_equal(clock_after(&c, 0, 40), 5 * PS_PER_US);
  assert_int_equal(clock_after(&c, 1, 40), 5125000);
  assert_int_equal(clock_after(&c, 125000, 0), 125000);
}

/* --- choosing a source --------------------------------------------------- */

static void a_change_of_source_begins_at_its_moment(void **state)
{
  (void)state;
  struct clock c = clock_at(8 * MHZ);
  clock_enable(&c, 1, true, 0);
  /* 8000 cycles of 125 ns, then 41666.67 ps each */
  assert_true(clock_select(&c, 1, (struct moment){PS_PER_MS, 8000}));
  assert_int_equal(clock_time(&c, 8000), PS_PER_MS);
  assert_int_equal(clock_time(&c, 8001), PS_PER_MS + 41666);
  assert_int_equal(clock_time(&c, 8024), PS_PER_MS + PS_PER_US);
  assert_int_equal(clock_edge(&c, PS_PER_MS + PS_PER_US), 8024);
}

/* enabled_at: PS_NEVER: not at all. Source 1 needs 12 us. */
static const struct select_row {
  const char *name;
  ps_t enabled_at;
  uint32_t source;
  ps_t at;
  bool taken;
} selects[] = {
    {"a source that is off is refused", PS_NEVER, 1, PS_PER_S, false},
    {"one that starts up is refused", 5, 1, 12 * PS_PER_US, false},
    {"a picosecond too early too", 5, 1, 12 * PS_PER_US + 4, false},
    {"it is ready when its time is over", 5, 1, 12 * PS_PER_US + 5, true},
    {"one that the part lacks is refused", 0, 3, PS_PER_S, false},
    {"a number beyond any table is refused", 0, UINT32_MAX, PS_PER_S, false},
    {"the source in use is no change", 0, 0, PS_PER_S, false},
};

static void select_row(void **state)
{
  const struct select_row *r = *state;
  struct clock c = clock_at(8 * MHZ);
  if (r->enabled_at != PS_NEVER) clock_enable(&c, 1, true, r->enabled_at);
  struct moment now = {r->at, clock_cycle(&c, r->at)};
  bool first = r->source == 0;
  assert_int_equal(clock_ready(&c, r->source, r->at), r->taken || first);
  assert_int_equal(clock_select(&c, r->source, now), r->taken);
  assert_int_equal(c.source, r->taken ? r->source : 0);
  assert_int_equal(clock_time(&c, now.cycle + 24) - clock_time(&c, now.cycle),
                   r->taken ? PS_PER_US : 3 * PS_PER_US);
}

static void enabling_again_does_not_begin_again(void **state)
{
  (void)state;
  struct clock c = clock_at(8 * MHZ);
  clock_enable(&c, 1, true, 0);
  clock_enable(&c, 1, true, 11 * PS_PER_US);
  assert_true(clock_ready(&c, 1, 12 * PS_PER_US));
}

static void off_and_on_begins_again(void **state)
{
  (void)state;
  struct clock c = clock_at(8 * MHZ);
  clock_enable(&c, 1, true, 0);
  clock_enable(&c, 1, false, 20 * PS_PER_US);
  assert_false(clock_enabled(&c, 1));
  clock_enable(&c, 1, true, 20 * PS_PER_US);
  assert_true(clock_enabled(&c, 1));
  assert_false(clock_ready(&c, 1, 32 * PS_PER_US - 1));
  assert_true(clock_ready(&c, 1, 32 * PS_PER_US));
}

static void the_first_source_and_the_one_in_use_stay_on(void **state)
{
  (void)state;
  struct clock c = clock_at(8 * MHZ);
  clock_enable(&c, 0, false, 0);
  assert_true(clock_ready(&c, 0, 0));
  clock_enable(&c, 2, true, 0);
  assert_true(clock_select(&c, 2, (struct moment){0, 0}));
  clock_enable(&c, 2, false, 1);
  assert_true(clock_ready(&c, 2, 1));
  clock_enable(&c, 3, true, 0);
  assert_false(clock_enabled(&c, 3));
}

static void a_reset_falls_back_and_counts_on(void **state)
{
  (void)state;
  struct clock c = clock_at(8 * MHZ);
  clock_enable(&c, 1, true, 0);
  clock_enable(&c, 2, true, 0);
  clock_select(&c, 1, (struct moment){PS_PER_MS, 8000});
  clock_reset(&c, (struct moment){PS_PER_S, 23984000});
  assert_int_equal(c.source, 0);
  assert_false(clock_enabled(&c, 1) || clock_enabled(&c, 2));
  assert_int_equal(clock_time(&c, 23984008), PS_PER_S + PS_PER_US);
}

static void a_clock_that_stood_still_goes_on_with_its_source(void **state)
{
  (void)state;
  struct clock c = clock_at(8 * MHZ);
  clock_enable(&c, 1, true, 0);
  clock_select(&c, 1, (struct moment){PS_PER_MS, 8000});
  clock_restart(&c, (struct moment){PS_PER_S, 9000});
  assert_int_equal(clock_time(&c, 9024), PS_PER_S + PS_PER_US);
}

/* --- misuse -------------------------------------------------------------- */

static void a_time_before_the_base(void)
{
  struct clock c = clock_at(8 * MHZ);
  clock_restart(&c, (struct moment){PS_PER_S, 77});
  clock_time(&c, 76);
}

static void a_part_without_a_clock(void)
{
  static const struct part_clock none = {.source_count = 0};
  struct clock c;
  clock_init(&c, &none);
}

static const struct misuse_row misuses[] = {
    {"a cycle from before the last change stops the program",
     a_time_before_the_base},
    {"a part without a clock stops the program", a_part_without_a_clock},
};

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(an_instant_before_the_base_has_the_base_edge),
      cmocka_unit_test(the_last_instant_has_an_edge_like_any_other),
      cmocka_unit_test(cycles_are_counted_from_the_next_edge),
      cmocka_unit_test(a_change_of_source_begins_at_its_moment),
      cmocka_unit_test(enabling_again_does_not_begin_again),
      cmocka_unit_test(off_and_on_begins_again),
      cmocka_unit_test(the_first_source_and_the_one_in_use_stay_on),
      cmocka_unit_test(a_reset_falls_back_and_counts_on),
      cmocka_unit_test(a_clock_that_stood_still_goes_on_with_its_source),
  };
  struct CMUnitTest tests[ROWS_COUNT(edges) + ROWS_COUNT(frequencies) +
                          ROWS_COUNT(selects) + ROWS_COUNT(misuses)];
  size_t n = ROWS_ADD(tests, edge_row, edges);
  n += ROWS_ADD(tests + n, frequency_row, frequencies);
  n += ROWS_ADD(tests + n, select_row, selects);
  n += ROWS_ADD(tests + n, misuse_row, misuses);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
