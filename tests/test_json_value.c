/* What a parsed document says: decoded texts, exact integers, places, paths.
 *
 * Section numbers are of RFC 8259, from memory. */
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/json.h"
#include "rows.h"

static const struct json *parse(struct arena *arena, const char *text)
{
  const struct json *root = NULL;
  struct sim_error err;
  assert_int_equal(
      json_parse(arena, "case.jsonc", text, strlen(text), true, &root, &err),
      SIM_OK);
  return root;
}

/* --- strings ------------------------------------------------------------- */

static const struct text_row {
  const char *name;
  const char *source;
  const char *text;
} text_rows[] = {
    {"7: two-character escapes", "\"\\\"\\\\\\/\\b\\f\\n\\r\\t\"",
     "\"\\/\b\f\n\r\t"},
    {"7: \\u of one byte of UTF-8", "\"\\u0041\\u007f\"", "A\x7F"},
    {"7: \\u of two bytes", "\"\\u00e9\\u07FF\"", "\xC3\xA9\xDF\xBF"},
    {"7: \\u of three bytes", "\"\\u20AC\\uffff\"",
     "\xE2\x82\xAC\xEF\xBF\xBF"},
    {"7: the G clef as a pair is U+1D11E", "\"\\uD834\\uDD1E\"",
     "\xF0\x9D\x84\x9E"},
    {"7: the first and the last pair", "\"\\uD800\\uDC00\\uDBFF\\uDFFF\"",
     "\xF0\x90\x80\x80\xF4\x8F\xBF\xBF"},
    {"7: an escaped backslash begins no escape", "\"\\\\u0041\"", "\\u0041"},
    {"7: UTF-8 stands for itself", "\"\xE6\x97\xA5\"", "\xE6\x97\xA5"},
    {"7: an empty string", "\"\"", ""},
    {"a number is its source text", "-0.10E+05", "-0.10E+05"},
    {"a long number is whole",
     "0.1234567890123456789012345678901234567890123456789012345678901234567",
     "0.1234567890123456789012345678901234567890123456789012345678901234567"},
};

static void text_row(void **state)
{
  const struct text_row *r = *state;
  struct arena arena;
  arena_init(&arena);
  const struct json *root = parse(&arena, r->source);
  assert_string_equal(root->text, r->text);
  arena_free(&arena);
}

static void keys_are_decoded(void **state)
{
  (void)state;
  struct arena arena;
  arena_init(&arena);
  const struct json *root =
      parse(&arena, "{\"\\u0061\\n\": 1, \"A\": 2, \"a\": 3}");
  assert_ptr_equal(json_get(root, "a\n"), root->child);
  assert_ptr_equal(json_get(root, "A"), root->child->next);
  assert_ptr_equal(json_get(root, "a"), root->child->next->next);
  assert_null(json_get(root, "b"));
  assert_null(json_get(root, ""));
  arena_free(&arena);
}

/* --- integers ------------------------------------------------------------ */

/* 6: integers within 2^53 in magnitude are those on which implementations
 * agree exactly. 2^53 = 9007199254740992. */
static const struct integer_row {
  const char *name;
  const char *source;
  bool ok;
  int64_t value;
} integer_rows[] = {
    {"zero", "0", true, 0},
    {"minus zero is zero", "-0", true, 0},
    {"a positive integer", "38793", true, 38793},
    {"a negative integer", "-17", true, -17},
    {"one below 2^53", "9007199254740991", true, 9007199254740991},
    {"2^53", "9007199254740992", true, 9007199254740992},
    {"one above 2^53 is refused", "9007199254740993", false, 0},
    {"minus 2^53", "-9007199254740992", true, -9007199254740992},
    {"one below minus 2^53 is refused", "-9007199254740993", false, 0},
    {"2^63 is refused", "9223372036854775808", false, 0},
    {"2^64 + 1 does not wrap", "18446744073709551617", false, 0},
    {"a hundred digits do not wrap",
     "10000000000000000000000000000000000000000000000000000000000000000000000"
     "00000000000000000000000000000",
     false, 0},
    {"a fraction is no integer", "1.5", false, 0},
    {"not even a whole one", "1.0", false, 0},
    {"an exponent is no integer", "1e3", false, 0},
    {"a string of digits is no integer", "\"12\"", false, 0},
    {"a truth value is no integer", "true", false, 0},
    {"null is no integer", "null", false, 0},
    {"a list is no integer", "[1]", false, 0},
};

static void integer_row(void **state)
{
  const struct integer_row *r = *state;
  struct arena arena;
  int64_t value = -99;
  arena_init(&arena);
  const struct json *root = parse(&arena, r->source);
  assert_int_equal(json_integer(root, &value), r->ok);
  assert_true(value == (r->ok ? r->value : -99));
  arena_free(&arena);
}

/* --- the tree ------------------------------------------------------------ */

static const char document[] = "// a case\n"
                               "{\n"
                               "  \"case\": \"x\", /* two */ \"list\": [1,\n"
                               "    true, {}, -2.5e3],\n"
                               "  \"\xC3\xA9t\xC3\xA9\": null, \"off\": "
                               "false\n"
                               "}\n";

/* The values of the document in pre-order. */
static const struct value_row {
  enum json_type type;
  const char *key;
  uint32_t index, count, line, column, key_line, key_column;
  const char *path, *type_text;
} value_rows[] = {
    {JSON_OBJECT, NULL, 0, 4, 2, 1, 0, 0, "", "an object"},
    {JSON_STRING, "case", 0, 0, 3, 11, 3, 3, "case", "a string"},
    {JSON_LIST, "list", 1, 4, 3, 34, 3, 26, "list", "a list"},
    {JSON_NUMBER, NULL, 0, 0, 3, 35, 0, 0, "list[0]", "a number"},
    {JSON_BOOLEAN, NULL, 1, 0, 4, 5, 0, 0, "list[1]", "true"},
    {JSON_OBJECT, NULL, 2, 0, 4, 11, 0, 0, "list[2]", "an object"},
    {JSON_NUMBER, NULL, 3, 0, 4, 15, 0, 0, "list[3]", "a number"},
    {JSON_NULL, "\xC3\xA9t\xC3\xA9", 2, 0, 5, 10, 5, 3,
     "[\"\xC3\xA9t\xC3\xA9\"]", "null"},
    {JSON_BOOLEAN, "off", 3, 0, 5, 23, 5, 16, "off", "false"},
};

static void check_value(const struct json *value, const struct value_row *r)
{
  char path[64];
  assert_int_equal(value->type, r->type);
  if (r->key) assert_string_equal(value->key, r->key);
  if (!r->key) assert_null(value->key);
  assert_int_equal(value->index, r->index);
  assert_int_equal(value->count, r->count);
  assert_int_equal(value->line, r->line);
  assert_int_equal(value->column, r->column);
  assert_int_equal(value->key_line, r->key_line);
  assert_int_equal(value->key_column, r->key_column);
  assert_string_equal(value->file, "case.jsonc");
  assert_string_equal(json_path(value, path, sizeof path), r->path);
  assert_string_equal(json_type_text(value), r->type_text);
}

/* Check a value and all inside it; returns how many were checked. */
static size_t check_from(const struct json *value, size_t at)
{
  assert_true(at < ROWS_COUNT(value_rows));
  check_value(value, &value_rows[at++]);
  for (const struct json *child = value->child; child; child = child->next) {
    assert_ptr_equal(child->parent, value);
    at = check_from(child, at);
  }
  return at;
}

static void every_value_has_its_place_path_and_type(void **state)
{
  (void)state;
  struct arena arena;
  arena_init(&arena);
  const struct json *root = parse(&arena, document);
  assert_null(root->parent);
  assert_int_equal(check_from(root, 0), ROWS_COUNT(value_rows));
  arena_free(&arena);
}

static const struct path_row {
  const char *name;
  const char *key; /* as JSON */
  const char *path;
} path_rows[] = {
    {"letters, digits, '_' and '-' are plain", "aZ09_-", "aZ09_-"},
    {"a point is quoted", "option.start", "[\"option.start\"]"},
    {"a bracket is quoted", "a[0]", "[\"a[0]\"]"},
    {"a space is quoted", "a b", "[\"a b\"]"},
    {"a quote is escaped", "a\\\"b", "[\"a\\\"b\"]"},
    {"a backslash is escaped", "a\\\\b", "[\"a\\\\b\"]"},
    {"a control character is escaped", "a\\u001B[2J", "[\"a\\u001b[2J\"]"},
    {"the last control character is escaped", "\\u001F", "[\"\\u001f\"]"},
    {"a space is none of them", " ", "[\" \"]"},
    {"an empty key is seen", "", "[\"\"]"},
};

static void path_row(void **state)
{
  const struct path_row *r = *state;
  struct arena arena;
  char source[64], path[64];
  arena_init(&arena);
  snprintf(source, sizeof source, "{\"%s\": 1}", r->key);
  const struct json *root = parse(&arena, source);
  assert_string_equal(json_path(root->child, path, sizeof path), r->path);
  arena_free(&arena);
}

static void a_path_is_cut_between_its_pieces(void **state)
{
  (void)state;
  struct arena arena;
  char path[16];
  arena_init(&arena);
  const struct json *root =
      parse(&arena, "{\"steps\": [{\"a\\u00e9\\u00e9\": [5]}]}");
  const struct json *deep = root->child->child->child->child;
  assert_string_equal(json_path(deep, path, 16),
                      "steps[0][\"a\xC3\xA9\xC3\xA9");
  assert_string_equal(json_path(deep, path, 15), "steps[0][\"a\xC3\xA9");
  assert_string_equal(json_path(deep, path, 14), "steps[0][\"a\xC3\xA9");
  assert_string_equal(json_path(deep, path, 13), "steps[0][\"a");
  assert_string_equal(json_path(deep, path, 5), "");
  assert_string_equal(json_path(deep, path, 1), "");
  arena_free(&arena);
}

static void errors_stand_at_the_value_or_its_key(void **state)
{
  (void)state;
  struct arena arena;
  struct sim_error err;
  char text[256];
  arena_init(&arena);
  const struct json *list = json_get(parse(&arena, document), "list");
  assert_int_equal(json_fail(list->child, SIM_TYPE, &err,
                             "is %s; expected a time such as \"%s\"",
                             json_type_text(list->child), "20us"),
                   SIM_TYPE);
  assert_string_equal(sim_error_text(&err, text, sizeof text),
                      "case.jsonc:3:35: list[0]: is a number; expected a "
                      "time such as \"20us\"");
  assert_int_equal(json_fail_key(list, SIM_KEY, &err, "is unknown"), SIM_KEY);
  assert_string_equal(sim_error_text(&err, text, sizeof text),
                      "case.jsonc:3:26: list: is unknown");
  arena_free(&arena);
}

/* --- files --------------------------------------------------------------- */

/* A file with a comment in it; its name decides. */
static const struct file_row {
  const char *name;
  const char *ending;
  enum sim_status status;
} file_rows[] = {
    {"comments are allowed in .jsonc", ".jsonc", SIM_OK},
    {"comments are refused in .json", ".json", SIM_SYNTAX},
    {"the ending is case sensitive", ".JSONC", SIM_SYNTAX},
    {"only the ending counts", ".jsonc.txt", SIM_SYNTAX},
};

static void file_row(void **state)
{
  const struct file_row *r = *state;
  struct arena arena;
  struct sim_error err;
  const struct json *root = NULL;
  char path[64];
  snprintf(path, sizeof path, "/tmp/test_json_XXXXXX%s", r->ending);
  int handle = mkstemps(path, (int)strlen(r->ending));
  assert_true(handle >= 0);
  assert_int_equal(write(handle, "[1] // one\n", 11), 11);
  close(handle);
  arena_init(&arena);
  assert_int_equal(json_read(&arena, path, &root, &err), r->status);
  if (r->status == SIM_OK) assert_ptr_equal(root->file, path);
  if (r->status != SIM_OK) assert_string_equal(err.file, path);
  arena_free(&arena);
  unlink(path);
}

static void a_missing_file_is_told(void **state)
{
  (void)state;
  struct arena arena;
  struct sim_error err;
  const struct json *root = NULL;
  char text[256];
  arena_init(&arena);
  assert_int_equal(json_read(&arena, "no/such.json", &root, &err), SIM_FILE);
  assert_string_equal(sim_error_text(&err, text, sizeof text),
                      "no/such.json: does not exist; expected a readable "
                      "file");
  arena_free(&arena);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(keys_are_decoded),
      cmocka_unit_test(every_value_has_its_place_path_and_type),
      cmocka_unit_test(a_path_is_cut_between_its_pieces),
      cmocka_unit_test(errors_stand_at_the_value_or_its_key),
      cmocka_unit_test(a_missing_file_is_told),
  };
  struct CMUnitTest tests[ROWS_COUNT(text_rows) + ROWS_COUNT(integer_rows) +
                          ROWS_COUNT(path_rows) + ROWS_COUNT(file_rows)];
  size_t n = 0;
  n += ROWS_ADD(tests + n, text_row, text_rows);
  n += ROWS_ADD(tests + n, integer_row, integer_rows);
  n += ROWS_ADD(tests + n, path_row, path_rows);
  n += ROWS_ADD(tests + n, file_row, file_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
