/* Resets that meet: in a start-up delay, on a supply that bounces, two at one
 * instant. Every phase of the part here takes 1 us, its start-up 300 us. */
#include <string.h>

#include "register_fixture.h"
#include "rows.h"

#define US PS_PER_US
#define MS PS_PER_MS

static struct part_field nothing[] = {FIELD(0, 1, RW, NONE, 0)};
static struct part_register registers[] = {REGISTER(0x44000000, nothing, 0)};

static const struct part_reset all = {
    .present = true,
    .does = {[RESET_OPTIONS] = true,
             [RESET_LATCH] = true,
             [RESET_STRAPS] = true,
             [RESET_ALIAS] = true,
             [RESET_PINS] = true,
             [RESET_FLASH_LOCK] = true,
             [RESET_CLOCKS] = true},
    .flag = true,
};
static const struct part_reset few = {
    .present = true,
    .does = {[RESET_STRAPS] = true, [RESET_PINS] = true},
    .flag = true,
};

/* u: the rail is at 3.0 V, d: at 1.0 V, z: at 0 V, each at once. l, h: the
 * bench pulls the line, or lets go. s, w: software, a watchdog asks for a
 * reset; the part has no watchdog. */
struct event {
  char what;
  ps_t at;
};

#define FLAG(cause) (1u << CAUSE_##cause)

/* The last start, how many there were, how often options were loaded. */
static const struct reset_row {
  const char *name;
  struct event events[6];
  enum cause cause;
  ps_t at;
  size_t starts, loads;
  uint32_t flags;
} rows[] = {
    {"a power-on takes its start-up and four phases",
     {{'u', 0}},
     CAUSE_POWER_ON,
     304 * US,
     1,
     1,
     FLAG(POWER_ON)},
    {"a pin reset does not shorten the start-up",
     {{'u', 0}, {'l', 100 * US}, {'h', 120 * US}},
     CAUSE_POWER_ON,
     304 * US,
     1,
     1,
     FLAG(POWER_ON) | FLAG(PIN)},
    {"a line that stays low longer prolongs it",
     {{'u', 0}, {'l', 100 * US}, {'h', 500 * US}},
     CAUSE_POWER_ON,
     504 * US,
     1,
     1,
     FLAG(POWER_ON) | FLAG(PIN)},
    {"a line low from the beginning is no pin reset",
     {{'l', 0}, {'u', 10 * US}, {'h', 500 * US}},
     CAUSE_POWER_ON,
     504 * US,
     1,
     1,
     FLAG(POWER_ON)},
    {"a supply that bounces once still loads its options",
     {{'u', 0}, {'d', 100 * US}, {'u', 150 * US}},
     CAUSE_POWER_ON,
     454 * US,
     1,
     1,
     FLAG(POWER_ON) | FLAG(BROWN_OUT)},
    {"also where it bounces in the last phase",
     {{'u', 0}, {'d', 303500 * PS_PER_NS}, {'u', 400 * US}},
     CAUSE_POWER_ON,
     704 * US,
     1,
     2,
     FLAG(POWER_ON) | FLAG(BROWN_OUT)},
    {"a brown-out of a running part keeps them",
     {{'u', 0}, {'d', 1 * MS}, {'u', 1100 * US}},
     CAUSE_BROWN_OUT,
     1402 * US,
     2,
     1,
     FLAG(POWER_ON) | FLAG(BROWN_OUT)},
    {"off and on at once is a power-on, and clears the other flags",
     {{'u', 0},
      {'l', 500 * US},
      {'h', 501 * US},
      {'z', 1 * MS},
      {'u', 2 * MS}},
     CAUSE_POWER_ON,
     2304 * US,
     3,
     2,
     FLAG(POWER_ON)},
    {"software resets by its row",
     {{'u', 0}, {'s', 1 * MS}},
     CAUSE_SOFTWARE,
     1002 * US,
     2,
     1,
     FLAG(POWER_ON) | FLAG(SOFTWARE)},
    {"a cause that the part lacks can't happen",
     {{'u', 0}, {'w', 1 * MS}},
     CAUSE_POWER_ON,
     304 * US,
     1,
     1,
     FLAG(POWER_ON)},
    {"nor hide another of the same instant",
     {{'u', 0}, {'w', 1 * MS}, {'s', 1 * MS}},
     CAUSE_SOFTWARE,
     1002 * US,
     2,
     1,
     FLAG(POWER_ON) | FLAG(SOFTWARE)},
    {"software and pin at one instant are software with both flags",
     {{'u', 0}, {'l', 1 * MS}, {'s', 1 * MS}, {'h', 1010 * US}},
     CAUSE_SOFTWARE,
     1012 * US,
     2,
     1,
     FLAG(POWER_ON) | FLAG(SOFTWARE) | FLAG(PIN)},
    {"what is asked for without a supply is forgotten",
     {{'s', 0}, {'l', 1 * US}, {'h', 2 * US}, {'u', 10 * US}},
     CAUSE_POWER_ON,
     314 * US,
     1,
     1,
     FLAG(POWER_ON)},
};

static struct part part_here(void)
{
  struct part part = register_part(registers, 1, 4);
  part.boot = (struct part_boot){.option_load = EXACTLY(8),
                                 .blank_check = EXACTLY(8),
                                 .strap_delay = EXACTLY(8),
                                 .vector_fetch = EXACTLY(8)};
  part.power.start_up = (struct quantity)EXACTLY(300 * US);
  memset(part.resets, 0, sizeof part.resets);
  part.resets[CAUSE_POWER_ON] = all;
  part.resets[CAUSE_BROWN_OUT] = few;
  part.resets[CAUSE_SOFTWARE] = few;
  part.resets[CAUSE_PIN] = few;
  return part;
}

static void run_to(struct chip *c, ps_t until)
{
  for (ps_t next; (next = chip_next(c)) < until;)
    chip_advance(c, next);
  chip_advance(c, until);
}

static void move_rail(struct chip *c, uv_t to, ps_t at)
{
  struct rail_segment s = {
      .at = at, .until = at, .from = rail_level(&c->rail, at), .to = to};
  rail_move(&c->rail, &s);
}

static void happen(struct chip *c, const struct event *e)
{
  switch (e->what) {
  case 'u': move_rail(c, 3000000, e->at); break;
  case 'd': move_rail(c, 1000000, e->at); break;
  case 'z': move_rail(c, 0, e->at); break;
  case 'l': chip_pull_line(c, DRIVER_BENCH, true, e->at); break;
  case 'h': chip_pull_line(c, DRIVER_BENCH, false, e->at); break;
  case 's': chip_request_reset(c, CAUSE_SOFTWARE); break;
  case 'w': chip_request_reset(c, CAUSE_WATCHDOG); break;
  }
}

/* Events of one instant are all there before the chip looks. */
static void play(struct chip *c, const struct event *events)
{
  for (const struct event *e = events; e->what != '\0'; e++) {
    if (e == events || e->at != e[-1].at) run_to(c, e->at);
    happen(c, e);
    if (e[1].at != e->at) chip_advance(c, e->at);
  }
  run_to(c, 10 * MS);
}

/* Each phase begins where the one before it was left. */
static void assert_phases_follow(const struct trace *trace)
{
  const struct trace_record *t;
  uint32_t last = BOOT_OFF;
  for (size_t n = 0; (t = kept_nth(trace, TRACE_PHASE, n)) != NULL; n++) {
    assert_int_equal(t->b, last);
    last = t->a;
  }
  assert_int_equal(last, BOOT_RUNNING);
}

static void reset_row(void **state)
{
  const struct reset_row *r = *state;
  struct part part = part_here();
  struct cpu cpu = {.ops = &idle_cpu_ops};
  struct trace trace;
  struct chip chip;
  kept_init(&trace);
  chip_init(&chip, &part, &trace, &cpu);
  play(&chip, r->events);
  const struct trace_record *start = kept_last(&trace, TRACE_START);
  assert_non_null(start);
  assert_int_equal(start->a, r->cause);
  assert_int_equal(start->at, r->at);
  assert_int_equal(kept_count(&trace, TRACE_START), r->starts);
  assert_int_equal(kept_count(&trace, TRACE_OPTION), r->loads);
  assert_int_equal(kept_count(&trace, TRACE_LATCH), r->loads);
  assert_int_equal(chip.reset.flags, r->flags);
  assert_int_equal(chip.core.mode, CORE_RUNNING);
  assert_phases_follow(&trace);
  chip_free(&chip);
  trace_free(&trace);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  ROWS_ADD(tests, reset_row, rows);
  return cmocka_run_group_tests_name("rows", tests, NULL, NULL);
}
