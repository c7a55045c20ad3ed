/* Several results side by side. The words are ours. */
#include <string.h>

#include "report/side_by_side.h"
#include "result_fixture.h"
#include "rows.h"

struct some {
  const struct result *const *results;
  uint32_t count;
};

static void write_some(FILE *to, const void *context)
{
  const struct some *some = context;
  report_side_by_side(to, some->results, some->count);
}

static char *beside(const struct result *const *results, uint32_t count)
{
  const struct some some = {results, count};
  return fixture_capture(write_some, &some);
}

static const char two[] =
    "A pin reset does not refresh the blank latch\n"
    "\n"
    "                 latched      checked\n"
    "\n"
    "steps[0]         rom          rom\n"
    "power_on         latch-blank  flash-blank\n"
    "\n"
    "steps[2]         rom          rom\n"
    "pin              latch-blank  flash-blank\n"
    "\n"
    "steps[5]         rom, stale   flash\n"
    "pin              latch-blank  otherwise\n"
    "\n"
    "steps[7]         flash        -\n"
    "option_reload    otherwise\n"
    "\n"
    "findings         stale-latch  none\n"
    "                 rom-ran\n"
    "\n"
    "assumed          12 numbers   1 number\n"
    "\n"
    "verdict          failed       held\n"
    "                 1 of 3\n"
    "\n"
    "They differ from steps[5] on: latched starts in rom, checked starts in "
    "flash.\n"
    "\n"
    "latched, what was asked and did not hold:\n"
    "  failed  line 18, steps[6]: after the pin reset\n"
    "    asked region flash, latch programmed, stale no within 3 ms\n"
    "    seen  region rom, latch blank, stale yes\n"
    "\n"
    "A simulation is not the board: confirm on hardware before relying on "
    "it.\n";

static void two_parts(void **state)
{
  (void)state;
  const struct result *results[] = {&fixture_latched, &fixture_checked};
  char *text = beside(results, 2);
  assert_string_equal(text, two);
  free(text);
}

static void parts_that_do_not_fit_follow_below(void **state)
{
  (void)state;
  struct result wide = fixture_checked;
  wide.part = "a-part-with-a-long-name";
  const struct result *results[] = {&wide, &wide, &wide, &fixture_checked};
  char *text = beside(results, 4);
  const char *first = strstr(text, "                 a-part-with-a-long-name  "
                                   "a-part-with-a-long-name\n");
  assert_non_null(first);
  assert_contains(first, "                 a-part-with-a-long-name  "
                         "checked\n");
  for (char *line = strtok(text, "\n"); line; line = strtok(NULL, "\n")) {
    assert_in_range(strlen(line), 1, 80);
  }
  free(text);
}

static void a_long_name_is_broken_at_the_width_of_a_cell(void **state)
{
  (void)state;
  struct result result = fixture_checked;
  result.part = "abcdefghijklmnopqrstuvwxyz0123456789";
  const struct result *results[] = {&result};
  char *text = beside(results, 1);
  assert_contains(text, "                 abcdefghijklmnopqrstuvwx\n"
                        "                 yz0123456789\n");
  free(text);
}

/* --- small results ------------------------------------------------------- */

#define AT(number, where)                                                     \
  {                                                                           \
    .step = (number), .region = (where), .rule = "r"                          \
  }

static char *compare(struct start *a, uint32_t a_count, struct start *b,
                     uint32_t b_count)
{
  const struct result one = {
      .title = "t", .part = "one", .starts = a, .start_count = a_count};
  const struct result other = {
      .title = "t", .part = "other", .starts = b, .start_count = b_count};
  const struct result *results[] = {&one, &other};
  return beside(results, 2);
}

static void starts_of_one_step_stand_beside_one_another(void **state)
{
  (void)state;
  struct start a[] = {AT(0, "rom"), AT(3, "rom"), AT(3, "flash")};
  struct start b[] = {AT(3, "rom"), AT(4, "flash")};
  char *text = compare(a, 3, b, 2);
  assert_contains(text, "steps[0]         rom    -\n"
                        "power_on         r\n\n"
                        "steps[3]         rom    rom\n"
                        "power_on         r      r\n\n"
                        "steps[3]         flash  -\n"
                        "power_on         r\n\n"
                        "steps[4]         -      flash\n"
                        "power_on                r\n");
  assert_contains(text, "They differ from steps[0] on: one starts in "
                        "rom, other does not start.\n");
  free(text);
}

static void different_causes_stand_in_the_cells(void **state)
{
  (void)state;
  struct start a = AT(6, "flash"), b = AT(6, "flash");
  a.cause = CAUSE_BROWN_OUT;
  char *text = compare(&a, 1, &b, 1);
  assert_contains(text, "steps[6]         flash         flash\n"
                        "                 r             r\n"
                        "                 by brown_out  by power_on\n");
  assert_contains(text, "They do not differ: every start of theirs "
                        "leads to the same region.\n");
  free(text);
}

static void where_a_start_lands_is_a_difference(void **state)
{
  (void)state;
  struct start a = AT(0, "rom"), b = AT(0, "rom");
  a.landing = (struct landing){.landed = true, .region = "flash"};
  char *text = compare(&a, 1, &b, 1);
  assert_contains(text, "                 landing flash\n");
  assert_contains(text, "They differ from steps[0] on: one starts in "
                        "rom and lands in flash, other starts\nin "
                        "rom.\n");
  free(text);
}

static void names_of_rules_are_no_difference(void **state)
{
  (void)state;
  struct start a = AT(0, "rom"), b = AT(0, "rom");
  b.rule = "another";
  char *text = compare(&a, 1, &b, 1);
  assert_contains(text, "They do not differ");
  free(text);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(two_parts),
      cmocka_unit_test(parts_that_do_not_fit_follow_below),
      cmocka_unit_test(a_long_name_is_broken_at_the_width_of_a_cell),
      cmocka_unit_test(starts_of_one_step_stand_beside_one_another),
      cmocka_unit_test(different_causes_stand_in_the_cells),
      cmocka_unit_test(where_a_start_lands_is_a_difference),
      cmocka_unit_test(names_of_rules_are_no_difference),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
