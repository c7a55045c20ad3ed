/* What a "route" object may not say, and in which words it is refused. */
#include "route_fixture.h"

static const struct refused_row {
  const char *name;
  const char *rest; /* of the route, behind its goal and image */
  const char *error;
} rows[] = {
    {"a word of what is at hand", ", \"at_hand\": [ \"prob\" ]",
     "route.at_hand[0]: is \"prob\"; expected one of \"probe\""},
    {"each word once", ", \"at_hand\": [ \"probe\", \"probe\" ]",
     "route.at_hand[1]: is \"probe\" again; expected each word once"},
    {"power is not at hand where it can't be switched",
     ", \"at_hand\": [ \"power\" ]",
     "route.at_hand[0]: is \"power\"; expected no such word, because "
     "board.supply.removable is false"},
    {"a host that the board does not have", ", \"at_hand\": [ \"host\" ]",
     "route.at_hand[0]: is \"host\"; expected no such word, because the board "
     "has no \"host\""},
    {"an action", ", \"actions\": [ \"attach hold\" ]",
     "route.actions[0]: is \"attach hold\"; expected \"attach held\""},
    {"actions are not none", ", \"actions\": [ ]",
     "route.actions: has length 0; expected at least 1"},
    {"an incoming state by name", ", \"with\": [ \"factory blank\" ]",
     "route.with[0]: is \"factory blank\"; expected one of \"factory-blank\""},
    {"a state of one's own has another name",
     ", \"incoming\": { \"reworked\": [ { \"run\": \"1ms\" } ] }",
     "route.incoming.reworked: is a state that \"with\" knows by this name; "
     "expected another one"},
    {"steps of a state are checked as those of a case",
     ", \"incoming\": { \"mine\": [ { \"probe\": \"halt\" } ] }",
     "route.incoming.mine[0].probe: needs a probe, and none is attached here; "
     "expected \"probe\": \"attach\" before it"},
    {"a state ends without a probe",
     ", \"incoming\": { \"mine\": [ { \"power\": \"on\" }, { \"probe\": "
     "\"attach\" } ] }",
     "route.incoming.mine: ends with the probe attached; expected \"probe\": "
     "\"detach\" at the end"},
    {"a state ends with the line let go of",
     ", \"incoming\": { \"mine\": [ { \"reset\": \"hold\" } ] }",
     "route.incoming.mine: ends with the reset line held; expected \"reset\": "
     "\"release\" at the end"},
    {"an image", ", \"old\": \"ap\"",
     "route.old: is \"ap\"; expected \"app\""},
    {"an option field has a form", ", \"options\": { \"start\": 1 }",
     "route.options.start: is no option field; expected one in the form "
     "\"word.field\""},
    {"a cause of the field", ", \"field\": [ \"pins\" ]",
     "route.field[0]: is \"pins\"; expected \"pin\""},
    {"a pause", ", \"pauses\": \"1ms\"",
     "route.pauses: is no key of a route; expected \"pause\""},
};

static void is_refused(void **state)
{
  struct played_bench *bench = *state;
  const struct refused_row *row = bench->row;
  const struct case_script *script;
  struct sim_error err;
  char text[1200];
  const char *file = played_text_file(
      bench, "r.jsonc",
      played_format(bench,
                    "{ \"case\": \"t\", \"part\": \"latched\",\n"
                    "  \"images\": { \"app\": \"a.elf\" },\n"
                    "  \"board\": { \"supply\": { \"removable\": false } },\n"
                    "  \"route\": { \"goal\": { \"region\": \"flash\" }, "
                    "\"image\": \"app\"%s },\n"
                    "  \"steps\": [ { \"run\": \"1us\" } ] }\n",
                    row->rest));
  assert_int_not_equal(case_read(&bench->arena, file, &script, &err), SIM_OK);
  sim_error_text(&err, text, sizeof text);
  if (!strstr(text, row->error)) fail_msg("%s", text);
}

/* --- goals --------------------------------------------------------------- */

static const struct goal_row {
  const char *name, *goal, *error;
} goals[] = {
    {"a goal asks for something", "{ }",
     "route.goal: asks for nothing; expected at least one of what a start can "
     "be asked, such as \"region\""},
    {"a goal holds after any cause", "{ \"cause\": \"pin\" }",
     "route.goal.cause: can't be part of a goal, which must hold again "
     "without "
     "probe and after each reset; expected another key of an expectation"},
    {"a goal needs no probe", "{ \"read\": \"0x0\" }",
     "route.goal.read: can't be part of a goal, which must hold again without "
     "probe and after each reset; expected another key of an expectation"},
};

static void goal_is_refused(void **state)
{
  struct played_bench *bench = *state;
  const struct goal_row *row = bench->row;
  const struct case_script *script;
  struct sim_error err;
  char text[1200];
  const char *file = played_text_file(
      bench, "r.jsonc",
      played_format(bench,
                    "{ \"case\": \"t\", \"part\": \"latched\",\n"
                    "  \"images\": { \"app\": \"a.elf\" },\n"
                    "  \"route\": { \"goal\": %s, \"image\": \"app\" },\n"
                    "  \"steps\": [ { \"run\": \"1us\" } ] }\n",
                    row->goal));
  assert_int_not_equal(case_read(&bench->arena, file, &script, &err), SIM_OK);
  sim_error_text(&err, text, sizeof text);
  if (!strstr(text, row->error)) fail_msg("%s", text);
}

/* --- what only the part can tell ----------------------------------------- */

static const struct part_row {
  const char *name, *part, *route, *error;
} part_rows[] = {
    {"a state that the part can't be in", "rom-first",
     ", \"with\": [ \"options changed\" ]",
     "says \"options changed\", but part rom-first has no start rule by which "
     "options alone choose a boot ROM; expected a state that it can be in"},
    {"an option value that the part lacks", "latched",
     ", \"options\": { \"start.source\": \"nowhere\" }",
     "option field \"start.source\" has no value \"nowhere\""},
    {"an incoming state whose steps fail", "latched",
     ", \"incoming\": { \"mine\": [ { \"probe\": \"attach\" }, { \"probe\": "
     "\"detach\" } ] }",
     "can't bring the part into the state \"mine\": the probe could not "
     "attach"},
};

static void part_refuses(void **state)
{
  struct played_bench *bench = *state;
  const struct part_row *row = bench->row;
  const struct route_request request = {
      .script = route_case(bench, row->part, false, "", row->route),
      .part = route_part(bench, row->part),
      .limits = {.depth = 2, .procedures = 1, .states = 10},
      .tick = route_no_tick};
  const struct route_result *result;
  struct sim_error err;
  char text[1200];
  assert_int_not_equal(route_ask(&request, &bench->arena, &result, &err),
                       SIM_OK);
  sim_error_text(&err, text, sizeof text);
  if (!strstr(text, row->error)) fail_msg("%s", text);
  if (!strstr(text, "route.jsonc")) fail_msg("%s", text);
}

static void a_case_without_a_route_is_told(void **state)
{
  struct played_bench *bench = *state;
  const struct route_request request = {
      .script =
          played_case(bench, FIRSTFETCH_ROOT "/traces/still-boots-rom.jsonc"),
      .part = route_part(bench, "latched"),
      .limits = {.depth = 2, .procedures = 1, .states = 10},
      .tick = route_no_tick};
  const struct route_result *result;
  struct sim_error err;
  assert_int_equal(route_ask(&request, &bench->arena, &result, &err), SIM_KEY);
  assert_non_null(strstr(err.message, "has no \"route\""));
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows) + ROWS_COUNT(goals) +
                          ROWS_COUNT(part_rows) + 1] = {
      PLAYED_TEST(a_case_without_a_route_is_told)};
  size_t count = 1 + PLAYED_ADD(tests + 1, is_refused, rows);
  count += PLAYED_ADD(tests + count, goal_is_refused, goals);
  PLAYED_ADD(tests + count, part_refuses, part_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
