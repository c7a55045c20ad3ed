/* The text of a trace: one line a record, and how each argument is written.
 *
 * The words are ours (describe/trace_kinds.def); exception numbers are ARM
 * DDI 0419E Table B1-3. */
#include <string.h>

#include "describe/trace_kinds.h"
#include "report/trace_text.h"
#include "result_fixture.h"
#include "rows.h"

static const char *watch_name(const struct play *play, uint32_t index)
{
  (void)play;
  return index == 1 ? "main" : NULL;
}

static struct part part = {
    .name = "latched",
    .clock = {.sources = {{.name = "base"}, {.name = "fast"}},
              .source_count = 2},
    .memory = {{.name = "flash"}, {.name = "rom"}},
    .memory_count = 2,
    .straps = {{.name = "start"}},
    .strap_count = 1,
    .options = {.words = {{.name = "security"}}, .word_count = 1},
    .rules = {{.name = "latch-blank"}, {.name = "otherwise"}},
    .rule_count = 2,
    .pins = {.names = {"P0", "P1"}, .count = 2},
};

static const struct case_script script = {
    .title = "A title", .file = "/a/b/some-case.jsonc", .part = "latched"};

static struct trace_text text_to(FILE *to)
{
  return (struct trace_text){
      .to = to, .script = &script, .part = &part, .watch_name = watch_name};
}

static void write_record(FILE *to, const void *context)
{
  struct trace_text text = text_to(to);
  trace_text_record(&text, context);
}

static const struct record_row {
  const char *name;
  struct trace_record record;
  const char *line;
} record_rows[] = {
    {"a time is nanoseconds and three decimals",
     {.at = 612500001, .cycle = 4711, .kind = TRACE_RULE, .a = 1},
     "        612500.001       4711  rule           rule=otherwise\n"},
    {"the longest time",
     {.at = INT64_MAX - 1, .cycle = INT64_MAX, .kind = TRACE_STEP_END, .a = 9},
     "9223372036854775.806 9223372036854775807  step-end       step=9\n"},
    {"a step and its verb",
     {.kind = TRACE_STEP, .a = 2, .b = VERB_EXPECT},
     "             0.000          0  step           step=2 verb=expect\n"},
    {"a unit that the name already says is not said again",
     {.kind = TRACE_SOURCE, .a = 3000, .b = 25},
     "             0.000          0  source         mv=3000 ramp=25ns\n"},
    {"a unit that the name does not say stands behind the number; a time that "
     "was too long is marked",
     {.kind = TRACE_RAIL_DIP, .a = 420, .b = UINT32_MAX},
     "             0.000          0  rail-dip       lowest=420mv "
     "rearm=>=4294967295ns\n"},
    {"addresses have eight lower-case digits",
     {.kind = TRACE_VECTORS, .a = 0x20001000, .b = 0x60001ab},
     "             0.000          0  vectors        sp=0x20001000 "
     "pc=0x060001ab\n"},
    {"a cause by its word",
     {.kind = TRACE_RESET, .a = CAUSE_OPTION_RELOAD, .b = 0},
     "             0.000          0  reset          cause=option_reload "
     "pc=0x00000000\n"},
    {"a region by the part's name for it",
     {.kind = TRACE_ENTER, .a = 1, .b = 0x06000140},
     "             0.000          0  enter          region=rom "
     "pc=0x06000140\n"},
    {"no region",
     {.kind = TRACE_RAN, .a = 0xffff, .b = 12},
     "             0.000          0  ran            region=none "
     "instructions=12\n"},
    {"a pin by the part's name for it",
     {.kind = TRACE_PIN, .a = 1, .b = PIN_DRIVEN_HIGH},
     "             0.000          0  pin            pin=P1 drive=high\n"},
    {"a strap by the part's name for it",
     {.kind = TRACE_STRAP, .a = 0, .b = 1},
     "             0.000          0  strap          strap=start "
     "level=high\n"},
    {"an option word by the part's name for it",
     {.kind = TRACE_OPTION, .a = 0, .b = 3},
     "             0.000          0  option         word=security "
     "value=0x00000003\n"},
    {"a clock by the part's name for it",
     {.kind = TRACE_CLOCK, .a = 1, .b = 24000000},
     "             0.000          0  clock          source=fast "
     "hz=24000000\n"},
    {"a watched address by its name in the run",
     {.kind = TRACE_MARK, .a = 1, .b = 0x040000f4},
     "             0.000          0  mark           watch=main "
     "pc=0x040000f4\n"},
    {"the blank latch by its word",
     {.kind = TRACE_LATCH, .a = 1, .b = SAMPLER_CHECK},
     "             0.000          0  latch          value=programmed "
     "by=check\n"},
    {"one argument",
     {.kind = TRACE_FRESH, .a = 0},
     "             0.000          0  fresh          value=blank\n"},
    {"DDI 0419E: exception 3 is HardFault",
     {.kind = TRACE_EXCEPTION, .a = 3, .b = 0x04000100},
     "             0.000          0  exception      number=HardFault "
     "return=0x04000100\n"},
    {"a value that has no word is a number",
     {.kind = TRACE_EXCEPTION, .a = 99, .b = 0x04000100},
     "             0.000          0  exception      number=99 "
     "return=0x04000100\n"},
};

static void record_row(void **state)
{
  const struct record_row *row = *state;
  char *text = fixture_capture(write_record, &row->record);
  assert_string_equal(text, row->line);
  free(text);
}

/* --- the head ------------------------------------------------------------ */

static void write_head(FILE *to, const void *context)
{
  struct trace_text text = text_to(to);
  if (context) text.script = context;
  trace_text_head(&text);
}

static void the_head_names_case_and_part_but_no_folder(void **state)
{
  (void)state;
  char *text = fixture_capture(write_head, NULL);
  assert_string_equal(text, "# A title (some-case.jsonc)\n"
                            "# part latched; columns: ns.ps, core cycle, "
                            "event\n");
  free(text);
}

static void a_title_cannot_end_its_line(void **state)
{
  (void)state;
  const struct case_script odd = {.title = "one\ntwo", .part = "latched"};
  char *text = fixture_capture(write_head, &odd);
  assert_memory_equal(text, "# one?two\n#", 11);
  free(text);
}

/* --- as a fold ----------------------------------------------------------- */

static void write_run(FILE *to, const void *context)
{
  (void)context;
  struct trace_text text = text_to(to);
  struct trace trace;
  trace_init(&trace, UINT64_MAX);
  trace_listen(&trace, TRACE_TEXT_KINDS, trace_text_record, &text);
  trace_text_head(&text);
  for (unsigned kind = 0; kind < TRACE_KIND_COUNT_; kind++) {
    trace_add(&trace, (struct moment){.at = kind}, kind, 0, 0);
  }
  trace_free(&trace);
}

static void every_kind_is_written_in_order_and_with_its_word(void **state)
{
  (void)state;
  char *text = fixture_capture(write_run, NULL);
  char *again = fixture_capture(write_run, NULL);
  assert_string_equal(text, again);
  const char *line = strchr(strchr(text, '\n') + 1, '\n') + 1;
  for (unsigned kind = 0; kind < TRACE_KIND_COUNT_; kind++) {
    char start[80];
    int length = snprintf(start, sizeof start, "%14d.%03u %10d  %s", 0, kind,
                          0, trace_kinds[kind].text);
    assert_memory_equal(line, start, (size_t)length);
    assert_true(line[length] == ' ' || line[length] == '\n');
    line = strchr(line, '\n') + 1;
  }
  assert_string_equal(line, "");
  free(text);
  free(again);
}

int main(void)
{
  const struct CMUnitTest single[] = {
      cmocka_unit_test(the_head_names_case_and_part_but_no_folder),
      cmocka_unit_test(a_title_cannot_end_its_line),
      cmocka_unit_test(every_kind_is_written_in_order_and_with_its_word),
  };
  struct CMUnitTest tests[ROWS_COUNT(single) + ROWS_COUNT(record_rows)];
  memcpy(tests, single, sizeof single);
  ROWS_ADD(tests + ROWS_COUNT(single), record_row, record_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
