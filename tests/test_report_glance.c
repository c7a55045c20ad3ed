/* The starts at a glance, and a run in the words of newcomers and experts. The
 * words are ours; what they say is in result_fixture.h. */
#include "report/text.h"

#include "result_fixture.h"
#include "rows.h"

static struct start glance_starts[] = {
    {.number = 1,
     .at = 612500000,
     .cause = CAUSE_POWER_ON,
     .has_latch = true,
     .rule = "latch-blank",
     .rule_expert = "the latch says blank",
     .rule_newcomer = "The latch says so.",
     .region = "rom",
     .outcome = OUTCOME_RESET,
     .doing = OUTCOME_WAITING,
     .waits_for_host = true,
     .instructions = 4210,
     .rom_instructions = 4210,
     .pins = {{"P9", 629875000, true}, {"P4", 632625000, false}},
     .pin_count = 2},
    {.number = 2,
     .at = 3220000000,
     .cause = CAUSE_OPTION_RELOAD,
     .has_latch = true,
     .latch_programmed = true,
     .stale = true,
     .rule = "latch-blank",
     .rule_expert = "the latch says blank",
     .rule_newcomer = "The latch says so.",
     .region = "flash",
     .outcome = OUTCOME_HALTED},
    {.number = 3,
     .at = 0,
     .how = START_HANDOVER,
     .region = "rom",
     .reached = {"main"},
     .reached_count = 1,
     .landing = {.landed = true, .region = "flash"},
     .fault = {.exception = "HardFault"},
     .rom_instructions = 1,
     .instructions = 9,
     .outcome = OUTCOME_LOCKUP},
};

static struct finding glance_findings[] = {
    {.kind = FINDING_LOCKUP, .text = "First."},
    {.kind = FINDING_LOCKUP, .text = "Second."},
};

static const struct result glance = {.title = "A title",
                                     .part = "p",
                                     .case_file = "/a/b/case.jsonc",
                                     .starts = glance_starts,
                                     .start_count = 3,
                                     .findings = glance_findings,
                                     .finding_count = 2,
                                     .verdict = VERDICT_FAILED,
                                     .held = 1,
                                     .failed = 1};

#define TABLE                                                                 \
  "A title\n"                                                                 \
  "part p\n"                                                                  \
  "\n"                                                                        \
  "start  at        cause          latch              region  rule\n"         \
  "    1  612.5 us  power_on       blank              rom     latch-blank\n"  \
  "       waiting for the host; then reset; 4210 ROM instructions; drove "    \
  "P9, P4\n"                                                                  \
  "    2  3.22 ms   option_reload  programmed, stale  flash   latch-blank\n"  \
  "       halted by the probe before the first instruction\n"                 \
  "    3  0 s       hand-over      -                  rom     -\n"            \
  "       landed in flash; reached main; HardFault; lockup; 1 ROM "           \
  "instruction\n"                                                             \
  "\n"                                                                        \
  "the rules that decided:\n"

#define END                                                                   \
  "\n"                                                                        \
  "what was asked and did not hold:\n"                                        \
  "\n"                                                                        \
  "failed: 1 of 2 expectations\n"

#define LOCKUP_NEWCOMER                                                       \
  "  The core met a fault and found nothing that could handle it, so it "     \
  "stands\n"                                                                  \
  "  still until the next reset."

static const struct words_row {
  const char *name;
  enum text_words words;
  const char *text;
} words_rows[] = {
    {"newcomers are told what a rule and a kind of finding mean, once",
     TEXT_NEWCOMER,
     TABLE "  latch-blank  The latch says so.\n"
           "\nfinding: lockup\n" LOCKUP_NEWCOMER " First.\n"
           "\nfinding: lockup\n  Second.\n" END},
    {"experts are told the conditions and the facts", TEXT_EXPERT,
     TABLE "  latch-blank  the latch says blank\n"
           "\nfinding: lockup\n  First.\n"
           "\nfinding: lockup\n  Second.\n" END},
    {"both are told both", TEXT_BOTH,
     TABLE "  latch-blank  the latch says blank. The latch says so.\n"
           "\nfinding: lockup\n" LOCKUP_NEWCOMER " First.\n"
           "\nfinding: lockup\n  Second.\n" END},
};

/* Starts that differ in number and time only. */
#define ALIKE(n)                                                              \
  {                                                                           \
    .number = n, .at = n * PS_PER_MS, .region = "flash", .rule = "otherwise", \
    .outcome = OUTCOME_RESET, .doing = OUTCOME_RUNNING                        \
  }

static void write_again(FILE *to, const void *context)
{
  const uint32_t *differs = context;
  struct start starts[] = {ALIKE(1), ALIKE(2), ALIKE(3), ALIKE(4), ALIKE(5)};
  if (*differs) starts[*differs - 1].reached_count = 1;
  if (*differs) starts[*differs - 1].reached[0] = "main";
  struct finding findings[] = {
      {.kind = FINDING_ROM_RAN, .start = 1, .text = "One."},
      {.kind = FINDING_ROM_RAN, .start = 2, .text = "Two."},
      {.kind = FINDING_ROM_RAN, .start = 3, .text = "Two."},
      {.kind = FINDING_ROM_RAN, .start = 5, .text = "Two."},
  };
  const struct result r = {.title = "A title",
                           .part = "p",
                           .starts = starts,
                           .start_count = 5,
                           .findings = findings,
                           .finding_count = 4};
  report_text(to, &r, &(struct text_style){.words = TEXT_EXPERT});
}

static void what_comes_again_is_told_once(void **state)
{
  (void)state;
  uint32_t differs = 0;
  char *text = fixture_capture(write_again, &differs);
  assert_contains(text, "    1  1 ms ");
  assert_contains(text, "and the same 4 more times, to start 5 at 5 ms\n");
  assert_null(strstr(text, "    2  2 ms"));
  assert_contains(text, "finding: rom-ran, start 1\n");
  assert_contains(text, "finding: rom-ran, starts 2 to 3, 5\n");
  free(text);
  differs = 3;
  text = fixture_capture(write_again, &differs);
  assert_null(strstr(text, "the same"));
  assert_contains(text, "    2  2 ms ");
  assert_contains(text, "reached main; running; then reset");
  free(text);
}

static void write_style(FILE *to, const void *context)
{
  report_text(to, &glance, context);
}

static void words_row(void **state)
{
  const struct words_row *row = *state;
  char *text =
      fixture_capture(write_style, &(struct text_style){.words = row->words});
  assert_string_equal(text, row->text);
  free(text);
}

/* Colour changes nothing else: without its sequences (ECMA-48, SGR; from
 * memory) the text is the same. */
static void colour_adds_nothing_but_itself(void **state)
{
  (void)state;
  char *plain = fixture_capture(write_style, &(struct text_style){0});
  char *text = fixture_capture(write_style, &(struct text_style){.colour = 1});
  size_t used = 0, sequences = 0;
  for (const char *at = text; *at; at++) {
    if (*at != '\x1b') {
      text[used++] = *at;
      continue;
    }
    sequences++;
    assert_int_equal(at[1], '[');
    at = strchr(at, 'm');
    assert_non_null(at);
  }
  text[used] = '\0';
  assert_string_equal(text, plain);
  assert_int_equal(sequences, 6);
  free(text);
  free(plain);
}

static void names_of_any_length_keep_the_report_whole(void **state)
{
  (void)state;
  char name[64], lead[65];
  memset(name, 'n', 63);
  name[63] = '\0';
  struct start start = {.number = 1,
                        .region = name,
                        .rule = name,
                        .rule_expert = "e",
                        .rule_newcomer = "n"};
  const struct result result = {
      .title = "t", .part = "p", .starts = &start, .start_count = 1};
  char *text = NULL;
  size_t size = 0;
  FILE *to = open_memstream(&text, &size);
  report_text(to, &result, &(struct text_style){0});
  fclose(to);
  snprintf(lead, sizeof lead, "%s", name);
  const char *first = strstr(text, lead);
  assert_non_null(first);
  assert_non_null(strstr(first + 63, lead));
  free(text);
}

static void write_verdict(FILE *to, const void *context)
{
  report_verdict(to, context, false);
}

static void the_verdict_is_one_line(void **state)
{
  (void)state;
  char *text = fixture_capture(write_verdict, &glance);
  assert_string_equal(text, "case.jsonc on p: failed: 1 of 2 expectations\n");
  free(text);
}

int main(void)
{
  const struct CMUnitTest single[] = {
      cmocka_unit_test(what_comes_again_is_told_once),
      cmocka_unit_test(colour_adds_nothing_but_itself),
      cmocka_unit_test(names_of_any_length_keep_the_report_whole),
      cmocka_unit_test(the_verdict_is_one_line),
  };
  struct CMUnitTest tests[ROWS_COUNT(single) + ROWS_COUNT(words_rows)];
  memcpy(tests, single, sizeof single);
  size_t n = ROWS_COUNT(single);
  n += ROWS_ADD(tests + n, words_row, words_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  return cmocka_run_group_tests(tests, NULL, NULL);
}
