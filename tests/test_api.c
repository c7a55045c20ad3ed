/* The public C interface, used as its header says. */
#include <stdlib.h>
#include <string.h>

#include "api/firstfetch.h"
#include "describe/case.h"
#include "describe/part.h"
#include "describe/result.h"
#include "rows.h"

#define MODELS FIRSTFETCH_ROOT "/models"
#define DEMO   FIRSTFETCH_ROOT "/traces/still-boots-rom.jsonc"

static const char *const folders[] = {FIRSTFETCH_ROOT "/traces", MODELS};
static const struct firstfetch_search search = {folders, 2};

static int open_session(void **state)
{
  *state = firstfetch_open();
  return 0;
}

static int close_session(void **state)
{
  firstfetch_close(*state);
  return 0;
}

/* --- finding parts ------------------------------------------------------- */

static void a_part_is_found_in_the_first_folder_that_has_it(void **state)
{
  const struct part *part;
  struct sim_error err;
  assert_int_equal(
      firstfetch_part(*state, &search, "checked", NULL, &part, &err), SIM_OK);
  assert_string_equal(part->name, "checked");
  assert_string_equal(part->file, MODELS "/checked.json");
}

static void a_path_is_taken_beside_the_file_that_asks(void **state)
{
  const struct part *part;
  struct sim_error err;
  assert_int_equal(firstfetch_part(*state, &search, "../models/checked.json",
                                   DEMO, &part, &err),
                   SIM_OK);
  assert_string_equal(part->name, "checked");
}

static void a_part_that_is_nowhere_is_told_where_it_was_asked_for(void **state)
{
  const struct part *part;
  struct sim_error err;
  assert_int_equal(
      firstfetch_part(*state, &search, "chekced", DEMO, &part, &err),
      SIM_REFERENCE);
  assert_string_equal(err.file, DEMO);
  assert_string_equal(err.path, "part");
  assert_string_equal(err.message, "is \"chekced\", which is no part here; "
                                   "did you mean \"checked\"?");
}

static void names_are_in_ascending_order(void **state)
{
  const char *const *names;
  uint32_t count;
  const char *const models[] = {MODELS};
  firstfetch_part_names(*state, &(struct firstfetch_search){models, 1}, &names,
                        &count);
  assert_in_range(count, 4, FIRSTFETCH_MAX_BESIDE);
  for (uint32_t i = 1; i < count; i++) {
    assert_true(strcmp(names[i - 1], names[i]) < 0);
  }
  for (uint32_t i = 0; i < count; i++) {
    assert_null(strstr(names[i], ".schema"));
  }
}

static void a_folder_that_is_not_there_has_no_parts(void **state)
{
  const char *const *names;
  uint32_t count = 1;
  const char *const nowhere[] = {FIRSTFETCH_ROOT "/nowhere"};
  firstfetch_part_names(*state, &(struct firstfetch_search){nowhere, 1},
                        &names, &count);
  assert_int_equal(count, 0);
}

/* --- running ------------------------------------------------------------- */

struct loaded {
  const struct case_script *script;
  const struct part *part;
};

static struct loaded load(struct firstfetch *ff)
{
  struct loaded l;
  struct sim_error err;
  assert_int_equal(firstfetch_case(ff, DEMO, &l.script, &err), SIM_OK);
  assert_int_equal(firstfetch_part(ff, &search, l.script->part, l.script->file,
                                   &l.part, &err),
                   SIM_OK);
  return l;
}

static void a_run_has_a_result(void **state)
{
  struct loaded l = load(*state);
  struct firstfetch_run *run;
  struct sim_error err;
  assert_int_equal(firstfetch_check(l.script, l.part, &err), SIM_OK);
  assert_int_equal(firstfetch_play(l.script, l.part, NULL, &run, &err),
                   SIM_OK);
  const struct result *result = firstfetch_result(run);
  assert_int_equal(result->verdict, VERDICT_HELD);
  assert_string_equal(result->part, "latched");
  assert_true(result->start_count > 0);
  firstfetch_run_free(run);
}

static void without_judging_there_is_no_verdict(void **state)
{
  struct loaded l = load(*state);
  const struct firstfetch_options options = {.no_judging = true};
  struct firstfetch_run *run;
  struct sim_error err;
  assert_int_equal(firstfetch_play(l.script, l.part, &options, &run, &err),
                   SIM_OK);
  assert_int_equal(firstfetch_result(run)->verdict, VERDICT_NONE);
  firstfetch_run_free(run);
}

static void an_image_that_is_not_there_is_an_error_before_the_run(void **state)
{
  struct loaded l = load(*state);
  const struct case_script *script = firstfetch_image_case(
      *state, "latched", FIRSTFETCH_ROOT "/nowhere.elf", false, 0);
  struct firstfetch_run *run = NULL;
  struct sim_error err;
  assert_int_equal(firstfetch_check(script, l.part, &err), SIM_FILE);
  assert_int_equal(firstfetch_play(script, l.part, NULL, &run, &err),
                   SIM_FILE);
  assert_null(run);
  assert_non_null(strstr(err.file, "nowhere.elf"));
}

/* The text of a stream that `write` filled; to be freed. */
static char *text_of(void (*write)(FILE *to, void *context), void *context)
{
  char *text = NULL;
  size_t size = 0;
  FILE *to = open_memstream(&text, &size);
  assert_non_null(to);
  write(to, context);
  assert_int_equal(fclose(to), 0);
  return text;
}

static void play_traced(FILE *to, void *context)
{
  const struct loaded *l = context;
  const struct firstfetch_options options = {.trace = to};
  struct firstfetch_run *run;
  struct sim_error err;
  assert_int_equal(firstfetch_play(l->script, l->part, &options, &run, &err),
                   SIM_OK);
  firstfetch_write_text(run, &(struct firstfetch_text){.last = true}, to);
  firstfetch_run_free(run);
}

static void two_runs_give_the_same_trace_and_report(void **state)
{
  struct loaded l = load(*state);
  char *once = text_of(play_traced, &l), *again = text_of(play_traced, &l);
  assert_ptr_equal(strstr(once,
                          "# A pin reset does not refresh the blank latch "
                          "(still-boots-rom.jsonc)\n"),
                   once);
  assert_string_equal(once, again);
  free(once);
  free(again);
}

static void write_document(FILE *to, void *context)
{
  assert_true(firstfetch_json_write(context, to));
}

static void a_document_outlives_its_runs(void **state)
{
  struct loaded l = load(*state);
  struct firstfetch_json *document = firstfetch_json_open();
  for (int i = 0; i < 2; i++) {
    struct firstfetch_run *run;
    struct sim_error err;
    assert_int_equal(firstfetch_play(l.script, l.part, NULL, &run, &err),
                     SIM_OK);
    firstfetch_json_add(document, run);
    firstfetch_run_free(run);
  }
  char *text = text_of(write_document, document);
  assert_ptr_equal(strstr(text, "{\n  \"firstfetch\": 1,\n  \"runs\": [\n"),
                   text);
  firstfetch_json_close(document);
  free(text);
}

static void nothing_may_be_closed(void **state)
{
  (void)state;
  firstfetch_close(NULL);
  firstfetch_run_free(NULL);
  firstfetch_json_close(NULL);
}

#define IN_SESSION(test)                                                      \
  cmocka_unit_test_setup_teardown(test, open_session, close_session)

int main(void)
{
  const struct CMUnitTest tests[] = {
      IN_SESSION(a_part_is_found_in_the_first_folder_that_has_it),
      IN_SESSION(a_path_is_taken_beside_the_file_that_asks),
      IN_SESSION(a_part_that_is_nowhere_is_told_where_it_was_asked_for),
      IN_SESSION(names_are_in_ascending_order),
      IN_SESSION(a_folder_that_is_not_there_has_no_parts),
      IN_SESSION(a_run_has_a_result),
      IN_SESSION(without_judging_there_is_no_verdict),
      IN_SESSION(an_image_that_is_not_there_is_an_error_before_the_run),
      IN_SESSION(two_runs_give_the_same_trace_and_report),
      IN_SESSION(a_document_outlives_its_runs),
      cmocka_unit_test(nothing_may_be_closed),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
