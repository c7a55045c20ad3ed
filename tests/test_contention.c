/* Contention: current and energy by Ohm's law, worked by hand beside each row;
 * outputs of 35 ohm, 20 mA a pin. */
#include "nets_fixture.h"

/* --- whole nets, by hand ------------------------------------------------- */

#define OUTPUT(name, mohm, state)                                             \
  .drivers = {{name, false, mohm, state, 0}}, .driver_count = 1
#define OPEN_DRAIN(name, mohm, state)                                         \
  .drivers = {{name, true, mohm, state, 0}}, .driver_count = 1
#define LED(level, drop, mohm) .has_led = true, .led = {level, drop, mohm}

/* P0 drives high, or low, for 100 us. Current in nA; energy of its driver and
 * of the whole net in nJ, if the current is above 20 mA. */
static const struct energy_row {
  const char *name;
  int64_t source_uv;
  struct case_net net;
  bool high;
  int64_t current_na;
  uint32_t part_nj, net_nj;
} energies[] = {
    /* 3.0 V in 35 ohm: 85.714 mA; 0.2571 W, all of it in the driver */
    {"a short to ground heats the driver alone",
     3000000,
     {.fixed = true, .to = NET_GROUND},
     true,
     85714286,
     25714,
     25714},
    /* 3.3 V in 75 ohm: 44 mA; 35 ohm take 67.76 mW, 75 ohm 145.2 mW */
    {"two outputs share the heat by their resistances",
     3300000,
     {OUTPUT("chip", 40 * OHM, DRIVE_LOW)},
     true,
     44000000,
     6776,
     14520},
    {"in the other direction, too",
     3300000,
     {OUTPUT("chip", 40 * OHM, DRIVE_HIGH)},
     false,
     44000000,
     6776,
     14520},
    {"an output that agrees is no matter",
     3300000,
     {OUTPUT("chip", 40 * OHM, DRIVE_LOW)},
     false,
     0,
     0,
     0},
    {"nor is one that lets go",
     3300000,
     {OUTPUT("chip", 40 * OHM, DRIVE_RELEASE)},
     true,
     0,
     0,
     0},
    {"an open drain pulls low",
     3300000,
     {OPEN_DRAIN("alarm", 40 * OHM, DRIVE_LOW)},
     true,
     44000000,
     6776,
     14520},
    {"and does not drive high",
     3300000,
     {OPEN_DRAIN("alarm", 40 * OHM, DRIVE_HIGH)},
     false,
     0,
     0,
     0},
    /* 3.0 V in 135 ohm: 22.222 mA; 17.284 mW in 35 ohm, 66.667 mW in all */
    {"100 ohm in series are not enough",
     3000000,
     {.fixed = true, .to = NET_GROUND, .series_mohm = 100 * OHM},
     true,
     22222222,
     1728,
     6667},
    /* 3.0 V in 1035 ohm */
    {"1 kohm in series is",
     3000000,
     {.fixed = true, .to = NET_GROUND, .series_mohm = 1 * KOHM},
     true,
     2898551,
     0,
     0},
    /* (3.0 - 1.8) V in 365 ohm */
    {"a diode's forward voltage is taken off",
     3000000,
     {LED(NET_GROUND, 1800000, 330 * OHM)},
     true,
     3287671,
     0,
     0},
    {"it is dark on its own side",
     3000000,
     {LED(NET_GROUND, 1800000, 330 * OHM)},
     false,
     0,
     0,
     0},
    {"a diode at the supply lights when low",
     3000000,
     {LED(NET_SUPPLY, 1800000, 330 * OHM)},
     false,
     3287671,
     0,
     0},
    {"and is dark when high",
     3000000,
     {LED(NET_SUPPLY, 1800000, 330 * OHM)},
     true,
     0,
     0,
     0},
    {"below its forward voltage nothing flows",
     1600000,
     {LED(NET_GROUND, 1800000, 330 * OHM)},
     true,
     0,
     0,
     0},
    /* 3.0 V in 10035 ohm */
    {"a pull-up against a low output",
     3000000,
     {.pull_up_mohm = 10 * KOHM},
     false,
     298954,
     0,
     0},
    {"a pull-down against a high one",
     3000000,
     {.pull_down_mohm = 10 * KOHM},
     true,
     298954,
     0,
     0},
    /* 1 kohm to ground beside 2 kohm: 666.667 ohm, in 701.667 ohm */
    {"two ways to ground add up",
     3000000,
     {.fixed = true,
      .to = NET_GROUND,
      .through_mohm = 1 * KOHM,
      .pull_down_mohm = 2 * KOHM},
     true,
     4275534,
     0,
     0},
    /* 35 ohm and 10 kohm to 3.0 V side by side, 100 ohm to ground: the net is
     * at 3.0 V * 100 / (100 + 34.878) = 2.224233 V; 0.775767 V in 35 ohm */
    {"a pull-up takes its share of a load",
     3000000,
     {.fixed = true,
      .to = NET_GROUND,
      .through_mohm = 100 * OHM,
      .pull_up_mohm = 10 * KOHM},
     true,
     22164758,
     1719,
     6673},
};

static void energy_row(void **state)
{
  const struct energy_row *r = *state;
  struct case_script script = {
      .supply = {.source_uv = r->source_uv}, .nets = {r->net}, .net_count = 1};
  script.nets[0].name = "n";
  script.nets[0].pins[0] = "P0";
  script.nets[0].pin_count = 1;
  struct sim_error err;
  struct board b;
  assert_int_equal(set_up(&b, &script, &err), SIM_OK);
  assert_int_equal(nets_current(&b.nets, 0, r->high), r->current_na);
  output(&b, 0, true, r->high, PS_PER_US);
  output(&b, 0, false, r->high, 101 * PS_PER_US);
  bool fights = r->current_na > 20 * MA;
  assert_int_equal(kept_count(&b.trace, TRACE_ENERGY), fights);
  assert_int_equal(kept_count(&b.trace, TRACE_NET_ENERGY), fights);
  if (fights) {
    assert_int_equal(kept_last(&b.trace, TRACE_ENERGY)->b, r->part_nj);
    assert_int_equal(kept_last(&b.trace, TRACE_NET_ENERGY)->b, r->net_nj);
  }
  trace_free(&b.trace);
}

/* --- who and how long ---------------------------------------------------- */

/* 3.0 V in 35 + 35 ohm: 42.857 mA */
static void two_pins_of_the_part_fight_each_other(void **state)
{
  (void)state;
  struct sim_error err;
  struct board b;
  const struct case_script s = {
      .supply = {.source_uv = 3000000},
      .nets = {{.name = "bus", .pins = {"P1", "P2"}, .pin_count = 2}},
      .net_count = 1};
  set_up(&b, &s, &err);
  output(&b, 1, true, true, 0);
  assert_int_equal(pins_sense(&b.pins), 0x6); /* P2 reads what P1 drives */
  output(&b, 2, true, false, PS_PER_US);
  assert_int_equal(kept_count(&b.trace, TRACE_CONTENTION), 2);
  assert_int_equal(kept_last(&b.trace, TRACE_CONTENTION)->b, 42);
  assert_int_equal(nets_current(&b.nets, 1, true), 42857143);
  output(&b, 1, false, true, 3 * PS_PER_US);
  assert_int_equal(kept_count(&b.trace, TRACE_CONTENTION_END), 2);
  assert_int_equal(pins_sense(&b.pins), 0x0);
  trace_free(&b.trace);
}

/* 85.714 mA for 10 us, then for 20 us through twice the resistance. */
static void energy_is_summed_over_changes(void **state)
{
  (void)state;
  const struct case_script s = {
      .supply = {.source_uv = 3000000},
      .nets = {{.name = "n",
                .pins = {"P0"},
                .pin_count = 1,
                OUTPUT("chip", 35 * OHM, DRIVE_LOW)}},
      .net_count = 1};
  struct sim_error err;
  struct board b;
  set_up(&b, &s, &err);
  output(&b, 0, true, true, 0); /* 42.857 mA: 64.286 mW here */
  nets_drive(&b.nets, 0, DRIVE_LOW, at(10 * PS_PER_US)); /* 257.143 mW */
  nets_end(&b.nets, at(30 * PS_PER_US));
  assert_int_equal(kept_last(&b.trace, TRACE_ENERGY)->b, 643 + 5143);
  assert_int_equal(kept_count(&b.trace, TRACE_CONTENTION), 1);
  assert_int_equal(kept_count(&b.trace, TRACE_CONTENTION_END), 0);
  trace_free(&b.trace);
}

static void outputs_of_other_chips_are_driven_by_name(void **state)
{
  (void)state;
  const struct case_script s = {
      .supply = {.source_uv = 3000000},
      .nets = {{.name = "n",
                .pins = {"P0"},
                .pin_count = 1,
                OUTPUT("chip", 40 * OHM, DRIVE_RELEASE)}},
      .net_count = 1};
  uint32_t net, driver;
  struct sim_error err;
  struct board b;
  set_up(&b, &s, &err);
  assert_false(nets_driver_named(&s, "chop", &net, &driver));
  assert_true(nets_driver_named(&s, "chip", &net, &driver));
  nets_drive_output(&b.nets, net, driver, DRIVE_HIGH, at(0));
  assert_int_equal(pins_sense(&b.pins), 0x1);
  nets_drive_output(&b.nets, net, driver, DRIVE_RELEASE, at(1));
  assert_int_equal(pins_sense(&b.pins), 0x0);
  trace_free(&b.trace);
}

/* Who began it is told where an instruction did. */
static void the_instruction_is_named(void **state)
{
  (void)state;
  const struct case_script s = {
      .supply = {.source_uv = 3000000},
      .nets = {{.name = "n", .pins = {"P0"}, .pin_count = 1, .fixed = true}},
      .net_count = 1};
  struct sim_error err;
  struct board b;
  set_up(&b, &s, &err);
  b.pins.by = 0x06000162;
  output(&b, 0, true, true, 0);
  b.pins.by = PINS_BY_NONE;
  const struct trace_record *t = kept_last(&b.trace, TRACE_CONTENTION_BY);
  assert_true(t != NULL && t->a == 0 && t->b == 0x06000162);
  output(&b, 0, false, true, 1);
  output(&b, 0, true, true, 2); /* by the supply, say */
  assert_int_equal(kept_count(&b.trace, TRACE_CONTENTION), 2);
  assert_int_equal(kept_count(&b.trace, TRACE_CONTENTION_BY), 1);
  trace_free(&b.trace);
}

/* Four pins of 18 mA each against a total of 60 mA. */
static void all_pins_together_have_a_limit(void **state)
{
  (void)state;
  struct part many = part;
  many.pins.total_limit = (struct quantity)EXACTLY(60 * MA);
  struct case_script s = {.supply = {.source_uv = 3000000}, .net_count = 4};
  static const char *const names[] = {"P0", "P1", "P2", "P3"};
  for (uint32_t i = 0; i < 4; i++) /* 3.0 V in 166.667 ohm */
    s.nets[i] = (struct case_net){.name = names[i],
                                  .pins = {names[i]},
                                  .pin_count = 1,
                                  .fixed = true,
                                  .through_mohm = 131667};
  struct sim_error err;
  struct board b = {0};
  kept_init(&b.trace);
  pins_init(&b.pins, &many);
  nets_init(&b.nets, &s, &many, &b.pins, &b.trace, &err);
  nets_connect(&b.nets);
  for (uint32_t i = 0; i < 4; i++) {
    assert_int_equal(kept_count(&b.trace, TRACE_OVERLOAD), 0);
    output(&b, i, true, true, (ps_t)i);
  }
  const struct trace_record *t = kept_last(&b.trace, TRACE_OVERLOAD);
  assert_true(t != NULL && t->a == 71 && t->b == 60);
  assert_int_equal(kept_count(&b.trace, TRACE_CONTENTION), 0);
  trace_free(&b.trace);
}

/* The worst: 25 ohm; a chip that lets go may drive against it. 3.3 V in 65
 * ohm: 50.769 mA. */
static void a_review_asks_for_the_worst(void **state)
{
  (void)state;
  const struct case_script s = {
      .supply = {.source_uv = 3300000},
      .nets = {{.name = "n",
                .pins = {"P0"},
                .pin_count = 1,
                OUTPUT("chip", 40 * OHM, DRIVE_RELEASE)}},
      .net_count = 1};
  struct sim_error err;
  struct board b;
  set_up(&b, &s, &err);
  struct net_meeting m = nets_meet(&b.nets, 0, true, 25 * OHM);
  assert_int_equal(m.current_na, 50769231);
  assert_int_equal(m.across_uv, 3300000);
  assert_int_equal(m.part_nw, 64437870);
  assert_in_range(m.net_nw, 167538461, 167538463);
  assert_int_equal(nets_meet(&b.nets, 1, true, 25 * OHM).current_na, 0);
  trace_free(&b.trace);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(two_pins_of_the_part_fight_each_other),
      cmocka_unit_test(energy_is_summed_over_changes),
      cmocka_unit_test(outputs_of_other_chips_are_driven_by_name),
      cmocka_unit_test(the_instruction_is_named),
      cmocka_unit_test(all_pins_together_have_a_limit),
      cmocka_unit_test(a_review_asks_for_the_worst),
  };
  struct CMUnitTest tests[ROWS_COUNT(energies)];
  ROWS_ADD(tests, energy_row, energies);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
