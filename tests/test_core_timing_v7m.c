/* Cycles of each instruction on M3 and M4 against the published tables and
 * pairing rules.
 *
 *   [M3] ARM 100165_0201_02 Table 3-1 and 3.3.2 (Cortex-M3 r2p1)
 *   [M4] ARM DDI 0439D Tables 3-1, 3-2 and 3.3.2; floating point Table 7-1,
 *        from memory (Cortex-M4 r0p1)
 *
 * The numbers stand here a second time, not taken from the program.
 */
#include "bench_core.h"

#define TABLES  "[M3] Table 3-1; [M4] Tables 3-1 and 3-2"
#define PAIRS   "[M3] 3.3.2; [M4] 3.3.2"
#define ASSUMED "within the published range; the value is assumed"

#define HALVES(...)                                                           \
  (sizeof((const uint16_t[]){__VA_ARGS__}) / sizeof(uint16_t))

static const struct row {
  const char *name;
  cycle_t m3, m4;
  const char *source;
  unsigned length;
  uint16_t code[12];
} rows[] = {
#define X(text, m3, m4, source, ...)                                          \
  {text, m3, m4, source, HALVES(__VA_ARGS__), {__VA_ARGS__}},
#include "core_timing_v7m_rows.def"
#undef X
};

static const struct row dsp_rows[] = {
#define X(...)
#define Y(text, m4, ...)                                                      \
  {text, 0, m4, TABLES, HALVES(__VA_ARGS__), {__VA_ARGS__}},
#include "core_timing_v7m_rows.def"
#undef X
#undef Y
};

static const struct row float_rows[] = {
#define X(...)
#define Z(text, m4, ...)                                                      \
  {text, 0, m4, TABLES, HALVES(__VA_ARGS__), {__VA_ARGS__}},
#include "core_timing_v7m_rows.def"
#undef X
#undef Z
};

/* r0: RAM; r2: 3; r4: 2; r5: where it ends; r6: the device; r7: 8. */
static struct bench *prepare(enum core_kind kind, const struct row *r)
{
  static const uint16_t stay = 0xe7fe; /* B . */
  struct bench *b = bench_new(kind, 1);
  addr_t end = CODE + 2 * r->length;
  bench_vectors(b);
  bench_put(b, CODE, r->code, 2 * r->length);
  bench_put(b, end, &stay, sizeof(stay));
  for (addr_t at = RAM + 0x100; at < RAM + RAM_SIZE; at += 4)
    bench_word(b, at, end | 1u);
  b->bus.watches[0] = CODE;
  b->bus.watches[1] = end;
  b->bus.watch_count = 2;
  bench_reset(b);
  b->core.fpu.access = 0x00f00000;
  b->core.control = kind == CORE_KIND_M4F ? CORE_FLOATING : 0;
  b->core.r[0] = RAM + 0x100;
  b->core.r[2] = 3;
  b->core.r[4] = 2;
  b->core.r[5] = end | 1u;
  b->core.r[6] = DEVICE;
  b->core.r[7] = 8;
  b->core.r[8] = UINT32_MAX;
  b->core.r[13] = STACK;
  return b;
}

static cycle_t measure(struct bench *b)
{
  assert_int_equal(bench_run(b, 400), CORE_STOP_DEADLINE);
  const struct bench_report *first = bench_find(b, TRACE_MARK, 0);
  const struct bench_report *last = bench_find(b, TRACE_MARK, 1);
  assert_non_null(first);
  assert_non_null(last);
  return last->cycle - first->cycle;
}

static void check(enum core_kind kind, const struct row *r, cycle_t expected)
{
  struct bench *b = prepare(kind, r);
  cycle_t cycles = measure(b);
  if (cycles != expected) print_error("kind %d: %s\n", kind, r->source);
  assert_int_equal(cycles, expected);
  assert_int_equal(bench_count(b, TRACE_EXCEPTION), 0);
  bench_free(b);
}

static void timing_row(void **state)
{
  const struct row *r = *state;
  check(CORE_KIND_M3, r, r->m3);
  check(CORE_KIND_M4, r, r->m4);
  check(CORE_KIND_M4F, r, r->m4);
}

/* What a core was built without is undefined there. */
static void check_undefined(enum core_kind kind, const struct row *r)
{
  struct bench *b = prepare(kind, r);
  bench_run(b, 50);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
  assert_int_equal(bench_peek(b, STACK - 8), CODE);
  bench_free(b);
}

static void dsp_row(void **state)
{
  const struct row *r = *state;
  check(CORE_KIND_M4, r, r->m4);
  check_undefined(CORE_KIND_M3, r);
}

static void float_row(void **state)
{
  const struct row *r = *state;
  check(CORE_KIND_M4F, r, r->m4);
  check_undefined(CORE_KIND_M3, r);
  check_undefined(CORE_KIND_M4, r);
}

int main(void)
{
  struct CMUnitTest
      tests[ROWS_COUNT(rows) + ROWS_COUNT(dsp_rows) + ROWS_COUNT(float_rows)];
  size_t n = ROWS_ADD(tests, timing_row, rows);
  n += ROWS_ADD(tests + n, dsp_row, dsp_rows);
  n += ROWS_ADD(tests + n, float_row, float_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  return cmocka_run_group_tests_name("rows", tests, NULL, NULL);
}
