/* The RAM loader: it runs on the core, so locks, keys, refusals and busy times
 * are the controller's; and afterwards all is as it was. */
#include "describe/names.h"
#include "played.h"
#include "run/machine.h"

#define LOGGER  FIRSTFETCH_ROOT "/images/logger/logger.elf"
#define LOADER  FIRSTFETCH_ROOT "/images/ram-loader/ram-loader.elf"
#define SLEEPER FIRSTFETCH_ROOT "/images/sleeper/sleeper.elf"

#define CASE                                                                  \
  "{ \"case\": \"c\", \"part\": \"p\", \"images\": { \"app\": \"" LOGGER      \
  "\", \"other\": \"" SLEEPER "\", \"loader\": \"" LOADER                     \
  "\" }, \"steps\": [ { \"power\": \"on\", \"for\": \"1ms\" }, "              \
  "{ \"probe\": \"attach\", \"reset\": \"held\" }, %s ] }"

static struct play *play_steps(struct played_bench *b, const char *part,
                               const char *steps)
{
  const char *path =
      played_text_file(b, "a.json", played_format(b, CASE, steps));
  const char *model =
      played_format(b, "%s/models/%s.json", FIRSTFETCH_ROOT, part);
  return played_prepare(played_case(b, path), played_part(b, model));
}

static const uint8_t *flash_of(struct play *play, size_t *size)
{
  const struct chip *c = &play_machine(play)->chip;
  uint32_t flash = part_memory_of(c->part, MEMORY_FLASH);
  *size = c->part->memory[flash].size;
  return c->memory.bytes[flash];
}

static uint32_t failures(const struct result *r)
{
  uint32_t count = 0;
  for (uint32_t i = 0; i < r->finding_count; i++)
    count += r->findings[i].kind == FINDING_PROBE_FAILED;
  return count;
}

/* --- the same flash as without it, on every kind of controller ----------- */

static const struct part_row {
  const char *name; /* of the part */
} parts[] = {
    {"latched"},  {"latched-clearable"}, {"checked"},
    {"strapped"}, {"rom-first"},
};

static void part_row(void **state)
{
  struct played_bench *b = *state;
  const struct part_row *r = b->row;
  size_t size, same;
  struct play *plain = play_steps(b, r->name,
                                  "{ \"write\": \"other\" }, "
                                  "{ \"write\": \"app\" }");
  assert_int_equal(failures(play_run(plain)), 0);
  struct play *loaded =
      play_steps(b, r->name,
                 "{ \"write\": \"other\", \"through\": \"loader\" }, "
                 "{ \"write\": \"app\", \"through\": \"loader\" }");
  const struct result *result = play_run(loaded);
  assert_int_equal(failures(result), 0);
  const uint8_t *want = flash_of(plain, &size);
  assert_memory_equal(flash_of(loaded, &same), want, size);
  assert_int_not_equal(want[0], 0xff);
  /* what it executed belongs to nobody, and the core stands where it stood */
  const struct start *last = &result->starts[result->start_count - 1];
  assert_int_equal(last->instructions, 0);
  assert_int_equal(last->outcome, OUTCOME_HALTED);
  assert_int_equal(last->stop_pc, last->pc);
  assert_false(last->landing.landed);
  assert_int_equal(play_machine(loaded)->chip.core.r[15], last->pc);
  assert_int_equal(play_machine(loaded)->chip.core.r[13], last->sp);
  play_free(plain);
  play_free(loaded);
}

/* --- what it can't do ---------------------------------------------------- */

static const struct refused_row {
  const char *name, *steps, *text;
} refused[] = {
    {"what is not erased is refused by the controller",
     "{ \"write\": \"other\" }, { \"write\": \"app\", \"erase\": \"none\", "
     "\"through\": \"loader\" }",
     "the part refused"},
    {"a core that runs is no place for it",
     "{ \"probe\": \"go\" }, { \"write\": \"app\", \"through\": \"loader\" }",
     "the core is not halted"},
};

static void refused_row(void **state)
{
  struct played_bench *b = *state;
  const struct refused_row *r = b->row;
  struct play *play = play_steps(b, "latched", r->steps);
  const struct result *result = play_run(play);
  bool told = false;
  for (uint32_t i = 0; i < result->finding_count; i++)
    told |= strstr(result->findings[i].text, r->text) != NULL;
  assert_true(told);
  play_free(play);
}

static void an_image_that_is_no_loader_is_a_mistake(void **state)
{
  struct played_bench *b = *state;
  const char *path = played_text_file(
      b, "a.json",
      played_format(b, CASE,
                    "{ \"write\": \"app\", \"through\": \"other\" }"));
  struct play *play;
  struct sim_error err;
  const struct play_options options = {.judge = true};
  assert_int_equal(play_prepare(played_case(b, path),
                                played_part(b, PLAYED_LATCHED), &options,
                                &play, &err),
                   SIM_REFERENCE);
  assert_string_equal(err.path, "steps[2]");
  assert_string_equal(err.message,
                      "the loader is not in RAM; expected an image that lies "
                      "there");
}

/* Its orders take the controller's time: a page that is erased in 21 ms and
 * 122 words of 52 us each. */
static void busy_times_count(void **state)
{
  struct played_bench *b = *state;
  struct play *play = play_steps(
      b, "latched", "{ \"write\": \"app\", \"through\": \"loader\" }");
  const struct result *result = play_run(play);
  ps_t least = 1000 * PS_PER_US + 21 * PS_PER_MS + 122 * 52 * PS_PER_US;
  assert_true(result->end > least);
  assert_true(result->end < least + 5 * PS_PER_MS);
  play_free(play);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      PLAYED_TEST(an_image_that_is_no_loader_is_a_mistake),
      PLAYED_TEST(busy_times_count),
  };
  struct CMUnitTest tests[ROWS_COUNT(parts) + ROWS_COUNT(refused)];
  size_t n = PLAYED_ADD(tests, part_row, parts);
  n += PLAYED_ADD(tests + n, refused_row, refused);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
