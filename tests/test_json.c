/* What is JSON here, with comments and within limits; what is not is in
 * test_json_refused.c.
 *
 * The grammar is RFC 8259; a row that begins with a number names the section
 * it is taken from. "3629" is RFC 3629 (UTF-8). Section numbers and examples
 * are from memory. */
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/json.h"
#include "rows.h"

/* A literal that may contain zero bytes. */
#define T(literal) literal, sizeof(literal) - 1

/* Parse a copy of exactly `length` bytes, so that a sanitizer sees a read
 * beyond it. */
static enum sim_status parse(struct arena *arena, const char *text,
                             size_t length, bool comments,
                             const struct json **root, struct sim_error *err)
{
  char *exact = malloc(length > 0 ? length : 1);
  assert_non_null(exact);
  memcpy(exact, text, length);
  enum sim_status status =
      json_parse(arena, "case.json", exact, length, comments, root, err);
  free(exact);
  return status;
}

/* --- plain JSON ---------------------------------------------------------- */

static const struct accept_row {
  const char *name;
  const char *text;
  size_t length;
} accept_rows[] = {
    {"2: the four space characters may stand around every token",
     T(" \t\n\r{ \t\n\r\"a\" \t\n\r: \t\n\r[ \t\n\r1 \t\n\r, \t\n\r2 \t\n\r] "
       "\t\n\r} \t\n\r")},
    {"2: no space is needed", T("{\"a\":[1,2,{\"b\":null}]}")},
    {"2: a text may be a string", T("\"x\"")},
    {"2: a text may be a number", T("0")},
    {"2: a text may be a literal", T("null")},
    {"3: the three literal names", T("[true,false,null]")},
    {"4: an object may be empty", T("{}")},
    {"4: a name may be empty", T("{\"\":1}")},
    {"4: names that differ in case differ", T("{\"a\":1,\"A\":2}")},
    {"4: the same name may recur in another object",
     T("{\"a\":{\"a\":{\"a\":1}},\"b\":[{\"a\":1},{\"a\":2}]}")},
    {"5: a list may be empty", T("[]")},
    {"5: values of a list may differ in type", T("[1,\"1\",true,null,[],{}]")},
    {"6: zero and minus zero", T("[0,-0,0.0,-0.0,0e0]")},
    {"6: integer, fraction and exponent",
     T("[10,0.5,-10.25,1e5,1E5,1e+5,1E-5,123.456e789]")},
    {"6: an exponent may have leading zeros", T("1e005")},
    {"6: the grammar sets no limit to size", T("[1e999,-1e999,1e-999]")},
    {"6: nor to the number of digits",
     T("1234567890123456789012345678901234567890123456789012345678901234567890"
       "1234567890123456789012345678901234567890.1234567890")},
    {"7: every two-character escape", T("\"\\\"\\\\\\/\\b\\f\\n\\r\\t\"")},
    {"7: hexadecimal in either case", T("\"\\u00aF\\u00Fa\"")},
    {"7: a surrogate pair", T("\"\\uD834\\uDD1E\"")},
    {"7: the ends of the surrogate ranges",
     T("\"\\uD800\\uDC00\\uDBFF\\uDFFF\"")},
    {"7: the neighbours of the surrogates are characters",
     T("\"\\uD7FF\\uE000\"")},
    {"7: what need not be escaped", T("\"/ \x7F \xE2\x80\xA8 \xE2\x80\xA9\"")},
    {"7: names are strings with all escapes",
     T("{\"\\u0061\\n\\\"\\uD834\\uDD1E\":1}")},
    {"8.1: text is UTF-8", T("\"\xC3\xA9\xE2\x82\xAC\xF0\x9D\x84\x9E\"")},
    {"3629 7: A, not identical to, Alpha, full stop",
     T("\"\x41\xE2\x89\xA2\xCE\x91\x2E\"")},
    {"3629 7: three Korean syllables",
     T("\"\xED\x95\x9C\xEA\xB5\xAD\xEC\x96\xB4\"")},
    {"3629 3: the last character", T("\"\xF4\x8F\xBF\xBF\"")},
    {"13: the example object",
     T("{\n  \"Image\": {\n    \"Width\":  800,\n    \"Height\": 600,\n"
       "    \"Title\":  \"View from 15th Floor\",\n    \"Thumbnail\": {\n"
       "      \"Url\":    \"http://www.example.com/image/481989943\",\n"
       "      \"Height\": 125,\n      \"Width\":  100\n    },\n"
       "    \"Animated\" : false,\n    \"IDs\": [116, 943, 234, 38793]\n"
       "  }\n}\n")},
};

static void accept_row(void **state)
{
  const struct accept_row *r = *state;
  struct arena arena;
  struct sim_error err;
  const struct json *root = NULL;
  arena_init(&arena);
  /* Whether comments are allowed makes no difference to JSON. */
  for (int comments = 0; comments < 2; comments++) {
    assert_int_equal(parse(&arena, r->text, r->length, comments, &root, &err),
                     SIM_OK);
    assert_non_null(root);
  }
  arena_free(&arena);
}

/* --- comments, where allowed --------------------------------------------- */

static const struct accept_row comment_rows[] = {
    {"comments may stand around every token",
     T("/*a*/{/*b*/\"a\"/*c*/:/*d*/[/*e*/1/*f*/,/*g*/2/*h*/]/*i*/}/*j*/")},
    {"a line comment ends with its line", T("{ // x } \n \"a\": [1,2] }")},
    {"a line comment may be the last line", T("{\"a\":[1,2]} // end")},
    {"a line comment hides a block comment", T("// /*\n{\"a\":[1,2]}")},
    {"a block comment hides a line comment", T("/* // */{\"a\":[1,2]}")},
    {"a block comment may be empty", T("/**/{\"a\":[1,2]}/***/")},
    {"a block comment spans lines", T("/*\r\n\t*\n*/{\"a\":[1,2]}")},
    {"comments hold any language",
     T("// \xE4\xB8\xAD \xF0\x9F\x94\x8B\n{\"a\":[1,2]}")},
    {"quotes in comments begin nothing", T("{\"a\"/* \" */: // \"\n[1,2]}")},
};

static void comment_row(void **state)
{
  const struct accept_row *r = *state;
  struct arena arena;
  struct sim_error err;
  const struct json *root = NULL;
  arena_init(&arena);
  assert_int_equal(parse(&arena, r->text, r->length, true, &root, &err),
                   SIM_OK);
  const struct json *list = json_get(root, "a");
  int64_t second;
  assert_non_null(list);
  assert_int_equal(list->count, 2);
  assert_true(json_integer(list->child->next, &second));
  assert_int_equal(second, 2);
  arena_free(&arena);
}

static void slashes_in_strings_begin_no_comment(void **state)
{
  (void)state;
  struct arena arena;
  struct sim_error err;
  const struct json *root = NULL;
  arena_init(&arena);
  assert_int_equal(
      parse(&arena, T("\"http://x /* y */ \\\" // z\""), true, &root, &err),
      SIM_OK);
  assert_string_equal(root->text, "http://x /* y */ \" // z");
  arena_free(&arena);
}

/* --- limits -------------------------------------------------------------- */

/* `depth` brackets of one kind, and as many closing ones. */
static enum sim_status parse_nested(struct arena *arena, const char *open,
                                    const char *close, size_t depth,
                                    struct sim_error *err)
{
  char text[4096] = "";
  const struct json *root;
  for (size_t i = 0; i < depth; i++) {
    strcat(text, open);
  }
  if (open[0] == '{') strcat(text, "0");
  for (size_t i = 0; i < depth; i++) {
    strcat(text, close);
  }
  return parse(arena, text, strlen(text), false, &root, err);
}

static void nesting_of_64_is_accepted_and_65_is_not(void **state)
{
  (void)state;
  struct arena arena;
  struct sim_error err;
  arena_init(&arena);
  assert_int_equal(parse_nested(&arena, "[", "]", 64, &err), SIM_OK);
  assert_int_equal(parse_nested(&arena, "{\"a\":", "}", 64, &err), SIM_OK);
  assert_int_equal(parse_nested(&arena, "[", "]", 65, &err), SIM_LIMIT);
  assert_int_equal(err.line, 1);
  assert_int_equal(err.column, 65);
  assert_string_equal(err.message, "is one level too deep; expected at most "
                                   "64");
  assert_int_equal(parse_nested(&arena, "{\"a\":", "}", 65, &err), SIM_LIMIT);
  assert_int_equal(err.column, 64 * 5 + 1);
  arena_free(&arena);
}

static void nesting_side_by_side_is_not_deep(void **state)
{
  (void)state;
  struct arena arena;
  struct sim_error err;
  const struct json *root;
  char text[1024] = "[";
  arena_init(&arena);
  for (int i = 0; i < 100; i++) {
    strcat(text, "[{}],");
  }
  strcat(text, "0]");
  assert_int_equal(parse(&arena, text, strlen(text), false, &root, &err),
                   SIM_OK);
  assert_int_equal(root->count, 101);
  arena_free(&arena);
}

/* A list of `count` zeros, all of them on one line. */
static enum sim_status parse_zeros(size_t count, struct sim_error *err)
{
  struct arena arena;
  const struct json *root;
  size_t length = 2 * count + 1;
  char *text = malloc(length);
  assert_non_null(text);
  for (size_t i = 0; i < count; i++) {
    text[2 * i] = i == 0 ? '[' : ',';
    text[2 * i + 1] = '0';
  }
  text[2 * count] = ']';
  arena_init(&arena);
  enum sim_status status =
      json_parse(&arena, "case.json", text, length, false, &root, err);
  arena_free(&arena);
  free(text);
  return status;
}

static void more_values_than_the_limit_are_refused(void **state)
{
  (void)state;
  struct sim_error err;
  assert_int_equal(parse_zeros(JSON_MAX_VALUES - 1, &err), SIM_OK);
  assert_int_equal(parse_zeros(JSON_MAX_VALUES, &err), SIM_LIMIT);
  assert_int_equal(err.line, 1);
  assert_int_equal(err.column, 2 * JSON_MAX_VALUES);
}

/* A million keys, of which the last is the first again: found at once. */
static void duplicates_are_found_among_many_keys(void **state)
{
  (void)state;
  enum { KEYS = 500000, ROW = 16 };
  struct arena arena;
  struct sim_error err;
  const struct json *root;
  char *text = malloc((size_t)KEYS * ROW + 2);
  assert_non_null(text);
  size_t length = 0;
  for (int i = 0; i < KEYS; i++) {
    int key = i == KEYS - 1 ? 0 : i;
    length += (size_t)snprintf(text + length, ROW + 1, "%c\"%d\":0\n",
                               i == 0 ? '{' : ',', key);
  }
  text[length++] = '}';
  arena_init(&arena);
  assert_int_equal(
      json_parse(&arena, "case.json", text, length, false, &root, &err),
      SIM_KEY);
  assert_int_equal(err.line, KEYS);
  assert_int_equal(err.column, 2);
  assert_string_equal(err.path, "0");
  arena_free(&arena);
  free(text);
}

static void a_text_above_the_limit_is_refused(void **state)
{
  (void)state;
  struct arena arena;
  struct sim_error err;
  const struct json *root;
  size_t length = (size_t)JSON_MAX_BYTES + 1;
  char *text = malloc(length);
  assert_non_null(text);
  memset(text, ' ', length);
  text[0] = '1';
  arena_init(&arena);
  assert_int_equal(
      json_parse(&arena, "case.json", text, length - 1, false, &root, &err),
      SIM_OK);
  assert_int_equal(
      json_parse(&arena, "case.json", text, length, false, &root, &err),
      SIM_LIMIT);
  assert_int_equal(err.line, 1);
  arena_free(&arena);
  free(text);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(slashes_in_strings_begin_no_comment),
      cmocka_unit_test(nesting_of_64_is_accepted_and_65_is_not),
      cmocka_unit_test(nesting_side_by_side_is_not_deep),
      cmocka_unit_test(more_values_than_the_limit_are_refused),
      cmocka_unit_test(duplicates_are_found_among_many_keys),
      cmocka_unit_test(a_text_above_the_limit_is_refused),
  };
  struct CMUnitTest tests[ROWS_COUNT(accept_rows) + ROWS_COUNT(comment_rows)];
  size_t n = 0;
  n += ROWS_ADD(tests + n, accept_row, accept_rows);
  n += ROWS_ADD(tests + n, comment_row, comment_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
