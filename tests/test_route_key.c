/* A state is known again whatever the time is, and is told from every other:
 * what `route` merges and what it does not. */
#include "route_fixture.h"

#include "run/route_branch.h"

struct keyed {
  struct catalog catalog;
  struct route_bench bench;
  struct route_kept *begun;
};

static void open_keyed(struct keyed *k, struct played_bench *bench)
{
  struct sim_error err;
  struct route_played played;
  const struct case_script *script = route_case(
      bench, "latched", false, "\"rom runs\"",
      ", \"with\": [ \"old image\" ], \"actions\": [ \"attach held\", \"write "
      "option\", \"write image\", \"erase\", \"wait\", \"pin reset\" ]");
  assert_int_equal(catalog_make(&k->catalog, &bench->arena, script,
                                route_part(bench, "latched"),
                                catalog_at_hand(script), &err),
                   SIM_OK);
  assert_int_equal(route_bench_open(&k->bench, &k->catalog, &err), SIM_OK);
  struct route_kept *off = route_begin(&k->bench);
  route_play(&k->bench, off, &k->catalog.states[0].steps, 1, &played,
             &k->begun);
  assert_true(played.good);
  route_forget(&k->bench, off);
}

static void close_keyed(struct keyed *k)
{
  route_forget(&k->bench, k->begun);
  route_bench_close(&k->bench);
}

static struct catalog_range steps_of(const struct keyed *k, const char *name)
{
  for (uint32_t i = 0; i < k->catalog.action_count; i++)
    if (strcmp(k->catalog.actions[i].move.name, name) == 0)
      return k->catalog.actions[i].steps;
  fail_msg("no action %s", name);
  return (struct catalog_range){0, 0};
}

/* The key behind these actions; to be freed. */
static struct route_key *key_behind(struct keyed *k, const char *const *names)
{
  struct catalog_bench bench = {.attached = true, .powered = true};
  struct catalog_ranges ranges = {.count = 0};
  struct route_played played;
  struct route_kept *kept;
  for (uint32_t i = 0; i < 6 && names[i] != NULL; i++)
    catalog_add(&ranges, steps_of(k, names[i]));
  route_play(&k->bench, k->begun, ranges.list, ranges.count, &played, &kept);
  if (!played.good) fail_msg("%s", played.why);
  struct route_key *key = route_key_of(&k->bench, kept, &bench);
  route_forget(&k->bench, kept);
  return key;
}

#define OPTION_STRAP "write option start.source = strap"
#define OPTION_CHECK "write option start.source = check"

/* On this part every latency is a whole number of clock cycles, so time that
 * passes over a halted core leaves nothing behind. */
static const struct pair_row {
  const char *name;
  const char *a[6], *b[6];
  bool same;
} rows[] = {
    {"the same again", {"attach held"}, {"attach held"}, true},
    {"later, with the core halted",
     {"attach held"},
     {"attach held", "wait", "wait"},
     true},
    {"a flash that differs", {"attach held", "erase"}, {"attach held"}, false},
    {"another image, programmed alike",
     {"attach held", "write image app"},
     {"attach held"},
     false},
    {"option cells that differ",
     {"attach held", OPTION_STRAP},
     {"attach held", OPTION_CHECK},
     false},
    {"an option written twice",
     {"attach held", OPTION_STRAP},
     {"attach held", OPTION_STRAP, OPTION_STRAP},
     true},
    {"a core that runs, and one that is halted",
     {"attach held", "pin reset"},
     {"attach held"},
     false},
    {"a program that has run for longer",
     {"attach held", "pin reset"},
     {"attach held", "pin reset", "wait"},
     false},
};

static void pair(void **state)
{
  struct played_bench *bench = *state;
  const struct pair_row *row = bench->row;
  struct keyed *k = arena_get(&bench->arena, sizeof *k);
  open_keyed(k, bench);
  struct route_key *a = key_behind(k, row->a), *b = key_behind(k, row->b);
  assert_int_equal(route_key_equal(a, b), row->same);
  route_key_free(&k->bench.store, a);
  route_key_free(&k->bench.store, b);
  close_keyed(k);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  size_t count = PLAYED_ADD(tests, pair, rows);
  return _cmocka_run_group_tests("route_key", tests, count, NULL, NULL);
}
