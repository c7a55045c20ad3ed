/* An expectation that does not hold fails the run, and says what was seen
 * instead: the demonstration with its last expectation changed, one key at a
 * time. The words are ours.
 */
#include "played.h"
#include "program.h"

#define DEMO FIRSTFETCH_ROOT "/traces/still-boots-rom.jsonc"
#define LAST                                                                  \
  "{ \"region\": \"flash\", \"latch\": \"programmed\", \"stale\": false, "    \
  "\"reaches\": \"main\", \"within\": \"3ms\" }"

static const struct row {
  const char *name;
  const char *asks;         /* instead of the last expectation */
  const char *asked, *seen; /* as told */
} rows[] = {
    {"one wrong key among right ones",
     "{ \"region\": \"rom\", \"latch\": \"programmed\", \"stale\": false, "
     "\"reaches\": \"main\", \"within\": \"3ms\" }",
     "region rom, latch programmed, stale no, reaches main within 3 ms",
     "region flash"},
    {"region", "{ \"region\": \"rom\" }", "region rom within 10 ms",
     "region flash"},
    {"landing", "{ \"landing\": \"flash\" }", "landing flash within 10 ms",
     "landing none"},
    {"rule", "{ \"rule\": \"latch-blank\" }", "rule latch-blank within 10 ms",
     "rule otherwise"},
    {"cause", "{ \"cause\": \"pin\" }", "cause pin within 10 ms",
     "cause option_reload"},
    {"latch", "{ \"latch\": \"blank\" }", "latch blank within 10 ms",
     "latch programmed"},
    {"stale", "{ \"stale\": true }", "stale yes within 10 ms", "stale no"},
    {"outcome", "{ \"outcome\": \"lockup\" }", "outcome lockup within 10 ms",
     "outcome running"},
    {"symbol", "{ \"symbol\": \"rom_entry\" }",
     "symbol rom_entry within 10 ms", "symbol start"},
    {"reaches", "{ \"reaches\": \"rom_entry\" }",
     "reaches rom_entry within 10 ms", "reaches not there"},
    {"stack pointer", "{ \"sp\": \"0x20001000\" }",
     "sp 0x20001000 within 10 ms", "sp 0x20001800"},
    {"first fetch", "{ \"pc\": \"0x06000140\" }", "pc 0x06000140 within 10 ms",
     "pc 0x04000190"},
    {"ROM instructions", "{ \"rom_instructions\": 1 }",
     "rom_instructions 1 within 10 ms", "rom_instructions 0"},
    {"pins driven", "{ \"pins_driven\": 16, \"within\": \"1ms\" }",
     "pins_driven 16 within 1 ms", "pins_driven 1"},
    {"read", "{ \"read\": \"0x00000000\" }", "read 0x00000000 within 10 ms",
     "read none"},
    {"exit status", "{ \"exit_status\": 0 }", "exit_status 0 within 10 ms",
     "exit_status none"},
    {"several wrong keys", "{ \"cause\": \"pin\", \"latch\": \"blank\" }",
     "cause pin, latch blank within 10 ms",
     "cause option_reload, latch programmed"},
};

static void says_what_was_seen_instead(void **state)
{
  struct played_bench *bench = *state;
  const struct row *row = bench->row;
  struct program *p = arena_get(&bench->arena, sizeof *p);
  strcpy(p->folder, bench->folder);
  size_t length;
  const char *text = (const char *)played_bytes(bench, DEMO, &length);
  text = played_replace(bench, text, "../images", FIRSTFETCH_ROOT "/images");
  text = played_replace(bench, text, LAST, row->asks);
  program_write(p, "falsified.jsonc", text);
  program_run(p, "run --models models \"$D/falsified.jsonc\"");

  assert_string_equal(p->err, "");
  assert_int_equal(p->exit_code, 1);
  const char *told = strstr(p->out, "what was asked and did not hold:\n");
  assert_non_null(told);
  const char *expected = played_format(bench,
                                       "what was asked and did not hold:\n"
                                       "  failed  line 23, steps[8]\n"
                                       "    asked %s\n"
                                       "    seen  %s\n",
                                       row->asked, row->seen);
  const char *end = strstr(told, "\n\n");
  assert_non_null(end);
  assert_string_equal(
      arena_text_n(&bench->arena, told, (size_t)(end + 1 - told)), expected);
  assert_non_null(strstr(p->out, "\nfailed: 1 of 5 expectations\n"));
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  PLAYED_ADD(tests, says_what_was_seen_instead, rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
