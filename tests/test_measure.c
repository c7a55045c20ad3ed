/* Measures: which times are taken, how their bounds are judged, and that a
 * time on a real start is what the documents say.
 *
 * Cycles are those of ARM DDI 0432C Table 3-1 (Cortex-M0, no wait states): a
 * row's instructions are summed by hand beside it. That a cycle at 8 MHz takes
 * 125 ns is arithmetic; 8 MHz is what the part's file says. Which times are
 * taken is ours.
 */
#include <inttypes.h>

#include "played.h"
#include "describe/trace_kinds.h"
#include "run/measure.h"

/* --- which times are taken ----------------------------------------------- */

/* Events as letters, each behind its instant in us: 'f' is what a measure goes
 * from, 't' what it goes to, 'b' both of the second measure, 'x' something
 * else. Cycles are three times the microseconds. */
static const struct taken_row {
  const char *name;
  const char *events;
  uint64_t count, begun;
  int64_t least, most, last; /* us */
  uint64_t both_count;       /* of the measure from b to b */
  int64_t both_last;
} taken_rows[] = {
    {"one time", "1f 4t", 1, 0, 3, 3, 3, 0, 0},
    {"other events make no difference", "1f 2x 4t 5x", 1, 0, 3, 3, 3, 0, 0},
    {"shortest, longest and last", "1f 4t 10f 11t 20f 22t", 3, 0, 1, 3, 2, 0,
     0},
    {"the latest from counts", "1f 4f 9t", 1, 1, 5, 5, 5, 0, 0},
    {"a to uses its from up", "1f 4t 9t", 1, 0, 3, 3, 3, 0, 0},
    {"a to alone is nothing", "1t 2f 9t", 1, 0, 7, 7, 7, 0, 0},
    {"a from alone has begun", "1f 4t 9f", 1, 1, 3, 3, 3, 0, 0},
    {"nothing at all", "1x", 0, 0, 0, 0, 0, 0, 0},
    {"only begun", "1f 2f 3f", 0, 3, 0, 0, 0, 0, 0},
    {"at one instant", "5f 5t", 1, 0, 0, 0, 0, 0, 0},
    {"the other way round is the other order", "5t 5f", 0, 1, 0, 0, 0, 0, 0},
    {"what is both ends one and begins one", "1b 3b 8b", 0, 0, 0, 0, 0, 2, 5},
};

static const struct case_measure from_f_to_t[2] = {{.name = "f to t"},
                                                   {.name = "b to b"}};

#define MARK(letter)                                                          \
  {                                                                           \
    .kind = TRACE_REGISTER, .a = (letter)                                     \
  }
static struct plan_measure plan_f_to_t[2] = {{MARK('f'), MARK('t')},
                                             {MARK('b'), MARK('b')}};

static void play_events(struct trace *tr, const char *events)
{
  char *end;
  for (const char *p = events; *p; p = end + 1) {
    long us = strtol(p, &end, 10);
    struct moment now = {us * PS_PER_US, us * 3};
    trace_add(tr, now, TRACE_REGISTER, (uint32_t)*end++, 0);
    if (*end == '\0') break;
  }
}

static void assert_range(const struct measured_range *range, int64_t least,
                         int64_t most, int64_t last, int64_t unit)
{
  assert_int_equal(range->least, least * unit);
  assert_int_equal(range->most, most * unit);
  assert_int_equal(range->last, last * unit);
}

static void times_are_taken(void **state)
{
  const struct taken_row *row = *state;
  struct case_measure list[2] = {from_f_to_t[0], from_f_to_t[1]};
  const struct case_script script = {.measures = list, .measure_count = 2};
  const struct plan plan = {.script = &script, .measures = plan_f_to_t};
  struct arena arena;
  struct trace trace;
  struct measures m;
  arena_init(&arena);
  trace_init(&trace, 1000);
  measures_init(&m, &plan, &arena, &trace);
  play_events(&trace, row->events);
  measures_end(&m);
  assert_int_equal(m.list[0].count, row->count);
  assert_int_equal(m.list[0].begun, row->begun);
  assert_range(&m.list[0].time, row->least, row->most, row->last, PS_PER_US);
  assert_range(&m.list[0].cycles, row->least, row->most, row->last, 3);
  assert_int_equal(m.list[1].count, row->both_count);
  assert_int_equal(m.list[1].time.last, row->both_last * PS_PER_US);
  trace_free(&trace);
  arena_free(&arena);
}

/* --- how bounds are judged ----------------------------------------------- */

/* Times of 1, 3 and 2 us; 3, 9 and 6 cycles. */
#define THREE_TIMES "1f 2t 10f 13t 20f 22t"

static const struct judged_row {
  const char *name;
  const char *events;
  struct case_bound at_most, at_least;
  const char *asked, *seen; /* seen NULL: it held */
} judged_rows[] = {
    {"the longest is at its bound",
     THREE_TIMES,
     {true, false, 3000000},
     {0},
     "measure: f to t, at most 3 us",
     NULL},
    {"the longest is beyond it",
     THREE_TIMES,
     {true, false, 2999000},
     {0},
     "measure: f to t, at most 2.999 us",
     "3 us"},
    {"by less than the text tells",
     THREE_TIMES,
     {true, false, 2999999999},
     {true, false, 1000001},
     "measure: f to t, at most 2.999 ms, at least 1 us",
     "1 us (1000000 ps)"},
    {"the shortest is at its bound",
     THREE_TIMES,
     {0},
     {true, true, 3},
     "measure: f to t, at least 3 cycles",
     NULL},
    {"the shortest is below it",
     THREE_TIMES,
     {0},
     {true, true, 4},
     "measure: f to t, at least 4 cycles",
     "3 cycles"},
    {"both bounds are broken",
     THREE_TIMES,
     {true, true, 8},
     {true, false, 2000000},
     "measure: f to t, at most 8 cycles, at least 2 us",
     "9 cycles, 1 us"},
    {"never begun",
     "1x",
     {true, false, 9000000},
     {0},
     "measure: f to t, at most 9 us",
     "it never began"},
    {"never ended",
     "1f",
     {0},
     {true, true, 0},
     "measure: f to t, at least 0 cycles",
     "it never ended"},
};

static void bounds_are_judged(void **state)
{
  const struct judged_row *row = *state;
  struct case_measure list[2] = {from_f_to_t[0], from_f_to_t[1]};
  list[0].line = 7;
  list[0].at_most = row->at_most;
  list[0].at_least = row->at_least;
  const struct case_script script = {.measures = list, .measure_count = 2};
  const struct plan plan = {.script = &script, .measures = plan_f_to_t};
  struct arena arena;
  struct trace trace;
  struct measures m;
  struct judge judge;
  arena_init(&arena);
  trace_init(&trace, 1000);
  judge_init(&judge, &arena);
  measures_init(&m, &plan, &arena, &trace);
  play_events(&trace, row->events);
  measures_end(&m);
  measures_judge(&m, &judge);
  assert_int_equal(judge.count, 1); /* the second has no bounds */
  assert_int_equal(judge.list[0].step, RESULT_NO_STEP);
  assert_int_equal(judge.list[0].line, 7);
  assert_string_equal(judge.list[0].asked, row->asked);
  assert_int_equal(judge.list[0].held, row->seen == NULL);
  if (row->seen) assert_string_equal(judge.list[0].seen, row->seen);
  trace_free(&trace);
  arena_free(&arena);
}

/* --- on a part ----------------------------------------------------------- */

#define BASE  0x04000000u
#define ENTRY 0x04000040u

/* What is behind the reset vector; it ends where P2 is driven low by the
 * write to PINS.MODE. Cycles by Table 3-1: MOVS 1, LDR 2, MULS 1, STR 2, B 3.
 * That a write is there after the first of its two cycles is ours. */
static const uint16_t code[] = {
    0x2103, /* 40: movs r1, #3       1                   */
    0x4349, /* 42: muls r1, r1       1, as the part says  */
    0x4803, /* 44: ldr r0, =PINS     2                   */
    0x2204, /* 46: movs r2, #1 << 2  1                   */
    0xe000, /* 48: b 4c              3                   */
    0xbf00, /* 4a: nop, not reached                      */
    0x6002, /* 4c: str r2, [r0]      its first cycle: 1  */
    0xe7fe, /* 4e: b 4e              1 left, then for ever */
    0xbf00, 0xbf00, 0x0000, 0x4401, /* 54: 0x44010000 */
};

static const char part_case[] =
    "{ \"case\": \"Cycles of a start\", \"part\": \"latched\",\n"
    "  \"images\": { \"app\": { \"file\": \"app.bin\", \"base\": "
    "\"0x04000000\" } },\n"
    "  \"measure\": [ { \"measure\": \"it\", \"from\": %s, \"to\": %s } ],\n"
    "  \"steps\": [\n"
    "    { \"write\": \"app\", \"by\": \"preset\" },\n"
    "    { \"power\": \"on\", \"for\": \"5ms\" },\n"
    "    { \"reset\": \"pin\" },\n"
    "    { \"run\": \"5ms\" } ] }\n";

static const struct part_row {
  const char *name;
  const char *from, *to;
  uint64_t count;
  int64_t cycles; /* of the last; -1: more than one frequency, or none */
} part_rows[] = {
    {"a start is the first fetch", "{ \"start\": \"any\" }",
     "{ \"address\": \"0x04000040\" }", 2, 0},
    {"the Thumb bit is no part of an address", "{ \"start\": \"any\" }",
     "{ \"address\": \"0x04000041\" }", 2, 0},
    {"two instructions", "{ \"start\": \"any\" }",
     "{ \"address\": \"0x04000044\" }", 2, 2},
    {"a load, a move and a branch", "{ \"address\": \"0x04000044\" }",
     "{ \"address\": \"0x0400004c\" }", 2, 6},
    {"to a pin", "{ \"start\": \"pin\" }",
     "{ \"pin\": \"P2\", \"level\": \"low\" }", 1, 9},
    {"a pin by the name of its strap", "{ \"start\": \"power_on\" }",
     "{ \"pin\": \"start\", \"level\": \"low\" }", 1, 9},
    {"behind the store", "{ \"address\": \"0x0400004c\" }",
     "{ \"address\": \"0x0400004e\" }", 2, 2},
    {"a place that is not reached", "{ \"start\": \"any\" }",
     "{ \"address\": \"0x0400004a\" }", 0, -1},
    {"a cause that does not happen", "{ \"start\": \"watchdog\" }",
     "{ \"address\": \"0x04000040\" }", 0, -1},
    {"pins let go by the reset", "{ \"line\": \"low\" }",
     "{ \"pin\": \"P2\", \"level\": \"released\" }", 1, 0},
};

static const struct result *play_part_row(struct played_bench *bench,
                                          const struct part_row *row,
                                          struct play **play)
{
  uint8_t image[0x40 + sizeof code] = {0};
  static const uint32_t vectors[] = {0x20001000, ENTRY | 1u};
  memcpy(image, vectors, sizeof vectors); /* little-endian host */
  memcpy(image + 0x40, code, sizeof code);
  played_file(bench, "app.bin", image, sizeof image);
  const char *path = played_text_file(
      bench, "case.json", played_format(bench, part_case, row->from, row->to));
  *play = played_prepare(played_case(bench, path),
                         played_part(bench, PLAYED_LATCHED));
  return play_run(*play);
}

static void a_start_is_measured(void **state)
{
  struct played_bench *bench = *state;
  const struct part_row *row = bench->row;
  struct play *play;
  const struct result *result = play_part_row(bench, row, &play);
  assert_int_equal(result->measure_count, 1);
  const struct measured *m = &result->measures[0];
  assert_string_equal(m->name, "it");
  assert_int_equal(m->count, row->count);
  if (row->cycles >= 0) {
    assert_int_equal(m->cycles.least, row->cycles);
    assert_int_equal(m->cycles.last, row->cycles);
    /* each end is an edge of 125 ns, in whole ps */
    assert_int_equal(m->time.last, row->cycles * 125000);
  }
  play_free(play);
}

/* --- what only the part or an image can refuse --------------------------- */

static const struct refused_row {
  const char *name;
  const char *from, *to;
  const char *error; /* behind "case.json:" */
} refused_rows[] = {
    {"a symbol that no image has", "{ \"symbol\": \"mein\" }",
     "{ \"start\": \"any\" }",
     "3:43: measure[0].from: no image has a symbol \"mein\"; expected one of "
     "them, or an address such as \"0x04000100\""},
    {"a pin that the part lacks", "{ \"start\": \"any\" }",
     "{ \"pin\": \"P99\", \"level\": \"high\" }",
     "3:69: measure[0].to: part latched has no pin or strap \"P99\"; expected "
     "the name of one"},
};

static void a_mark_is_refused(void **state)
{
  struct played_bench *bench = *state;
  const struct refused_row *row = bench->row;
  static const struct play_options judging = {.judge = true};
  static const uint32_t image[] = {0x20001000, ENTRY | 1u};
  played_file(bench, "app.bin", image, sizeof image);
  const char *path = played_text_file(
      bench, "case.json", played_format(bench, part_case, row->from, row->to));
  struct play *play = NULL;
  struct sim_error err = {0};
  char told[1200];
  assert_int_equal(play_prepare(played_case(bench, path),
                                played_part(bench, PLAYED_LATCHED), &judging,
                                &play, &err),
                   SIM_REFERENCE);
  assert_string_equal(sim_error_text(&err, told, sizeof told),
                      played_format(bench, "%s:%s", path, row->error));
}

/* --- beside a run -------------------------------------------------------- */

static void who_judges_nothing_still_measures(void **state)
{
  struct played_bench *bench = *state;
  static const struct play_options telling = {.judge = false};
  struct play *play = NULL;
  struct sim_error err = {0};
  const struct case_script *script =
      played_case(bench, FIRSTFETCH_ROOT "/traces/rom-first-lands.jsonc");
  const struct part *part =
      played_part(bench, FIRSTFETCH_ROOT "/models/rom-first.json");
  assert_int_equal(play_prepare(script, part, &telling, &play, &err), SIM_OK);
  const struct result *result = play_run(play);
  assert_int_equal(result->verdict, VERDICT_NONE);
  assert_int_equal(result->judgement_count, 0);
  assert_int_equal(result->measure_count, 3);
  assert_int_equal(result->measures[0].count, 2);
  play_free(play);
}

int main(void)
{
  struct CMUnitTest folds[ROWS_COUNT(taken_rows) + ROWS_COUNT(judged_rows)];
  size_t count = ROWS_ADD(folds, times_are_taken, taken_rows);
  ROWS_ADD(folds + count, bounds_are_judged, judged_rows);
  struct CMUnitTest
      plays[ROWS_COUNT(part_rows) + ROWS_COUNT(refused_rows) + 1];
  count = PLAYED_ADD(plays, a_start_is_measured, part_rows);
  count += PLAYED_ADD(plays + count, a_mark_is_refused, refused_rows);
  plays[count] =
      (struct CMUnitTest)PLAYED_TEST(who_judges_nothing_still_measures);
  int failed = cmocka_run_group_tests_name("folds", folds, NULL, NULL);
  return failed + cmocka_run_group_tests_name("plays", plays, NULL, NULL);
}
