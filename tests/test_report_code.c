/* What reports say of measures, of files and lines, of faults and of code;
 * and which option of the program asks for code.
 *
 * The words are ours; every number is chosen here. The schema is held against
 * such results by validate_results.sh.
 */
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/json.h"
#include "program.h"
#include "report/json.h"
#include "report/side_by_side.h"
#include "report/text.h"
#include "result_fixture.h"

/* --- a hand-made result -------------------------------------------------- */

/* movs r1, #3; b . -- ARM DDI 0419E A6.7.39 and A6.7.10 */
#define CODE                                                                  \
  {                                                                           \
    .at = 0x04000100, .from = 0x04000100, .count = 4, .bytes = {              \
      0x03,                                                                   \
      0x21,                                                                   \
      0xfe,                                                                   \
      0xe7                                                                    \
    }                                                                         \
  }

static struct start starts[] = {
    {.number = 1,
     .region = "rom",
     .rule = "otherwise",
     .sp = 0x20001000,
     .pc = 0x04000100,
     .symbol = "entry",
     .source = "entry.S:7",
     .code = CODE,
     .outcome = OUTCOME_RESET,
     .doing = OUTCOME_WAITING,
     .waits_on = 0x44020004,
     .waits_pc = 0x04000102,
     .waits_source = "wait.c:12",
     .stop_pc = 0x04000104,
     .stop_source = "wait.c:13",
     .stop_code = {.at = 0x04000102,
                   .from = 0x04000100,
                   .count = 4,
                   .bytes = {0x03, 0x21, 0xfe, 0xe7}},
     .fault = {"HardFault", 5000000, 0x04000200, "bad+0x2", "bad.c:3"},
     .landing = {true, 4000000, "flash", 0x04000100, "start"},
     .landing_source = "start.S:19",
     .landing_code = CODE},
};

static struct measured measures[] = {
    {"reset to main", 3, 1, {1000000, 3500000, 2000000}, {8, 28, 16}},
    {"once", 1, 0, {2000000, 2000000, 2000000}, {16, 16, 16}},
    {"never", 0, 2, {0, 0, 0}, {0, 0, 0}},
};

static const struct result result = {.title = "Places",
                                     .part = "p",
                                     .starts = starts,
                                     .start_count = 1,
                                     .measures = measures,
                                     .measure_count = 3};

static void write_plain(FILE *to, const void *context)
{
  report_text(to, context, &(struct text_style){.words = TEXT_EXPERT});
}

static void write_with_code(FILE *to, const void *context)
{
  report_text(to, context,
              &(struct text_style){.full = true, .words = TEXT_EXPERT});
}

static const char *const lines[] = {
    "\n  first fetch  0x04000100 entry (entry.S:7); stack pointer "
    "0x20001000\n",
    "\n  landing      left the boot ROM for flash, 0x04000100 start "
    "(start.S:19), at\n"
    "               4 us\n",
    "\n  fault        HardFault at 0x04000200 bad+0x2 (bad.c:3), at 5 us\n",
    "polls 0x44020004 from 0x04000102\n               (wait.c:12)\n",
    "\nmeasure: reset to main, 3 times; begun and not ended 1 more time\n"
    "  time         1 us to 3.5 us; the last 2 us\n"
    "  cycles       8 cycles to 28 cycles; the last 16 cycles\n",
    "\nmeasure: once, 1 time\n"
    "  time         2 us\n"
    "  cycles       16 cycles\n",
    "\nmeasure: never, 0 times; begun and not ended 2 more times\n\n",
};

static void the_long_text_tells_them(void **state)
{
  (void)state;
  char *text = fixture_capture(write_with_code, &result);
  for (size_t i = 0; i < ROWS_COUNT(lines); i++) {
    assert_contains(text, lines[i]);
  }
  free(text);
}

static void the_short_text_leaves_the_code_out(void **state)
{
  (void)state;
  char *text = fixture_capture(write_plain, &result);
  assert_null(strstr(text, "movs"));
  free(text);
}

static void the_long_text_adds_the_code(void **state)
{
  (void)state;
  char *text = fixture_capture(write_with_code, &result);
  for (size_t i = 0; i < ROWS_COUNT(lines); i++) {
    assert_contains(text, lines[i]);
  }
  assert_contains(text,
                  "\n  first code   0x04000100  2103       movs r1, #3\n"
                  "               0x04000102  e7fe       b #0x4000102\n"
                  "  landed in    0x04000100  2103       movs r1, #3\n"
                  "               0x04000102  e7fe       b #0x4000102\n"
                  "  stopped at     0x04000100  2103       movs r1, #3\n"
                  "               > 0x04000102  e7fe       b #0x4000102\n");
  free(text);
}

static void write_beside(FILE *to, const void *context)
{
  const struct result *two[] = {context, context};
  report_side_by_side(to, two, 2);
}

static void measures_stand_side_by_side(void **state)
{
  (void)state;
  char *text = fixture_capture(write_beside, &result);
  assert_contains(text, "\nreset to main    2 us           2 us\n"
                        "                 16 cycles      16 cycles\n"
                        "                 last of 3      last of 3\n"
                        "\n"
                        "once             2 us           2 us\n"
                        "                 16 cycles      16 cycles\n"
                        "\n"
                        "never            never          never\n");
  free(text);
}

/* --- as JSON ------------------------------------------------------------- */

static void write_json(FILE *to, const void *context)
{
  const bool *code = context;
  struct report_json document;
  report_json_begin(&document);
  if (*code) report_json_with_code(&document);
  report_json_add(&document, &result);
  assert_true(report_json_write(&document, to));
  report_json_free(&document);
}

/* Member by member: "starts", "0", "code" ... */
static const struct json *member(const struct json *from, const char *path)
{
  char step[64];
  while (*path) {
    size_t length = strcspn(path, ".");
    snprintf(step, sizeof step, "%.*s", (int)length, path);
    path += length + (path[length] == '.');
    if (from->type == JSON_LIST) {
      const struct json *child = from->child;
      for (int i = atoi(step); i > 0; i--) {
        child = child->next;
      }
      from = child;
    } else {
      from = json_get(from, step);
    }
    if (!from) fail_msg("no %s", step);
  }
  return from;
}

static const struct json_row {
  const char *name, *path, *text;
} json_rows[] = {
    {"the first fetch's line", "starts.0.source", "entry.S:7"},
    {"the wait's line", "starts.0.waits.source", "wait.c:12"},
    {"the landing's line", "starts.0.landing.source", "start.S:19"},
    {"the stop's line", "starts.0.stop_source", "wait.c:13"},
    {"the fault", "starts.0.fault.exception", "HardFault"},
    {"where the fault was", "starts.0.fault.pc", "0x04000200"},
    {"when the fault was", "starts.0.fault.at_ps", "5000000"},
    {"the fault's line", "starts.0.fault.source", "bad.c:3"},
    {"a measure's name", "measures.0.measure", "reset to main"},
    {"a measure's count", "measures.0.count", "3"},
    {"what has begun", "measures.0.begun", "1"},
    {"the shortest", "measures.0.ps.least", "1000000"},
    {"the longest", "measures.0.ps.most", "3500000"},
    {"the last, in cycles", "measures.0.cycles.last", "16"},
    {"the first instruction", "starts.0.code.first.0.text", "movs r1, #3"},
    {"its bytes", "starts.0.code.first.0.bytes", "2103"},
    {"the landing's", "starts.0.code.landing.1.at", "0x04000102"},
    {"the stop's", "starts.0.code.stopped.1.text", "b #0x4000102"},
};

static const struct json *json_of(struct arena *arena, bool code)
{
  struct sim_error err;
  const struct json *root = NULL;
  arena_init(arena);
  char *text = fixture_capture(write_json, &code);
  assert_int_equal(
      json_parse(arena, "json", text, strlen(text), false, &root, &err),
      SIM_OK);
  free(text);
  return root;
}

static void the_json_has_it(void **state)
{
  const struct json_row *row = *state;
  struct arena arena;
  const struct json *root = json_of(&arena, true);
  assert_string_equal(member(root, row->path)->text, row->text);
  arena_free(&arena);
}

static void the_marked_one_is_where_it_stopped(void **state)
{
  (void)state;
  struct arena arena;
  const struct json *root = json_of(&arena, true);
  assert_false(member(root, "starts.0.code.stopped.0.here")->truth);
  assert_true(member(root, "starts.0.code.stopped.1.here")->truth);
  assert_int_equal(member(root, "measures.2.ps")->type, JSON_NULL);
  arena_free(&arena);
}

static void nobody_asked_for_code(void **state)
{
  (void)state;
  struct arena arena;
  const struct json *root = json_of(&arena, false);
  assert_int_equal(member(root, "starts.0.code")->type, JSON_NULL);
  arena_free(&arena);
}

/* --- the program --------------------------------------------------------- */

#define LANDS "traces/rom-first-lands.jsonc"

static void verbose_has_a_letter(void **state)
{
  struct program *p = *state;
  program_shell(p,
                "\"$F\" run -v " LANDS " >$D/a && \"$F\" run --verbose " LANDS
                " >$D/b && \"$F\" run " LANDS " >$D/c && cmp $D/a "
                "$D/b && ! cmp -s $D/a $D/c && cat $D/a");
  assert_int_equal(p->exit_code, 0);
  assert_non_null(strstr(p->out, "\n  first code   0x0600"));
  assert_non_null(strstr(p->out, "\n  landed in    0x0400"));
}

static void code_is_for_the_json(void **state)
{
  struct program *p = *state;
  program_shell(p, "\"$F\" run --code --json - " LANDS " | grep -c "
                   "'\"bytes\"'; \"$F\" run -v --json $D/j " LANDS
                   " >/dev/null; grep -c '\"code\": null' $D/j");
  assert_string_equal(p->out, "27\n2\n");
  program_run(p, "run --code " LANDS);
  assert_int_equal(p->exit_code, 2);
  assert_non_null(strstr(p->err, "--code: is about the JSON; expected --json "
                                 "as well"));
}

static void other_commands_have_no_verbose(void **state)
{
  struct program *p = *state;
  program_run(p, "check -v models/latched.json");
  assert_int_equal(p->exit_code, 2);
  assert_non_null(strstr(p->err, "--verbose: is no option of this command"));
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(json_rows) + 8] = {
      cmocka_unit_test(the_long_text_tells_them),
      cmocka_unit_test(the_short_text_leaves_the_code_out),
      cmocka_unit_test(the_long_text_adds_the_code),
      cmocka_unit_test(measures_stand_side_by_side),
      cmocka_unit_test(the_marked_one_is_where_it_stopped),
      cmocka_unit_test(nobody_asked_for_code),
      IN_FOLDER(verbose_has_a_letter),
      IN_FOLDER(code_is_for_the_json),
      IN_FOLDER(other_commands_have_no_verbose)};
  ROWS_ADD(tests + 8, the_json_has_it, json_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
