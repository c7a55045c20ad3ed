/* The report for people: its exact words, and what holds for all of it.
 *
 * The words are ours; what they say is in result_fixture.h. 80 columns are
 * common practice for terminals, no source. */
#include <string.h>

#include "base/utf8.h"
#include "report/text.h"
#include "result_fixture.h"
#include "rows.h"

static void write_last(FILE *to, const void *context)
{
  report_text(
      to, context,
      &(struct text_style){.full = true, .last = true, .words = TEXT_EXPERT});
}

static void write_not_last(FILE *to, const void *context)
{
  report_text(to, context,
              &(struct text_style){.full = true, .words = TEXT_EXPERT});
}

/* --- the whole of it ----------------------------------------------------- */

static const char whole[] =
    "A pin reset does not refresh the blank latch\n"
    "part latched: Blank check held in a latch that software can't touch.\n"
    "\n"
    "start 1 in rom, at 612.5 us, steps[0]\n"
    "  cause        power_on: the rail rose after it had really been off\n"
    "  latch        blank, and a fresh check would say the same\n"
    "  rule         latch-blank\n"
    "  region       rom; address 0 reads 0x20001000\n"
    "  first fetch  0x06000140 rom_entry; stack pointer 0x20001000\n"
    "  outcome      waiting for the host: polls SERIAL.STATE at 0x44020004 "
    "from\n"
    "               0x0600019a\n"
    "  ended by     reset at 3 ms\n"
    "  ROM ran      yes; 4210 of 4210 instructions\n"
    "  pins driven  P9 high at 629.875 us, P4 low at 632.625 us\n"
    "\n"
    "start 2 in rom, at 3.22 ms, steps[2]\n"
    "  cause        pin: the reset line was pulled low\n"
    "  latch        blank, and a fresh check would say the same\n"
    "  rule         latch-blank\n"
    "  region       rom; address 0 reads 0x20001000\n"
    "  first fetch  0x06000140 rom_entry; stack pointer 0x20001000\n"
    "  outcome      halted by the probe at 0x06000140, before the first "
    "instruction\n"
    "  ended by     reset at 60 ms\n"
    "  ROM ran      no; nothing ran at all\n"
    "  pins driven  none\n"
    "\n"
    "start 3 in rom, at 60.02 ms, steps[5]\n"
    "  cause        pin: the reset line was pulled low\n"
    "  latch        blank and stale: a fresh check would now say programmed\n"
    "  rule         latch-blank\n"
    "  region       rom; address 0 reads 0x20001000\n"
    "  first fetch  0x06000140 rom_entry; stack pointer 0x20001000\n"
    "  outcome      running to the last\n"
    "  ended by     reset at 63.02 ms\n"
    "  ROM ran      yes; 5000 of 5000 instructions\n"
    "  pins driven  P9 high at 60.037 ms\n"
    "\n"
    "start 4 in flash, at 63.026 ms, steps[7]\n"
    "  cause        option_reload: a reload of the option words was asked "
    "for\n"
    "  latch        programmed, and a fresh check would say the same\n"
    "  rule         otherwise\n"
    "  region       flash; address 0 reads 0x20001800\n"
    "  first fetch  0x040000c0 reset_entry; stack pointer 0x20001800\n"
    "  reached      main at 63.038 ms, log_sample at 63.051 ms\n"
    "  outcome      sleeping until something wakes it\n"
    "  ROM ran      no; 0 of 900 instructions\n"
    "  pins driven  none\n"
    "\n"
    "finding: stale-latch, start 3\n"
    "  The latch still says blank although the first words are programmed: it "
    "was\n"
    "  sampled at start 1, and neither a write nor a pin reset samples it "
    "again.\n"
    "  What mends it on this part:\n"
    "    - option reload\n"
    "    - power-on with the rail below 0.40 V for 20 us\n"
    "\n"
    "finding: rom-ran\n"
    "  The boot ROM ran in 2 of 4 starts.\n"
    "\n"
    "what was asked and did not hold:\n"
    "  failed  line 18, steps[6]: after the pin reset\n"
    "    asked region flash, latch programmed, stale no within 3 ms\n"
    "    seen  region rom, latch blank, stale yes\n"
    "\n"
    "12 assumed numbers stand behind this; the part's own documentation has "
    "the real\n"
    "ones.\n"
    "A simulation is not the board: confirm on hardware before relying on "
    "it.\n"
    "failed: 1 of 3 expectations\n";

static void a_whole_report(void **state)
{
  (void)state;
  char *text = fixture_capture(write_last, &fixture_latched);
  assert_string_equal(text, whole);
  free(text);
}

/* --- one start ----------------------------------------------------------- */

#define PLAIN                                                                 \
  .number = 1, .region = "flash", .rule = "otherwise", .has_latch = true

static const struct start_row {
  const char *name;
  struct start start;
  const char *line; /* must be in the report */
} start_rows[] = {
    {"a register without a name is told by its address",
     {PLAIN, .outcome = OUTCOME_WAITING, .waits_on = 0x44000008,
      .waits_pc = 0x04000101},
     "  outcome      waiting for something outside: polls 0x44000008 from "
     "0x04000101\n"},
    {"a start that goes on", {PLAIN}, "  outcome      running to the last\n"},
    {"a start that was halted later on",
     {PLAIN, .outcome = OUTCOME_HALTED, .stop_pc = 0x0400010a,
      .instructions = 7},
     "  outcome      halted by the probe at 0x0400010a\n"},
    {"lockup says that it does not end by itself",
     {PLAIN, .outcome = OUTCOME_LOCKUP, .stop_pc = 0xfffffffe},
     "  outcome      lockup at 0xfffffffe: a fault that nothing could handle; "
     "the core\n"
     "               stands still until a reset or the probe ends it\n"},
    {"power was lost",
     {PLAIN, .outcome = OUTCOME_OFF, .ended = 40000000000},
     "  outcome      running to the last\n"
     "  ended by     off at 40 ms: power was lost\n"},
    {"a jump into the boot ROM ends a start",
     {PLAIN, .outcome = OUTCOME_HANDOVER, .ended = 2000000},
     "  ended by     handover at 2 us: execution went on elsewhere, without a "
     "reset\n"},
    {"a start by hand-over has no reset behind it",
     {PLAIN, .how = START_HANDOVER, .pc = 0x06000140},
     "  cause        no reset: the program before it went there by itself\n"},
    {"nor a stack pointer from the vectors",
     {PLAIN, .how = START_HANDOVER, .pc = 0x06000140},
     "  first fetch  0x06000140\n"},
    {"a part without a blank check",
     {.number = 1, .region = "flash", .rule = "otherwise"},
     "  latch        none: this part makes no blank check\n"},
    {"programmed and stale: the flash was erased since",
     {PLAIN, .latch_programmed = true, .stale = true},
     "  latch        programmed and stale: a fresh check would now say "
     "blank\n"},
    {"where execution landed after the boot ROM",
     {PLAIN, .landing = {true, 1200000000, "flash", 0x04000101, "main"}},
     "  landing      left the boot ROM for flash, 0x04000101 main, at 1.2 "
     "ms\n"},
    {"the ROM ran for a part of the start",
     {PLAIN, .instructions = 900, .rom_instructions = 12},
     "  ROM ran      yes; 12 of 900 instructions\n"},
};

static void start_row(void **state)
{
  const struct start_row *row = *state;
  struct start start = row->start;
  const struct result result = {
      .title = "one start", .part = "p", .starts = &start, .start_count = 1};
  char *text = fixture_capture(write_last, &result);
  assert_contains(text, row->line);
  free(text);
}

static void many_pins_are_counted(void **state)
{
  (void)state;
  struct start start = {PLAIN};
  for (size_t i = 0; i < ROWS_COUNT(start.pins); i++) {
    start.pins[i] = (struct start_pin){"P1", 0, true};
  }
  start.pin_count = 19;
  const struct result result = {
      .title = "pins", .part = "p", .starts = &start, .start_count = 1};
  char *text = fixture_capture(write_last, &result);
  assert_contains(text, " high at 0 s,\n               and 3 more\n");
  free(text);
}

/* --- the last lines ------------------------------------------------------ */

static const struct end_row {
  const char *name;
  struct result result;
  bool last;
  const char *end; /* of the report */
} end_rows[] = {
    {"nothing was asked",
     {.verdict = VERDICT_NONE},
     false,
     "\nno verdict: nothing was asked, so nothing is judged\n"},
    {"all held",
     {.verdict = VERDICT_HELD, .held = 5},
     false,
     "\n\nheld: all 5 expectations\n"},
    {"one held",
     {.verdict = VERDICT_HELD, .held = 1},
     false,
     "\n\nheld: 1 expectation\n"},
    {"one assumed number",
     {.assumed = 1, .verdict = VERDICT_HELD, .held = 1},
     false,
     "\n\n1 assumed number stands behind this; the part's own documentation "
     "has the real\none.\nheld: 1 expectation\n"},
    {"the caution about the board is in the last report",
     {.verdict = VERDICT_HELD, .held = 1},
     true,
     "\n\nA simulation is not the board: confirm on hardware before relying "
     "on it.\nheld: 1 expectation\n"},
    {"contention brings its caution into any report",
     {.contention = true, .verdict = VERDICT_HELD, .held = 1},
     false,
     "\n\nContention can destroy parts: limit the current on first power-up. "
     "A simulation\nis not the board: confirm timing, thresholds and latch "
     "behaviour in the part's\nown documentation and on hardware before "
     "relying on a procedure.\nheld: 1 expectation\n"},
    {"a run that a limit ended says so",
     {.stopped = "the trace is full", .verdict = VERDICT_NONE},
     false,
     "\n\nThe run was ended early: the trace is full.\n"
     "no verdict: nothing was asked, so nothing is judged\n"},
};

static void end_row(void **state)
{
  const struct end_row *row = *state;
  struct result result = row->result;
  result.title = "ends";
  result.part = "p";
  char *text =
      fixture_capture(row->last ? write_last : write_not_last, &result);
  size_t length = strlen(text), end = strlen(row->end);
  assert_true(length >= end);
  assert_string_equal(text + length - end, row->end);
  free(text);
}

/* --- hostile texts ------------------------------------------------------- */

static void texts_of_others_cannot_steer_a_terminal(void **state)
{
  (void)state;
  struct start start = {PLAIN, .symbol = "\x1b[31mred\r\n"};
  const struct result result = {.title = "\x1b]0;title\a \xff \xc2\x85 \x7f",
                                .part = "p\nq",
                                .about = "a\tb",
                                .starts = &start,
                                .start_count = 1};
  char *text = fixture_capture(write_last, &result);
  assert_memory_equal(text, "?]0;title? ? ? ?\npart p?q: a?b\n", 31);
  assert_contains(text, " ?[31mred??; stack pointer");
  for (const char *at = text; *at; at++) {
    assert_true(*at == '\n' || ((unsigned char)*at >= 0x20 && *at != 0x7f));
  }
  free(text);
}

/* Characters in the longest line. */
static size_t longest_line(const char *text)
{
  size_t longest = 0, columns = 0;
  while (*text) {
    uint32_t code;
    size_t taken = utf8_read(text, strlen(text), &code);
    assert_true(taken > 0);
    columns = *text == '\n' ? 0 : columns + 1;
    if (columns > longest) longest = columns;
    text += taken;
  }
  return longest;
}

static void lines_keep_to_80_columns(void **state)
{
  (void)state;
  /* Words of 1 to 13 characters, the first of each of two bytes. */
  char words[4000] = "";
  size_t used = 0;
  for (int i = 0; used + 40 < sizeof words; i++) {
    used += (size_t)snprintf(words + used, sizeof words - used,
                             "\xc3\xa4%.*s ", i % 13, "bcdefghijklm");
  }
  struct finding finding = {.kind = FINDING_ROM_RAN,
                            .text = words,
                            .remedies = {words},
                            .remedy_count = 1};
  struct judgement judgement = {.asked = words, .seen = words, .label = words};
  struct start start = {PLAIN};
  start.region = start.symbol = words;
  const struct result result = {.title = words,
                                .part = "p",
                                .about = words,
                                .starts = &start,
                                .start_count = 1,
                                .findings = &finding,
                                .finding_count = 1,
                                .judgements = &judgement,
                                .judgement_count = 1,
                                .failed = 1,
                                .stopped = words};
  char *text = fixture_capture(write_last, &result);
  assert_in_range(longest_line(text), 70, 80);
  free(text);
}

static void a_long_word_is_left_whole(void **state)
{
  (void)state;
  char word[1001];
  memset(word, 'w', 1000);
  word[1000] = '\0';
  const struct result result = {.title = word, .part = "p"};
  char *text = fixture_capture(write_last, &result);
  assert_memory_equal(text, word, 1000);
  assert_memory_equal(text + 1000, "\npart p\n", 8);
  free(text);
}

int main(void)
{
  const struct CMUnitTest single[] = {
      cmocka_unit_test(a_whole_report),
      cmocka_unit_test(many_pins_are_counted),
      cmocka_unit_test(texts_of_others_cannot_steer_a_terminal),
      cmocka_unit_test(lines_keep_to_80_columns),
      cmocka_unit_test(a_long_word_is_left_whole),
  };
  struct CMUnitTest tests[ROWS_COUNT(single) + ROWS_COUNT(start_rows) +
                          ROWS_COUNT(end_rows)];
  memcpy(tests, single, sizeof single);
  size_t n = ROWS_COUNT(single);
  n += ROWS_ADD(tests + n, start_row, start_rows);
  n += ROWS_ADD(tests + n, end_row, end_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  return cmocka_run_group_tests(tests, NULL, NULL);
}
