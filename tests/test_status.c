/* How an error is told: complete, cut to size, harmless on a terminal. */
#include <string.h>

#include "base/status.h"
#include "rows.h"

static const struct row {
  const char *name;
  struct sim_place where;
  const char *text;
} rows[] = {
    {"all parts", {"f.json", "a[1].b", 3, 14}, "f.json:3:14: a[1].b: is 7"},
    {"no path", {"f.json", NULL, 3, 14}, "f.json:3:14: is 7"},
    {"an empty path is none", {"f.json", "", 3, 14}, "f.json:3:14: is 7"},
    {"a line without a column", {"f.hex", NULL, 3, 0}, "f.hex:3: is 7"},
    {"a file without a line", {"f.elf", NULL, 0, 0}, "f.elf: is 7"},
    {"a column without a line is none", {"f.elf", NULL, 0, 5}, "f.elf: is 7"},
    {"no file", {NULL, "a", 3, 14}, "3:14: a: is 7"},
    {"a path alone", {NULL, "a", 0, 0}, "a: is 7"},
    {"no place at all", {NULL, NULL, 0, 0}, "is 7"},
    {"the largest place",
     {"f", NULL, UINT32_MAX, UINT32_MAX},
     "f:4294967295:4294967295: is 7"},
    {"control characters are replaced",
     {"f\x1B[2J", "a\nb\x7F", 1, 1},
     "f?[2J:1:1: a?b?: is 7"},
    {"so are those of C1",
     {"a\xC2\x9B"
      "b",
      NULL, 0, 0},
     "a?b: is 7"},
    {"U+00A0 is none of them", {"\xC2\xA0", NULL, 0, 0}, "\xC2\xA0: is 7"},
    {"bytes that are no UTF-8 are replaced",
     {"\xE9t\xC3\xA9", NULL, 0, 0},
     "?t\xC3\xA9: is 7"},
};

static void row(void **state)
{
  const struct row *r = *state;
  struct sim_error err;
  char text[128];
  memset(&err, 0xA5, sizeof err);
  assert_int_equal(sim_fail(&err, SIM_RANGE, &r->where, "is %d", 7),
                   SIM_RANGE);
  assert_int_equal(err.status, SIM_RANGE);
  assert_ptr_equal(sim_error_text(&err, text, sizeof text), text);
  assert_string_equal(text, r->text);
}

static void the_place_may_be_left_out(void **state)
{
  (void)state;
  struct sim_error err;
  char text[64];
  assert_int_equal(sim_fail(&err, SIM_USAGE, NULL, "is wrong"), SIM_USAGE);
  assert_string_equal(sim_error_text(&err, text, sizeof text), "is wrong");
}

/* Twice as many bytes as there is room for, of characters of three bytes:
 * none of them is cut in two. */
static void long_texts_are_cut_between_characters(void **state)
{
  (void)state;
  struct sim_error err;
  char text[1201] = "";
  for (size_t i = 0; i < 400; i++) {
    memcpy(text + 3 * i, "\xE2\x82\xAC", 4);
  }
  sim_fail(&err, SIM_RANGE, &(struct sim_place){text, text, 1, 1}, "%s", text);
  assert_int_equal(strlen(err.file), (sizeof err.file - 1) / 3 * 3);
  assert_int_equal(strlen(err.path), (sizeof err.path - 1) / 3 * 3);
  assert_int_equal(strlen(err.message), (sizeof err.message - 1) / 3 * 3);
  assert_memory_equal(err.message, text, strlen(err.message));
  assert_null(strchr(err.message, '?'));
}

static void long_texts_fill_their_room_but_for_the_end(void **state)
{
  (void)state;
  struct sim_error err;
  char text[601];
  memset(text, 'x', 600);
  text[600] = '\0';
  sim_fail(&err, SIM_RANGE, &(struct sim_place){text, text, 1, 1}, "%s", text);
  assert_int_equal(strlen(err.file), sizeof err.file - 1);
  assert_int_equal(strlen(err.path), sizeof err.path - 1);
  assert_int_equal(strlen(err.message), sizeof err.message - 1);
}

static void the_text_is_cut_to_the_buffer(void **state)
{
  (void)state;
  struct sim_error err;
  char text[16];
  memset(text, '#', sizeof text);
  sim_fail(&err, SIM_RANGE, NULL, "is long; expected less");
  sim_error_text(&err, text, 8);
  assert_string_equal(text, "is long");
  assert_int_equal(text[8], '#');
}

static void an_error_may_be_wrapped_in_itself(void **state)
{
  (void)state;
  struct sim_error err;
  char text[64];
  sim_fail(&err, SIM_RANGE, &(struct sim_place){"f", "p", 2, 3}, "is small");
  sim_fail(&err, SIM_KEY, &(struct sim_place){err.file, err.path, 2, 3},
           "%s, at %s", err.message, err.path);
  assert_string_equal(sim_error_text(&err, text, sizeof text),
                      "f:2:3: p: is small, at p");
  assert_int_equal(err.status, SIM_KEY);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(the_place_may_be_left_out),
      cmocka_unit_test(long_texts_are_cut_between_characters),
      cmocka_unit_test(long_texts_fill_their_room_but_for_the_end),
      cmocka_unit_test(the_text_is_cut_to_the_buffer),
      cmocka_unit_test(an_error_may_be_wrapped_in_itself),
  };
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  ROWS_ADD(tests, row, rows);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
