/* The latch: a value that only a sample changes. */
#include <string.h>

#include "chip/latch.h"
#include "chip_fixture.h"
#include "rows.h"

/* One letter an event: B, P the blank check found it blank, programmed; b, p
 * a register write set it so; 0, 1 a preset did. */
static const struct latch_row {
  const char *name;
  const char *events;
  bool programmed;
  enum trace_sampler by; /* the last */
} rows[] = {
    {"a check that finds erased cells makes it blank", "B", false,
     SAMPLER_CHECK},
    {"one that finds others makes it programmed", "P", true, SAMPLER_CHECK},
    {"the last check counts", "BPB", false, SAMPLER_CHECK},
    {"a register write overrules a check", "Bp", true, SAMPLER_REGISTER},
    {"in both directions", "Pb", false, SAMPLER_REGISTER},
    {"until the next check", "BpB", false, SAMPLER_CHECK},
    {"a preset is a value like any other", "B1", true, SAMPLER_PRESET},
    {"the same value again is taken again", "PP", true, SAMPLER_CHECK},
};

static void send(struct latch *l, char event, ps_t at, struct trace *trace)
{
  static const char letters[] = "BPbp01";
  static const enum trace_sampler by[] = {SAMPLER_CHECK, SAMPLER_REGISTER,
                                          SAMPLER_PRESET};
  size_t n = (size_t)(strchr(letters, event) - letters);
  latch_set(l, n % 2 != 0, by[n / 2], (struct moment){at, 2 * at}, trace);
}

static void latch_row(void **state)
{
  const struct latch_row *r = *state;
  struct latch latch;
  struct trace trace;
  size_t count = strlen(r->events);
  kept_init(&trace);
  memset(&latch, 0xff, sizeof latch);
  latch_init(&latch);
  assert_false(latch.valid);
  for (size_t i = 0; i < count; i++)
    send(&latch, r->events[i], (ps_t)i + 5, &trace);
  assert_true(latch.valid);
  assert_int_equal(latch.programmed, r->programmed);
  assert_int_equal(kept_count(&trace, TRACE_LATCH), count);
  assert_int_equal(trace.kept_count, count);
  const struct trace_record *last = kept_last(&trace, TRACE_LATCH);
  assert_int_equal(last->a, r->programmed);
  assert_int_equal(last->b, r->by);
  assert_int_equal(last->at, (ps_t)count + 4);
  assert_int_equal(last->cycle, 2 * last->at);
  trace_free(&trace);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  ROWS_ADD(tests, latch_row, rows);
  return cmocka_run_group_tests_name("rows", tests, NULL, NULL);
}
