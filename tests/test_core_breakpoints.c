/* The breakpoint unit, vector catch and the monitor, and semihosting.
 *
 * ARM DDI 0419E C1.8 (breakpoint unit of v6-M); ARM DDI 0403E C1.6, C1.11 and
 * Arm's semihosting specification, from memory. */
#include "bench_core.h"

#define FP_CTRL 0xe0002000u
#define FP_COMP 0xe0002008u
#define CFSR    0xe000ed28u
#define SHCSR   0xe000ed24u
#define DFSR    0xe000ed30u
#define HFSR    0xe000ed2cu
#define DHCSR   0xe000edf0u
#define DEMCR   0xe000edfcu

static const uint16_t four[] = {0x3501, 0x3501, 0x3501, 0x3501, 0xe7fa};

static uint32_t get(struct bench *b, addr_t at)
{
  uint32_t value;
  assert_true(core_scs_read(&b->core, at, true, &value) ||
              core_breakpoint_read(&b->core, at, true, &value));
  return value;
}

static void set(struct bench *b, addr_t at, uint32_t value)
{
  assert_true(core_scs_write(&b->core, &b->bus, at, value, true) ||
              core_breakpoint_write(&b->core, at, value, true));
}

/* --- the unit ------------------------------------------------------------
 */

static const struct kind_row {
  const char *name;
  enum core_kind kind;
  uint32_t control; /* FP_CTRL after reset */
  unsigned comparators;
} kind_rows[] = {
    {"M0+", CORE_KIND_M0PLUS, 0x40, 4},
    {"M3", CORE_KIND_M3, 0x260, 6},
    {"M4F", CORE_KIND_M4F, 0x260, 6},
};

static void unit_row(void **state)
{
  const struct kind_row *r = *state;
  for (unsigned i = 0; i < r->comparators; i++) {
    for (uint32_t half = 0; half < 2; half++) {
      struct bench *b = bench_start(r->kind, four, sizeof(four));
      assert_int_equal(get(b, FP_CTRL), r->control);
      set(b, DHCSR, 0xa05f0001);
      set(b, FP_CTRL, 3);
      set(b, FP_COMP + 4 * i, (CODE + 4) | (half ? 2u : 1u) << 30 | 1u);
      assert_int_equal(bench_run(b, 100), CORE_STOP_HALTED);
      assert_int_equal(b->core.r[15], CODE + 4 + 2 * half);
      assert_int_equal(b->core.r[5], 2 + half);
      assert_int_equal(get(b, DFSR), 2);
      bench_free(b);
    }
  }
}

static void a_comparator_that_is_off_matches_nothing(void **state)
{
  const struct kind_row *r = *state;
  for (unsigned off = 0; off < 3; off++) {
    struct bench *b = bench_start(r->kind, four, sizeof(four));
    set(b, DHCSR, 0xa05f0001);
    set(b, FP_CTRL, off == 0 ? 2 : 3);
    if (off == 0) set(b, FP_CTRL, 1); /* without the key */
    set(b, FP_COMP, CODE | (off == 1 ? 0 : 3u << 30) | (off == 2 ? 0 : 1u));
    assert_int_equal(bench_run(b, 100), CORE_STOP_DEADLINE);
    bench_free(b);
  }
}

/* --- faults that the debugger wants to see -------------------------------
 */

static const struct catch_row {
  const char *name;
  uint16_t code;
  uint32_t r0;
  uint32_t demcr; /* the bit that catches it */
  unsigned handler;
} catch_rows[] = {
    {"VC_STATERR", 0xde00, 0, 0x080, EXCEPTION_USAGEFAULT},
    {"VC_CHKERR", 0xc806, RAM + 2, 0x040, EXCEPTION_USAGEFAULT},
    {"VC_BUSERR", 0x6801, 0x50000000, 0x100, EXCEPTION_BUSFAULT},
    {"VC_MMERR", 0x4700, DEVICE | 1, 0x010, EXCEPTION_MEMMANAGE},
};

static void catch_row(void **state)
{
  const struct catch_row *r = *state;
  for (unsigned enabled = 0; enabled < 2; enabled++) {
    struct bench *b = bench_start(CORE_KIND_M3, &r->code, sizeof(r->code));
    b->core.r[0] = r->r0;
    set(b, SHCSR, 0x70000);
    if (enabled) set(b, DHCSR, 0xa05f0001);
    set(b, DEMCR, r->demcr);
    assert_int_equal(get(b, DEMCR), r->demcr);
    assert_int_equal(bench_run(b, 60),
                     enabled ? CORE_STOP_HALTED : CORE_STOP_DEADLINE);
    assert_int_equal(b->core.xpsr & CORE_EXCEPTION, r->handler);
    assert_int_equal(get(b, DFSR), enabled ? 8 : 0);
    bench_free(b);
  }
}

static void a_breakpoint_without_a_debugger(void **state)
{
  static const uint16_t code[] = {0xbe00, 0xe7fe};
  (void)state;
  for (uint32_t monitor = 0; monitor < 2; monitor++) {
    struct bench *b = bench_start(CORE_KIND_M4, code, sizeof(code));
    set(b, DEMCR, monitor << 16);
    bench_run(b, 20);
    assert_int_equal(b->core.xpsr & CORE_EXCEPTION,
                     monitor ? EXCEPTION_MONITOR : EXCEPTION_HARDFAULT);
    assert_int_equal(get(b, HFSR), monitor ? 0 : 0x80000000);
    assert_int_equal(bench_peek(b, STACK - 8), CODE);
    bench_free(b);
  }
}

/* On v7-M a program reaches these registers; C_DEBUGEN is not its own. */
static void a_program_may_not_enable_debug(void **state)
{
  static const uint16_t code[] = {0x6001, 0x6802, 0xe7fe}; /* str, ldr */
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M3, code, sizeof(code));
  b->core.r[0] = DHCSR;
  b->core.r[1] = 0xa05f0003;
  bench_run(b, 4);
  assert_int_equal(b->core.mode, CORE_RUNNING);
  assert_int_equal(b->core.r[2] & 0xf, 0);
  assert_int_equal(b->core.r[2] & 0x10000, 0x10000);
  bench_free(b);
}

static void special_registers_are_transferred_together(void **state)
{
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M4F, four, sizeof(four));
  set(b, DHCSR, 0xa05f0003);
  set(b, 0xe000edf8, 0x03014001);
  set(b, 0xe000edf4, 0x10014);
  assert_int_equal(b->core.basepri, 0x40);
  assert_int_equal(b->core.faultmask, 1);
  assert_int_equal(b->core.primask, 1);
  assert_int_equal(b->core.control, 3);
  set(b, 0xe000edf8, 0x3f800000);
  set(b, 0xe000edf4, 0x10000 | (0x40 + 31));
  assert_int_equal(b->core.fpu.s[31], 0x3f800000);
  bench_free(b);
}

/* --- semihosting ---------------------------------------------------------
 */

static struct bench *host(uint32_t operation, uint32_t parameter)
{
  static const uint16_t code[] = {0xbeab, 0x3501, 0xe7fe};
  static const char text[] = "hi\n";
  struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
  b->core.semihosting = true;
  bench_put(b, RAM + 0x100, text, sizeof(text));
  bench_put(b, RAM + 0x110, ":tt", 4);
  b->core.r[0] = operation;
  b->core.r[1] = parameter;
  return b;
}

static void block(struct bench *b, uint32_t a, uint32_t c, uint32_t d)
{
  bench_word(b, RAM + 0x200, a);
  bench_word(b, RAM + 0x204, c);
  bench_word(b, RAM + 0x208, d);
}

static void what_a_program_says_is_recorded(void **state)
{
  static const struct {
    uint32_t operation, parameter, result;
    unsigned length;
  } calls[] = {{0x04, RAM + 0x100, 0x04, 3},
               {0x03, RAM + 0x100, 0x03, 1},
               {0x05, RAM + 0x200, 0, 3},
               {0x05, 0x70000000, 0xffffffff, 0},
               {0x02, 0, 0xffffffff, 0}};
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(calls); i++) {
    struct bench *b = host(calls[i].operation, calls[i].parameter);
    block(b, 1, RAM + 0x100, 3);
    bench_run(b, 4);
    assert_int_equal(b->core.r[0], calls[i].result);
    assert_int_equal(b->core.r[5], 1);
    assert_int_equal(bench_count(b, TRACE_SAID), calls[i].length);
    for (unsigned n = 0; n < calls[i].length; n++)
      assert_int_equal(bench_find(b, TRACE_SAID, n)->a, "hi\n"[n]);
    bench_free(b);
  }
}

static void the_console_has_two_handles(void **state)
{
  (void)state;
  for (uint32_t mode = 0; mode < 13; mode++) {
    struct bench *b = host(0x01, RAM + 0x200);
    block(b, RAM + 0x110, mode, 3);
    bench_run(b, 3);
    uint32_t handle = mode < 8 ? 1 : 2;
    if (mode < 4 || mode > 11) handle = UINT32_MAX;
    assert_int_equal(b->core.r[0], handle);
    bench_free(b);
  }
}

static void an_exit_stops_the_core_with_its_status(void **state)
{
  static const struct {
    uint32_t operation, parameter, reason, status, expected;
  } exits[] = {{0x18, 0x20026, 0, 0, 0},
               {0x18, 0x20023, 0, 0, 1},
               {0x20, RAM + 0x200, 0x20026, 7, 7},
               {0x20, RAM + 0x200, 0x20024, 0, 1}};
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(exits); i++) {
    struct bench *b = host(exits[i].operation, exits[i].parameter);
    block(b, exits[i].reason, exits[i].status, 0);
    assert_int_equal(bench_run(b, 20), CORE_STOP_HALTED);
    assert_int_equal(b->core.r[5], 0);
    assert_int_equal(bench_find(b, TRACE_EXITED, 0)->a, exits[i].expected);
    bench_free(b);
  }
}

static void without_the_option_it_is_a_breakpoint(void **state)
{
  (void)state;
  struct bench *b = host(0x04, RAM + 0x100);
  b->core.semihosting = false;
  bench_run(b, 30);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
  assert_int_equal(bench_count(b, TRACE_SAID), 0);
  bench_free(b);
}

#define TEST(name) cmocka_unit_test(name)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      TEST(a_breakpoint_without_a_debugger),
      TEST(a_program_may_not_enable_debug),
      TEST(special_registers_are_transferred_together),
      TEST(what_a_program_says_is_recorded),
      TEST(the_console_has_two_handles),
      TEST(an_exit_stops_the_core_with_its_status),
      TEST(without_the_option_it_is_a_breakpoint),
  };
  struct CMUnitTest tests[2 * ROWS_COUNT(kind_rows) + ROWS_COUNT(catch_rows)];
  size_t n = ROWS_ADD(tests, unit_row, kind_rows);
  n +=
      ROWS_ADD(tests + n, a_comparator_that_is_off_matches_nothing, kind_rows);
  n += ROWS_ADD(tests + n, catch_row, catch_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
