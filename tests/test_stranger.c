/* Firmware that nobody described, on parts of which no more is known than
 * core, flash and RAM.
 *
 * images/stranger/main.c is the firmware; the bits that it waits for are
 * repeated here, and no part file has them. */
#include "played.h"

#include "chip_fixture.h"
#include "describe/svd.h"
#include "report/answers.h"

#define IMAGE(name) FIRSTFETCH_ROOT "/images/" name "/" name ".elf"

/* Memory of a part, in the words of its file. */
#define RAM                                                                   \
  "{ \"name\": \"ram\", \"kind\": \"ram\", \"at\": \"0x20000000\", "          \
  "\"size\": \"4KiB\" }"
#define FLASH(name, at)                                                       \
  "{ \"name\": \"" name "\", \"kind\": \"flash\", \"at\": \"" at "\", "       \
  "\"size\": \"32KiB\" }, "
#define LOW  FLASH("flash", "0x00000000") RAM
#define HIGH FLASH("flash", "0x10000000") RAM
#define TWO  FLASH("flash", "0x00000000") FLASH("second", "0x18000000") RAM
/* RAM larger than the room below the flash. */
#define CLOSE                                                                 \
  FLASH("flash", "0x10000000")                                                \
  "{ \"name\": \"ram\", \"kind\": \"ram\", \"at\": \"0x20000000\", "          \
  "\"size\": \"16MiB\" }, { \"name\": \"low\", \"kind\": \"ram\", "           \
  "\"at\": \"0x00008000\", \"size\": \"1KiB\" }"
#define LOW_AND_HIGH FLASH("low", "0x00000000") FLASH("high", "0x10000000") RAM

#define BY_PRESET                                                             \
  "{ \"write\": \"app\", \"by\": \"preset\" }, { \"power\": \"on\" }, "
#define BY_PROBE                                                              \
  "{ \"power\": \"on\", \"for\": \"1ms\" }, "                                 \
  "{ \"probe\": \"attach\", \"reset\": \"held\" }, { \"write\": \"app\" }, "  \
  "{ \"probe\": \"detach\" }, { \"reset\": \"pin\" }, "
#define RUN "{ \"run\": \"10ms\" } "

struct stranger {
  const char *memory;
  const char *more; /* of the part file, after a comma; or "" */
  const char *image;
  const char *steps;
  const struct svd *svd;
};

/* A part and a case, played; play_free is the caller's. The trace is kept. */
static struct play *prepare(struct played_bench *bench,
                            const struct stranger *s)
{
  const char *part = played_text_file(
      bench, "part.json",
      played_format(bench,
                    "{ \"part\": \"stranger\", \"core\": { \"kind\": "
                    "\"cortex-m0\" }, \"memory\": [ %s ]%s }",
                    s->memory, s->more));
  const char *script = played_text_file(
      bench, "case.json",
      played_format(bench,
                    "{ \"case\": \"Stranger\", \"part\": \"part.json\", "
                    "\"images\": { \"app\": \"%s\" }, \"steps\": [ %s ] }",
                    s->image, s->steps));
  const struct play_options options = {.judge = true, .svd = s->svd};
  struct play *play = NULL;
  struct sim_error err = {0};
  char text[1200];
  if (play_prepare(played_case(bench, script), played_part(bench, part),
                   &options, &play, &err) != SIM_OK) {
    fail_msg("%s", sim_error_text(&err, text, sizeof text));
  }
  trace_keep(play_trace(play), TRACE_ALL, 1000000);
  return play;
}

static const struct start *last_start(const struct result *r)
{
  assert_true(r->start_count > 0);
  return &r->starts[r->start_count - 1];
}

/* --- what is found ------------------------------------------------------- */

/* What main.c waits for, in that order. */
static const struct {
  addr_t at;
  uint32_t mask, value;
} truth[] = {
    {0x40200000, 1u << 12, 1u << 12},
    {0x40200000, 1u << 30, 1u << 30},
    {0x40200004, 1u << 21, 1u << 21}, /* 2 in bits 21:20 */
    {0x40200008, 1u << 5, 0},
    {0x40200000, 1u << 12, 0},
    {0x40210000, 1u << 18 | 1u << 7, 1u << 18 | 1u << 7},
};

static void must_have_learned_the_truth(const struct result *r)
{
  assert_int_equal(r->learned_count, ROWS_COUNT(truth));
  for (size_t i = 0; i < ROWS_COUNT(truth); i++) {
    assert_int_equal(r->learned[i].at, truth[i].at);
    assert_int_equal(r->learned[i].mask, truth[i].mask);
    assert_int_equal(r->learned[i].value, truth[i].value);
    assert_false(r->learned[i].withdrawn);
  }
}

/* The lamp is an output and blinks five times, from `level` on. */
static void must_have_blinked(const struct trace *t, uint32_t level)
{
  const uint32_t wanted[][2] = {
      {0x40300000, 0x40},  {0x40300004, level ^ 0x40},
      {0x40300004, level}, {0x40300004, level ^ 0x40},
      {0x40300004, level}, {0x40300004, level ^ 0x40}};
  size_t first = 0;
  const struct trace_record *r;
  while ((r = kept_nth(t, TRACE_REGISTER, first)) && r->a != 0x40300000)
    first++;
  for (size_t i = 0; i < ROWS_COUNT(wanted); i++) {
    r = kept_nth(t, TRACE_REGISTER, first + i);
    assert_non_null(r);
    assert_int_equal(r->a, wanted[i][0]);
    assert_int_equal(r->b, wanted[i][1]);
  }
}

static const struct found_row {
  const char *name;
  struct stranger stranger;
  addr_t first_fetch; /* the region's base: the image says where in it */
} found_rows[] = {
    {"flash at 0",
     {LOW, "", IMAGE("stranger"), BY_PRESET RUN, NULL},
     0x00000000},
    {"flash above, and seen at 0",
     {HIGH, "", IMAGE("stranger-high"), BY_PRESET RUN, NULL},
     0x10000000},
    {"flash above, and little room at 0",
     {CLOSE, "", IMAGE("stranger-high"), BY_PRESET RUN, NULL},
     0x10000000},
    {"a program in two flashes",
     {TWO, "", IMAGE("stranger-two"), BY_PRESET RUN, NULL},
     0x00000000},
    {"a start above a flash at 0",
     {LOW_AND_HIGH,
      ", \"start_rules\": [ { \"rule\": \"high\", \"start\": \"high\" } ]",
      IMAGE("stranger-high"), BY_PRESET RUN, NULL},
     0x10000000},
    {"written by the probe",
     {LOW, "", IMAGE("stranger"), BY_PROBE RUN, NULL},
     0x00000000},
    {"written by the probe into two flashes",
     {TWO, "", IMAGE("stranger-two"), BY_PROBE RUN, NULL},
     0x00000000},
};

static struct played_bench *bench_of_rows;

static void found_row(void **state)
{
  const struct found_row *row = *state;
  struct play *play = prepare(bench_of_rows, &row->stranger);
  const struct result *r = play_run(play);
  const struct start *s = last_start(r);
  assert_int_equal(s->outcome, OUTCOME_SLEEPING);
  assert_int_equal(s->pc & 0xfffff000u, row->first_fetch);
  assert_string_equal(s->symbol, "start");
  assert_string_equal(s->reached[0], "main");
  must_have_learned_the_truth(r);
  must_have_blinked(play_trace(play), 0);
  play_free(play);
}

/* --- what was learned, as a file ----------------------------------------- */

static char *answers_of(struct played_bench *bench, const struct play *play,
                        const struct result *r)
{
  char *text = NULL;
  size_t size = 0;
  FILE *to = open_memstream(&text, &size);
  assert_non_null(to);
  report_answers(to, play_part(play), r);
  assert_int_equal(fclose(to), 0);
  char *kept = arena_text(&bench->arena, text);
  free(text);
  return kept;
}

/* The member of that object, to stand in a part file. */
static char *pasted(struct played_bench *bench, const char *answers)
{
  const char *from = strchr(answers, '{') + 1, *to = strrchr(answers, '}');
  return played_format(bench, ", %.*s", (int)(to - from), from);
}

static void the_same_must_come_of(const struct start *a, const struct start *b)
{
  assert_int_equal(a->outcome, b->outcome);
  assert_int_equal(a->pc, b->pc);
  assert_int_equal(a->waits_on, b->waits_on);
  assert_int_equal(a->waits_pc, b->waits_pc);
  assert_int_equal(a->waits_mask, b->waits_mask);
  assert_int_equal(a->waits_value, b->waits_value);
  assert_int_equal(a->reached_count, b->reached_count);
}

/* Learned in one run, pasted into the part file, played again. */
static void pasted_back(struct played_bench *bench, struct stranger s)
{
  struct play *first = prepare(bench, &s);
  const struct result *learned = play_run(first);
  assert_true(learned->trials > 0);
  char *answers = answers_of(bench, first, learned);
  s.more = pasted(bench, answers);
  struct play *second = prepare(bench, &s);
  const struct result *known = play_run(second);
  assert_int_equal(known->trials, 0);
  assert_int_equal(known->learned_count, 0);
  assert_int_equal(kept_count(play_trace(second), TRACE_TRIAL), 0);
  the_same_must_come_of(last_start(learned), last_start(known));
  must_have_blinked(play_trace(second), 0);
  assert_string_equal(answers_of(bench, second, known), answers);
  play_free(first);
  play_free(second);
}

static void what_was_learned_can_be_pasted_back(void **state)
{
  const struct stranger s = {LOW, "", IMAGE("stranger"), BY_PRESET RUN, NULL};
  pasted_back(*state, s);
}

static void so_can_what_the_program_waits_for(void **state)
{
  const struct stranger s = {LOW, "", IMAGE("stranger-listens"), BY_PRESET RUN,
                             NULL};
  pasted_back(*state, s);
}

static void knowledge_outlives_a_reset(void **state)
{
  const struct stranger s = {LOW, "", IMAGE("stranger"),
                             BY_PRESET RUN ", { \"reset\": \"pin\" }, " RUN,
                             NULL};
  struct play *play = prepare(*state, &s);
  const struct result *r = play_run(play);
  const struct trace *t = play_trace(play);
  assert_int_equal(r->start_count, 2);
  assert_int_equal(r->starts[1].outcome, OUTCOME_SLEEPING);
  assert_int_equal(r->learned_count, ROWS_COUNT(truth));
  assert_true(kept_last(t, TRACE_TRIAL)->at < r->starts[1].at);
  play_free(play);
}

/* --- waiting ------------------------------------------------------------- */

static void a_program_that_listens_waits_for_a_bit(void **state)
{
  const struct stranger s = {LOW, "", IMAGE("stranger-listens"), BY_PRESET RUN,
                             NULL};
  struct play *play = prepare(*state, &s);
  const struct result *r = play_run(play);
  const struct start *start = last_start(r);
  assert_int_equal(start->outcome, OUTCOME_WAITING);
  assert_int_equal(start->waits_on, 0x40220000);
  assert_true(start->waits_tried);
  assert_int_equal(start->waits_mask, 1u << 4);
  assert_int_equal(start->waits_value, 1u << 4);
  assert_false(start->waits_for_host);
  assert_int_equal(r->learned_count, ROWS_COUNT(truth) + 1);
  assert_true(r->learned[ROWS_COUNT(truth)].withdrawn);
  must_have_blinked(play_trace(play), 0);
  play_free(play);
}

/* --- the other policies -------------------------------------------------- */

static void zero_waits_at_the_first_poll(void **state)
{
  const struct stranger s = {LOW, ", \"unknown\": \"zero\"", IMAGE("stranger"),
                             BY_PRESET RUN, NULL};
  struct play *play = prepare(*state, &s);
  const struct result *r = play_run(play);
  const struct start *start = last_start(r);
  assert_int_equal(start->outcome, OUTCOME_WAITING);
  assert_int_equal(start->waits_on, 0x40200000);
  assert_false(start->waits_tried);
  assert_int_equal(r->trials, 0);
  assert_int_equal(r->learned_count, 0);
  play_free(play);
}

static void fault_faults_at_the_first_access(void **state)
{
  const struct stranger s = {LOW, ", \"unknown\": \"fault\"",
                             IMAGE("stranger"), BY_PRESET RUN, NULL};
  struct play *play = prepare(*state, &s);
  const struct result *r = play_run(play);
  const struct trace *t = play_trace(play);
  assert_int_equal(last_start(r)->outcome, OUTCOME_RUNNING);
  assert_int_equal(kept_count(t, TRACE_EXCEPTION), 1);
  assert_int_equal(kept_last(t, TRACE_EXCEPTION)->a, 3); /* HardFault */
  assert_int_equal(kept_last(t, TRACE_UNMODELLED)->a, 0x40200000);
  assert_int_equal(r->learned_count, 0);
  play_free(play);
}

/* --- names and values from a file ---------------------------------------- */

static void an_svd_file_gives_names_and_reset_values(void **state)
{
  struct played_bench *bench = *state;
  struct stranger s = {LOW, "", IMAGE("stranger-listens"), BY_PRESET RUN,
                       NULL};
  struct sim_error err;
  assert_int_equal(svd_read(&bench->arena,
                            FIRSTFETCH_ROOT "/images/stranger/stranger.svd",
                            &s.svd, &err),
                   SIM_OK);
  struct play *play = prepare(bench, &s);
  const struct result *r = play_run(play);
  assert_string_equal(r->learned[0].name, "CLOCKS.CONTROL");
  assert_string_equal(r->learned[5].name, "SUPPLY.STATUS");
  assert_string_equal(last_start(r)->waits_name, "PORT.STATUS");
  must_have_blinked(play_trace(play), 0x100);
  play_free(play);
}

/* --- information words --------------------------------------------------- */

/* Words by the list, by the file, and erased where neither says anything. */
static void information_words_are_as_the_factory_left_them(void **state)
{
  struct played_bench *bench = *state;
  static const struct {
    const char *at, *value;
  } words[] = {{"0x1FFFF7E0", "0x00000020"},
               {"0x1FFFF7E4", "0xcafe0001"},
               {"0x1FFFF400", "0x44332211"},
               {"0x1FFFF404", "0xffffff55"}};
  const char *steps = "{ \"power\": \"on\", \"for\": \"1ms\" }, "
                      "{ \"probe\": \"attach\", \"reset\": \"held\" }";
  for (size_t i = 0; i < ROWS_COUNT(words); i++) {
    steps = played_format(bench,
                          "%s, { \"probe\": \"read\", \"at\": \"%s\" }, "
                          "{ \"expect\": { \"read\": \"%s\", "
                          "\"within\": \"1ms\" } }",
                          steps, words[i].at, words[i].value);
  }
  played_file(bench, "unique.bin", "\x11\x22\x33\x44\x55", 5);
  const struct stranger s = {
      LOW ", { \"name\": \"info\", \"kind\": \"info\", "
          "\"at\": \"0x1FFFF400\", \"size\": \"1KiB\", \"preset\": [ "
          "{ \"at\": \"0x1FFFF7E0\", "
          "\"words\": [ \"0x00000020\", \"0xCAFE0001\" ] }, "
          "{ \"at\": \"0x1FFFF400\", \"file\": \"unique.bin\" } ] }",
      "", IMAGE("stranger"), steps, NULL};
  struct play *play = prepare(bench, &s);
  const struct result *r = play_run(play);
  assert_int_equal(r->held, ROWS_COUNT(words));
  assert_int_equal(r->failed, 0);
  play_free(play);
}

static void a_file_of_information_words_must_fit(void **state)
{
  struct played_bench *bench = *state;
  played_file(bench, "unique.bin", "\x11\x22\x33\x44\x55", 5);
  const char *path = played_text_file(
      bench, "part.json",
      "{ \"part\": \"stranger\", \"core\": { \"kind\": \"cortex-m0\" }, "
      "\"memory\": [ " LOW ", { \"name\": \"info\", \"kind\": \"info\", "
      "\"at\": \"0x1FFFF400\", \"size\": \"1KiB\", \"preset\": "
      "[ { \"at\": \"0x1FFFF7FC\", \"file\": \"unique.bin\" } ] } ] }");
  const struct case_script *script =
      case_builtin(&bench->arena, "part.json", IMAGE("stranger"), false, 0);
  static const struct play_options judging = {.judge = true};
  struct play *play = NULL;
  struct sim_error err = {0};
  assert_int_equal(
      play_prepare(script, played_part(bench, path), &judging, &play, &err),
      SIM_LIMIT);
  assert_non_null(strstr(err.file, "unique.bin"));
}

/* --- how little a part file needs ---------------------------------------- */

static void a_part_file_of_ten_lines_is_enough(void **state)
{
  struct played_bench *bench = *state;
  const char *path = FIRSTFETCH_ROOT "/images/stranger/part.json";
  size_t length, lines = 0;
  const uint8_t *bytes = played_bytes(bench, path, &length);
  for (size_t i = 0; i < length; i++) {
    lines += bytes[i] == '\n';
  }
  assert_true(lines <= 10);
  const struct part *part = played_part(bench, path);
  assert_int_equal(part->unknown, UNKNOWN_LEARN);
  assert_int_equal(part->memory[0].at, 0);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(what_was_learned_can_be_pasted_back),
      cmocka_unit_test(so_can_what_the_program_waits_for),
      cmocka_unit_test(knowledge_outlives_a_reset),
      cmocka_unit_test(a_program_that_listens_waits_for_a_bit),
      cmocka_unit_test(zero_waits_at_the_first_poll),
      cmocka_unit_test(fault_faults_at_the_first_access),
      cmocka_unit_test(an_svd_file_gives_names_and_reset_values),
      cmocka_unit_test(information_words_are_as_the_factory_left_them),
      cmocka_unit_test(a_file_of_information_words_must_fit),
      cmocka_unit_test(a_part_file_of_ten_lines_is_enough),
  };
  void *bench;
  struct CMUnitTest tests[ROWS_COUNT(found_rows)];
  ROWS_ADD(tests, found_row, found_rows);
  if (played_setup(&bench) != 0) return 1;
  bench_of_rows = bench;
  int failed = cmocka_run_group_tests_name("found", tests, NULL, NULL);
  failed += played_cleanup(&bench);
  return failed + cmocka_run_group_tests_name("stranger", singles,
                                              played_setup, played_cleanup);
}
