/* How little a part file needs, and what takes the place of what it leaves
 * out. The defaults are ours and are read in the words of the schema; what is
 * held here is that they are there, that they count as assumed, and that what
 * contradicts them is refused where the file says it. */
#include "rows.h"

#include <string.h>

#include "describe/part_shape.h"

#define MEGA 1000000

struct reading {
  struct arena arena;
  const struct part *part;
  struct sim_error err;
  enum sim_status status;
};

#define CORE "\"core\": { \"kind\": \"cortex-m0\" }"
#define FLASH(at)                                                             \
  "{ \"name\": \"flash\", \"kind\": \"flash\", \"at\": \"" at "\", "          \
  "\"size\": \"32KiB\" }"
#define RAM                                                                   \
  "{ \"name\": \"ram\", \"kind\": \"ram\", \"at\": \"0x20000000\", "          \
  "\"size\": \"4KiB\" }"
#define MEMORY(at) "\"memory\": [ " FLASH(at) ", " RAM " ]"
#define LEAST      "\"part\": \"x\", " CORE ", " MEMORY("0x00000000")

static void read_text(struct reading *r, const char *text)
{
  const struct json *root;
  arena_init(&r->arena);
  r->status = json_parse(&r->arena, "x.json", text, strlen(text), false, &root,
                         &r->err);
  assert_int_equal(r->status, SIM_OK);
  r->status = part_from_json(&r->arena, "x.json", root, &r->part, &r->err);
}

static void read_right(struct reading *r, const char *text)
{
  read_text(r, text);
  if (r->status != SIM_OK) fail_msg("%s: %s", r->err.path, r->err.message);
}

/* --- defaults ------------------------------------------------------------ */

static void what_is_left_out_has_a_usual_value(void **state)
{
  (void)state;
  struct reading r;
  read_right(&r, "{ " LEAST " }");
  const struct part *p = r.part;
  assert_null(p->about);
  assert_int_equal(p->core.interrupts, 32);
  assert_int_equal(p->core.multiplier.typ, 1);
  assert_int_equal(p->clock.source_count, 1);
  assert_int_equal(p->clock.sources[0].frequency.typ, 8 * MEGA);
  assert_int_equal(p->memory[0].page, 1024);
  assert_int_equal(p->memory[0].unit, 4);
  assert_int_equal(p->memory[1].page, 0);
  assert_int_equal(p->flash.program.typ, 50 * PS_PER_US);
  assert_int_equal(p->power.on_rise.typ, 1600000);
  assert_int_equal(p->power.load_off.typ, 5000);
  assert_int_equal(p->boot.vector_fetch.typ, 4);
  assert_true(p->probe.port_in_reset);
  assert_int_equal(p->pins.count, 0);
  assert_int_equal(p->pins.serial_transmit, PART_NONE);
  assert_int_equal(p->block_count, 0);
  assert_int_equal(p->unknown, UNKNOWN_LEARN);
  assert_int_equal(p->answer_count, 0);
  arena_free(&r.arena);
}

static void a_start_is_in_the_first_flash(void **state)
{
  (void)state;
  struct reading r;
  read_right(&r, "{ \"part\": \"x\", " CORE ", \"memory\": [ " RAM ", "
                 "{ \"name\": \"a\", \"kind\": \"flash\", "
                 "\"at\": \"0x10000000\", \"size\": \"1KiB\" }, "
                 "{ \"name\": \"b\", \"kind\": \"flash\", "
                 "\"at\": \"0x18000000\", \"size\": \"1KiB\" } ] }");
  assert_int_equal(r.part->rule_count, 1);
  assert_string_equal(r.part->rules[0].name, "otherwise");
  assert_int_equal(r.part->rules[0].memory, 1);
  assert_true(part_has_alias(r.part));
  arena_free(&r.arena);
}

/* What can happen to any part, and what a program can ask of any core. */
static void the_usual_resets_are_there(void **state)
{
  (void)state;
  struct reading r;
  read_right(&r, "{ " LEAST " }");
  const struct part_reset *resets = r.part->resets;
  for (enum cause c = 0; c < CAUSE_COUNT_; c++) {
    bool usual = c == CAUSE_POWER_ON || c == CAUSE_BROWN_OUT ||
                 c == CAUSE_PIN || c == CAUSE_SOFTWARE;
    assert_int_equal(resets[c].present, usual);
    if (!usual) continue;
    assert_true(resets[c].does[RESET_PINS] && resets[c].does[RESET_CLOCKS]);
    assert_int_equal(resets[c].does[RESET_RAM], c == CAUSE_POWER_ON);
  }
  arena_free(&r.arena);
}

static void no_alias_where_a_region_lies_at_0(void **state)
{
  (void)state;
  struct reading r;
  read_right(&r, "{ " LEAST " }");
  assert_false(part_has_alias(r.part));
  arena_free(&r.arena);
}

/* --- assumed ------------------------------------------------------------- */

static const struct part_value *value_at(const struct part *part,
                                         const char *path)
{
  for (uint32_t i = 0; i < part->value_count; i++) {
    if (strcmp(part->values[i].path, path) == 0) return &part->values[i];
  }
  fail_msg("no value %s", path);
  return NULL;
}

static const struct assumed_row {
  const char *name;
  const char *path;
  enum part_section section;
  uint32_t line;
} assumed_rows[] = {
    {"a key of an object that is there", "core.multiplier", SECTION_CORE, 2},
    {"a key of an object that is not", "power.start_up", SECTION_POWER, 1},
    {"a key of an object in one that is not", "power.on.rise", SECTION_POWER,
     1},
    {"an element of a list that is not there", "clock.sources[0].frequency",
     SECTION_CLOCK, 0},
    {"a fact of a list that is not there", "resets[3]", SECTION_RESET, 0},
};

/* Whatever the file says of its own values. */
static void assumed_row(void **state)
{
  const struct assumed_row *row = *state;
  struct reading r;
  read_right(&r, "{ \"source\": \"Data sheet 7\", \"part\": \"x\",\n" CORE
                 ",\n" MEMORY("0x10000000") " }");
  const struct part_value *v = value_at(r.part, row->path);
  assert_int_equal(v->from.source, SOURCE_ASSUMED);
  assert_int_equal(v->section, row->section);
  assert_int_equal(v->line, row->line);
  assert_int_equal(value_at(r.part, "memory[0]")->from.source,
                   SOURCE_PUBLISHED);
  arena_free(&r.arena);
}

static void what_is_there_is_not_assumed_twice(void **state)
{
  (void)state;
  struct reading r, all;
  read_right(&all, "{ " LEAST " }");
  read_right(&r, "{ " LEAST ", \"power\": { \"source\": \"Data sheet 7\", "
                 "\"start_up\": \"1ms\", \"on\": { \"rise\": \"2V\" } } }");
  assert_int_equal(r.part->power.start_up.typ, PS_PER_MS);
  assert_int_equal(r.part->power.on_rise.typ, 2000000);
  assert_int_equal(r.part->power.on_fall.typ, all.part->power.on_fall.typ);
  assert_int_equal(r.part->assumed[SECTION_POWER],
                   all.part->assumed[SECTION_POWER] - 2);
  arena_free(&r.arena);
  arena_free(&all.arena);
}

/* --- what contradicts a default ------------------------------------------ */

static const struct refused_row {
  const char *name;
  const char *text;
  const char *error;
} refused_rows[] = {
    {"a name is needed", "{ " CORE ", " MEMORY("0x0") " }",
     "x.json:1:1: has no \"part\"; expected a name of letters, digits, '_', "
     "'-' and '+'"},
    {"a core is needed", "{ \"part\": \"x\", " MEMORY("0x0") " }",
     "x.json:1:1: has no \"core\"; expected an object: a core"},
    {"a RAM is needed",
     "{ \"part\": \"x\", " CORE ", \"memory\": [ " FLASH("0x0") " ] }",
     "x.json:1:59: memory: has no region of kind \"ram\"; expected at least "
     "one"},
    {"a rise below the usual fall",
     "{ " LEAST ", \"power\": { \"on\": { \"rise\": \"1.2V\" } } }",
     "x.json:1:225: power.on: has a \"rise\" below the usual \"fall\"; "
     "expected \"fall\" as well"},
    {"a fall below the usual re-arm level",
     "{ " LEAST ", \"power\": { \"on\": { \"fall\": \"0.3V\" } } }",
     "x.json:1:217: power: has a \"fall\" below the usual re-arm level; "
     "expected \"rearm\" with \"below\" as well"},
    {"a blank check without resets",
     "{ " LEAST ", \"blank_check\": { \"held\": \"latched\", \"reads\": [ { "
     "\"at\": \"flash+0\", \"bytes\": 4 } ] } }",
     "x.json:1:223: blank_check: stands without \"resets\"; expected them to "
     "say when the check is made"},
    {"what is seen at 0 would lie on the flash itself",
     "{ \"part\": \"x\", " CORE ", " MEMORY("0x00004000") " }",
     "x.json:1:103: memory[0].at: overlaps what a start places at 0x00000000 "
     "to "
     "0x00007fff; expected free addresses"},
    {"a reset table of one's own is whole", "{ " LEAST ", \"resets\": [] }",
     "x.json:1:218: resets: has length 0; expected at least 1"},
};

static void refused_row(void **state)
{
  const struct refused_row *row = *state;
  struct reading r;
  char text[1400];
  read_text(&r, row->text);
  if (r.status == SIM_OK) fail_msg("is not refused");
  assert_string_equal(sim_error_text(&r.err, text, sizeof text), row->error);
  arena_free(&r.arena);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(what_is_left_out_has_a_usual_value),
      cmocka_unit_test(a_start_is_in_the_first_flash),
      cmocka_unit_test(the_usual_resets_are_there),
      cmocka_unit_test(no_alias_where_a_region_lies_at_0),
      cmocka_unit_test(what_is_there_is_not_assumed_twice),
  };
  struct CMUnitTest tests[ROWS_COUNT(assumed_rows) + ROWS_COUNT(refused_rows)];
  size_t n = ROWS_ADD(tests, assumed_row, assumed_rows);
  ROWS_ADD(tests + n, refused_row, refused_rows);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("defaults", singles, NULL, NULL);
}
