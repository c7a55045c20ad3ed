/* Lanes out of records, and the axis they are drawn on.
 *
 * Which record says what is ours (describe/trace_kinds.def). That a kept
 * outcome is stale where a fresh check would differ is the definition of the
 * word. */
#include <stdlib.h>
#include <string.h>

#include "base/trace.h"
#include "chip/boot.h"
#include "core/core.h"
#include "describe/trace_kinds.h"
#include "report/axis.h"
#include "report/timeline.h"
#include "rows.h"

static const struct case_net net = {
    .name = "tx_led", .pins = {"P9"}, .pin_count = 1};
static struct case_script script = {.title = "A title", .net_count = 1};

static struct part part = {
    .name = "some part",
    .memory = {{.name = "flash", .kind = MEMORY_FLASH},
               {.name = "rom", .kind = MEMORY_ROM}},
    .memory_count = 2,
    .options = {.words = {{.name = "boot",
                           .fields = {{.name = "source",
                                       .width = 2,
                                       .values = {{"check", 0}, {"rom", 2}},
                                       .value_count = 2},
                                      {.name = "lock", .lsb = 2, .width = 1}},
                           .field_count = 2}},
                .word_count = 1},
    .pins = {.names = {"P0", "P9"}, .count = 2},
    .resets = {[CAUSE_WATCHDOG] = {.does = {[RESET_WATCHDOG] = true}},
               [CAUSE_PIN] = {.does = {[RESET_WATCHDOG] = true}}},
};

struct bench {
  struct trace trace;
  struct timeline timeline;
};

static int setup(void **state)
{
  struct bench *b = calloc(1, sizeof *b);
  if (!b) return -1;
  script.nets[0] = net;
  trace_init(&b->trace, 1u << 20);
  timeline_listen(&b->timeline, &part, &script, &b->trace);
  *state = b;
  return 0;
}

static int cleanup(void **state)
{
  struct bench *b = *state;
  timeline_free(&b->timeline);
  trace_free(&b->trace);
  free(b);
  return 0;
}

static void at(struct bench *b, ps_t now, enum trace_kind kind, uint32_t a,
               uint32_t value)
{
  trace_add(&b->trace, (struct moment){now, 0}, kind, a, value);
}

/* "100..200 blank; 200..300 programmed" */
static const char *spans_of(struct bench *b, enum lane_kind kind,
                            uint32_t index)
{
  static char text[1024];
  const struct lane *lane = timeline_lane(&b->timeline, kind, index);
  size_t length = 0;
  text[0] = '\0';
  for (uint32_t i = 0; lane && i < lane->count; i++) {
    char value[LANE_TEXT];
    length += (size_t)snprintf(
        text + length, sizeof text - length, "%s%d..%d %s", i > 0 ? "; " : "",
        (int)lane->spans[i].from, (int)lane->spans[i].to,
        lane_value(&b->timeline, lane, &lane->spans[i], value));
    assert_true(length < sizeof text);
  }
  return text;
}

/* --- lanes --------------------------------------------------------------- */

static void the_latch_is_stale_while_a_fresh_check_differs(void **state)
{
  struct bench *b = *state;
  at(b, 100, TRACE_LATCH, 0, SAMPLER_CHECK);
  at(b, 200, TRACE_FRESH, 1, 0);
  at(b, 300, TRACE_LATCH, 1, SAMPLER_CHECK);
  timeline_end(&b->timeline, 400);
  assert_string_equal(spans_of(b, LANE_HELD, 0),
                      "100..300 blank; 300..400 programmed");
  assert_string_equal(spans_of(b, LANE_FRESH, 0),
                      "100..200 blank; 200..400 programmed");
  assert_string_equal(spans_of(b, LANE_STALE, 0), "200..300 stale");
}

static void the_other_way_of_being_stale(void **state)
{
  struct bench *b = *state;
  at(b, 100, TRACE_LATCH, 1, SAMPLER_CHECK);
  at(b, 200, TRACE_FRESH, 0, 0);
  timeline_end(&b->timeline, 300);
  assert_string_equal(spans_of(b, LANE_STALE, 0), "200..300 stale");
}

static void a_write_sets_the_latch_and_not_the_fresh_check(void **state)
{
  struct bench *b = *state;
  at(b, 100, TRACE_LATCH, 0, SAMPLER_CHECK);
  at(b, 200, TRACE_LATCH, 1, SAMPLER_REGISTER);
  timeline_end(&b->timeline, 300);
  assert_string_equal(spans_of(b, LANE_FRESH, 0), "100..300 blank");
  assert_string_equal(spans_of(b, LANE_STALE, 0), "200..300 stale");
}

static void loss_of_power_alone_does_not_refresh_the_latch(void **state)
{
  struct bench *b = *state;
  at(b, 100, TRACE_LATCH, 0, SAMPLER_CHECK);
  at(b, 150, TRACE_FRESH, 1, 0);
  at(b, 200, TRACE_PHASE, BOOT_OFF, BOOT_RUNNING);
  timeline_end(&b->timeline, 300);
  assert_string_equal(spans_of(b, LANE_HELD, 0), "100..300 blank");
  assert_string_equal(spans_of(b, LANE_STALE, 0), "150..300 stale");
}

static void execution_is_a_region_while_the_core_runs(void **state)
{
  struct bench *b = *state;
  at(b, 10, TRACE_MODE, CORE_HELD, 0);
  at(b, 20, TRACE_MODE, CORE_RUNNING, 0);
  at(b, 20, TRACE_ENTER, 1, 0);
  at(b, 30, TRACE_ENTER, 0, 0);
  at(b, 40, TRACE_MODE, CORE_LOCKUP, 0);
  at(b, 50, TRACE_MODE, CORE_HELD, 0);
  at(b, 60, TRACE_PHASE, BOOT_OFF, BOOT_RUNNING);
  at(b, 70, TRACE_PHASE, BOOT_HELD, BOOT_OFF);
  timeline_end(&b->timeline, 80);
  assert_string_equal(spans_of(b, LANE_EXECUTION, 0),
                      "10..20 held in reset; 20..30 rom; 30..40 flash; "
                      "40..50 lockup in flash; 50..60 held in reset; "
                      "60..70 off; 70..80 held in reset");
}

static void orders_of_one_step_are_one_span(void **state)
{
  struct bench *b = *state;
  at(b, 0, TRACE_STEP, 0, VERB_WRITE);
  at(b, 10, TRACE_FLASH_BEGIN, 1, 0x100);
  at(b, 20, TRACE_FLASH_END, 1, 0x100);
  at(b, 30, TRACE_FLASH_BEGIN, 1, 0x104);
  at(b, 40, TRACE_FLASH_END, 1, 0x104);
  at(b, 50, TRACE_STEP, 1, VERB_WRITE);
  at(b, 60, TRACE_FLASH_BEGIN, 1, 0x108);
  at(b, 70, TRACE_FLASH_TORN, 1, 0x108);
  timeline_end(&b->timeline, 80);
  assert_string_equal(spans_of(b, LANE_FLASH, 0),
                      "10..40 program, 2 times; 60..70 program");
}

static void each_pin_has_a_lane_and_says_its_net(void **state)
{
  struct bench *b = *state;
  char title[LANE_TEXT];
  at(b, 10, TRACE_PIN, 1, PIN_DRIVEN_HIGH);
  at(b, 20, TRACE_CONTENTION, 1, 120);
  at(b, 30, TRACE_CONTENTION_END, 1, 0);
  at(b, 40, TRACE_PIN, 0, PIN_DRIVEN_LOW);
  timeline_end(&b->timeline, 50);
  assert_string_equal(spans_of(b, LANE_PIN, 1), "10..50 high");
  assert_string_equal(spans_of(b, LANE_PIN, 0), "40..50 low");
  assert_string_equal(spans_of(b, LANE_CONTENTION, 1), "20..30 120 mA");
  assert_string_equal(lane_title(&b->timeline,
                                 timeline_lane(&b->timeline, LANE_PIN, 1),
                                 title),
                      "driven: P9, net tx_led");
}

static void an_option_word_is_told_by_its_fields(void **state)
{
  struct bench *b = *state;
  at(b, 10, TRACE_OPTION, 0, 6);
  timeline_end(&b->timeline, 20);
  assert_string_equal(spans_of(b, LANE_OPTION, 0),
                      "10..20 source=rom, lock=1");
}

static void what_changes_too_often_says_how_often(void **state)
{
  struct bench *b = *state;
  char value[LANE_TEXT];
  for (int i = 0; i < TIMELINE_MAX_SPANS + 7; i++) {
    at(b, i + 1, TRACE_PIN, 1, i % 2 ? PIN_DRIVEN_LOW : PIN_DRIVEN_HIGH);
  }
  timeline_end(&b->timeline, 100000);
  const struct lane *lane = timeline_lane(&b->timeline, LANE_PIN, 1);
  assert_int_equal(lane->count, TIMELINE_MAX_SPANS);
  const struct span *last = &lane->spans[lane->count - 1];
  assert_int_equal(last->to, 100000);
  assert_string_equal(lane_value(&b->timeline, lane, last, value),
                      "low, then 7 changes");
}

static void a_rail_fed_through_pins_says_by_how_many(void **state)
{
  struct bench *b = *state;
  at(b, 10, TRACE_FED, 2, 2400);
  at(b, 20, TRACE_FED, 0, 2100);
  timeline_end(&b->timeline, 30);
  assert_string_equal(spans_of(b, LANE_FED, 0), "10..20 2 pins");
}

static void deep_sleep_ends_with_a_wake_up_or_a_reset(void **state)
{
  struct bench *b = *state;
  at(b, 10, TRACE_DEEP_SLEEP, SLEEP_ENTERED, 0);
  at(b, 20, TRACE_DEEP_SLEEP, SLEEP_WOKEN_BY_PIN, 0);
  at(b, 30, TRACE_DEEP_SLEEP, SLEEP_ENTERED, 0);
  at(b, 40, TRACE_RESET, CAUSE_PIN, 0);
  timeline_end(&b->timeline, 50);
  assert_string_equal(spans_of(b, LANE_DEEP_SLEEP, 0),
                      "10..20 asleep; 30..40 asleep");
}

/* The reset table of the bench's part says which reset stops it. */
static void a_watchdog_counts_is_fed_and_bites(void **state)
{
  struct bench *b = *state;
  at(b, 10, TRACE_WATCHDOG, WATCHDOG_STARTED, 0);
  at(b, 20, TRACE_WATCHDOG, WATCHDOG_FED, 10);
  at(b, 30, TRACE_WATCHDOG, WATCHDOG_FED, 10);
  at(b, 40, TRACE_WATCHDOG, WATCHDOG_EXPIRED, 10);
  at(b, 40, TRACE_RESET, CAUSE_WATCHDOG, 0);
  at(b, 50, TRACE_START, CAUSE_WATCHDOG, 0);
  at(b, 60, TRACE_WATCHDOG, WATCHDOG_STARTED, 0);
  at(b, 70, TRACE_WATCHDOG, WATCHDOG_TOO_EARLY, 1);
  at(b, 70, TRACE_WATCHDOG, WATCHDOG_EXPIRED, 1);
  at(b, 80, TRACE_START, CAUSE_WATCHDOG, 0);
  timeline_end(&b->timeline, 90);
  assert_string_equal(spans_of(b, LANE_WATCHDOG, 0),
                      "10..20 counting; 20..40 fed, 2 times; 40..50 expired; "
                      "60..70 counting; 70..80 fed too early");
}

static void only_a_reset_that_stops_it_ends_the_count(void **state)
{
  struct bench *b = *state;
  at(b, 10, TRACE_WATCHDOG, WATCHDOG_STARTED, 0);
  at(b, 20, TRACE_RESET, CAUSE_CORE_ONLY, 0);
  at(b, 30, TRACE_RESET, CAUSE_PIN, 0);
  timeline_end(&b->timeline, 40);
  assert_string_equal(spans_of(b, LANE_WATCHDOG, 0), "10..30 counting");
}

static void the_rail_has_a_point_a_record(void **state)
{
  struct bench *b = *state;
  at(b, 50, TRACE_RAIL_RISE, THRESHOLD_ON_RISE, 1500);
  at(b, 100, TRACE_RAIL, 3000, 0);
  at(b, 150, TRACE_RAIL, 2900, 0);
  timeline_end(&b->timeline, 200);
  const struct timeline_point expected[] = {
      {0, 0}, {50, 1500}, {100, 3000}, {150, 2900}, {200, 2900}};
  assert_int_equal(b->timeline.point_count, ROWS_COUNT(expected));
  for (uint32_t i = 0; i < ROWS_COUNT(expected); i++) {
    assert_int_equal(b->timeline.points[i].at, expected[i].at);
    assert_int_equal(b->timeline.points[i].mv, expected[i].mv);
  }
}

/* --- the axis ------------------------------------------------------------ */

static const struct gap_row {
  const char *name;
  ps_t pause;
  int64_t steps; /* beyond the least */
} gap_rows[] = {
    {"one picosecond is as far as can be told", 1, 0},
    {"so are 10 ns", 10 * PS_PER_NS, 0},
    {"100 ns are one step", 100 * PS_PER_NS, 1},
    {"10 us are three", 10 * PS_PER_US, 3},
    {"1 ms is five", PS_PER_MS, 5},
    {"10 s are nine", 10 * PS_PER_S, 9},
};

static void a_pause_is_as_wide_as_its_order(void **state)
{
  const struct gap_row *row = *state;
  assert_int_equal(axis_gap(row->pause),
                   AXIS_LEAST + row->steps * AXIS_DECADE);
}

static void strips_follow_one_another(void **state)
{
  struct bench *b = *state;
  for (int i = 0; i < 400; i++) {
    at(b, i * PS_PER_US, TRACE_PIN, 1, (uint32_t)(i % 2) + 1);
    if (i % 50 == 49) at(b, i * PS_PER_US, TRACE_RESET, CAUSE_PIN, 0);
  }
  timeline_end(&b->timeline, PS_PER_S);
  struct axis axis;
  axis_make(&axis, &b->timeline);
  assert_true(axis.strip_count > 3);
  ps_t reached = 0;
  for (uint32_t i = 0; i < axis.strip_count; i++) {
    struct axis_strip s = axis_strip(&axis, i);
    assert_int_equal(s.from, reached);
    assert_true(axis_width(&s) > 0 && axis_width(&s) <= AXIS_WIDTH);
    assert_int_equal(axis_x(&s, s.from), 0);
    assert_int_equal(axis_x(&s, s.to), axis_width(&s));
    reached = s.to;
  }
  assert_int_equal(reached, PS_PER_S);
  axis_free(&axis);
}

static void a_run_without_time_has_one_strip(void **state)
{
  struct bench *b = *state;
  timeline_end(&b->timeline, 0);
  struct axis axis;
  axis_make(&axis, &b->timeline);
  assert_int_equal(axis.strip_count, 1);
  struct axis_strip s = axis_strip(&axis, 0);
  assert_int_equal(axis_width(&s), 0);
  axis_free(&axis);
}

#define BENCH_TEST(test) cmocka_unit_test_setup_teardown(test, setup, cleanup)

int main(void)
{
  static const struct CMUnitTest on_bench[] = {
      BENCH_TEST(the_latch_is_stale_while_a_fresh_check_differs),
      BENCH_TEST(the_other_way_of_being_stale),
      BENCH_TEST(a_write_sets_the_latch_and_not_the_fresh_check),
      BENCH_TEST(loss_of_power_alone_does_not_refresh_the_latch),
      BENCH_TEST(execution_is_a_region_while_the_core_runs),
      BENCH_TEST(orders_of_one_step_are_one_span),
      BENCH_TEST(each_pin_has_a_lane_and_says_its_net),
      BENCH_TEST(an_option_word_is_told_by_its_fields),
      BENCH_TEST(what_changes_too_often_says_how_often),
      BENCH_TEST(a_rail_fed_through_pins_says_by_how_many),
      BENCH_TEST(deep_sleep_ends_with_a_wake_up_or_a_reset),
      BENCH_TEST(a_watchdog_counts_is_fed_and_bites),
      BENCH_TEST(only_a_reset_that_stops_it_ends_the_count),
      BENCH_TEST(the_rail_has_a_point_a_record),
      BENCH_TEST(strips_follow_one_another),
      BENCH_TEST(a_run_without_time_has_one_strip),
  };
  struct CMUnitTest tests[ROWS_COUNT(on_bench) + ROWS_COUNT(gap_rows)];
  memcpy(tests, on_bench, sizeof on_bench);
  size_t count = ROWS_COUNT(on_bench);
  count += ROWS_ADD(tests + count, a_pause_is_as_wide_as_its_order, gap_rows);
  return _cmocka_run_group_tests("timeline", tests, count, NULL, NULL);
}
