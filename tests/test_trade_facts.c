/* What everybody knows who has brought up a board with a blank part on it.
 *
 * No vendor-neutral document says any of it: every row is common practice, no
 * source. What an address should be is read from the committed images
 * themselves, not from the simulator.
 */
#include "describe/trace_kinds.h"
#include "played.h"

#define POWER_ON    "{ \"power\": \"on\" },"
#define POWER_CYCLE "{ \"power\": \"off\", \"for\": \"5s\" }," POWER_ON
#define HELD        "{ \"probe\": \"attach\", \"reset\": \"held\" },"
#define ATTACH_LATE "{ \"probe\": \"attach\" }"
#define PIN_RESET   "{ \"reset\": \"pin\" },"
#define HOLD        "{ \"reset\": \"hold\" },"
#define RELOAD      "{ \"reload\": \"options\" },"
#define WRITE_LATCH "{ \"write\": \"latch\", \"value\": \"programmed\" },"
#define TO_MAIN     "{ \"run\": \"3ms\", \"until\": \"main\" }"
#define SOME_TIME   "{ \"run\": \"3ms\" }"

/* The way in that never lets the boot ROM run. */
#define BLANK_PROGRAMMED                                                      \
  POWER_ON HELD "{ \"write\": \"app\" },"                                     \
                "{ \"probe\": \"detach\" },"
/* As it came from a programmer, before assembly. */
#define RUNS_FROM_FLASH                                                       \
  "{ \"write\": \"app\", \"by\": \"preset\" }," POWER_ON TO_MAIN ","

/* One row: the last start of the steps on the part, and what else holds. */
struct fact;
struct run {
  const struct fact *fact;
  const struct part *part;
  const struct result *result;
  const struct start *last;
  uint64_t driven, high; /* pins at the end, a bit each */
  uint64_t ever;         /* driven at any time */
  uint32_t cells;        /* option words programmed */
};

struct fact {
  const char *name;
  const char *part;
  const char *steps;
  enum cause cause;
  const char *region;
  bool programmed, stale; /* what the latch or the check says */
  enum outcome outcome;
  void (*also)(const struct run *run);
};

/* --- what else holds ----------------------------------------------------- */

static bool found(const struct run *run, enum finding_kind kind)
{
  for (uint32_t i = 0; i < run->result->finding_count; i++) {
    if (run->result->findings[i].kind == kind) return true;
  }
  return false;
}

/* Words of a committed raw image. */
static uint32_t image_word(const char *name, uint32_t index)
{
  char path[256];
  snprintf(path, sizeof path, FIRSTFETCH_ROOT "/images/%s/%s.bin", name, name);
  FILE *file = fopen(path, "rb");
  assert_non_null(file);
  uint8_t b[4];
  assert_int_equal(fseek(file, 4L * (long)index, SEEK_SET), 0);
  assert_int_equal(fread(b, 1, 4, file), 4);
  fclose(file);
  return (uint32_t)b[0] | (uint32_t)b[1] << 8 | (uint32_t)b[2] << 16 |
         (uint32_t)b[3] << 24;
}

static void begins_as(const struct run *run, const char *image)
{
  assert_int_equal(run->last->sp, image_word(image, 0));
  assert_int_equal(run->last->pc, image_word(image, 1) & ~1u);
  assert_int_equal(run->last->alias_word, image_word(image, 0));
}

static void the_rom_ran(const struct run *run)
{
  begins_as(run, "rom");
  assert_true(run->last->rom_instructions > 0);
  assert_true(found(run, FINDING_ROM_RAN));
}

static void the_rom_ran_stale(const struct run *run)
{
  the_rom_ran(run);
  assert_true(found(run, FINDING_STALE_LATCH));
}

static void main_is_reached(const struct run *run)
{
  begins_as(run, "logger");
  assert_int_equal(run->last->rom_instructions, 0);
  assert_int_equal(run->last->reached_count, 1);
  assert_string_equal(run->last->reached[0], "main");
  assert_true(run->last->reached_at[0] > run->last->at);
  /* the run ended there, in the middle of at most an instruction */
  assert_in_range(run->result->end - run->last->reached_at[0], 0, PS_PER_US);
}

static void nothing_was_changed(const struct run *run)
{
  main_is_reached(run);
  assert_int_equal(run->cells, 0);
}

static void the_write_was_lost(const struct run *run)
{
  the_rom_ran_stale(run);
  assert_true(found(run, FINDING_LATCH_WRITE_LOST));
}

static void the_write_was_not_lost(const struct run *run)
{
  main_is_reached(run);
  assert_false(found(run, FINDING_LATCH_WRITE_LOST));
}

static void no_instruction_and_no_pin(const struct run *run)
{
  begins_as(run, "rom");
  assert_int_equal(run->last->stop_pc, image_word("rom", 1) & ~1u);
  assert_int_equal(run->last->instructions, 0);
  assert_int_equal(run->last->rom_instructions, 0);
  assert_int_equal(run->last->pin_count, 0);
  assert_int_equal(run->ever, 0);
  assert_false(found(run, FINDING_ROM_RAN));
}

static void transmit_is_driven_high(const struct run *run)
{
  the_rom_ran(run);
  uint32_t pin = run->part->pins.serial_transmit;
  assert_true(run->driven >> pin & 1u);
  assert_true(run->high >> pin & 1u);
  uint32_t i = 0;
  while (strcmp(run->last->pins[i].pin, run->part->pins.names[pin]) != 0) {
    assert_true(++i < run->last->pin_count);
  }
  assert_true(run->last->pins[i].high);
  assert_true(run->last->pins[i].at > run->last->at);
}

/* Halted where it was: behind its reset vector, in the ROM. */
static void caught_in_the_rom(const struct run *run)
{
  transmit_is_driven_high(run);
  const struct part_memory *rom =
      &run->part->memory[part_memory_named(run->part, "rom")];
  assert_in_range(run->last->stop_pc, rom->at, rom->at + rom->size - 1);
  assert_int_not_equal(run->last->stop_pc, run->last->pc);
}

/* Pins were driven before, or it would show nothing. */
static void no_pin_is_driven(const struct run *run)
{
  assert_int_not_equal(run->ever, 0);
  assert_int_equal(run->driven & ~run->part->pins.debug, 0);
}

static void locked_up(const struct run *run)
{
  assert_int_equal(run->last->sp, 0xfffffffc);
  assert_int_equal(run->last->pc, 0xfffffffe);
  assert_int_equal(run->last->alias_word, 0xffffffff);
  assert_int_equal(run->last->stop_pc, 0xfffffffe);
  assert_int_equal(run->last->instructions, 0);
  assert_true(found(run, FINDING_LOCKUP));
  assert_true(found(run, FINDING_STALE_ERASED));
}

/* --- the facts ----------------------------------------------------------- */

/* latch, stale */
#define BLANK       false, false
#define BLANK_STALE false, true
#define PROG        true, false
#define PROG_STALE  true, true

#define LATCHED   "latched"
#define CLEARABLE "latched-clearable"
#define CHECKED   "checked"

static const struct fact facts[] = {
    {"a blank part starts the boot ROM", LATCHED, POWER_ON SOME_TIME,
     CAUSE_POWER_ON, "rom", BLANK, OUTCOME_WAITING, the_rom_ran},
    {"so does one whose latch can be written", CLEARABLE, POWER_ON SOME_TIME,
     CAUSE_POWER_ON, "rom", BLANK, OUTCOME_WAITING, the_rom_ran},
    {"so does one that keeps no latch", CHECKED, POWER_ON SOME_TIME,
     CAUSE_POWER_ON, "rom", BLANK, OUTCOME_WAITING, the_rom_ran},

    {"a pin reset after programming still starts the boot ROM", LATCHED,
     BLANK_PROGRAMMED PIN_RESET SOME_TIME, CAUSE_PIN, "rom", BLANK_STALE,
     OUTCOME_WAITING, the_rom_ran_stale},
    {"also where the latch can be written", CLEARABLE,
     BLANK_PROGRAMMED PIN_RESET SOME_TIME, CAUSE_PIN, "rom", BLANK_STALE,
     OUTCOME_WAITING, the_rom_ran_stale},
    {"a software reset does no better", LATCHED,
     BLANK_PROGRAMMED "{ \"reset\": \"software\" }," SOME_TIME, CAUSE_SOFTWARE,
     "rom", BLANK_STALE, OUTCOME_WAITING, the_rom_ran_stale},
    {"where the check is made at every reset the application starts", CHECKED,
     BLANK_PROGRAMMED PIN_RESET TO_MAIN, CAUSE_PIN, "flash", PROG,
     OUTCOME_RUNNING, main_is_reached},

    {"a power cycle starts the application", LATCHED,
     BLANK_PROGRAMMED PIN_RESET POWER_CYCLE TO_MAIN, CAUSE_POWER_ON, "flash",
     PROG, OUTCOME_RUNNING, main_is_reached},
    {"also where the latch can be written: power cycle", CLEARABLE,
     BLANK_PROGRAMMED PIN_RESET POWER_CYCLE TO_MAIN, CAUSE_POWER_ON, "flash",
     PROG, OUTCOME_RUNNING, main_is_reached},

    {"an option reload that changes nothing starts the application", LATCHED,
     BLANK_PROGRAMMED PIN_RESET HELD RELOAD TO_MAIN, CAUSE_OPTION_RELOAD,
     "flash", PROG, OUTCOME_RUNNING, nothing_was_changed},
    {"also where the latch can be written: option reload", CLEARABLE,
     BLANK_PROGRAMMED PIN_RESET HELD RELOAD TO_MAIN, CAUSE_OPTION_RELOAD,
     "flash", PROG, OUTCOME_RUNNING, nothing_was_changed},
    {"and it lasts through the next pin reset", LATCHED,
     BLANK_PROGRAMMED PIN_RESET HELD RELOAD TO_MAIN "," PIN_RESET TO_MAIN,
     CAUSE_PIN, "flash", PROG, OUTCOME_RUNNING, nothing_was_changed},

    {"a register that sets the latch starts the application", CLEARABLE,
     BLANK_PROGRAMMED PIN_RESET HELD WRITE_LATCH PIN_RESET TO_MAIN, CAUSE_PIN,
     "flash", PROG, OUTCOME_RUNNING, the_write_was_not_lost},
    {"where there is no such register nothing changes, and that is told",
     LATCHED, BLANK_PROGRAMMED PIN_RESET HELD WRITE_LATCH PIN_RESET SOME_TIME,
     CAUSE_PIN, "rom", BLANK_STALE, OUTCOME_WAITING, the_write_was_lost},

    {"held in reset, no pin is driven that the boot ROM drove", LATCHED,
     POWER_ON SOME_TIME "," HOLD SOME_TIME, CAUSE_POWER_ON, "rom", BLANK,
     OUTCOME_RESET, no_pin_is_driven},
    {"held in reset, no pin is driven that the application drove", LATCHED,
     RUNS_FROM_FLASH SOME_TIME "," HOLD SOME_TIME, CAUSE_POWER_ON, "flash",
     PROG, OUTCOME_RESET, no_pin_is_driven},
    {"the same on a part that checks while the line is low", CLEARABLE,
     POWER_ON SOME_TIME "," HOLD SOME_TIME, CAUSE_POWER_ON, "rom", BLANK,
     OUTCOME_RESET, no_pin_is_driven},

    {"attached with reset held, a blank part stands at the ROM's vector",
     LATCHED, POWER_ON HELD SOME_TIME, CAUSE_POWER_ON, "rom", BLANK,
     OUTCOME_HALTED, no_instruction_and_no_pin},
    {"also on a part that checks while the line is low", CLEARABLE,
     POWER_ON HELD SOME_TIME, CAUSE_POWER_ON, "rom", BLANK, OUTCOME_HALTED,
     no_instruction_and_no_pin},
    {"also on a part that keeps no latch", CHECKED, POWER_ON HELD SOME_TIME,
     CAUSE_POWER_ON, "rom", BLANK, OUTCOME_HALTED, no_instruction_and_no_pin},

    {"attached late, the boot ROM is running and drives its transmitter",
     LATCHED, POWER_ON "{ \"run\": \"2ms\" }," ATTACH_LATE, CAUSE_POWER_ON,
     "rom", BLANK, OUTCOME_HALTED, caught_in_the_rom},
    {"attached late, also on the other part", CLEARABLE,
     POWER_ON "{ \"run\": \"2ms\" }," ATTACH_LATE, CAUSE_POWER_ON, "rom",
     BLANK, OUTCOME_HALTED, caught_in_the_rom},

    {"erased under a latch that says programmed, it locks up", LATCHED,
     RUNS_FROM_FLASH HELD "{ \"probe\": \"erase\" }," PIN_RESET SOME_TIME,
     CAUSE_PIN, "flash", PROG_STALE, OUTCOME_LOCKUP, locked_up},
    {"also where the latch can be written: erased", CLEARABLE,
     RUNS_FROM_FLASH HELD "{ \"probe\": \"erase\" }," PIN_RESET SOME_TIME,
     CAUSE_PIN, "flash", PROG_STALE, OUTCOME_LOCKUP, locked_up},
    {"where the check is made at every reset an erased part starts the ROM",
     CHECKED,
     RUNS_FROM_FLASH HELD "{ \"probe\": \"erase\" }," PIN_RESET SOME_TIME,
     CAUSE_PIN, "rom", BLANK, OUTCOME_WAITING, the_rom_ran},

    {"the boot ROM drives its transmitter, high", LATCHED, POWER_ON SOME_TIME,
     CAUSE_POWER_ON, "rom", BLANK, OUTCOME_WAITING, transmit_is_driven_high},
    {"the boot ROM drives its transmitter, high: no latch", CHECKED,
     POWER_ON SOME_TIME, CAUSE_POWER_ON, "rom", BLANK, OUTCOME_WAITING,
     transmit_is_driven_high},
};

static const char case_text[] =
    "{\n"
    "  \"case\": \"%s\",\n"
    "  \"part\": \"%s\",\n"
    "  \"images\": { \"app\": \"" FIRSTFETCH_ROOT
    "/images/logger/logger.elf\" },\n"
    "  \"board\": { \"supply\": { \"source\": \"3.0V\", "
    "\"source_resistance\": \"10ohm\", \"bulk\": \"22uF\" } },\n"
    "  \"steps\": [ %s ]\n"
    "}\n";

static void see(void *context, const struct trace_record *r)
{
  struct run *run = context;
  if (r->kind == TRACE_OPTION_CELL) run->cells++;
  if (r->kind != TRACE_PIN) return;
  uint64_t bit = UINT64_C(1) << r->a;
  run->driven = r->b == PIN_RELEASED ? run->driven & ~bit : run->driven | bit;
  run->high = r->b == PIN_DRIVEN_HIGH ? run->high | bit : run->high & ~bit;
  run->ever |= run->driven;
}

static void a_fact_holds(void **state)
{
  struct played_bench *bench = *state;
  const struct fact *fact = bench->row;
  struct run run = {.fact = fact};
  run.part = played_part(
      bench,
      played_format(bench, FIRSTFETCH_ROOT "/models/%s.json", fact->part));
  const char *text =
      played_format(bench, case_text, fact->name, fact->part, fact->steps);
  const struct case_script *script =
      played_case(bench, played_text_file(bench, "case.json", text));
  struct play *play = played_prepare(script, run.part);
  trace_listen(play_trace(play),
               TRACE_BIT(TRACE_PIN) | TRACE_BIT(TRACE_OPTION_CELL), see, &run);
  run.result = play_run(play);
  assert_null(run.result->stopped);
  assert_int_not_equal(run.result->start_count, 0);
  run.last = &run.result->starts[run.result->start_count - 1];

  assert_int_equal(run.last->how, START_RESET);
  assert_int_equal(run.last->cause, fact->cause);
  assert_string_equal(run.last->region, fact->region);
  assert_true(run.last->has_latch);
  assert_int_equal(run.last->latch_programmed, fact->programmed);
  assert_int_equal(run.last->stale, fact->stale);
  assert_int_equal(run.last->outcome, fact->outcome);
  fact->also(&run);
  play_free(play);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(facts)];
  PLAYED_ADD(tests, a_fact_holds, facts);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
