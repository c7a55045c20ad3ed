/* What is told of the places of a start on a real run: file and line, faults,
 * bytes of code.
 *
 * References: the sources and raw images as committed; that a HardFault
 * returns to the instruction that faulted is ARM DDI 0419E B1.5.6 and Table
 * B1-6.
 */
#include "played.h"

#define IMAGES FIRSTFETCH_ROOT "/images/"

static const char the_case[] =
    "{ \"case\": \"Places\", \"part\": \"latched\",\n"
    "  \"images\": { \"app\": \"" IMAGES "%s\" },\n"
    "  \"steps\": [ { \"write\": \"app\", \"by\": \"preset\" },\n"
    "    { \"power\": \"on\" },\n"
    "    %s ] }\n";

static const struct result *play_steps(struct played_bench *bench,
                                       const char *image, const char *steps,
                                       struct play **play)
{
  const char *path = played_text_file(
      bench, "case.json", played_format(bench, the_case, image, steps));
  *play = played_prepare(played_case(bench, path),
                         played_part(bench, PLAYED_LATCHED));
  return play_run(*play);
}

/* The bytes of `code` are those of a raw image that begins at `base`. */
static void assert_code(struct played_bench *bench,
                        const struct code_bytes *code, const char *raw,
                        addr_t base, addr_t at, uint32_t before,
                        uint32_t count)
{
  size_t length;
  char *path = played_format(bench, IMAGES "%s", raw);
  const uint8_t *bytes = played_bytes(bench, path, &length);
  assert_int_equal(code->at, at);
  assert_int_equal(code->from, at - before);
  assert_int_equal(code->count, count);
  /* behind the image the memory is as it was */
  size_t offset = code->from - base;
  assert_true(code->at - base < length);
  assert_memory_equal(code->bytes, bytes + offset,
                      count < length - offset ? count : length - offset);
}

#define FLASH 0x04000000u
#define ROM   0x06000000u

static void a_start_has_its_line_and_code(void **state)
{
  struct played_bench *bench = *state;
  struct play *play;
  const struct result *r =
      play_steps(bench, "logger-with-lines/logger-with-lines.elf",
                 "{ \"run\": \"1ms\" }", &play);
  const struct start *s = &r->starts[0];
  assert_string_equal(s->source, "start.S:19"); /* ldr r0, =stack_top */
  assert_code(bench, &s->code, "logger/logger.bin", FLASH, s->pc, 0, 24);
  assert_false(start_has_stopped(s));
  assert_null(s->fault.exception);
  play_free(play);
}

static void a_halt_has_its_line_and_code(void **state)
{
  struct played_bench *bench = *state;
  struct play *play;
  const struct result *r =
      play_steps(bench, "logger-with-lines/logger-with-lines.elf",
                 "{ \"run\": \"3ms\", \"until\": \"pause\" }, { \"run\": "
                 "\"100us\" }, { \"probe\": \"attach\" }",
                 &play);
  const struct start *s = &r->starts[0];
  assert_int_equal(s->outcome, OUTCOME_HALTED);
  assert_true(start_has_stopped(s));
  assert_code(bench, &s->stop_code, "logger/logger.bin", FLASH, s->stop_pc, 32,
              40);
  assert_memory_equal(s->stop_source, "main.c:", 7);
  play_free(play);
}

/* The image of the ROM has no DWARF. Its code is seen at 0, too. */
static void a_wait_has_its_code(void **state)
{
  struct played_bench *bench = *state;
  struct play *play;
  const struct result *r =
      play_steps(bench, "logger-at-offset/logger-at-offset.elf",
                 "{ \"run\": \"1ms\" }", &play);
  const struct start *s = &r->starts[0];
  assert_int_equal(s->outcome, OUTCOME_WAITING);
  assert_null(s->source);
  assert_null(s->waits_source);
  assert_code(bench, &s->code, "rom/rom.bin", ROM, s->pc, 0, 24);
  assert_code(bench, &s->stop_code, "rom/rom.bin", ROM, s->waits_pc, 32, 40);
  play_free(play);
}

/* What was there when it was its turn, not what is there in the end. */
static void code_is_that_of_its_time(void **state)
{
  struct played_bench *bench = *state;
  struct play *play;
  const struct result *r = play_steps(
      bench, "logger/logger.elf",
      "{ \"run\": \"1ms\" }, { \"probe\": \"attach\" }, { \"probe\": "
      "\"erase\" }, { \"reset\": \"pin\" }, { \"run\": \"1ms\" }",
      &play);
  assert_int_equal(r->start_count, 2);
  const struct start *s = &r->starts[0];
  assert_code(bench, &s->code, "logger/logger.bin", FLASH, s->pc, 0, 24);
  assert_code(bench, &s->stop_code, "logger/logger.bin", FLASH, s->stop_pc, 32,
              40);
  /* the second began erased flash: nothing can be read at its vectors */
  assert_int_equal(r->starts[1].outcome, OUTCOME_LOCKUP);
  assert_int_equal(r->starts[1].code.count, 0);
  assert_int_equal(r->starts[1].stop_code.count, 0);
  play_free(play);
}

static void a_landing_has_its_code(void **state)
{
  struct played_bench *bench = *state;
  const struct case_script *script =
      played_case(bench, FIRSTFETCH_ROOT "/traces/rom-first-lands.jsonc");
  struct play *play = played_prepare(
      script, played_part(bench, FIRSTFETCH_ROOT "/models/rom-first.json"));
  const struct result *r = play_run(play);
  for (uint32_t i = 0; i < r->start_count; i++) {
    const struct start *s = &r->starts[i];
    assert_code(bench, &s->code, "rom-checking/rom-checking.bin", ROM, s->pc,
                0, 24);
    assert_code(bench, &s->landing_code, "logger-headed/logger-headed.bin",
                FLASH, s->landing.pc, 0, 24);
  }
  play_free(play);
}

static void a_handover_has_its_code(void **state)
{
  struct played_bench *bench = *state;
  struct play *play;
  const struct result *r = play_steps(bench, "jumps-to-rom/jumps-to-rom.elf",
                                      "{ \"run\": \"1ms\" }", &play);
  assert_int_equal(r->start_count, 2);
  const struct start *s = &r->starts[1];
  assert_int_equal(s->how, START_HANDOVER);
  assert_code(bench, &s->code, "rom/rom.bin", ROM, s->pc, 0, 24);
  assert_false(start_has_stopped(&r->starts[0]));
  play_free(play);
}

/* An even reset vector: the first instruction faults. */
static void a_fault_is_told(void **state)
{
  struct played_bench *bench = *state;
  struct play *play;
  const struct result *r = play_steps(bench, "bad-vectors/bad-vectors.elf",
                                      "{ \"run\": \"1ms\" }", &play);
  const struct start *s = &r->starts[0];
  assert_string_equal(s->fault.exception, "HardFault");
  assert_int_equal(s->fault.pc, s->pc);
  assert_string_equal(s->fault.symbol, s->symbol);
  assert_null(s->fault.source);
  assert_true(s->fault.at >= s->at);
  assert_int_equal(s->outcome, OUTCOME_RUNNING); /* in its handler */
  play_free(play);
}

int main(void)
{
  static const struct CMUnitTest tests[] = {
      PLAYED_TEST(a_start_has_its_line_and_code),
      PLAYED_TEST(a_halt_has_its_line_and_code),
      PLAYED_TEST(a_wait_has_its_code),
      PLAYED_TEST(code_is_that_of_its_time),
      PLAYED_TEST(a_landing_has_its_code),
      PLAYED_TEST(a_handover_has_its_code),
      PLAYED_TEST(a_fault_is_told),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
