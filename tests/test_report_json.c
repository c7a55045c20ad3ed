/* The JSON report, against its schema and two readers of JSON that are not
 * ours: Python's json module, and the jsonschema package (JSON Schema draft
 * 2020-12). Where Python or that package is missing these tests are skipped;
 * our own reader then still reads every document. */
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/json.h"
#include "describe/names.h"
#include "report/json.h"
#include "result_fixture.h"
#include "rows.h"

#define PYTHON "/usr/bin/python3"
#define SCHEMA FIRSTFETCH_ROOT "/traces/result.schema.json"

struct some {
  const struct result *const *results;
  uint32_t count;
};

static void write_some(FILE *to, const void *context)
{
  const struct some *some = context;
  struct report_json document;
  report_json_begin(&document);
  for (uint32_t i = 0; i < some->count; i++) {
    report_json_add(&document, some->results[i]);
  }
  assert_true(report_json_write(&document, to));
  report_json_free(&document);
}

static char *json_of(const struct result *const *results, uint32_t count)
{
  const struct some some = {results, count};
  return fixture_capture(write_some, &some);
}

static const struct json *read_back(struct arena *arena, const char *text)
{
  const struct json *root;
  struct sim_error err;
  enum sim_status status =
      json_parse(arena, "result", text, strlen(text), false, &root, &err);
  if (status != SIM_OK) fail_msg("%s\n%s", err.message, text);
  return root;
}

/* --- Python -------------------------------------------------------------- */

/* Run a program that reads `text`, with the schema as its argument. */
static int python(const char *program, const char *text)
{
  char command[2000];
  snprintf(command, sizeof command, "%s -c '%s' %s", PYTHON, program, SCHEMA);
  FILE *to = popen(command, "w");
  assert_non_null(to);
  fputs(text, to);
  return pclose(to);
}

static void skip_without_python(void)
{
  if (system(PYTHON " -c 'import jsonschema' 2>/dev/null") != 0) skip();
}

static const char validate[] =
    "import sys, json, jsonschema\n"
    "schema = json.load(open(sys.argv[1]))\n"
    "jsonschema.Draft202012Validator.check_schema(schema)\n"
    "jsonschema.Draft202012Validator(schema).validate(json.load(sys.stdin))\n";

static const char refuse[] =
    "import sys, json, jsonschema\n"
    "schema = json.load(open(sys.argv[1]))\n"
    "validator = jsonschema.Draft202012Validator(schema)\n"
    "sys.exit(validator.is_valid(json.load(sys.stdin)))\n";

static void assert_valid(const struct result *const *results, uint32_t count)
{
  skip_without_python();
  char *text = json_of(results, count);
  assert_int_equal(python(validate, text), 0);
  free(text);
}

static void one_run_is_valid(void **state)
{
  (void)state;
  const struct result *results[] = {&fixture_latched};
  assert_valid(results, 1);
}

static void several_runs_are_valid(void **state)
{
  (void)state;
  const struct result *results[] = {&fixture_latched, &fixture_checked};
  assert_valid(results, 2);
}

static void no_run_is_valid(void **state)
{
  (void)state;
  const struct result *results[] = {NULL};
  assert_valid(results, 0);
}

/* Every value that a start can have of its own. */
static void rare_starts_are_valid(void **state)
{
  (void)state;
  struct start starts[OUTCOME_COUNT_ + 1];
  memset(starts, 0, sizeof starts);
  for (uint32_t i = 0; i <= OUTCOME_COUNT_; i++) {
    starts[i].number = i + 1;
    starts[i].region = "rom";
    starts[i].outcome = (enum outcome)(i % OUTCOME_COUNT_);
    starts[i].cause = (enum cause)(i % CAUSE_COUNT_);
  }
  starts[0].how = START_HANDOVER;
  starts[1].landing = (struct landing){true, 5, "flash", 0x04000101, NULL};
  starts[2].pin_count = 40;
  for (size_t i = 0; i < ROWS_COUNT(starts[2].pins); i++) {
    starts[2].pins[i].pin = "P1";
  }
  starts[3].instructions = UINT64_MAX;
  starts[4].ended = INT64_MAX;
  starts[OUTCOME_RESET].doing = OUTCOME_WAITING;
  const struct result result = {.title = "",
                                .part = "p",
                                .starts = starts,
                                .start_count = OUTCOME_COUNT_ + 1,
                                .stopped = "the trace is full",
                                .contention = true};
  const struct result *results[] = {&result};
  assert_valid(results, 1);
}

static void the_schema_refuses_what_is_not_ours(void **state)
{
  (void)state;
  skip_without_python();
  const struct result *results[] = {&fixture_latched};
  char *text = json_of(results, 1);
  memcpy(strstr(text, "\"verdict\""), "\"Verdict\"", 9);
  assert_int_equal(python(refuse, text), 0);
  free(text);
}

static void hostile_texts_are_read_as_they_were(void **state)
{
  (void)state;
  skip_without_python();
  const struct result result = {.title = "\x1b[31m\"\\\n\x7f\xc3\xa4\xff",
                                .part = "p"};
  const struct result *results[] = {&result};
  char *text = json_of(results, 1);
  assert_int_equal(python("import sys, json\n"
                          "got = json.load(sys.stdin)[\"case\"]\n"
                          "want = \"\\x1b[31m\\\"\\\\\\n\\x7f\\xe4\\ufffd\"\n"
                          "sys.exit(got != want)\n",
                          text),
                   0);
  free(text);
}

/* --- our own reader ------------------------------------------------------ */

static const struct json *member(const struct json *of, const char *key)
{
  const struct json *value = json_get(of, key);
  assert_non_null(value);
  return value;
}

static void one_run_is_an_object_of_its_own(void **state)
{
  (void)state;
  const struct result *results[] = {&fixture_latched};
  char *text = json_of(results, 1);
  struct arena arena;
  arena_init(&arena);
  const struct json *root = read_back(&arena, text);
  assert_string_equal(member(root, "case")->text, fixture_latched.title);
  assert_string_equal(member(root, "file")->text, "still-boots-rom.jsonc");
  assert_string_equal(member(root, "verdict")->text, "failed");
  assert_int_equal(member(root, "starts")->count, 4);
  const struct json *first = member(root, "starts")->child;
  assert_string_equal(member(first, "at_ps")->text, "612500000");
  assert_string_equal(member(first, "pc")->text, "0x06000140");
  assert_string_equal(member(first, "rom_instructions")->text, "4210");
  assert_int_equal(member(first, "landing")->type, JSON_NULL);
  arena_free(&arena);
  free(text);
}

static void several_runs_are_what_each_is_alone(void **state)
{
  (void)state;
  const struct result *results[] = {&fixture_latched, &fixture_checked};
  char *text = json_of(results, 2);
  struct arena arena;
  arena_init(&arena);
  const struct json *runs = member(read_back(&arena, text), "runs");
  assert_int_equal(runs->count, 2);
  assert_string_equal(member(runs->child, "part")->text, "latched");
  assert_string_equal(member(runs->child->next, "part")->text, "checked");
  assert_string_equal(member(runs->child, "firstfetch")->text, "1");
  arena_free(&arena);
  free(text);
}

static void no_path_of_the_host_is_in_it(void **state)
{
  (void)state;
  const struct result *results[] = {&fixture_latched};
  char *text = json_of(results, 1);
  assert_null(strstr(text, "somewhere"));
  free(text);
}

/* RFC 8259 section 6: numbers beyond 2^53 are not interoperable. */
static void a_count_beyond_2_to_the_53_is_a_string(void **state)
{
  (void)state;
  struct start start = {.region = "rom",
                        .instructions = 9007199254740992,
                        .rom_instructions = 9007199254740993};
  const struct result result = {
      .title = "t", .part = "p", .starts = &start, .start_count = 1};
  const struct result *results[] = {&result};
  char *text = json_of(results, 1);
  assert_contains(text, "\"instructions\": 9007199254740992,");
  assert_contains(text, "\"rom_instructions\": \"9007199254740993\",");
  free(text);
}

/* --- the schema knows the words ------------------------------------------ */

static const struct json *enumeration(const struct json *root,
                                      const char *object, const char *key)
{
  const struct json *of = member(member(root, "$defs"), object);
  return member(member(member(of, "properties"), key), "enum");
}

static void assert_words(const struct json *list, const char *const *words)
{
  const struct json *entry = list->child;
  for (size_t i = 0; words[i]; i++, entry = entry->next) {
    assert_non_null(entry);
    assert_string_equal(entry->text, words[i]);
  }
  assert_true(!entry || entry->type == JSON_NULL);
}

static void the_schema_lists_every_word(void **state)
{
  (void)state;
  struct arena arena;
  arena_init(&arena);
  const struct json *root;
  struct sim_error err;
  assert_int_equal(json_read(&arena, SCHEMA, &root, &err), SIM_OK);
  const char *findings[FINDING_COUNT_ + 1] = {NULL};
  for (unsigned i = 0; i < FINDING_COUNT_; i++) {
    findings[i] = finding_word((enum finding_kind)i);
  }
  assert_words(enumeration(root, "start", "cause"), cause_words);
  assert_words(enumeration(root, "start", "outcome"), outcome_words);
  assert_words(enumeration(root, "start", "latch"), latch_words);
  assert_words(enumeration(root, "finding", "kind"), findings);
  arena_free(&arena);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(one_run_is_valid),
      cmocka_unit_test(several_runs_are_valid),
      cmocka_unit_test(no_run_is_valid),
      cmocka_unit_test(rare_starts_are_valid),
      cmocka_unit_test(the_schema_refuses_what_is_not_ours),
      cmocka_unit_test(hostile_texts_are_read_as_they_were),
      cmocka_unit_test(one_run_is_an_object_of_its_own),
      cmocka_unit_test(several_runs_are_what_each_is_alone),
      cmocka_unit_test(no_path_of_the_host_is_in_it),
      cmocka_unit_test(a_count_beyond_2_to_the_53_is_a_string),
      cmocka_unit_test(the_schema_lists_every_word),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
