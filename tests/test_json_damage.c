/* Damaged documents: whatever is cut, changed, lost or doubled, the answer is
 * a sound tree or one error with a place. Run it under the sanitizers. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "base/arena.h"
#include "base/json.h"

/* Everything the grammar has, and comments. */
static const char sample[] =
    "// a case\n"
    "{ \"case\": \"A pin reset \\u00e9 \xE2\x82\xAC \\uD834\\uDD1E\\n\",\n"
    "  \"on\": true, \"off\": false, \"no\": null, /* here */\n"
    "  \"n\": [0, -1, 12.5, 1e9, -0.25E-3, 9007199254740992],\n"
    "  \"steps\": [\n"
    "    { \"power\": \"on\", \"x\": {} },\n"
    "    { \"reset\": \"pin\", \"hold\": \"20us\", \"l\": [] }\n"
    "  ] }\n";

#define SAMPLE_LENGTH (sizeof sample - 1)
#define SAMPLE_LINES  8

static bool is_before(const struct json *a, const struct json *b)
{
  return a->line < b->line || (a->line == b->line && a->column < b->column);
}

/* Places rise in pre-order, links and counts agree, texts are there.
 * Returns the last value inside. */
static const struct json *check_tree(const struct json *value)
{
  const struct json *last = value;
  uint32_t count = 0;
  bool text = value->type == JSON_STRING || value->type == JSON_NUMBER;
  assert_int_equal(text, value->text != NULL);
  for (const struct json *child = value->child; child; child = child->next) {
    assert_ptr_equal(child->parent, value);
    assert_int_equal(child->index, count++);
    assert_int_equal(child->key != NULL, value->type == JSON_OBJECT);
    assert_true(is_before(last, child));
    last = check_tree(child);
  }
  assert_int_equal(value->count, count);
  return last;
}

static void check_error(const struct sim_error *err, enum sim_status status)
{
  assert_int_equal(err->status, status);
  assert_true(status == SIM_SYNTAX || status == SIM_KEY ||
              status == SIM_LIMIT);
  assert_true(err->line >= 1 && err->line <= SAMPLE_LINES + 2);
  assert_true(err->column >= 1);
  assert_string_equal(err->file, "damaged.jsonc");
  assert_non_null(strstr(err->message, "; expected "));
}

/* Parse a copy of exactly that length. True if it is accepted. */
static bool survives(const char *text, size_t length, bool comments)
{
  struct arena arena;
  struct sim_error err;
  const struct json *root = NULL;
  char *exact = malloc(length > 0 ? length : 1);
  assert_non_null(exact);
  memcpy(exact, text, length);
  arena_init(&arena);
  enum sim_status status = json_parse(&arena, "damaged.jsonc", exact, length,
                                      comments, &root, &err);
  free(exact); /* the tree does not need it */
  if (status == SIM_OK) check_tree(root);
  if (status != SIM_OK) check_error(&err, status);
  arena_free(&arena);
  return status == SIM_OK;
}

static void the_sample_itself_is_accepted(void **state)
{
  (void)state;
  assert_true(survives(sample, SAMPLE_LENGTH, true));
  assert_false(survives(sample, SAMPLE_LENGTH, false));
}

static void no_shorter_part_of_it_is_accepted(void **state)
{
  (void)state;
  for (size_t length = 0; length < SAMPLE_LENGTH - 1; length++) {
    assert_false(survives(sample, length, true));
  }
  assert_true(survives(sample, SAMPLE_LENGTH - 1, true));
}

static void any_byte_may_become_any_other(void **state)
{
  (void)state;
  char text[SAMPLE_LENGTH];
  memcpy(text, sample, SAMPLE_LENGTH);
  for (size_t at = 0; at < SAMPLE_LENGTH; at++) {
    for (int byte = 0; byte < 256; byte++) {
      text[at] = (char)byte;
      survives(text, SAMPLE_LENGTH, true);
    }
    text[at] = sample[at];
  }
}

static void any_byte_may_be_lost(void **state)
{
  (void)state;
  char text[SAMPLE_LENGTH];
  for (size_t at = 0; at < SAMPLE_LENGTH; at++) {
    memcpy(text, sample, at);
    memcpy(text + at, sample + at + 1, SAMPLE_LENGTH - at - 1);
    survives(text, SAMPLE_LENGTH - 1, true);
  }
}

/* Every structural or otherwise telling byte, put in at every place. */
static void any_byte_may_be_put_in(void **state)
{
  (void)state;
  static const char put_in[] = "{}[]\",:\\/*-+.eEu0x \n\r\t\x00\x1F\x7F\x80"
                               "\xBF\xC3\xED\xF4\xFF";
  char text[SAMPLE_LENGTH + 1];
  for (size_t at = 0; at <= SAMPLE_LENGTH; at++) {
    for (size_t i = 0; i < sizeof put_in - 1; i++) {
      memcpy(text, sample, at);
      text[at] = put_in[i];
      memcpy(text + at + 1, sample + at, SAMPLE_LENGTH - at);
      survives(text, SAMPLE_LENGTH + 1, true);
    }
  }
}

/* Each line of the sample in place of each other. */
static void any_line_may_stand_elsewhere(void **state)
{
  (void)state;
  const char *lines[SAMPLE_LINES + 1] = {sample};
  for (size_t i = 1; i <= SAMPLE_LINES; i++) {
    lines[i] = strchr(lines[i - 1], '\n') + 1;
  }
  for (size_t from = 0; from < SAMPLE_LINES; from++) {
    for (size_t to = 0; to < SAMPLE_LINES; to++) {
      char text[2 * SAMPLE_LENGTH];
      size_t before = (size_t)(lines[to] - sample);
      size_t length = (size_t)(lines[from + 1] - lines[from]);
      size_t after = SAMPLE_LENGTH - (size_t)(lines[to + 1] - sample);
      memcpy(text, sample, before);
      memcpy(text + before, lines[from], length);
      memcpy(text + before + length, lines[to + 1], after);
      bool accepted = survives(text, before + length + after, true);
      if (from == to) assert_true(accepted);
    }
  }
}

int main(void)
{
  static const struct CMUnitTest tests[] = {
      cmocka_unit_test(the_sample_itself_is_accepted),
      cmocka_unit_test(no_shorter_part_of_it_is_accepted),
      cmocka_unit_test(any_byte_may_become_any_other),
      cmocka_unit_test(any_byte_may_be_lost),
      cmocka_unit_test(any_byte_may_be_put_in),
      cmocka_unit_test(any_line_may_stand_elsewhere),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
