/* What a part may arrive in, and what may be done, besides the usual: a
 * readout lock that is set, a watchdog that an option starts, a wake from
 * deep sleep that loads the options. Each against brute force
 * (route_fixture.h). */
#include "route_fixture.h"

static const struct state_row {
  const char *name;
  const char *part, *region, *route;
  uint32_t depth;
  const char *first; /* NULL: there is none */
} rows[] = {
    {"a wake loads the options and checks again, as a reload does",
     "latched-clearable", "flash",
     ", \"at_hand\": [ \"probe\", \"wake\" ], \"actions\": [ \"attach "
     "running\", \"write image\", \"deep-sleep wake\" ]",
     3, "attach running; write image app; deep-sleep wake; detach"},
    {"a readout lock has to be lifted, and is loaded", "latched-banked",
     "bank_a",
     ", \"with\": [ \"locked\" ], \"actions\": [ \"attach running\", "
     "\"write image\", \"write option\", \"reload options\" ], \"options\": { "
     "\"guard.readout\": \"open\" }",
     5,
     "attach running; write option guard.readout = open; reload options; "
     "write image app; reload options; detach"},
    {"a watchdog that an option starts: nothing feeds it while a probe writes",
     "latched-clearable", "flash",
     ", \"incoming\": { \"watched\": [ { \"write\": \"options\", \"set\": { "
     "\"start.watchdog\": \"always\" }, \"by\": \"preset\" }, { \"power\": "
     "\"on\" }, { \"run\": \"1ms\" } ] }, "
     "\"actions\": [ \"attach running\", \"write image\", \"pin reset\" ]",
     3, NULL},
};

static void agrees(void **state)
{
  struct played_bench *bench = *state;
  const struct state_row *row = bench->row;
  struct brute b;
  const struct part *part = route_part(bench, row->part);
  const struct case_script *script =
      route_case_in(bench, row->part, row->region,
                    "\"supply\": { \"bulk\": \"1uF\", \"removable\": false }",
                    "", row->route);
  const struct route_result *r = route_asked(bench, script, part, row->depth);
  brute_ask(&b, bench, script, part, row->depth);
  brute_agrees(&b, r);
  assert_int_equal(r->procedure_count > 0, row->first != NULL);
  if (row->first != NULL)
    assert_string_equal(route_moves_text(bench, r->procedures[0].moves,
                                         r->procedures[0].move_count),
                        row->first);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  size_t count = PLAYED_ADD(tests, agrees, rows);
  return _cmocka_run_group_tests("route_states", tests, count, NULL, NULL);
}
