/* Values and tolerances: an edge is where the full grid has it, a grid has all
 * combinations, a margin is what is left by hand. */
#include "run/corners.h"
#include "sweep_fixture.h"

/* The probe comes `wait` after the supply. Every number but the supply's is
 * the part's. */
static const char *const late_text =
    "{ \"case\": \"The probe comes late\", \"part\": \"latched\",\n"
    "  \"board\": { \"supply\": { \"source\": \"3.0V\", \"source_resistance\":"
    " \"10ohm\", \"bulk\": \"22uF\", \"removable\": true } },\n"
    "  \"steps\": [ { \"power\": \"on\" },\n"
    "    { \"run\": \"100us\", \"label\": \"wait\" },\n"
    "    { \"probe\": \"attach\", \"label\": \"come\" },\n"
    "    { \"expect\": { \"pins_driven\": 0, \"within\": \"1ms\" } },\n"
    "    { \"reset\": \"pin\", \"hold\": \"20us\", \"label\": \"again\" } ] "
    "}\n";

static struct sweep late(struct played_bench *bench)
{
  return (struct sweep){
      .script =
          played_case(bench, played_text_file(bench, "late.json", late_text)),
      .part = played_part(bench, PLAYED_LATCHED),
      .kind = SWEEP_VARY};
}

static void vary(struct played_bench *bench, struct sweep *s, const char *what)
{
  struct sim_error err;
  sweep_good(vary_add(&s->vary, &bench->arena, s->script, what, &err), &err);
}

static void an_edge_is_where_the_grid_has_it(void **state)
{
  struct played_bench *bench = *state;
  struct sweep s = late(bench);
  struct sweep_records grid = {0};
  struct sweep_record below, above;
  struct sim_error err;
  bool found;
  vary(bench, &s, "wait.run=250us..450us/1us");
  uint64_t points = vary_count(&s.vary);
  assert_int_equal(points, 201);
  sweep_all(&s, points, &grid);
  sweep_good(sweep_edge(&s, points, &below, &above, &found, &err), &err);
  assert_true(found);
  uint64_t last_held = 0;
  for (size_t i = 0; i < grid.count; i++)
    if (grid.list[i].answer.class == CLASS_HELD) last_held = grid.list[i].last;
  assert_int_equal(below.first, last_held);
  assert_int_equal(above.first, last_held + 1);
  assert_int_equal(above.answer.class, CLASS_FAILED);
  sweep_records_free(&grid);
}

/* Where the boot ROM drives its first pin is known from a plain run. */
static void the_edge_is_exact_to_the_instruction(void **state)
{
  struct played_bench *bench = *state;
  struct sweep s = late(bench);
  struct sweep_record below, above;
  struct sim_error err;
  bool found;
  vary(bench, &s, "wait.run=100us..1ms");
  sweep_good(sweep_edge(&s, vary_count(&s.vary), &below, &above, &found, &err),
             &err);
  assert_true(found);
  assert_int_equal(above.first - below.first, 1);

  struct sweep plain = late(bench);
  struct play *play;
  vary(bench, &plain, "wait.run=1ms..1ms");
  play = played_prepare(
      vary_script(&plain.vary, &bench->arena, plain.script, 1), plain.part);
  const struct result *result = play_run(play);
  ps_t driven = result->starts[0].pins[0].at;
  /* The probe halts the core with a transfer, once it is attached. */
  ps_t halts = vary_value(&s.vary, 0, above.first) + s.part->probe.attach.typ +
               s.part->probe.transfer.typ;
  /* Whatever instruction has begun by then is still executed; the store
   * drives the pin one cycle (125 ns at 8 MHz) after it began. The wait and
   * the attach before it ended like that, too: two cycles each at most. */
  assert_true(driven - halts <= (1 + 2 + 2) * 125 * PS_PER_NS);
  assert_true(halts - driven <= 125 * PS_PER_NS);
  play_free(play);
}

static void no_edge_is_told(void **state)
{
  struct played_bench *bench = *state;
  struct sweep s = late(bench);
  struct sweep_record below, above;
  struct sim_error err;
  bool found = true;
  vary(bench, &s, "wait.run=10us..20us/1us");
  sweep_good(sweep_edge(&s, 11, &below, &above, &found, &err), &err);
  assert_false(found);
}

static void a_grid_has_all_combinations(void **state)
{
  struct played_bench *bench = *state;
  struct sweep s = late(bench);
  struct sweep_records grid = {0};
  vary(bench, &s, "wait.run=100us..200us/50us");
  vary(bench, &s, "supply.bulk=1uF..22uF/21uF");
  vary(bench, &s, "again.hold=10us..10us");
  assert_int_equal(vary_count(&s.vary), 6);
  sweep_all(&s, 6, &grid);
  static const char *const what[] = {
      "wait.run=100 us, supply.bulk=1 uF, again.hold=10 us",
      "wait.run=100 us, supply.bulk=22 uF, again.hold=10 us",
      "wait.run=150 us, supply.bulk=1 uF, again.hold=10 us",
      "wait.run=150 us, supply.bulk=22 uF, again.hold=10 us",
      "wait.run=200 us, supply.bulk=1 uF, again.hold=10 us",
      "wait.run=200 us, supply.bulk=22 uF, again.hold=10 us"};
  assert_int_equal(grid.count, 6);
  for (size_t i = 0; i < 6; i++)
    assert_string_equal(grid.list[i].what, what[i]);
  sweep_records_free(&grid);
}

static const struct wrong_row {
  const char *name;
  const char *what;
  const char *complaint;
} wrong_rows[] = {
    {"no value", "wait.run", "LABEL.key=FROM..TO/STEP"},
    {"no key", "wait=1us..2us", "LABEL.key=FROM..TO/STEP"},
    {"a label that no step has", "later.run=1us..2us", "the label of a step"},
    {"a key that the step lacks", "wait.hold=1us..2us", "a quantity that"},
    {"a key that is no quantity", "wait.until=1us..2us", "a quantity that"},
    {"a key that the supply lacks", "supply.colour=1us..2us", "bulk, ramp"},
    {"no range", "wait.run=1us", "FROM..TO"},
    {"another unit", "wait.run=1us..2V", "a time such as"},
    {"backwards", "wait.run=2us..1us", "no larger than TO"},
    {"no step at all", "wait.run=1us..2us/0us", "larger than nothing"},
    {"a step before the dots", "wait.run=1us/1us..2us", "FROM..TO"},
};

static void wrong(void **state)
{
  struct played_bench *bench = *state;
  const struct wrong_row *row = bench->row;
  struct sweep s = late(bench);
  struct sim_error err = {0};
  assert_int_equal(vary_add(&s.vary, &bench->arena, s.script, row->what, &err),
                   SIM_USAGE);
  if (!strstr(err.message, row->complaint)) fail_msg("%s", err.message);
}

/* --- corners ------------------------------------------------------------- */

/* By hand, with the ramp at once (0 is the default) and the part's file: the
 * supply rises through 1.60 V at 0; start-up 300 us (240 to 420); then 40
 * cycles of options, 6 of the check, 4 of straps, 4 of vectors at 8 MHz
 * (7.6 to 8.4): 54 cycles are 6.75 us, rounded up to edges. The expectation
 * begins at 0 and holds at the first instruction, so of 3 ms are left:
 *   typical        3000 us - 306.75 us
 *   start_up max   3000 us - 426.75 us
 *   clock min      3000 us - 300 us - 54 / 7.6 MHz (7.10526 us) */
static const char *const corner_text =
    "{ \"case\": \"Margins by hand\", \"part\": \"latched\",\n"
    "  \"board\": { \"supply\": { \"source\": \"3.0V\", \"ramp\": \"0us\" } "
    "},\n"
    "  \"steps\": [ { \"power\": \"on\" },\n"
    "    { \"expect\": { \"region\": \"rom\", \"within\": \"3ms\" } } ] }\n";

static const struct corner *corner_named(const struct corners *c,
                                         const char *path, const char *which)
{
  for (uint32_t i = 0; i < c->corner_count; i++)
    if (strcmp(c->corners[i].number->path, path) == 0 &&
        strcmp(c->corners[i].which, which) == 0)
      return &c->corners[i];
  fail_msg("no corner %s %s", path, which);
  return NULL;
}

static void margins_are_what_is_left_by_hand(void **state)
{
  struct played_bench *bench = *state;
  struct corners c;
  struct sim_error err;
  const struct case_script *script =
      played_case(bench, played_text_file(bench, "corner.json", corner_text));
  sweep_good(corners_play(script, played_part(bench, PLAYED_LATCHED),
                          &bench->arena, &c, &err),
             &err);
  assert_int_equal(c.margin_count, 1);
  assert_int_equal(c.margins[0].step, 1);
  assert_int_equal(c.margins[0].typical, 3 * PS_PER_MS - 306750 * PS_PER_NS);
  assert_int_equal(c.margins[0].least, 3 * PS_PER_MS - 426750 * PS_PER_NS);
  assert_ptr_equal(&c.corners[c.margins[0].corner],
                   corner_named(&c, "power.start_up", "max"));
  assert_true(corner_named(&c, "power.start_up", "min")->matters);
  assert_true(corner_named(&c, "clock.sources[0].frequency", "min")->matters);
  assert_false(corner_named(&c, "pins.drive_resistance", "max")->matters);
  assert_false(corner_named(&c, "clock.sources[1].frequency", "min")->matters);
  assert_true(corner_named(&c, "power.start_up", "max")->held);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(wrong_rows) + 5] = {
      PLAYED_TEST(an_edge_is_where_the_grid_has_it),
      PLAYED_TEST(the_edge_is_exact_to_the_instruction),
      PLAYED_TEST(no_edge_is_told), PLAYED_TEST(a_grid_has_all_combinations),
      PLAYED_TEST(margins_are_what_is_left_by_hand)};
  PLAYED_ADD(tests + 5, wrong, wrong_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
