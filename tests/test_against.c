/* Where two traces part, and how that is told. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "report/against.h"
#include "result_fixture.h"

static const struct {
  const char *name, *before, *now, *told;
} rows[] = {
    {"the same text is the same", "a\nb\n", "a\nb\n",
     "old: the trace is the same, all 2 lines\n"},
    {"two empty texts are the same", "", "",
     "old: the trace is the same, all 0 lines\n"},
    {"the first line that differs is shown with five around it",
     "1\n2\n3\n4\n5\n6\n7\n8\n9\n10\n11\n12\n13\n14\n",
     "1\n2\n3\n4\n5\n6\n7\nx\n9\n10\n11\n12\n13\n14\n",
     "old:8: here they part; \"-\" was before, \"+\" is now\n"
     "  3\n  4\n  5\n  6\n  7\n"
     "- 8\n- 9\n- 10\n- 11\n- 12\n"
     "+ x\n+ 9\n+ 10\n+ 11\n+ 12\n"},
    {"a line too few is told", "a\nb\n", "a\n",
     "old:2: here they part; \"-\" was before, \"+\" is now\n"
     "  a\n- b\n+ (the end)\n"},
    {"a line too many is told", "a\n", "a\nb\n",
     "old:2: here they part; \"-\" was before, \"+\" is now\n"
     "  a\n- (the end)\n+ b\n"},
    {"a file that was empty is told", "", "a\n",
     "old:1: here they part; \"-\" was before, \"+\" is now\n"
     "- (the end)\n+ a\n"},
    {"a last line that does not end differs from one that does", "a", "a\n",
     "old:1: here they part; \"-\" was before, \"+\" is now\n"
     "- a\n+ a\n"},
    {"what a terminal would obey is not shown", "\x1b[2J\n", "a\n",
     "old:1: here they part; \"-\" was before, \"+\" is now\n"
     "- ?[2J\n+ a\n"},
};

static struct against_text text(const char *bytes)
{
  return (struct against_text){bytes, strlen(bytes)};
}

static void tell(FILE *to, const void *context)
{
  size_t row = *(const size_t *)context;
  struct against a =
      against_compare(text(rows[row].before), text(rows[row].now));
  against_tell(&a, "old", text(rows[row].before), text(rows[row].now), to);
}

static void test_rows(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    char *told = fixture_capture(tell, &i);
    if (strcmp(told, rows[i].told) != 0)
      fail_msg("%s: told:\n%s", rows[i].name, told);
    free(told);
  }
}

/* Only the bytes count that are there. */
static void test_no_end(void **state)
{
  (void)state;
  static const char bytes[] = "a\nb\nc\n";
  struct against a = against_compare((struct against_text){bytes, 4},
                                     (struct against_text){bytes, 4});
  assert_true(a.same);
  assert_int_equal(a.line, 2);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_rows),
      cmocka_unit_test(test_no_end),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
