/* The reset line: dividers and time constants, worked by hand. */
#include "chip/line.h"
#include "chip_fixture.h"
#include "rows.h"

#define US    PS_PER_US
#define NS    PS_PER_NS
#define PART  (1u << DRIVER_PART)
#define PROBE (1u << DRIVER_PROBE)
#define BENCH (1u << DRIVER_BENCH)

/* 40 kohm up, 30 ohm down, a pulse of 250 ns */
static const struct part_reset_line usual = {.pull = EXACTLY(40000000),
                                             .drive_resistance =
                                                 EXACTLY(30000),
                                             .pulse = EXACTLY(250 * NS)};
static const struct part_reset_line quick = {
    .pull = EXACTLY(40000000), .drive_resistance = EXACTLY(30000)};

static struct line wired(const struct part_reset_line *part, int64_t pull,
                         int64_t pf, bool push_pull, int64_t host)
{
  struct line l;
  const struct line_wiring wiring = {pull, pf, push_pull, host};
  line_init(&l, part);
  line_wire(&l, &wiring);
  line_pull(&l, 0, 0);
  return l;
}

/* The next event, and its instant. */
static enum line_event next(struct line *l, ps_t *at)
{
  enum line_event event = LINE_NOTHING;
  while (event == LINE_NOTHING && (*at = line_next(l)) != PS_NEVER)
    event = line_advance(l, *at);
  return event;
}

/* 100 nF, 10 kohm and 40 kohm are 8 kohm: 800 us. Pulled through 100 ohm
 * (98.765 ohm with the pulls, 1 / (1/100 + 1/8000)): to 1.23457 %, with 9.8765
 * us; 30 % is reached at 9.8765 us ln (98.765 / 28.765) = 12.18 us. Let go
 * after 50 us, near 1.86 %, 70 % comes 800 us ln (98.14 / 30) = 948 us later.
 */
static void a_capacitor_delays_both_ways(void **state)
{
  (void)state;
  struct line l = wired(&usual, 10000000, 100000, false, 100000);
  ps_t at;
  line_pull(&l, BENCH, 1000 * US);
  assert_int_equal(next(&l, &at), LINE_SEEN);
  assert_in_range(at, 1012400 * NS, 1012470 * NS);
  line_pull(&l, 0, 1050 * US);
  assert_int_equal(next(&l, &at), LINE_HIGH);
  assert_in_range(at, (1050 + 940) * US, (1050 + 956) * US);
  assert_int_equal(next(&l, &at), LINE_NOTHING);
}

static const struct pulse_row {
  const char *name;
  ps_t lasts;
  enum line_event event;
} pulses[] = {
    {"a low of 249.999 ns is lost", 249999, LINE_LOST},
    {"one of 250.001 ns is seen", 250001, LINE_SEEN},
};

static void pulse_row(void **state)
{
  const struct pulse_row *r = *state;
  struct line l = wired(&usual, 0, 0, false, 30000);
  ps_t at;
  line_pull(&l, BENCH, US);
  while (line_next(&l) <= US + r->lasts) {
    enum line_event event = line_advance(&l, line_next(&l));
    if (event == LINE_NOTHING) continue;
    assert_int_equal(event, r->event);
    return;
  }
  line_pull(&l, 0, US + r->lasts);
  assert_int_equal(next(&l, &at), r->event);
  assert_int_equal(l.lasted, r->lasts);
}

/* 1 us into 10 us: 90 % are left. */
static void a_pulse_that_the_capacitor_swallows_is_lost(void **state)
{
  (void)state;
  struct line l = wired(&quick, 0, 100000, false, 100000);
  ps_t at;
  line_pull(&l, BENCH, US);
  assert_in_range(line_level(&l, 2 * US), 904000, 906000);
  line_pull(&l, 0, 2 * US);
  assert_int_equal(next(&l, &at), LINE_LOST);
  assert_int_equal(l.lasted, US);
  assert_false(l.low || l.outside);
}

/* Of 3.0 V: the host's resistance and the part's 30 ohm divide it. */
static const struct fight_row {
  const char *name;
  int64_t host;
  uint32_t pulled;
  int64_t na;
  bool low;
} fights[] = {
    /* 3 V / 60 ohm; half of it is high enough */
    {"two equal drivers leave it at a half", 30000, PART, 50000000, false},
    /* 3 V / 100 ohm; 0.3 and a little by the pull */
    {"70 ohm against 30 leave 30 % and a little", 70000, PART, 30000000,
     false},
    {"a weak host loses", 1000000, PART, 2912621, true},
    {"who pulls does not drive high", 30000, PART | BENCH, 0, true},
    {"the probe is fought, too", 30000, PROBE, 50000000, false},
    {"nobody pulls, nobody fights", 30000, 0, 0, false},
};

static void fight_row(void **state)
{
  const struct fight_row *r = *state;
  struct line l = wired(&quick, 0, 0, true, r->host);
  line_pull(&l, r->pulled, US);
  while (line_next(&l) <= US)
    line_advance(&l, US);
  assert_int_equal(line_fight(&l, 3000000), r->na);
  assert_int_equal(l.low, r->low);
}

static void the_part_pulls_for_its_time(void **state)
{
  (void)state;
  struct line l = wired(&usual, 0, 0, false, 30000);
  ps_t at;
  line_pull(&l, PART, US);
  line_hold(&l, 19 * US);
  assert_int_equal(next(&l, &at), LINE_SEEN);
  assert_false(l.outside);
  assert_int_equal(next(&l, &at), LINE_LET_GO);
  assert_int_equal(at, 19 * US);
  line_pull(&l, 0, at);
  assert_int_equal(next(&l, &at), LINE_HIGH);
}

static void only_a_bare_line_is_plain(void **state)
{
  (void)state;
  struct line l = wired(&quick, 10000000, 0, false, 30000);
  assert_true(line_is_plain(&l));
  l = wired(&usual, 0, 0, false, 30000);
  assert_false(line_is_plain(&l));
  l = wired(&quick, 0, 1, false, 30000);
  assert_false(line_is_plain(&l));
  l = wired(&quick, 0, 0, true, 30000);
  assert_false(line_is_plain(&l));
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(a_capacitor_delays_both_ways),
      cmocka_unit_test(a_pulse_that_the_capacitor_swallows_is_lost),
      cmocka_unit_test(the_part_pulls_for_its_time),
      cmocka_unit_test(only_a_bare_line_is_plain),
  };
  struct CMUnitTest tests[ROWS_COUNT(pulses) + ROWS_COUNT(fights)];
  size_t n = ROWS_ADD(tests, pulse_row, pulses);
  n += ROWS_ADD(tests + n, fight_row, fights);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
