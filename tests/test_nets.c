/* Nets: Ohm's law by hand, and who fights whom.
 *
 * Common practice, no source: a light-emitting diode behind its resistor, or
 * a pull-up, is a load and no contention; two stiff drivers that disagree are
 * one, and the current is the supply over the two resistances in series. */
#include "nets_fixture.h"

/* --- currents ------------------------------------------------------------ */

/* P0 drives low, then high, on a net tied (or not) and driven (or not). */
static const struct current_row {
  const char *name;
  int64_t source_uv;
  enum { OPEN, GROUND, SUPPLY } tie;
  int64_t through;
  enum drive_level bench;
  int64_t low_na, high_na; /* while the part drives low, high */
  bool reads_high;         /* while it drives nothing */
} currents[] = {
    {"an open net carries nothing", 3000000, OPEN, 0, DRIVE_RELEASE, 0, 0,
     false},
    /* 3.0 V / 35 ohm = 85.714286 mA */
    {"high against ground: 3.0 V in 35 ohm", 3000000, GROUND, 0, DRIVE_RELEASE,
     0, 85714286, false},
    {"low against the supply is the same", 3000000, SUPPLY, 0, DRIVE_RELEASE,
     85714286, 0, true},
    /* 3.0 V / 1035 ohm = 2.898551 mA */
    {"an LED behind 1 kohm takes 2.9 mA", 3000000, GROUND, 1 * KOHM,
     DRIVE_RELEASE, 0, 2898551, false},
    /* 3.3 V / 10035 ohm = 0.328849 mA */
    {"a pull-up of 10 kohm takes a third of one", 3300000, SUPPLY, 10 * KOHM,
     DRIVE_RELEASE, 328849, 0, true},
    /* 3.0 V / 150 ohm */
    {"115 ohm and 35 ohm at 3.0 V are the limit itself", 3000000, GROUND,
     115 * OHM, DRIVE_RELEASE, 0, 20 * MA, false},
    {"a bench driver is stiff", 3000000, OPEN, 0, DRIVE_LOW, 0, 85714286,
     false},
    {"in both directions", 3000000, OPEN, 0, DRIVE_HIGH, 85714286, 0, true},
    {"it overrules the resistor that is there", 3000000, GROUND, 1 * KOHM,
     DRIVE_HIGH, 85714286, 0, true},
    {"and agrees with it", 3000000, GROUND, 1 * KOHM, DRIVE_LOW, 0, 85714286,
     false},
    /* 10 V / 100 Mohm */
    {"the largest resistance leaves 100 nA", 10000000, GROUND, 100000 * KOHM,
     DRIVE_RELEASE, 0, 100, false},
};

static void current_row(void **state)
{
  const struct current_row *r = *state;
  const struct case_script script = {
      .supply = {.source_uv = r->source_uv},
      .nets = {{.name = "n",
                .pins = {"P0"},
                .pin_count = 1,
                .fixed = r->tie != OPEN,
                .to = r->tie == SUPPLY ? NET_SUPPLY : NET_GROUND,
                .through_mohm = r->through}},
      .net_count = 1};
  struct sim_error err;
  struct board b;
  assert_int_equal(set_up(&b, &script, &err), SIM_OK);
  if (r->bench != DRIVE_RELEASE) nets_drive(&b.nets, 0, r->bench, at(0));
  assert_int_equal(pins_sense(&b.pins) & 1, r->reads_high);
  assert_int_equal(nets_current(&b.nets, 0, false), r->low_na);
  assert_int_equal(nets_current(&b.nets, 0, true), r->high_na);
  /* P0 drives low for 30 us, high for 50 us; a fight is told with its whole
   * milliamperes and, at its end, its microseconds */
  bool low = r->low_na > 20 * MA, high = r->high_na > 20 * MA;
  output(&b, 0, true, false, 20 * PS_PER_US);
  assert_int_equal(kept_count(&b.trace, TRACE_CONTENTION), low);
  output(&b, 0, true, true, 50 * PS_PER_US);
  assert_int_equal(kept_count(&b.trace, TRACE_CONTENTION), low + high);
  output(&b, 0, false, true, 100 * PS_PER_US);
  assert_int_equal(kept_count(&b.trace, TRACE_CONTENTION_END), low + high);
  const struct trace_record *t = kept_last(&b.trace, TRACE_CONTENTION);
  if (t != NULL)
    assert_true(t->a == 0 && t->b == 85 &&
                t->at == (high ? 50 : 20) * PS_PER_US);
  t = kept_last(&b.trace, TRACE_CONTENTION_END);
  if (t != NULL) assert_true(t->a == 0 && t->b == (high ? 50 : 30));
  trace_free(&b.trace);
}

/* --- several pins -------------------------------------------------------- */

static const struct case_script shared = {
    .supply = {.source_uv = 3000000},
    .nets = {{.name = "bus", .pins = {"P1", "P2"}, .pin_count = 2},
             {.name = "led",
              .pins = {"P3"},
              .pin_count = 1,
              .fixed = true,
              .to = NET_GROUND,
              .through_mohm = 1 * KOHM}},
    .net_count = 2,
};

static void the_bench_reaches_every_pin_of_a_net(void **state)
{
  (void)state;
  struct sim_error err;
  struct board b;
  set_up(&b, &shared, &err);
  output(&b, 2, true, false, 0);
  nets_drive(&b.nets, 1, DRIVE_HIGH, at(PS_PER_US));
  assert_int_equal(pins_sense(&b.pins), 0x2);
  const struct trace_record *t = kept_last(&b.trace, TRACE_CONTENTION);
  assert_true(t != NULL && t->a == 2 && t->b == 85 && t->at == PS_PER_US);
  nets_drive(&b.nets, 2, DRIVE_RELEASE, at(8 * PS_PER_US));
  assert_int_equal(pins_sense(&b.pins), 0x0);
  t = kept_last(&b.trace, TRACE_CONTENTION_END);
  assert_true(t != NULL && t->a == 2 && t->b == 7);
  trace_free(&b.trace);
}

static void and_no_pin_of_another(void **state)
{
  (void)state;
  struct sim_error err;
  struct board b;
  set_up(&b, &shared, &err);
  nets_drive(&b.nets, 0, DRIVE_HIGH, at(0)); /* on no net, as P4 */
  assert_int_equal(pins_sense(&b.pins), 0x1);
  nets_drive(&b.nets, 3, DRIVE_HIGH, at(0));
  assert_int_equal(pins_sense(&b.pins), 0x9);
  nets_drive(&b.nets, 3, DRIVE_RELEASE, at(0));
  assert_int_equal(pins_sense(&b.pins), 0x1);
  trace_free(&b.trace);
}

static void a_fight_that_goes_on_is_told_once(void **state)
{
  (void)state;
  struct sim_error err;
  struct board b;
  set_up(&b, &shared, &err);
  output(&b, 3, true, true, 0);
  for (int i = 0; i < 3; i++)
    nets_drive(&b.nets, 3, DRIVE_LOW, at(PS_PER_US));
  assert_int_equal(kept_count(&b.trace, TRACE_CONTENTION), 1);
  pins_reset(&b.pins, at(9 * PS_PER_US), &b.trace);
  assert_int_equal(kept_count(&b.trace, TRACE_CONTENTION_END), 1);
  assert_int_equal(kept_last(&b.trace, TRACE_CONTENTION_END)->b, 8);
  trace_free(&b.trace);
}

/* --- nets that a part can't have ----------------------------------------- */

static const struct wrong_row {
  const char *name;
  struct case_net nets[2];
  uint32_t count;
  uint32_t line;
  const char *path, *message;
} wrongs[] = {
    {"a pin that the part lacks",
     {{.name = "led", .pins = {"P0", "P9"}, .pin_count = 2, .line = 7}},
     1,
     7,
     "board.nets[0].pins",
     "part plain has no pin \"P9\"; expected the name of one"},
    {"a pin on two nets",
     {{.name = "a", .pins = {"P1"}, .pin_count = 1, .line = 3},
      {.name = "b", .pins = {"P0", "P1"}, .pin_count = 2, .line = 4}},
     2,
     4,
     "board.nets[1].pins",
     "pin \"P1\" is on two nets; expected one at most"},
};

static void a_driver_called_like_a_pin(void **state)
{
  (void)state;
  const struct case_script s = {
      .file = "a.jsonc",
      .nets = {{.name = "n",
                .pins = {"P0"},
                .pin_count = 1,
                .drivers = {{.name = "P3", .line = 9}},
                .driver_count = 1}},
      .net_count = 1};
  struct sim_error err;
  struct board b;
  assert_int_equal(set_up(&b, &s, &err), SIM_REFERENCE);
  assert_int_equal(err.line, 9);
  assert_string_equal(err.path, "board.nets[0].drivers[0]");
  assert_string_equal(err.message,
                      "driver \"P3\" is called like a pin of part plain; "
                      "expected another name");
  trace_free(&b.trace);
}

static void wrong_row(void **state)
{
  const struct wrong_row *r = *state;
  struct case_script script = {.file = "a.jsonc", .net_count = r->count};
  memcpy(script.nets, r->nets, sizeof r->nets);
  struct sim_error err;
  struct board b;
  assert_int_equal(set_up(&b, &script, &err), SIM_REFERENCE);
  assert_string_equal(err.file, "a.jsonc");
  assert_int_equal(err.line, r->line);
  assert_string_equal(err.path, r->path);
  assert_string_equal(err.message, r->message);
  trace_free(&b.trace);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(the_bench_reaches_every_pin_of_a_net),
      cmocka_unit_test(and_no_pin_of_another),
      cmocka_unit_test(a_fight_that_goes_on_is_told_once),
      cmocka_unit_test(a_driver_called_like_a_pin),
  };
  struct CMUnitTest tests[ROWS_COUNT(currents) + ROWS_COUNT(wrongs)];
  size_t n = ROWS_ADD(tests, current_row, currents);
  n += ROWS_ADD(tests + n, wrong_row, wrongs);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
