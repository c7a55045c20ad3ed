/* The rail: hysteresis, and which rise is a power-on. */
#include <string.h>

#include "chip/rail.h"
#include "chip_fixture.h"
#include "rows.h"

#define V  INT64_C(1000000) /* uV */
#define MV INT64_C(1000)
#define US PS_PER_US
#define MS PS_PER_MS

/* on 1.6 V / 1.5 V, RAM 0.9 V, re-arm below 0.4 V for 20 us */
static const struct part_power usual = {
    .on_rise = EXACTLY(1600 * MV),
    .on_fall = EXACTLY(1500 * MV),
    .ram_keep = EXACTLY(900 * MV),
    .rearm_below = EXACTLY(400 * MV),
    .rearm_for = EXACTLY(20 * US),
};
/* RAM needs more than the comparator lets through. */
static const struct part_power thirsty = {
    .on_rise = EXACTLY(1600 * MV),
    .on_fall = EXACTLY(1500 * MV),
    .ram_keep = EXACTLY(1700 * MV),
    .rearm_below = EXACTLY(400 * MV),
    .rearm_for = EXACTLY(20 * US),
};
/* No hysteresis, and every level the same. */
static const struct part_power flat = {
    .on_rise = EXACTLY(1500 * MV),
    .on_fall = EXACTLY(1500 * MV),
    .ram_keep = EXACTLY(1500 * MV),
    .rearm_below = EXACTLY(1500 * MV),
    .rearm_for = EXACTLY(20 * US),
};

#define MAX_LEGS   6
#define COUNT(...) (sizeof((struct leg[]){__VA_ARGS__}) / sizeof(struct leg))

/* The rail goes to `to` in `moves` (0: at once) and stays for `stays`. */
struct leg {
  ps_t moves;
  uv_t to;
  ps_t stays;
};

/* events: P power-on, B brown-out, D down. lowest and rearm are of the last
 * RAIL_DIP; ram_lost is as it stands at the end. */
static const struct dip_row {
  const char *name;
  const struct part_power *part;
  struct leg legs[MAX_LEGS];
  size_t leg_count;
  const char *events;
  uint32_t lowest_mv, rearm_ns;
  bool ram_lost;
} rows[] = {
#define ROW(name, part, events, lowest, rearm, lost, ...)                     \
  {                                                                           \
    name, &part, {__VA_ARGS__}, COUNT(__VA_ARGS__), events, lowest, rearm,    \
        lost                                                                  \
  }
    ROW("the first rise is a power-on", usual, "P", 0, 20000, true,
        {100 * US, 3 * V, 0}),
    ROW("at 1.6 V exactly the part is up", usual, "P", 0, 20000, true,
        {0, 1600 * MV, 0}),
    ROW("one microvolt less is not enough", usual, "", 0, 0, true,
        {0, 1599999, 1 * MS}),
    ROW("what never came up can't go down", usual, "P", 0, 1000000, true,
        {0, 1550 * MV, 1 * MS}, {0, 0, 1 * MS}, {0, 3 * V, 0}),
    ROW("a dip to 1.5 V exactly is none", usual, "P", 0, 20000, true,
        {0, 3 * V, 0}, {1 * MS, 1500 * MV, 1 * MS}, {1 * MS, 3 * V, 0}),
    ROW("one microvolt deeper it is one", usual, "PDB", 1499, 0, false,
        {0, 3 * V, 0}, {1 * MS, 1499999, 0}, {1 * MS, 3 * V, 0}),
    ROW("between the two thresholds a part that is down stays down", usual,
        "PD", 0, 20000, false, {0, 3 * V, 0}, {0, 1400 * MV, 0},
        {0, 1599999, 1 * MS}),
    ROW("and comes up with the next microvolt", usual, "PDB", 1400, 0, false,
        {0, 3 * V, 0}, {0, 1400 * MV, 0}, {0, 1599999, 1 * MS},
        {0, 1600000, 0}),
    ROW("a second at 0.4 V exactly does not re-arm", usual, "PDB", 400, 0,
        true, {0, 3 * V, 0}, {0, 400 * MV, PS_PER_S}, {0, 3 * V, 0}),
    ROW("20 us below it do", usual, "PDP", 399, 20000, true, {0, 3 * V, 0},
        {0, 399999, 20 * US}, {0, 3 * V, 0}),
    ROW("a picosecond less does not", usual, "PDB", 0, 19999, true,
        {0, 3 * V, 0}, {0, 0, 20 * US - 1}, {0, 3 * V, 0}),
    /* 100 V/s both ways. Below 0.4 V: 10 us down from 0.4 V to 0.399 V, less
     * the 10 ns of the first microvolt, and 10 us up */
    ROW("a notch of 1 mV at 100 V/s is 10 ns too short", usual, "PDB", 399,
        19990, true, {0, 3 * V, 0}, {26010 * US, 399 * MV, 0},
        {26010 * US, 3 * V, 0}),
    ROW("one microvolt deeper it is 10 ns longer than needed", usual, "PDP",
        398, 20010, true, {0, 3 * V, 0}, {26010010 * PS_PER_NS, 398999, 0},
        {26010010 * PS_PER_NS, 3 * V, 0}),
    ROW("two times 15 us are not 20 us", usual, "PDB", 300, 15000, true,
        {0, 3 * V, 0}, {0, 300 * MV, 15 * US}, {0, 500 * MV, 1 * MS},
        {0, 300 * MV, 15 * US}, {0, 3 * V, 0}),
    ROW("what has re-armed stays so through a shorter notch", usual, "PDP",
        300, 25000, true, {0, 3 * V, 0}, {0, 300 * MV, 25 * US},
        {0, 500 * MV, 1 * MS}, {0, 300 * MV, 1 * US}, {0, 3 * V, 0}),
    ROW("a power-on uses it up", usual, "PDPDB", 1000, 0, false, {0, 3 * V, 0},
        {0, 0, 1 * MS}, {0, 3 * V, 0}, {0, 1 * V, 0}, {0, 3 * V, 0}),
    ROW("the lowest level is that of the deepest notch", usual, "PDB", 950, 0,
        false, {0, 3 * V, 0}, {1 * MS, 1200 * MV, 0}, {1 * MS, 1550 * MV, 0},
        {1 * MS, 950 * MV, 0}, {1 * MS, 1100 * MV, 0}, {1 * MS, 3 * V, 0}),
    ROW("and of this excursion only", usual, "PDBDB", 1200, 0, false,
        {0, 3 * V, 0}, {0, 100 * MV, 0}, {0, 3 * V, 0}, {1 * MS, 1200 * MV, 0},
        {1 * MS, 3 * V, 0}),
    ROW("RAM keeps its content at 0.9 V exactly", usual, "PD", 0, 20000, false,
        {0, 3 * V, 0}, {1 * MS, 900 * MV, PS_PER_S}),
    ROW("and loses it one microvolt below", usual, "PD", 0, 20000, true,
        {0, 3 * V, 0}, {1 * MS, 899999, 0}),
    ROW("also where the rail falls at once", usual, "PD", 0, 20000, true,
        {0, 3 * V, 0}, {0, 0, 0}),
    ROW("coming back does not bring it back", usual, "PDB", 0, 0, true,
        {0, 3 * V, 0}, {0, 0, 0}, {0, 1200 * MV, 0}, {0, 3 * V, 0}),
    ROW("RAM that needs more than the comparator is lost before the fall",
        thirsty, "PD", 0, 20000, true, {0, 3 * V, 0}, {1 * MS, 1400 * MV, 0}),
    ROW("with one level for all a rise after 20 us is a power-on", flat, "PDP",
        1499, 20000, true, {0, 3 * V, 0}, {0, 1499999, 20 * US},
        {0, 1500 * MV, 0}),
    ROW("and after less a brown-out", flat, "PDB", 1499, 19000, true,
        {0, 3 * V, 0}, {0, 1499999, 19 * US}, {0, 1500 * MV, 0}),
#undef ROW
};

static void note(char *events, enum rail_event e)
{
  static const char letters[] = {
      [RAIL_DOWN] = 'D', [RAIL_POWER_ON] = 'P', [RAIL_BROWN_OUT] = 'B'};
  size_t length = strlen(events);
  if (e == RAIL_NOTHING) return;
  assert_true(length < 15);
  events[length] = letters[e];
  events[length + 1] = '\0';
}

static void dip_row(void **state)
{
  const struct dip_row *r = *state;
  struct rail rail;
  struct trace trace;
  char events[16] = "";
  ps_t now = 0;
  uv_t level = 0;
  kept_init(&trace);
  rail_init(&rail, r->part);
  for (size_t i = 0; i < r->leg_count; i++) {
    const struct leg *leg = &r->legs[i];
    rail_move(&rail, &(struct rail_segment){.at = now,
                                            .until = now + leg->moves,
                                            .from = level,
                                            .to = leg->to});
    now += leg->moves + leg->stays;
    level = leg->to;
    for (ps_t at; (at = rail_next(&rail)) <= now;)
      note(events, rail_advance(&rail, (struct moment){at, 0}, &trace));
    rail_advance(&rail, (struct moment){now, 0}, &trace);
  }
  assert_string_equal(events, r->events);
  assert_int_equal(rail.ram_lost, r->ram_lost);
  const struct trace_record *dip = kept_last(&trace, TRACE_RAIL_DIP);
  assert_int_equal(dip != NULL, strpbrk(events, "PB") != NULL);
  if (dip != NULL) {
    assert_int_equal(dip->a, r->lowest_mv);
    assert_int_equal(dip->b, r->rearm_ns);
  }
  trace_free(&trace);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  ROWS_ADD(tests, dip_row, rows);
  return cmocka_run_group_tests_name("rows", tests, NULL, NULL);
}
