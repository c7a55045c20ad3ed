/* What may never happen, watched over whole runs of the boot ROM.
 *
 * The cycles at which it does what are those of images/rom/rom.c: it begins at
 * 360.083 us, drives P9 139 cycles, P4 161 and P7 172 cycles after. */
#include "played.h"

#define CASE                                                                  \
  "{ \"case\": \"c\", \"part\": \"latched\", \"images\": { \"app\": \"%s\" "  \
  "}, "                                                                       \
  "\"board\": { \"nets\": [ { \"net\": \"n\", \"pins\": [ \"P7\" ], "         \
  "\"to\": \"ground\" } ] }, \"never\": [ %s ], \"steps\": [ "                \
  "{ \"power\": \"on\" }, %s { \"run\": \"2ms\" } ] }"

#define HELD                                                                  \
  "{ \"probe\": \"attach\", \"reset\": \"held\" }, "                          \
  "{ \"write\": \"app\" }, { \"reload\": \"options\" }, "

static const struct row {
  const char *name;
  const char *never;
  const char *asked;
  const char *seen; /* NULL: it held */
  ps_t at;          /* when it was broken; 0: not looked at */
} rows[] = {
    {"the boot ROM may not run at all", "\"rom runs\"", "never: rom runs",
     "the boot ROM ran from 0x06000128 at 360.083 us", 360083333},
    {"or not for long", "{\"never\": \"rom runs\", \"beyond\": \"1ms\"}",
     "never: rom runs beyond 1 ms",
     "the boot ROM ran beyond 1 ms at "
     "1.36 ms",
     1360083333},
    {"a long time is not broken before it is over",
     "{\"never\": \"rom runs\", \"beyond\": \"2ms\"}",
     "never: rom runs beyond 2 ms", NULL, 0},
    /* 100 of the 8 MHz that it begins with: 12.5 us */
    {"or not for many cycles",
     "{\"never\": \"rom runs\", \"beyond\": \"100 cycles\"}",
     "never: rom runs beyond 100 cycles",
     "the boot ROM ran beyond 100 cycles at 372.583 us", 372583333},
    {"a pin may not be driven by the boot ROM", "\"pin driven\"",
     "never: pin driven", "the boot ROM drove P9 at 376.291 us", 0},
    {"nor one that is named", "{\"never\": \"pin driven\", \"pin\": \"P7\"}",
     "never: pin driven, P7", "the boot ROM drove P7 at 377.666 us", 0},
    {"another may", "{\"never\": \"pin driven\", \"pin\": \"P8\"}",
     "never: pin driven, P8", NULL, 0},
    {"contention", "\"contention\"", "never: contention",
     "contention with 85 mA on P7 at 377.666 us", 377666666},
    {"contention on another pin",
     "{\"never\": \"contention\", \"pin\": \"P9\"}", "never: contention, P9",
     NULL, 0},
    {"a start in a region", "{\"never\": \"start in\", \"region\": \"rom\"}",
     "never: start in rom", "a start in rom at 360.083 us", 0},
    {"a start in another", "{\"never\": \"start in\", \"region\": \"flash\"}",
     "never: start in flash", NULL, 0},
    {"no lockup where there is none", "\"lockup\"", "never: lockup", NULL, 0},
};

static const struct judgement *judged(const struct result *result,
                                      const char *asked)
{
  for (uint32_t i = 0; i < result->judgement_count; i++)
    if (strcmp(result->judgements[i].asked, asked) == 0)
      return &result->judgements[i];
  fail_msg("nothing asked \"%s\"", asked);
  return NULL;
}

static struct play *prepare(struct played_bench *b, const char *never,
                            const char *steps)
{
  const char *text = played_format(
      b, CASE, FIRSTFETCH_ROOT "/images/logger/logger.elf", never, steps);
  const char *path = played_text_file(b, "a.json", text);
  return played_prepare(played_case(b, path), played_part(b, PLAYED_LATCHED));
}

static void row(void **state)
{
  struct played_bench *b = *state;
  const struct row *r = b->row;
  struct play *play = prepare(b, r->never, "");
  const struct judgement *j = judged(play_run(play), r->asked);
  if (r->seen == NULL) {
    assert_true(j->held && !j->broken && j->seen == NULL);
  } else {
    assert_string_equal(j->seen, r->seen);
    assert_true(!j->held && j->broken);
    if (r->at != 0) assert_in_range(j->broken_at, r->at, r->at + 1);
  }
  play_free(play);
}

static void what_the_application_drives_is_not_the_rom(void **state)
{
  struct played_bench *b = *state;
  struct play *play = prepare(
      b,
      "{\"never\": \"pin driven\", \"pin\": \"P5\"}, {\"never\": \"pin "
      "driven\", \"pin\": \"P5\", \"by\": \"anything\"}",
      HELD);
  const struct result *result = play_run(play);
  assert_true(judged(result, "never: pin driven, P5")->held);
  const struct judgement *j =
      judged(result, "never: pin driven, P5, by anything");
  assert_false(j->held);
  assert_ptr_equal(strstr(j->seen, "the part drove P5 at "), j->seen);
  play_free(play);
}

static void a_lockup_is_told_with_its_pc(void **state)
{
  struct played_bench *b = *state;
  const char *path = played_text_file(
      b, "a.json",
      "{ \"case\": \"c\", \"part\": \"strapped\", \"never\": [ \"lockup\" ], "
      "\"steps\": [ { \"power\": \"on\" }, { \"run\": \"2ms\" } ] }");
  struct play *play =
      played_prepare(played_case(b, path),
                     played_part(b, FIRSTFETCH_ROOT "/models/strapped.json"));
  const struct judgement *j = judged(play_run(play), "never: lockup");
  assert_false(j->held);
  assert_ptr_equal(
      strstr(j->seen, "the core locked up with PC 0xfffffffe at "), j->seen);
  play_free(play);
}

/* With reset held from power-up on, its vector is reached and nothing runs. */
static void halted_at_its_vector_is_not_running(void **state)
{
  struct played_bench *b = *state;
  const char *path = played_text_file(
      b, "a.json",
      "{ \"case\": \"c\", \"part\": \"latched\", \"never\": [ \"rom runs\", "
      "{\"never\": \"rom runs\", \"beyond\": \"1 cycle\"} ], "
      "\"steps\": [ { \"reset\": \"hold\" }, { \"power\": \"on\", \"for\": "
      "\"1ms\" }, { \"reset\": \"release\" }, "
      "{ \"probe\": \"attach\", \"reset\": \"held\" }, { \"run\": \"5ms\" }, "
      "{ \"expect\": { \"outcome\": \"halted\" } } ] }");
  struct play *play =
      played_prepare(played_case(b, path), played_part(b, PLAYED_LATCHED));
  const struct result *result = play_run(play);
  assert_true(judged(result, "never: rom runs")->held);
  assert_true(judged(result, "never: rom runs beyond 1 cycle")->held);
  play_free(play);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      PLAYED_TEST(what_the_application_drives_is_not_the_rom),
      PLAYED_TEST(a_lockup_is_told_with_its_pc),
      PLAYED_TEST(halted_at_its_vector_is_not_running),
  };
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  PLAYED_ADD(tests, row, rows);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
