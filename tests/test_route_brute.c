/* The search against brute force: every list of actions up to a length, each
 * played whole from before first power by run/play.h, which knows no side
 * branches, no hashes and no queue. The same best procedures at the same
 * cost, and the same "none"; on the parts in models/ and on parts whose reset
 * table, blank check and factory options were changed at random. */
#include "route_fixture.h"

static const struct brute_row {
  const char *name;
  const char *part;
  bool removable;
  const char *never, *route;
  uint32_t depth;
} rows[] = {
    {"programming under reset, a reload", "latched", false, "\"rom runs\"",
     ", \"actions\": [ \"attach held\", \"write image\", \"reload options\", "
     "\"pin reset\" ]",
     3},
    {"a register that has no effect here", "latched", false, "\"contention\"",
     ", \"actions\": [ \"attach running\", \"write image\", \"write latch\", "
     "\"software reset\" ]",
     3},
    {"a register write and a reset", "latched-clearable", false,
     "\"rom runs\"",
     ", \"actions\": [ \"attach held\", \"write image\", \"write latch\", "
     "\"pin reset\" ]",
     4},
    {"an erase that undoes the work", "checked", false, "\"rom runs\"",
     ", \"actions\": [ \"attach held\", \"write image\", \"erase\", "
     "\"software reset\" ]",
     3},
    {"power that has to be switched on", "latched", true, "\"rom runs\"",
     ", \"actions\": [ \"power on\", \"power on held\", \"attach held\", "
     "\"write image\", \"power cycle\" ]",
     3},
    {"two states at once", "latched", false, "\"rom runs\"",
     ", \"with\": [ \"factory-blank\", \"reworked\" ], \"actions\": [ "
     "\"attach held\", \"write image\", \"reload options\", \"detach\" ]",
     3},
    {"an older image that starts, too", "latched", false, "\"rom runs\"",
     ", \"with\": [ \"old image\" ], \"actions\": [ \"attach held\", \"attach "
     "running\", \"write image\", \"pin reset\" ]",
     3},
    {"a strap that chooses", "strapped", false, "\"rom runs\"",
     ", \"at_hand\": [ \"probe\", \"straps\" ], \"actions\": [ \"attach "
     "running\", \"write image\", \"strap\", \"software reset\" ]",
     3},
    {"none: only what leads nowhere", "latched", false, "\"rom runs\"",
     ", \"actions\": [ \"attach running\", \"pin reset\", \"write image\" ]",
     3},
};

static void agrees(void **state)
{
  struct played_bench *bench = *state;
  const struct brute_row *row = bench->row;
  struct brute b;
  const struct part *part = route_part(bench, row->part);
  const struct case_script *script =
      route_case(bench, row->part, row->removable, row->never, row->route);
  brute_ask(&b, bench, script, part, row->depth);
  brute_agrees(&b, route_asked(bench, script, part, row->depth));
}

/* --- parts changed at random --------------------------------------------- */

static uint64_t draw(uint64_t *seed)
{
  /* multiplier and increment of Knuth's MMIX generator (from memory) */
  *seed = *seed * 6364136223846793005u + 1442695040888963407u;
  return *seed >> 33;
}

static void change_part(struct part *part, uint64_t *seed)
{
  static const enum reset_column columns[] = {RESET_OPTIONS, RESET_LATCH,
                                              RESET_DEBUG,   RESET_FLASH_LOCK,
                                              RESET_PINS,    RESET_ALIAS};
  static const enum cause causes[] = {CAUSE_PIN, CAUSE_SOFTWARE,
                                      CAUSE_OPTION_RELOAD, CAUSE_BROWN_OUT,
                                      CAUSE_WATCHDOG};
  for (size_t i = 0; i < ROWS_COUNT(causes); i++)
    for (size_t k = 0; k < ROWS_COUNT(columns); k++)
      if (draw(seed) % 4 == 0)
        part->resets[causes[i]].does[columns[k]] ^= true;
  if (part_has_latch(part) && draw(seed) % 3 == 0)
    part->blank_check.held = BLANK_AFRESH;
  if (draw(seed) % 2 == 0)
    part->options.words[0].fields[0].factory = (uint32_t)(draw(seed) % 4);
}

static void agrees_on_changed_parts(void **state)
{
  struct played_bench *bench = *state;
  static const char *const parts[] = {"latched", "latched-clearable",
                                      "checked"};
  uint64_t seed = 2026, found = 0;
  for (unsigned i = 0; i < 9; i++) {
    const char *name = parts[i % ROWS_COUNT(parts)];
    struct part *part = arena_get(&bench->arena, sizeof *part);
    struct brute b;
    *part = *route_part(bench, name);
    change_part(part, &seed);
    const struct case_script *script = route_case(
        bench, name, false, i % 2 ? "\"rom runs\"" : "",
        ", \"actions\": [ \"attach held\", \"write image\", \"reload "
        "options\", \"pin reset\" ]");
    brute_ask(&b, bench, script, part, 3);
    brute_agrees(&b, route_asked(bench, script, part, 3));
    found += b.best != PS_NEVER;
  }
  assert_in_range(found, 2, 7); /* both answers are met */
}

/* --- where there is none ------------------------------------------------- */

/* Lifting what is named makes it succeed, lifting what is said not to help
 * does not: by brute force. */
static void lifting_is_real(void **state)
{
  struct played_bench *bench = *state;
  static const struct {
    const char *what, *never, *at_hand;
  } questions[] = {
      {"never \"rom runs\"", "\"contention\"", "\"probe\""},
      {"never \"contention\"", "\"rom runs\"", "\"probe\""},
      {"no reset line at hand", "\"contention\", \"rom runs\"",
       "\"probe\", \"reset line\""},
  };
  static const char *const form =
      ", \"at_hand\": [ %s ], \"actions\": [ \"attach running\", \"attach "
      "held\", \"write image\", \"software reset\" ]";
  const struct part *part = route_part(bench, "checked");
  const struct route_result *r = route_asked(
      bench,
      route_case(bench, "checked", false, "\"contention\", \"rom runs\"",
                 played_format(bench, form, "\"probe\"")),
      part, 3);
  assert_int_equal(r->procedure_count, 0);
  for (size_t i = 0; i < ROWS_COUNT(questions); i++) {
    struct brute b;
    const struct case_script *script =
        route_case(bench, "checked", false, questions[i].never,
                   played_format(bench, form, questions[i].at_hand));
    brute_ask(&b, bench, script, part, 3);
    for (uint32_t k = 0; k < r->lift_count; k++)
      if (strcmp(r->lifts[k].what, questions[i].what) == 0)
        assert_int_equal(r->lifts[k].found, b.best != PS_NEVER);
    brute_agrees(&b, route_asked(bench, script, part, 3));
  }
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows) + 2] = {
      PLAYED_TEST(agrees_on_changed_parts), PLAYED_TEST(lifting_is_real)};
  PLAYED_ADD(tests + 2, agrees, rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
