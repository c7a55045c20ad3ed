/* Reading the measures of a case: what they give, and what is refused where.
 * Numbers are those written in tests/sample_case.json; the words of errors are
 * ours. */
#include "sample_edit.h"

#include "describe/case.h"
#include "describe/case_shape.h"

static void marks_and_bounds_arrive(void **state)
{
  (void)state;
  struct arena arena;
  struct sim_error err;
  const struct case_script *s;
  arena_init(&arena);
  assert_int_equal(case_read(&arena, SAMPLE_CASE, &s, &err), SIM_OK);
  assert_int_equal(s->measure_count, 3);
  const struct case_measure *m = s->measures;
  assert_string_equal(m[0].name, "reset to main");
  assert_int_equal(m[0].line, 35);
  assert_int_equal(m[0].from.kind, MARK_LINE);
  assert_true(m[0].from.high);
  assert_int_equal(m[0].to.kind, MARK_SYMBOL);
  assert_string_equal(m[0].to.symbol, "main");
  assert_int_equal(m[0].to.line, 35);
  assert_int_equal(m[0].to.column, 69);
  assert_true(m[0].at_most.asked && !m[0].at_most.in_cycles);
  assert_int_equal(m[0].at_most.value, 2 * PS_PER_MS);
  assert_true(m[0].at_least.asked && m[0].at_least.in_cycles);
  assert_int_equal(m[0].at_least.value, 12);
  assert_int_equal(m[1].from.kind, MARK_START);
  assert_int_equal(m[1].from.cause, MARK_ANY_CAUSE);
  assert_int_equal(m[1].to.kind, MARK_ADDRESS);
  assert_int_equal(m[1].to.address, 0x04000100);
  assert_false(m[1].at_least.asked);
  assert_int_equal(m[2].from.cause, CAUSE_WATCHDOG);
  assert_int_equal(m[2].to.kind, MARK_PIN);
  assert_string_equal(m[2].to.pin, "P2");
  assert_int_equal(m[2].to.level, DRIVE_RELEASE);
  assert_false(m[2].at_most.asked);
  arena_free(&arena);
}

static const struct row {
  const char *name;
  struct sample_edit edits[SAMPLE_EDITS];
  const char *error;
} rows[] = {
    {"a mark is one of five",
     {{"{ \"line\": \"high\" }", "{ \"note\": \"reset\" }"}},
     "case.json:35:43: measure[0].from: has no mark; expected one of "
     "\"symbol\", \"address\", \"pin\", \"start\", \"line\""},
    {"a slip in a mark is told",
     {{"{ \"line\": \"high\" }", "{ \"lime\": \"high\" }"}},
     "case.json:35:45: measure[0].from.lime: is no mark; expected \"line\""},
    {"a mark is an object",
     {{"{ \"symbol\": \"main\" }", "\"main\""}},
     "case.json:35:69: measure[0].to: is \"main\"; expected an object with a "
     "mark, such as {\"symbol\": \"main\"}"},
    {"a mark is one thing only",
     {{"{ \"symbol\": \"main\" }",
       "{ \"symbol\": \"main\", \"line\": \"high\" }"}},
     "case.json:35:89: measure[0].to.line: is no key of a mark at a symbol; "
     "expected \"symbol\""},
    {"a pin has a level",
     {{"\"pin\": \"P2\", \"level\": \"released\"", "\"pin\": \"P2\""}},
     "case.json:37:64: measure[2].to: has no \"level\"; expected one of "
     "\"low\", \"high\", \"released\""},
    {"a start has a cause that there is",
     {{"\"start\": \"watchdog\"", "\"start\": \"watchdogs\""}},
     "case.json:37:44: measure[2].from.start: is \"watchdogs\"; expected "
     "\"watchdog\""},
    {"a bound has a unit",
     {{"\"at_most\": \"2ms\"", "\"at_most\": \"2\""}},
     "case.json:35:102: measure[0].at_most: is \"2\"; expected a time such as "
     "\"2ms\" or a number of cycles such as \"5000 cycles\""},
    {"cycles are whole",
     {{"\"12 cycles\"", "\"1.5 cycles\""}},
     "case.json:35:121: measure[0].at_least: is \"1.5 cycles\"; expected a "
     "time such as \"2ms\" or a number of cycles such as \"5000 cycles\""},
    {"a bound is no bare number",
     {{"\"12 cycles\"", "12"}},
     "case.json:35:121: measure[0].at_least: is 12; expected a time such as "
     "\"2ms\" or a number of cycles such as \"5000 cycles\""},
    {"bounds leave room between them",
     {{"\"12 cycles\"", "\"2001us\""}},
     "case.json:35:121: measure[0].at_least: is \"2001us\"; expected no more "
     "than \"at_most\", \"2ms\""},
    {"a measure has a name of its own",
     {{"\"measure\": \"pin\"", "\"measure\": \"reset to main\""}},
     "case.json:37:18: measure[2].measure: is the name of the measure in line "
     "35 too; expected another one"},
    {"a measure goes somewhere",
     {{"\"from\": { \"start\": \"watchdog\" }, ", ""}},
     "case.json:37:5: measure[2]: has no \"from\"; expected an object with a "
     "mark, such as {\"symbol\": \"main\"}"},
};

static void is_refused(void **state)
{
  const struct row *r = *state;
  struct arena arena;
  struct sim_error err;
  const struct json *root;
  struct case_script *script;
  arena_init(&arena);
  const char *text = sample_edited(&arena, SAMPLE_CASE, r->edits);
  enum sim_status status =
      json_parse(&arena, "case.json", text, strlen(text), false, &root, &err);
  if (status == SIM_OK) {
    status = case_from_json(&arena, "case.json", root, &script, &err);
  }
  if (status == SIM_OK) fail_msg("is not refused");
  char said[1400];
  assert_string_equal(sim_error_text(&err, said, sizeof said), r->error);
  arena_free(&arena);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows) + 1] = {
      cmocka_unit_test(marks_and_bounds_arrive)};
  ROWS_ADD(tests + 1, is_refused, rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
