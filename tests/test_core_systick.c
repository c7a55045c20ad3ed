/* The system timer: ARM DDI 0419E B3.3. */
#include "bench_core.h"

#define CSR   0xe000e010u
#define RVR   0xe000e014u
#define CVR   0xe000e018u
#define CALIB 0xe000e01cu

static const uint16_t stay[] = {0xe7fe};                 /* b . */
static const uint16_t nap[] = {0xbf30, 0xe7fd};          /* wfi; b .-2 */
static const uint16_t count_and_bx[] = {0x3601, 0x4770}; /* adds r6; bx lr */

static uint32_t get(struct bench *b, addr_t at)
{
  uint32_t value;
  assert_true(core_scs_read(&b->core, at, false, &value));
  return value;
}

static void set(struct bench *b, addr_t at, uint32_t value)
{
  assert_true(core_scs_write(&b->core, &b->bus, at, value, false));
}

static struct bench *start(const uint16_t *code, size_t bytes, uint32_t reload,
                           uint32_t control)
{
  struct bench *b = bench_start(CORE_KIND_M0PLUS, code, bytes);
  bench_put(b, HANDLERS + 0x40 * EXCEPTION_SYSTICK, count_and_bx,
            sizeof(count_and_bx));
  set(b, RVR, reload);
  set(b, CVR, 1);
  set(b, CSR, control);
  return b;
}

/* NOPs, so that every cycle is a boundary. */
static void pass(struct bench *b, cycle_t cycles)
{
  static const uint16_t nop = 0xbf00;
  for (addr_t at = CODE; at < CODE + 0x800; at += 2)
    bench_put(b, at, &nop, sizeof(nop));
  core_run(&b->core, b->cpu, &b->bus, b->core.cycle + cycles);
}

static void the_period_is_the_reload_value_and_one(void **state)
{
  static const uint32_t seen[] = {0, 3, 2, 1, 0, 3, 2, 1, 0, 3};
  (void)state;
  struct bench *b = start(stay, sizeof(stay), 3, 5);
  for (size_t i = 0; i < ROWS_COUNT(seen); i++) {
    assert_int_equal(get(b, CVR), seen[i]);
    pass(b, 1);
  }
  bench_free(b);
}

static void countflag_is_cleared_by_reading_and_by_a_write(void **state)
{
  (void)state;
  struct bench *b = start(stay, sizeof(stay), 3, 5);
  pass(b, 3);
  assert_int_equal(get(b, CSR), 0x00005);
  pass(b, 1);
  assert_int_equal(get(b, CSR), 0x10005);
  assert_int_equal(get(b, CSR), 0x00005);
  pass(b, 4);
  set(b, CVR, 123);
  assert_int_equal(get(b, CSR), 0x00005);
  assert_int_equal(get(b, CVR), 0);
  bench_free(b);
}

static void a_write_of_the_counter_pends_nothing(void **state)
{
  (void)state;
  struct bench *b = start(stay, sizeof(stay), 100, 7);
  pass(b, 50);
  assert_int_equal(get(b, CVR), 51);
  set(b, CVR, 0);
  bench_run(b, 10);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, 0);
  bench_free(b);
}

static void a_reload_of_zero_stops_it(void **state)
{
  (void)state;
  struct bench *b = start(stay, sizeof(stay), 5, 7);
  pass(b, 2);
  set(b, RVR, 0);
  bench_run(b, 60);
  assert_int_equal(bench_count(b, TRACE_EXCEPTION), 1);
  assert_int_equal(get(b, CVR), 0);
  bench_free(b);
}

static void its_exception_is_taken_in_every_period(void **state)
{
  (void)state;
  struct bench *b = start(stay, sizeof(stay), 99, 7);
  bench_run(b, 1050);
  assert_int_equal(b->core.r[6], 10);
  for (unsigned i = 0; i < 10; i++) { /* b . takes 2: at most one late */
    cycle_t cycle = bench_find(b, TRACE_EXCEPTION, i)->cycle;
    assert_in_range(cycle, 100 * (i + 1), 100 * (i + 1) + 1);
  }
  bench_free(b);
}

static void it_wakes_a_sleeper_and_sleep_costs_nothing(void **state)
{
  (void)state;
  struct bench *b = start(nap, sizeof(nap), 0xffffff, 7);
  for (unsigned i = 1; i <= 5; i++) {
    assert_int_equal(bench_run(b, 100), CORE_STOP_SLEEP);
    assert_int_equal(core_next(&b->core), (cycle_t)0x1000000 * i);
    core_idle(&b->core, core_next(&b->core) - 1);
    core_wake(&b->core, &b->bus);
    assert_int_equal(b->core.mode, CORE_SLEEPING);
    core_idle(&b->core, core_next(&b->core));
    core_wake(&b->core, &b->bus);
    assert_int_equal(b->core.mode, CORE_RUNNING);
  }
  bench_run(b, 100);
  assert_int_equal(b->core.r[6], 5);
  assert_true(b->core.instructions < 30);
  bench_free(b);
}

static void it_stands_still_in_debug_state(void **state)
{
  (void)state;
  struct bench *b = start(stay, sizeof(stay), 99, 7);
  b->core.debug_enabled = true;
  pass(b, 10);
  uint32_t before = get(b, CVR);
  core_halt(&b->core, &b->bus);
  core_idle(&b->core, b->core.cycle + 1000);
  assert_int_equal(get(b, CVR), before);
  core_go(&b->core, &b->bus);
  pass(b, 10);
  assert_int_equal(get(b, CVR), before - 10);
  bench_free(b);
}

static void there_is_no_reference_clock(void **state)
{
  (void)state;
  struct bench *b = start(stay, sizeof(stay), 1, 0);
  assert_int_equal(get(b, CSR), 4);
  assert_int_equal(get(b, CALIB), 0x80000000);
  set(b, RVR, 0xffffffff);
  assert_int_equal(get(b, RVR), 0x00ffffff);
  bench_free(b);
}

#define TEST(name) cmocka_unit_test(name)

int main(void)
{
  static const struct CMUnitTest tests[] = {
      TEST(the_period_is_the_reload_value_and_one),
      TEST(countflag_is_cleared_by_reading_and_by_a_write),
      TEST(a_write_of_the_counter_pends_nothing),
      TEST(a_reload_of_zero_stops_it),
      TEST(its_exception_is_taken_in_every_period),
      TEST(it_wakes_a_sleeper_and_sleep_costs_nothing),
      TEST(it_stands_still_in_debug_state),
      TEST(there_is_no_reference_clock),
  };
  return cmocka_run_group_tests_name("systick", tests, NULL, NULL);
}
