/* A value change dump, record by record. The form is that of IEEE 1364-2005,
 * clause 18 (from memory); tests/reports_agree.sh has another program read
 * whole runs. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "core/core.h"
#include "describe/trace_kinds.h"
#include "report/vcd.h"
#include "result_fixture.h"

static const struct part part = {
    .name = "small",
    .memory = {{.name = "flash"}, {.name = "rom"}},
    .memory_count = 2,
    .options = {.words = {{.name = "start"}}, .word_count = 1},
    .blank_check = {.held = BLANK_LATCHED},
    .pins = {.names = {"P0", "a-b", "a+b"}, .count = 3},
};

static const struct case_script script = {
    .title = "A title with $end in it",
    .file = "/a/folder/small.jsonc",
    .nets = {{.name = "lamp", .pins = {"a-b", "P0"}, .pin_count = 2}},
    .net_count = 1,
};

static uint32_t starts(const struct play *play)
{
  (void)play;
  return 7;
}

struct script_of {
  const struct trace_record *records;
  size_t count;
  ps_t end;
};

static void write_dump(FILE *to, const void *context)
{
  const struct script_of *s = context;
  static struct vcd v;
  v = (struct vcd){
      .to = to, .script = &script, .part = &part, .start_count = starts};
  vcd_head(&v);
  for (size_t i = 0; i < s->count; i++) {
    vcd_record(&v, &s->records[i]);
  }
  vcd_end(&v, s->end);
}

/* The code of a var of the dump, from its line: "$var wire 1 CODE NAME $end".
 */
static void code_of(const char *dump, const char *scope, const char *name,
                    char code[8])
{
  char key[64];
  snprintf(key, sizeof key, "$scope module %s $end\n", scope);
  const char *at = strstr(dump, key);
  if (!at) fail_msg("no scope %s in\n%s", scope, dump);
  const char *end = strstr(at, "$upscope");
  snprintf(key, sizeof key, " %s ", name);
  at = strstr(at, key);
  if (!at || at > end) fail_msg("no %s.%s in\n%s", scope, name, dump);
  const char *begin = at;
  while (begin[-1] != ' ') {
    begin--;
  }
  snprintf(code, 8, "%.*s", (int)(at - begin), begin);
}

/* What a dump says of a var at the instant of "#AT", or an empty text. */
static void change_at(const char *dump, long long at, const char *scope,
                      const char *name, char value[40])
{
  char key[32], code[8];
  code_of(dump, scope, name, code);
  snprintf(key, sizeof key, "\n#%lld\n", at);
  const char *line = strstr(dump, key);
  value[0] = '\0';
  if (!line) return;
  for (line += strlen(key); *line && *line != '#';
       line = strchr(line, '\n') + 1) {
    size_t length = strcspn(line, "\n");
    size_t used = strlen(code);
    if (length <= used || memcmp(line + length - used, code, used) != 0)
      continue;
    if (*line != 'b' && length != used + 1) continue;
    if (*line == 'b' && line[length - used - 1] != ' ') continue;
    snprintf(value, 40, "%.*s", (int)(length - used - (*line == 'b')), line);
  }
}

#define NS(n) ((n)*PS_PER_NS)

static const struct trace_record records[] = {
    {NS(0), 0, 3, NS(0) + 100, TRACE_SOURCE},
    {NS(0), 0, 2, 0, TRACE_NET},
    {NS(50), 0, THRESHOLD_ON_RISE, 1, TRACE_RAIL_RISE},
    {NS(60), 0, CORE_HELD, 0, TRACE_MODE},
    {NS(60), 0, CORE_RUNNING, 0, TRACE_MODE},
    {NS(100), 0, 3, 0, TRACE_RAIL},
    {NS(200), 0, 0, 5, TRACE_OPTION},
    {NS(200), 0, 0, 0, TRACE_LATCH},
    {NS(200), 0, 1, 0, TRACE_ENTER},
    {NS(300), 0, 1, 0, TRACE_FRESH},
    {NS(300), 0, CAUSE_PIN, 1, TRACE_FLAG},
    {NS(400), 0, 1, PIN_DRIVEN_HIGH, TRACE_PIN},
    {NS(500), 0, 1, 60, TRACE_CONTENTION},
    {NS(600), 0, 1, 0, TRACE_CONTENTION_END},
    {NS(600), 0, 1, PIN_RELEASED, TRACE_PIN},
    {NS(700), 0, 2, 0, TRACE_NET_RELEASED},
    {NS(700), 0, 1, 0x4000000, TRACE_FLASH_BEGIN},
    {NS(800), 0, 1, 0x4000000, TRACE_FLASH_END},
};

static const struct {
  const char *name;
  long long at;
  const char *scope, *var, *value;
} changes[] = {
    {"at first the latch is not known", 0, "latch", "held_programmed", "x"},
    {"nor are options", 0, "options", "start", "bx"},
    {"a core without power is off", 0, "core", "off", "1"},
    {"a pin that the board ties has its level at once", 0, "pins", "a$pb",
     "0"},
    {"a pin on nothing floats", 0, "pins", "P0", "z"},
    {"the source is told", 0, "supply", "source_mv", "b11"},
    {"the rail is told where it crosses a threshold", NS(50), "supply",
     "rail_mv", "b1"},
    {"and where it begins to move otherwise", NS(100), "supply", "rail_mv",
     "b11"},
    {"what came and went within an instant is not told", NS(60), "core",
     "held", ""},
    {"the mode at its end is", NS(60), "core", "running", "1"},
    {"an option word has its value", NS(200), "options", "start", "b101"},
    {"the latch was sampled", NS(200), "latch", "held_programmed", "0"},
    {"execution is in a region", NS(200), "executes", "rom", "1"},
    {"how many starts there were is asked for", NS(0), "run", "start", "b111"},
    {"a fresh check would say otherwise: stale", NS(300), "latch", "stale",
     "1"},
    {"a cause flag is set", NS(300), "reset", "pin", "1"},
    {"a pin that the part drives has its level", NS(400), "pins", "a$mb", "1"},
    {"and says that it is driven", NS(400), "driven", "a$mb", "1"},
    {"fought over, it has no level", NS(500), "pins", "a$mb", "x"},
    {"and its net is in contention", NS(500), "contention", "lamp", "1"},
    {"let go, it floats", NS(600), "pins", "a$mb", "z"},
    {"and its net is at peace", NS(600), "contention", "lamp", "0"},
    {"a pin that the bench lets go floats", NS(700), "pins", "a$pb", "z"},
    {"flash is busy", NS(700), "flash", "busy", "1"},
    {"with an order", NS(700), "flash", "program", "1"},
    {"until it is done", NS(800), "flash", "busy", "0"},
};

static char *dump_of(const struct trace_record *list, size_t count, ps_t end)
{
  return fixture_capture(write_dump, &(struct script_of){list, count, end});
}

static void test_changes(void **state)
{
  (void)state;
  char *dump = dump_of(records, sizeof records / sizeof records[0], NS(1000));
  for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
    char value[40];
    change_at(dump, changes[i].at, changes[i].scope, changes[i].var, value);
    if (strcmp(value, changes[i].value) != 0)
      fail_msg("%s: %s.%s is \"%s\" in\n%s", changes[i].name, changes[i].scope,
               changes[i].var, value, dump);
  }
  free(dump);
}

static void test_form(void **state)
{
  (void)state;
  char *dump = dump_of(records, sizeof records / sizeof records[0], NS(1000));
  assert_contains(dump, "$comment A title with ?end in it (small.jsonc), "
                        "part small $end\n$timescale 1 ps $end\n");
  assert_contains(dump, "$enddefinitions $end\n#0\n$dumpvars\n");
  assert_null(strstr(dump, "/a/folder"));
  size_t length = strlen(dump);
  assert_string_equal(dump + length - strlen("\n#1000000\n"), "\n#1000000\n");
  free(dump);
}

/* Time never goes back, and stands once. */
static void test_times(void **state)
{
  (void)state;
  char *dump = dump_of(records, sizeof records / sizeof records[0], NS(1000));
  long long last = -1;
  for (const char *at = dump; (at = strstr(at, "\n#")) != NULL; at++) {
    long long time = strtoll(at + 2, NULL, 10);
    assert_true(time > last);
    last = time;
  }
  free(dump);
}

static void test_nothing_happens(void **state)
{
  (void)state;
  char *dump = dump_of(NULL, 0, 0);
  assert_contains(dump, "#0\n$dumpvars\n");
  free(dump);
  dump = dump_of(NULL, 0, 5);
  assert_contains(dump, "$end\n#5\n");
  free(dump);
}

/* A rail that falls is told at its thresholds: nothing is made up between. */
static void test_falling(void **state)
{
  (void)state;
  static const struct trace_record falls[] = {
      {NS(0), 0, 3000, 0, TRACE_SOURCE},
      {NS(10), 0, 0, 1000, TRACE_SOURCE},
      {NS(500), 0, THRESHOLD_ON_FALL, 1500, TRACE_RAIL_FALL},
  };
  char *dump = dump_of(falls, 3, NS(5000));
  char value[40];
  change_at(dump, NS(500), "supply", "rail_mv", value);
  assert_string_equal(value, "b10111011100");
  change_at(dump, NS(1010), "supply", "rail_mv", value);
  assert_string_equal(value, "");
  free(dump);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_changes), cmocka_unit_test(test_form),
      cmocka_unit_test(test_times),   cmocka_unit_test(test_nothing_happens),
      cmocka_unit_test(test_falling),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
