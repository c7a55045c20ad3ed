/* Pending causes, their flags, and the reset line. */
#include "chip/reset.h"
#include "chip_fixture.h"
#include "rows.h"

#define BIT(n) (1u << (n))

/* --- causes -------------------------------------------------------------- */

static const struct take_row {
  const char *name;
  enum cause asked[4];
  unsigned count;
  enum cause taken;
  uint32_t causes;
} takes[] = {
    {"one cause is itself",
     {CAUSE_SOFTWARE},
     1,
     CAUSE_SOFTWARE,
     BIT(CAUSE_SOFTWARE)},
    {"asked for twice it is one",
     {CAUSE_PIN, CAUSE_PIN},
     2,
     CAUSE_PIN,
     BIT(CAUSE_PIN)},
    {"watchdog and pin at one instant are a watchdog reset with both flags",
     {CAUSE_PIN, CAUSE_WATCHDOG},
     2,
     CAUSE_WATCHDOG,
     BIT(CAUSE_WATCHDOG) | BIT(CAUSE_PIN)},
    {"the order of asking does not matter",
     {CAUSE_WATCHDOG, CAUSE_PIN},
     2,
     CAUSE_WATCHDOG,
     BIT(CAUSE_WATCHDOG) | BIT(CAUSE_PIN)},
    {"a power-on outranks all",
     {CAUSE_CORE_ONLY, CAUSE_LOCKUP, CAUSE_POWER_ON, CAUSE_BROWN_OUT},
     4,
     CAUSE_POWER_ON,
     BIT(CAUSE_CORE_ONLY) | BIT(CAUSE_LOCKUP) | BIT(CAUSE_POWER_ON) |
         BIT(CAUSE_BROWN_OUT)},
    {"the last cause there is can be taken",
     {CAUSE_CORE_ONLY},
     1,
     CAUSE_CORE_ONLY,
     BIT(CAUSE_CORE_ONLY)},
};

static void take_row(void **state)
{
  const struct take_row *r = *state;
  struct reset reset;
  enum cause cause = CAUSE_COUNT_;
  uint32_t causes = 0;
  reset_init(&reset);
  assert_false(reset_take(&reset, &cause, &causes));
  for (unsigned i = 0; i < r->count; i++)
    reset_request(&reset, r->asked[i]);
  assert_true(reset_take(&reset, &cause, &causes));
  assert_int_equal(cause, r->taken);
  assert_int_equal(causes, r->causes);
  assert_false(reset_take(&reset, &cause, &causes));
  assert_int_equal(reset.flags, 0);
}

/* --- the line ------------------------------------------------------------ */

/* An open-drain line: low while anybody pulls it (common practice, no
 * source). Capitals pull, small letters let go: Part, pRobe, Bench. `levels`
 * is the line after each; `told` the changes that the trace has. */
static const struct line_row {
  const char *name;
  const char *pulls, *levels, *told;
} lines[] = {
    {"one pulls and lets go", "Bb", "LH", "LH"},
    {"the line is low until the last lets go", "BPbp", "LLLH", "LH"},
    {"in any order", "PRBprb", "LLLLLH", "LH"},
    {"pulling twice is letting go once", "BBb", "LLH", "LH"},
    {"who does not pull can't let go", "rbBrpb", "HHLLLH", "LH"},
    {"each time it is low it is told", "PpBbRr", "LHLHLH", "LHLHLH"},
};

static enum trace_driver driver_of(char letter)
{
  switch (letter | 0x20) {
  case 'p': return DRIVER_PART;
  case 'r': return DRIVER_PROBE;
  default: return DRIVER_BENCH;
  }
}

static void line_row(void **state)
{
  const struct line_row *r = *state;
  struct reset reset;
  struct trace trace;
  char told[16] = "";
  size_t tells = 0;
  kept_init(&trace);
  reset_init(&reset);
  assert_false(reset_line_low(&reset));
  for (ps_t i = 0; r->pulls[i] != '\0'; i++) {
    bool low = (r->pulls[i] & 0x20) == 0;
    enum trace_driver driver = driver_of(r->pulls[i]);
    struct moment now = {i, 10 * i};
    bool changed = reset_pull(&reset, driver, low, now, &trace);
    assert_int_equal(reset_line_low(&reset), r->levels[i] == 'L');
    if (!changed) continue;
    const struct trace_record *t = kept_last(&trace, TRACE_RESET_LINE);
    assert_true(t->at == i && t->cycle == 10 * i && t->b == driver);
    told[tells++] = t->a != 0 ? 'H' : 'L';
  }
  assert_string_equal(told, r->told);
  assert_int_equal(kept_count(&trace, TRACE_RESET_LINE), tells);
  trace_free(&trace);
}

/* --- flags --------------------------------------------------------------- */

static const struct flag_row {
  const char *name;
  uint32_t set, clear, left;
  size_t told; /* clearings in the trace */
} flags[] = {
    {"clearing nothing clears nothing", BIT(CAUSE_PIN), 0, BIT(CAUSE_PIN), 0},
    {"a flag is cleared alone", BIT(CAUSE_PIN) | BIT(CAUSE_POWER_ON),
     BIT(CAUSE_PIN), BIT(CAUSE_POWER_ON), 1},
    {"all are cleared together",
     BIT(CAUSE_PIN) | BIT(CAUSE_POWER_ON) | BIT(CAUSE_CORE_ONLY), UINT32_MAX,
     0, 3},
    {"one that is not set is not told", BIT(CAUSE_PIN),
     BIT(CAUSE_WATCHDOG) | BIT(CAUSE_PIN), 0, 1},
};

static void flag_row(void **state)
{
  const struct flag_row *r = *state;
  struct reset reset;
  struct trace trace;
  const struct moment now = {5, 6};
  size_t sets = 0, clears = 0;
  kept_init(&trace);
  reset_init(&reset);
  for (enum cause c = 0; c < CAUSE_COUNT_; c++)
    if (r->set & BIT(c)) reset_set_flag(&reset, c, now, &trace);
  assert_int_equal(reset.flags, r->set);
  reset_clear_flags(&reset, r->clear, now, &trace);
  assert_int_equal(reset.flags, r->left);
  const struct trace_record *t;
  uint32_t seen = 0;
  for (size_t i = 0; (t = kept_nth(&trace, TRACE_FLAG, i)) != NULL; i++) {
    seen = t->b != 0 ? seen | BIT(t->a) : seen & ~BIT(t->a);
    sets += t->b != 0;
    clears += t->b == 0;
  }
  assert_int_equal(seen, r->left);
  assert_int_equal(sets, (size_t)__builtin_popcount(r->set));
  assert_int_equal(clears, r->told);
  trace_free(&trace);
}

static void a_flag_outlives_what_it_tells_of(void **state)
{
  (void)state;
  struct reset reset;
  struct trace trace;
  enum cause cause;
  uint32_t causes;
  kept_init(&trace);
  reset_init(&reset);
  reset_set_flag(&reset, CAUSE_PIN, (struct moment){0, 0}, &trace);
  reset_request(&reset, CAUSE_SOFTWARE);
  reset_take(&reset, &cause, &causes);
  reset_pull(&reset, DRIVER_BENCH, true, (struct moment){1, 1}, &trace);
  assert_int_equal(reset.flags, BIT(CAUSE_PIN));
  trace_free(&trace);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(a_flag_outlives_what_it_tells_of),
  };
  struct CMUnitTest
      tests[ROWS_COUNT(takes) + ROWS_COUNT(lines) + ROWS_COUNT(flags)];
  size_t n = ROWS_ADD(tests, take_row, takes);
  n += ROWS_ADD(tests + n, line_row, lines);
  n += ROWS_ADD(tests + n, flag_row, flags);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
