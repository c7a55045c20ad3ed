/* What `route` finds on the parts in models/: told in the words of the trade.
 * A part whose latch nothing reaches needs an option reload; one with a
 * register for it takes that or a reload; one that checks afresh any reset;
 * where the boot ROM runs and nothing reaches reset or power, there is none.
 */
#include "route_fixture.h"

#define WORKS                                                                 \
  ", \"actions\": [ \"pin reset\", \"attach held\", \"attach "                \
  "running\", \"write image\", \"write latch\", \"reload options\""           \
  ", \"software reset\" ]"

static const struct found_row {
  const char *name;
  const char *part, *never, *route;
  const char *first;  /* procedure */
  const char *others; /* that a later one contains; NULL: nothing asked */
} found_rows[] = {
    {"a latch that nothing reaches needs an option reload", "latched",
     "\"rom runs\"", WORKS,
     "attach held; write image app; reload options; detach", NULL},
    {"a latch with a register takes a reload, or the write and a reset",
     "latched-clearable", "\"rom runs\"", WORKS,
     "attach held; write image app; reload options; detach", "write latch"},
    {"a register write alone, without a reload", "latched-clearable",
     "\"rom runs\"",
     ", \"actions\": [ \"pin reset\", \"attach held\", \"write image\", "
     "\"write latch\" ]",
     "attach held; write latch; write image app; pin reset; detach", NULL},
    {"a check made afresh takes any reset", "checked", "\"rom runs\"",
     ", \"actions\": [ \"pin reset\", \"attach held\", \"write image\" ]",
     "attach held; write image app; pin reset; detach", NULL},
    {"without a blank check the probe may come while it runs", "strapped",
     "\"rom runs\"",
     ", \"at_hand\": [ \"probe\" ], \"actions\": [ \"attach running\", "
     "\"write image\", \"software reset\" ]",
     "attach running; write image app; software reset; detach", NULL},
    {"where the boot ROM may run, no reset line is needed", "latched", "",
     ", \"at_hand\": [ \"probe\" ]" WORKS,
     "attach running; write image app; reload options; detach", NULL},
};

static void finds(void **state)
{
  struct played_bench *bench = *state;
  const struct found_row *row = bench->row;
  const struct route_result *r = route_asked(
      bench, route_case(bench, row->part, false, row->never, row->route),
      route_part(bench, row->part), 4);
  assert_true(r->procedure_count > 0);
  assert_string_equal(route_moves_text(bench, r->procedures[0].moves,
                                       r->procedures[0].move_count),
                      row->first);
  bool contains = row->others == NULL;
  for (uint32_t i = 0; i < r->procedure_count; i++)
    contains |= row->others != NULL &&
                strstr(route_moves_text(bench, r->procedures[i].moves,
                                        r->procedures[i].move_count),
                       row->others) != NULL;
  assert_true(contains);
}

/* The boot ROM does the work, and is left again by a reset. */
static void a_host_is_enough_where_the_check_is_made_afresh(void **state)
{
  struct played_bench *bench = *state;
  const struct route_result *r = route_asked(
      bench,
      route_case_on(bench, "checked",
                    "\"host\": { \"baud\": 115200 }, \"supply\": { "
                    "\"bulk\": \"1uF\", \"removable\": false }",
                    "", ", \"at_hand\": [ \"host\", \"reset line\" ]"),
      route_part(bench, "checked"), 2);
  assert_true(r->procedure_count > 0);
  assert_string_equal(route_moves_text(bench, r->procedures[0].moves,
                                       r->procedures[0].move_count),
                      "write by host; pin reset");
}

static const struct none_row {
  const char *name, *part;
} none_rows[] = {
    {"none on latched", "latched"},
    {"none on latched-clearable", "latched-clearable"},
    {"none on checked", "checked"},
};

static const struct route_lift *lift_named(const struct route_result *r,
                                           const char *what)
{
  for (uint32_t i = 0; i < r->lift_count; i++)
    if (strcmp(r->lifts[i].what, what) == 0) return &r->lifts[i];
  fail_msg("%s was not lifted", what);
  return NULL;
}

/* The boot ROM runs when the probe comes: nothing at hand stops it in time.
 * The reset line would, and so would a line that may see the ROM run. */
static void finds_none(void **state)
{
  struct played_bench *bench = *state;
  const struct none_row *row = bench->row;
  const struct route_result *r = route_asked(
      bench,
      route_case(bench, row->part, false, "\"contention\", \"rom runs\"",
                 ", \"at_hand\": [ \"probe\" ]" WORKS),
      route_part(bench, row->part), 3);
  assert_int_equal(r->procedure_count, 0);
  assert_int_equal(r->effort.end, ROUTE_EXHAUSTED);
  assert_int_equal(r->effort.depth, 3);
  assert_int_equal(r->dead_end_count, 1);
  assert_non_null(strstr(r->dead_ends[0].why, "the boot ROM ran on"));
  assert_string_equal(route_moves_text(bench, r->dead_ends[0].moves,
                                       r->dead_ends[0].move_count),
                      "attach running");
  assert_true(lift_named(r, "never \"rom runs\"")->found);
  assert_true(lift_named(r, "no reset line at hand")->found);
  assert_false(lift_named(r, "never \"contention\"")->found);
  assert_false(lift_named(r, "no power at hand")->found);
}

static void one_state_may_have_a_procedure_where_all_have_none(void **state)
{
  struct played_bench *bench = *state;
  const struct route_result *r =
      route_asked(bench,
                  route_case(bench, "latched", false, "\"rom runs\"",
                             ", \"at_hand\": [ \"probe\" ], \"with\": [ "
                             "\"factory-blank\", \"reworked\" ]" WORKS),
                  route_part(bench, "latched"), 3);
  assert_int_equal(r->procedure_count, 0);
  assert_int_equal(r->alone_count, 2);
  assert_false(r->alone[0].found);
  assert_true(r->alone[1].found);
  assert_string_equal(r->alone[1].procedure.times[0].state, "reworked");
  assert_int_equal(r->lift_count, 0);
}

static void a_limit_is_told(void **state)
{
  struct played_bench *bench = *state;
  const struct route_request request = {
      .script = route_case(bench, "latched", false, "\"rom runs\"", WORKS),
      .part = route_part(bench, "latched"),
      .limits = {.depth = 6, .procedures = 3, .states = 3},
      .tick = route_no_tick};
  const struct route_result *r;
  struct sim_error err;
  assert_int_equal(route_ask(&request, &bench->arena, &r, &err), SIM_OK);
  assert_int_equal(r->procedure_count, 0);
  assert_int_equal(r->effort.end, ROUTE_LIMIT);
  assert_int_equal(r->effort.states, 3);
  assert_true(r->effort.depth < 6);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(found_rows) + ROWS_COUNT(none_rows) + 3];
  size_t count = PLAYED_ADD(tests, finds, found_rows);
  count += PLAYED_ADD(tests + count, finds_none, none_rows);
  tests[count++] = (struct CMUnitTest)PLAYED_TEST(
      one_state_may_have_a_procedure_where_all_have_none);
  tests[count++] = (struct CMUnitTest)PLAYED_TEST(a_limit_is_told);
  tests[count++] = (struct CMUnitTest)PLAYED_TEST(
      a_host_is_enough_where_the_check_is_made_afresh);
  return _cmocka_run_group_tests("route", tests, count, NULL, NULL);
}
