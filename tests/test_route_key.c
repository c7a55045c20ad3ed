/* A state is known again whatever the time is, and is told from every other:
 * what `route` merges and what it does not. */
#include "route_fixture.h"

#include "run/route_branch.h"

struct keyed {
  struct catalog catalog;
  struct route_bench bench;
  struct route_kept *begun;
};

/* What no part in models/ has. */
enum changed { AS_IT_IS, LINE, WATCHDOG, FROZEN };

static const struct part *part_changed(struct played_bench *bench,
                                       enum changed how)
{
  if (how == AS_IT_IS) return route_part(bench, "latched");
  struct part *part = arena_get(&bench->arena, sizeof *part);
  *part = *route_part(bench, "latched-clearable");
  part->options.words[0].fields[2].factory = how != LINE; /* it runs always */
  part->watchdog.in_halt =
      how == FROZEN ? WATCHDOG_FREEZES : part->watchdog.in_halt;
  if (how != LINE) return part;
  part->reset_line.pulse.typ = 300 * PS_PER_NS;
  part->reset_line.drive.typ = 20 * PS_PER_US;
  part->reset_line.own_flag = true;
  return part;
}

static void open_keyed(struct keyed *k, struct played_bench *bench,
                       enum changed how)
{
  struct sim_error err;
  struct route_played played;
  const struct part *part = part_changed(bench, how);
  const char *board = played_format(
      bench, "\"supply\": { \"bulk\": \"1uF\", \"removable\": false }%s",
      how != LINE ? ""
                  : ", \"reset_line\": { \"capacitor\": \"1nF\", "
                    "\"host\": \"push-pull\" }");
  const struct case_script *script = route_case_on(
      bench, part->name, board, "",
      ", \"with\": [ \"old image\" ], \"actions\": [ \"attach held\", "
      "\"attach running\", \"write "
      "option\", \"write image\", \"erase\", \"wait\", \"pin reset\" ]");
  assert_int_equal(catalog_make(&k->catalog, &bench->arena, script, part,
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
  enum changed how;
} rows[] = {
    {"the same again", {"attach held"}, {"attach held"}, true, AS_IT_IS},
    {"later, with the core halted",
     {"attach held"},
     {"attach held", "wait", "wait"},
     true,
     AS_IT_IS},
    {"a flash that differs",
     {"attach held", "erase"},
     {"attach held"},
     false,
     AS_IT_IS},
    {"another image, programmed alike",
     {"attach held", "write image app"},
     {"attach held"},
     false,
     AS_IT_IS},
    {"option cells that differ",
     {"attach held", OPTION_STRAP},
     {"attach held", OPTION_CHECK},
     false,
     AS_IT_IS},
    {"an option written twice",
     {"attach held", OPTION_STRAP},
     {"attach held", OPTION_STRAP, OPTION_STRAP},
     true,
     AS_IT_IS},
    {"a core that runs, and one that is halted",
     {"attach held", "pin reset"},
     {"attach held"},
     false,
     AS_IT_IS},
    {"a program that has run for longer",
     {"attach held", "pin reset"},
     {"attach held", "pin reset", "wait"},
     false,
     AS_IT_IS},
    {"a line that the part filters, drives and flags: a reset, and another",
     {"pin reset", "pin reset"},
     {"pin reset", "pin reset", "pin reset"},
     true,
     LINE},
    {"such a line, later, with the core halted",
     {"attach running"},
     {"attach running", "wait", "wait"},
     true,
     LINE},
    {"a watchdog that stands still while the core is halted",
     {"attach held"},
     {"attach held", "wait", "wait"},
     true,
     FROZEN},
    {"a watchdog that goes on then",
     {"attach held"},
     {"attach held", "wait"},
     false,
     WATCHDOG},
    {"a watchdog that every reset begins anew",
     {"pin reset", "pin reset"},
     {"pin reset", "pin reset", "pin reset"},
     true,
     WATCHDOG},
};

static void pair(void **state)
{
  struct played_bench *bench = *state;
  const struct pair_row *row = bench->row;
  struct keyed *k = arena_get(&bench->arena, sizeof *k);
  open_keyed(k, bench, row->how);
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
