/* A person with a probe: where it is shut out, what it halts, what it leaves.
 *
 * Common practice, no source: attached with reset held, a probe finds the
 * vector and no instruction executed; late, it finds the boot ROM running and
 * its transmitter driven; in deep sleep, or with its pins taken, nobody. */
#include "core/core.h"
#include "describe/trace_kinds.h"
#include "played.h"
#include "run/machine.h"

#define CASE                                                                  \
  "{ \"case\": \"c\", \"part\": \"p\", \"images\": { \"app\": \"%s\" }, "     \
  "\"steps\": [ %s ] }"
#define IMAGE(name) FIRSTFETCH_ROOT "/images/" name "/" name ".elf"
#define ON          "{ \"power\": \"on\", \"for\": \"2ms\" }"
#define PRESET      "{ \"write\": \"app\", \"by\": \"preset\" }, "
#define HELD        "{ \"probe\": \"attach\", \"reset\": \"held\" }"

/* Something replaced in the part's file, unless NULL. */
static struct play *prepare(struct played_bench *b, const char *image,
                            const char *steps, const char *from,
                            const char *to)
{
  const char *path =
      played_text_file(b, "a.json", played_format(b, CASE, image, steps));
  char *part = played_part_text(b, PLAYED_LATCHED);
  if (from != NULL) part = played_replace(b, part, from, to);
  return played_prepare(played_case(b, path),
                        played_part(b, played_text_file(b, "p.json", part)));
}

static const struct start *last_of(const struct result *r)
{
  return &r->starts[r->start_count - 1];
}

/* --- attaching ----------------------------------------------------------- */

#define PROBE_KEY "\"memory_in_reset\": false"
#define WITH(key) PROBE_KEY ", " key

static const struct attach_row {
  const char *name, *image, *steps;
  const char *key; /* added to the part's probe section, or NULL */
  bool reaches;
  const char *text; /* of the finding, where it does not */
} attaches[] = {
    {"with reset held, the vector of the boot ROM", IMAGE("logger"),
     ON ", " HELD, NULL, true, NULL},
    {"running, what runs", IMAGE("logger"),
     PRESET ON ", { \"probe\": \"attach\" }", NULL, true, NULL},
    {"deep sleep shuts it out", IMAGE("sleeper"),
     PRESET ON ", { \"probe\": \"attach\" }", NULL, false, "sleeps deeply"},
    {"unless the part keeps its port alive", IMAGE("sleeper"),
     PRESET ON ", { \"probe\": \"attach\" }",
     WITH("\"port_in_deep_sleep\": true"), true, NULL},
    {"reset held is deep sleep's end", IMAGE("sleeper"), PRESET ON ", " HELD,
     NULL, true, NULL},
    {"taken pins shut it out", IMAGE("pin-taker"),
     PRESET ON ", { \"probe\": \"attach\" }", NULL, false,
     "taken the pins of the debug port"},
    {"a reset gives them back", IMAGE("pin-taker"), PRESET ON ", " HELD, NULL,
     true, NULL},
    {"a port that waits for the ROM is shut in reset", IMAGE("logger"),
     ON ", " HELD, WITH("\"shut_in_rom\": true"), false,
     "shut until the boot ROM"},
    {"and while the ROM runs", IMAGE("logger"),
     ON ", { \"probe\": \"attach\" }", WITH("\"shut_in_rom\": true"), false,
     "shut until the boot ROM"},
    {"and open in the application", IMAGE("logger"),
     PRESET ON ", { \"probe\": \"attach\" }", WITH("\"shut_in_rom\": true"),
     true, NULL},
};

static void attach_row(void **state)
{
  struct played_bench *b = *state;
  const struct attach_row *r = b->row;
  const char *from = r->key != NULL ? PROBE_KEY : NULL;
  struct play *play = prepare(b, r->image, r->steps, from, r->key);
  const struct result *result = play_run(play);
  assert_int_equal(last_of(result)->outcome == OUTCOME_HALTED, r->reaches);
  bool told = false;
  for (uint32_t i = 0; i < result->finding_count; i++)
    if (result->findings[i].kind == FINDING_PROBE_FAILED)
      told = r->text != NULL && strstr(result->findings[i].text, r->text);
  assert_int_equal(told, !r->reaches);
  play_free(play);
}

/* --- pins, as they are met ----------------------------------------------- */

static void pins_are_released_while_reset_is_held(void **state)
{
  struct played_bench *b = *state;
  struct play *play =
      prepare(b, IMAGE("logger"), ON ", { \"reset\": \"hold\" }", NULL, NULL);
  play_run(play);
  const struct pins *pins = &play_machine(play)->chip.pins;
  assert_int_equal(pins->shown, 0);
  play_free(play);
}

static void late_the_rom_runs_and_its_transmitter_is_driven(void **state)
{
  struct played_bench *b = *state;
  struct play *play = prepare(b, IMAGE("logger"),
                              ON ", { \"probe\": \"attach\", \"reset\": "
                                 "\"pulsed\", \"after\": \"1ms\" }",
                              NULL, NULL);
  const struct start *s = last_of(play_run(play));
  assert_int_equal(s->cause, CAUSE_PIN);
  assert_true(s->rom_instructions > 1000);
  assert_string_equal(s->pins[0].pin, "P9");
  assert_true(s->pins[0].high);
  play_free(play);
}

/* --- the core under the probe -------------------------------------------- */

static void steps_are_instructions(void **state)
{
  struct played_bench *b = *state;
  struct play *play =
      prepare(b, IMAGE("logger"),
              ON ", " HELD ", { \"probe\": \"step\", \"count\": "
                 "5 }",
              NULL, NULL);
  const struct start *s = last_of(play_run(play));
  assert_int_equal(s->instructions, 5);
  assert_int_equal(s->outcome, OUTCOME_HALTED);
  play_free(play);
}

static void registers_are_set_and_read(void **state)
{
  struct played_bench *b = *state;
  struct play *play = prepare(
      b, IMAGE("logger"),
      ON ", " HELD ", { \"probe\": \"set\", \"register\": \"r7\", \"value\": "
         "\"0x1234\" }, { \"probe\": \"read\", \"register\": \"r7\" }, "
         "{ \"expect\": { \"read\": \"0x1234\" } }, "
         "{ \"probe\": \"read\", \"register\": \"basepri\" }",
      NULL, NULL);
  const struct result *result = play_run(play);
  assert_int_equal(result->held, 1);
  assert_int_equal(result->finding_count, 2); /* no basepri; the ROM ran */
  play_free(play);
}

/* A reset whose row loses debug state runs through its catch. */
static const struct reset_row {
  const char *name, *step, *from, *to;
  enum cause cause;
  enum outcome outcome;
} resets[] = {
    {"by the line", "{ \"probe\": \"reset\", \"catch\": true }", NULL, NULL,
     CAUSE_PIN, OUTCOME_HALTED},
    {"by request",
     "{ \"probe\": \"reset\", \"by\": \"request\", \"catch\": true }", NULL,
     NULL, CAUSE_SOFTWARE, OUTCOME_HALTED},
    {"of the core alone",
     "{ \"probe\": \"reset\", \"by\": \"core\", \"catch\": true }", NULL, NULL,
     CAUSE_CORE_ONLY, OUTCOME_HALTED},
    {"without catch it runs", "{ \"probe\": \"reset\" }", NULL, NULL,
     CAUSE_PIN, OUTCOME_RUNNING},
    {"a request that takes debug state away is not caught",
     "{ \"probe\": \"reset\", \"by\": \"request\", \"catch\": true }",
     "{ \"cause\": \"software\", \"options\": \"keep\", \"latch\": \"keep\", "
     "\"straps\": \"sample\", \"alias\": \"select\", \"ram\": \"keep\", "
     "\"backup\": \"keep\", \"debug\": \"keep\"",
     "{ \"cause\": \"software\", \"options\": \"keep\", \"latch\": \"keep\", "
     "\"straps\": \"sample\", \"alias\": \"select\", \"ram\": \"keep\", "
     "\"backup\": \"keep\", \"debug\": \"lose\"",
     CAUSE_SOFTWARE, OUTCOME_RUNNING},
};

static void reset_row(void **state)
{
  struct played_bench *b = *state;
  const struct reset_row *r = b->row;
  const char *steps = played_format(
      b, PRESET ON ", " HELD ", %s, { \"run\": \"1ms\" }", r->step);
  struct play *play = prepare(b, IMAGE("logger"), steps, r->from, r->to);
  const struct start *s = last_of(play_run(play));
  assert_int_equal(s->cause, r->cause);
  assert_int_equal(s->outcome, r->outcome);
  if (r->outcome == OUTCOME_HALTED) assert_int_equal(s->instructions, 0);
  play_free(play);
}

/* --- load and go, and what stays ----------------------------------------- */

static bool finds(const struct result *r, enum finding_kind kind)
{
  for (uint32_t i = 0; i < r->finding_count; i++)
    if (r->findings[i].kind == kind) return true;
  return false;
}

static void load_and_go_is_a_start_of_its_own(void **state)
{
  struct played_bench *b = *state;
  struct play *play =
      prepare(b, IMAGE("logger"),
              ON ", " HELD ", { \"write\": \"app\" }, { \"probe\": \"start\", "
                 "\"image\": \"app\" }, { \"run\": \"1ms\" }",
              NULL, NULL);
  const struct result *result = play_run(play);
  const struct start *s = last_of(result);
  assert_int_equal(s->how, START_PROBE);
  assert_string_equal(s->region, "flash");
  assert_int_equal(s->sp, 0x20001800);
  assert_string_equal(s->symbol, "start");
  assert_string_equal(s->reached[0], "main");
  assert_false(s->landing.landed);
  assert_true(finds(result, FINDING_LOAD_AND_GO));
  play_free(play);
}

static const struct residue_row {
  const char *name, *detach, *then;
  bool enabled, told;
} residues[] = {
    {"a probe leaves debug enable behind", "\"leaves\": \"debug\"",
     "{ \"reset\": \"pin\" }", true, true},
    {"unless it cleans up", "\"leaves\": \"nothing\"",
     "{ \"reset\": \"pin\" }", false, false},
    {"a power-on takes it away", "\"leaves\": \"debug\"",
     "{ \"power\": \"off\", \"for\": \"10s\" }, { \"power\": \"on\" }", false,
     false},
};

static void residue_row(void **state)
{
  struct played_bench *b = *state;
  const struct residue_row *r = b->row;
  const char *steps =
      played_format(b,
                    PRESET ON ", " HELD ", { \"probe\": \"detach\", %s }, %s, "
                              "{ \"run\": \"2ms\" }",
                    r->detach, r->then);
  struct play *play = prepare(b, IMAGE("logger"), steps, NULL, NULL);
  const struct result *result = play_run(play);
  assert_int_equal(play_machine(play)->chip.core.debug_enabled, r->enabled);
  assert_int_equal(finds(result, FINDING_RESIDUE), r->told);
  play_free(play);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      PLAYED_TEST(pins_are_released_while_reset_is_held),
      PLAYED_TEST(late_the_rom_runs_and_its_transmitter_is_driven),
      PLAYED_TEST(steps_are_instructions),
      PLAYED_TEST(registers_are_set_and_read),
      PLAYED_TEST(load_and_go_is_a_start_of_its_own),
  };
  struct CMUnitTest
      tests[ROWS_COUNT(attaches) + ROWS_COUNT(resets) + ROWS_COUNT(residues)];
  size_t n = PLAYED_ADD(tests, attach_row, attaches);
  n += PLAYED_ADD(tests + n, reset_row, resets);
  n += PLAYED_ADD(tests + n, residue_row, residues);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
