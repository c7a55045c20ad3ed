/* What is written: its layout, and that reading it gives back what was put
 * in. */
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/json.h"
#include "rows.h"

/* The text of a tree; free it. Frees the tree. */
static char *written(struct json_out *tree)
{
  char *text = NULL;
  size_t length = 0;
  FILE *to = open_memstream(&text, &length);
  assert_non_null(to);
  assert_true(json_write(tree, to));
  assert_int_equal(fclose(to), 0);
  assert_int_equal(strlen(text), length);
  json_out_free(tree);
  return text;
}

static void expect_written(struct json_out *tree, const char *expected)
{
  char *text = written(tree);
  assert_string_equal(text, expected);
  free(text);
}

static void
layout_is_two_spaces_a_level_and_keys_keep_their_order(void **state)
{
  (void)state;
  struct json_out *root = json_out_object();
  json_add_integer(root, "firstfetch", 1);
  json_add_text(root, "case", "x");
  json_add_object(root, "none");
  struct json_out *list = json_add_list(root, "starts");
  struct json_out *start = json_add_object(list, NULL);
  json_add_format(start, "pc", "0x%08X", 0x06000140u);
  json_add_boolean(start, "stale", false);
  json_add_null(start, "landing");
  json_add_boolean(list, NULL, true);
  json_add_list(list, NULL);
  json_add_text(root, "a", "");
  expect_written(root, "{\n"
                       "  \"firstfetch\": 1,\n"
                       "  \"case\": \"x\",\n"
                       "  \"none\": {},\n"
                       "  \"starts\": [\n"
                       "    {\n"
                       "      \"pc\": \"0x06000140\",\n"
                       "      \"stale\": false,\n"
                       "      \"landing\": null\n"
                       "    },\n"
                       "    true,\n"
                       "    []\n"
                       "  ],\n"
                       "  \"a\": \"\"\n"
                       "}\n");
}

static void an_empty_root_has_its_line(void **state)
{
  (void)state;
  expect_written(json_out_object(), "{}\n");
  expect_written(json_out_list(), "[]\n");
}

/* 2^53 and its neighbour differ by one only if no double stood between
 * them and the text. */
static void integers_are_exact(void **state)
{
  (void)state;
  struct json_out *list = json_out_list();
  json_add_integer(list, NULL, 0);
  json_add_integer(list, NULL, -1);
  json_add_integer(list, NULL, 1000000000000000);
  json_add_integer(list, NULL, 9007199254740991);
  json_add_integer(list, NULL, 9007199254740992);
  json_add_integer(list, NULL, -9007199254740992);
  expect_written(list, "[\n  0,\n  -1,\n  1000000000000000,\n"
                       "  9007199254740991,\n  9007199254740992,\n"
                       "  -9007199254740992\n]\n");
}

/* RFC 8259 section 7: quote, backslash and U+0000 to U+001F must be escaped;
 * DEL is escaped as well, for terminals. */
static const struct text_row {
  const char *name;
  const char *text;
  const char *written;
} text_rows[] = {
    {"quote and backslash are escaped", "a\"b\\c", "\"a\\\"b\\\\c\""},
    {"a slash is not", "a/b", "\"a/b\""},
    {"short escapes are used", "\b\f\n\r\t", "\"\\b\\f\\n\\r\\t\""},
    {"other control characters are \\u", "\x01\x1B\x1F\x7F",
     "\"\\u0001\\u001b\\u001f\\u007f\""},
    {"UTF-8 stays as it is", "\xC3\xA9\xF0\x9D\x84\x9E",
     "\"\xC3\xA9\xF0\x9D\x84\x9E\""},
    {"a byte that is no UTF-8 becomes U+FFFD",
     "a\xE9"
     "b",
     "\"a\xEF\xBF\xBD"
     "b\""},
    {"so does every byte of a cut character", "\xE2\x82",
     "\"\xEF\xBF\xBD\xEF\xBF\xBD\""},
};

static void text_row(void **state)
{
  const struct text_row *r = *state;
  char expected[128];
  struct json_out *list = json_out_list();
  json_add_text(list, NULL, r->text);
  snprintf(expected, sizeof expected, "[\n  %s\n]\n", r->written);
  expect_written(list, expected);

  struct json_out *object = json_out_object();
  json_add_null(object, r->text);
  snprintf(expected, sizeof expected, "{\n  %s: null\n}\n", r->written);
  expect_written(object, expected);
}

static void formatted_text_may_be_long(void **state)
{
  (void)state;
  char expected[3016];
  struct json_out *list = json_out_list();
  json_add_format(list, NULL, "%03000d", 7);
  snprintf(expected, sizeof expected, "[\n  \"%03000d\"\n]\n", 7);
  expect_written(list, expected);
}

/* --- reading it back ----------------------------------------------------- */

static const struct json *reread(struct arena *arena, struct json_out *tree)
{
  const struct json *root = NULL;
  struct sim_error err;
  char *text = written(tree);
  assert_int_equal(json_parse(arena, "written.json", text, strlen(text), false,
                              &root, &err),
                   SIM_OK);
  free(text);
  return root;
}

static void reading_gives_back_what_was_written(void **state)
{
  (void)state;
  struct arena arena;
  int64_t value = 0;
  struct json_out *tree = json_out_object();
  struct json_out *list = json_add_list(tree, "list");
  json_add_integer(list, NULL, 9007199254740992);
  json_add_integer(list, NULL, -9007199254740991);
  json_add_boolean(list, NULL, true);
  json_add_null(list, NULL);
  struct json_out *inner = json_add_object(list, NULL);
  json_add_text(inner, "\x1B \"key\"", "line\nline\\");

  arena_init(&arena);
  const struct json *root = reread(&arena, tree);
  const struct json *at = json_get(root, "list")->child;
  assert_true(json_integer(at, &value) && value == 9007199254740992);
  at = at->next;
  assert_true(json_integer(at, &value) && value == -9007199254740991);
  at = at->next;
  assert_true(at->type == JSON_BOOLEAN && at->truth);
  at = at->next;
  assert_int_equal(at->type, JSON_NULL);
  at = at->next;
  assert_string_equal(json_get(at, "\x1B \"key\"")->text, "line\nline\\");
  assert_null(at->next);
  arena_free(&arena);
}

/* RFC 3629 section 3, the table of code ranges; from memory. */
static size_t encode(uint32_t code, char *to)
{
  if (code < 0x80) {
    to[0] = (char)code;
    return 1;
  }
  if (code < 0x800) {
    to[0] = (char)(0xC0 | code >> 6);
    to[1] = (char)(0x80 | (code & 0x3F));
    return 2;
  }
  if (code < 0x10000) {
    to[0] = (char)(0xE0 | code >> 12);
    to[1] = (char)(0x80 | (code >> 6 & 0x3F));
    to[2] = (char)(0x80 | (code & 0x3F));
    return 3;
  }
  to[0] = (char)(0xF0 | code >> 18);
  to[1] = (char)(0x80 | (code >> 12 & 0x3F));
  to[2] = (char)(0x80 | (code >> 6 & 0x3F));
  to[3] = (char)(0x80 | (code & 0x3F));
  return 4;
}

static void every_character_survives(void **state)
{
  (void)state;
  enum { CHUNK = 0x800 };
  struct arena arena;
  arena_init(&arena);
  for (uint32_t from = 0; from < 0x110000; from += CHUNK) {
    if (from >= 0xD800 && from < 0xE000) continue; /* surrogates */
    char text[CHUNK * 4 + 1];
    size_t length = 0;
    for (uint32_t code = from; code < from + CHUNK; code++) {
      if (code != 0) length += encode(code, text + length);
    }
    text[length] = '\0';
    struct json_out *tree = json_out_list();
    json_add_text(tree, NULL, text);
    assert_string_equal(reread(&arena, tree)->child->text, text);
  }
  arena_free(&arena);
}

/* Linux's device on which every write finds no space left. */
static void a_stream_that_fails_is_told(void **state)
{
  (void)state;
  FILE *to = fopen("/dev/full", "w");
  assert_non_null(to);
  struct json_out *tree = json_out_object();
  assert_false(json_write(tree, to));
  json_out_free(tree);
  fclose(to);
}

/* --- misuse is our bug: it stops the program ----------------------------- */

static void add_beyond_exact(void)
{
  json_add_integer(json_out_list(), NULL, 9007199254740993);
}

static void add_below_exact(void)
{
  json_add_integer(json_out_list(), NULL, -9007199254740993);
}

static void add_key_twice(void)
{
  struct json_out *object = json_out_object();
  json_add_null(object, "a");
  json_add_null(object, "a");
}

static void add_key_to_list(void)
{
  json_add_null(json_out_list(), "a");
}

static void add_no_key_to_object(void)
{
  json_add_null(json_out_object(), NULL);
}

static const struct misuse_row misuses[] = {
    {"an integer above 2^53 stops the program", add_beyond_exact},
    {"an integer below -2^53 stops the program", add_below_exact},
    {"a key added twice stops the program", add_key_twice},
    {"a key in a list stops the program", add_key_to_list},
    {"no key in an object stops the program", add_no_key_to_object},
};

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(layout_is_two_spaces_a_level_and_keys_keep_their_order),
      cmocka_unit_test(an_empty_root_has_its_line),
      cmocka_unit_test(integers_are_exact),
      cmocka_unit_test(formatted_text_may_be_long),
      cmocka_unit_test(reading_gives_back_what_was_written),
      cmocka_unit_test(every_character_survives),
      cmocka_unit_test(a_stream_that_fails_is_told),
  };
  struct CMUnitTest tests[ROWS_COUNT(text_rows) + ROWS_COUNT(misuses)];
  size_t n = ROWS_ADD(tests, text_row, text_rows);
  n += ROWS_ADD(tests + n, misuse_row, misuses);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("singles", singles, NULL, NULL);
  return failed + cmocka_run_group_tests_name("rows", tests, NULL, NULL);
}
