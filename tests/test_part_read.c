/* Reading part files: what they give, and what is refused in which words.
 *
 * The expected numbers are those written in tests/sample_part.json, in the
 * units of base/units.h. */
#include "sample_edit.h"

#include "describe/part.h"
#include "describe/part_shape.h"
#include "shape_damage.h"

struct reading {
  struct arena arena;
  const struct part *part;
  struct sim_error err;
  enum sim_status status;
};

static void begin(struct reading *r)
{
  arena_init(&r->arena);
  r->status = part_read(&r->arena, SAMPLE_PART, &r->part, &r->err);
  if (r->status != SIM_OK) fail_msg("%s: %s", r->err.path, r->err.message);
}

static enum sim_status read_root(struct arena *arena, const struct json *root,
                                 struct sim_error *err)
{
  const struct part *part;
  return part_from_json(arena, root->file, root, &part, err);
}

static void begin_edited(struct reading *r, const char *old, const char *new)
{
  const struct sample_edit edits[SAMPLE_EDITS] = {{old, new}};
  arena_init(&r->arena);
  const char *text = sample_edited(&r->arena, SAMPLE_PART, edits);
  const struct json *root;
  r->status = json_parse(&r->arena, "part.json", text, strlen(text), false,
                         &root, &r->err);
  if (r->status != SIM_OK) return;
  r->status = part_from_json(&r->arena, "part.json", root, &r->part, &r->err);
}

/* --- what is read -------------------------------------------------------- */

static void numbers_arrive_in_their_units(void **state)
{
  (void)state;
  struct reading r;
  begin(&r);
  const struct part *p = r.part;
  assert_string_equal(p->name, "sample");
  assert_string_equal(p->file, SAMPLE_PART);
  assert_int_equal(p->core.kind, CORE_KIND_M0PLUS);
  assert_true(p->core.vector_base);
  assert_int_equal(p->core.fetch_bytes, 4);
  assert_int_equal(p->clock.sources[0].frequency.max, 9000000);
  assert_int_equal(p->memory[0].size, 48 * 1024);
  assert_int_equal(p->memory[0].unit, 8);
  assert_int_equal(p->memory[0].wait_states, 1);
  assert_int_equal(p->flash.program.typ, 52 * PS_PER_US);
  assert_int_equal(p->power.on_rise.typ, 1600000);
  assert_int_equal(p->power.load_off.typ, 6000);
  assert_int_equal(p->boot.vector_fetch.typ, 5);
  assert_true(p->boot.in_reset);
  assert_int_equal(p->pins.drive_resistance.max, 35000);
  assert_int_equal(p->pins.current_limit.max, 20000000);
  assert_int_equal(p->probe.transfer.typ, 6 * PS_PER_US);
  arena_free(&r.arena);
}

static void a_bound_that_is_left_out_is_typ(void **state)
{
  (void)state;
  struct reading r;
  begin(&r);
  const struct quantity *q = &r.part->clock.sources[1].start_up;
  assert_int_equal(q->min, 12 * PS_PER_US);
  assert_int_equal(q->typ, 12 * PS_PER_US);
  assert_int_equal(q->max, 15 * PS_PER_US);
  q = &r.part->clock.sources[1].frequency;
  assert_true(q->min == 24000000 && q->typ == q->min && q->max == q->min);
  arena_free(&r.arena);
}

static void names_become_indexes(void **state)
{
  (void)state;
  struct reading r;
  begin(&r);
  const struct part *p = r.part;
  assert_int_equal(p->straps[0].pin, 2);
  assert_int_equal(p->straps[0].pull, -1);
  assert_int_equal(p->pins.serial_receive, 1);
  assert_true(p->pins.debug == UINT64_C(1) << 3);
  assert_int_equal(p->blank_check.reads[1].offset, 0x800);
  assert_int_equal(p->blank_check.reads[1].bytes, 8);
  assert_int_equal(p->rules[1].term_count, 2);
  assert_int_equal(p->rules[1].terms[0].kind, TERM_OPTION);
  assert_int_equal(p->rules[1].terms[0].value, 1);
  assert_int_equal(p->rules[1].terms[1].kind, TERM_STRAP);
  assert_int_equal(p->rules[1].terms[1].value, 1);
  assert_int_equal(p->rules[2].terms[0].kind, TERM_LATCH);
  assert_int_equal(p->rules[2].terms[0].value, 0);
  assert_int_equal(p->rules[2].memory, part_memory_named(p, "rom"));
  assert_int_equal(p->rules[3].term_count, 0);
  assert_int_equal(p->options.words[0].fields[1].factory, 9);
  assert_int_equal(p->options.words[0].fields[1].lsb, 4);
  assert_int_equal(p->options.words[0].fields[1].width, 4);
  arena_free(&r.arena);
}

static void what_has_no_such_name_is_none(void **state)
{
  (void)state;
  struct reading r;
  begin(&r);
  assert_int_equal(part_memory_named(r.part, "eeprom"), PART_NONE);
  assert_int_equal(part_pin_named(r.part, "P5"), PART_NONE);
  assert_null(part_field_of(r.part, ROLE_FLASH_BUSY, NULL));
  arena_free(&r.arena);
  begin_edited(&r,
               ",\n    \"serial\": { \"transmit\": \"P0\", \"receive\": "
               "\"P1\" }",
               "");
  assert_int_equal(r.status, SIM_OK);
  assert_int_equal(r.part->pins.serial_transmit, PART_NONE);
  assert_int_equal(r.part->pins.serial_receive, PART_NONE);
  arena_free(&r.arena);
}

static void a_cause_without_a_row_cannot_happen(void **state)
{
  (void)state;
  struct reading r;
  begin(&r);
  const struct part_reset *resets = r.part->resets;
  assert_true(resets[CAUSE_PIN].present && resets[CAUSE_PIN].flag);
  assert_false(resets[CAUSE_PIN].does[RESET_LATCH]);
  assert_true(resets[CAUSE_POWER_ON].does[RESET_LATCH]);
  assert_false(resets[CAUSE_BROWN_OUT].flag);
  assert_false(resets[CAUSE_LOCKUP].present);
  arena_free(&r.arena);
}

/* The file has the blocks and registers in descending order. */
static void registers_ascend_and_keep_their_block(void **state)
{
  (void)state;
  struct reading r;
  begin(&r);
  assert_int_equal(r.part->register_count, 3);
  for (uint32_t i = 1; i < r.part->register_count; i++) {
    assert_true(r.part->registers[i - 1].at < r.part->registers[i].at);
  }
  assert_string_equal(r.part->registers[1].name, "FREE");
  assert_int_equal(r.part->registers[1].reset, 3);
  const struct part_register *reg = NULL;
  const struct part_field *key = part_field_of(r.part, ROLE_LATCH_KEY, &reg);
  assert_non_null(key);
  assert_int_equal(key->lsb, 16);
  assert_int_equal(key->width, 16);
  assert_int_equal(key->key_count, 2);
  assert_int_equal(key->keys[1], 0x0D15);
  assert_string_equal(reg->block, "LATCH");
  assert_int_equal(reg->at, 0x44000010);
  arena_free(&r.arena);
}

static void a_file_that_is_not_there_is_an_error(void **state)
{
  (void)state;
  struct reading r;
  arena_init(&r.arena);
  r.status = part_read(&r.arena, "tests/no-part.json", &r.part, &r.err);
  assert_int_equal(r.status, SIM_FILE);
  assert_string_equal(r.err.file, "tests/no-part.json");
  r.status = part_read(&r.arena, FIRSTFETCH_ROOT "/tests", &r.part, &r.err);
  assert_int_equal(r.status, SIM_FILE);
  arena_free(&r.arena);
}

/* --- sources ------------------------------------------------------------- */

static const struct source_row {
  const char *name;
  const char *old, *new;
  enum source start_up, rise; /* of the quantities in "power" */
  uint32_t assumed;           /* in that section, of its 9 */
} source_rows[] = {
    {"what the file says holds for all of it", "6uA", "6uA", SOURCE_ASSUMED,
     SOURCE_ASSUMED, 12},
    {"an object's source holds for what is in it", "\"power\": {",
     "\"power\": { \"source\": \"common practice\",", SOURCE_COMMON_PRACTICE,
     SOURCE_COMMON_PRACTICE, 3},
    {"and only for that", "\"on\": {",
     "\"on\": { \"source\": \"Data sheet 7, table 4\",", SOURCE_ASSUMED,
     SOURCE_PUBLISHED, 10},
    {"a quantity's own source comes first", "\"start_up\": { \"min\"",
     "\"start_up\": { \"source\": \"Data sheet 7\", \"min\"", SOURCE_PUBLISHED,
     SOURCE_ASSUMED, 11},
    {"without any source it is assumed", "\"source\": \"assumed\",", "",
     SOURCE_ASSUMED, SOURCE_ASSUMED, 12},
};

static void source_row(void **state)
{
  const struct source_row *row = *state;
  struct reading r;
  begin_edited(&r, row->old, row->new);
  assert_int_equal(r.status, SIM_OK);
  const struct part_power *p = &r.part->power;
  assert_int_equal(p->start_up.source, row->start_up);
  assert_int_equal(p->on_rise.source, row->rise);
  assert_int_equal(p->on_rise.document != NULL, row->rise == SOURCE_PUBLISHED);
  assert_int_equal(r.part->assumed[SECTION_POWER], row->assumed);
  arena_free(&r.arena);
}

static const struct part_value *value_at(const struct part *part,
                                         const char *path)
{
  for (uint32_t i = 0; i < part->value_count; i++) {
    if (strcmp(part->values[i].path, path) == 0) return &part->values[i];
  }
  fail_msg("no value %s", path);
  return NULL;
}

static void values_are_listed_with_path_and_section(void **state)
{
  (void)state;
  static const struct {
    const char *path;
    enum part_section section;
  } rows[] = {
      {"core.multiplier", SECTION_CORE},
      {"clock.sources[1].start_up", SECTION_CLOCK},
      {"memory[2]", SECTION_MEMORY},
      {"flash.erase_all", SECTION_FLASH},
      {"power.on.rise", SECTION_POWER},
      {"boot.strap_delay", SECTION_BOOT},
      {"start_rules[3]", SECTION_BOOT},
      {"resets[1]", SECTION_RESET},
      {"options.words[0].fields[1]", SECTION_OPTIONS},
      {"pins.current_limit", SECTION_PINS},
      {"probe.attach", SECTION_PROBE},
  };
  struct reading r;
  begin(&r);
  for (size_t i = 0; i < ROWS_COUNT(rows); i++) {
    const struct part_value *v = value_at(r.part, rows[i].path);
    assert_int_equal(v->section, rows[i].section);
    assert_int_equal(v->from.source, SOURCE_ASSUMED);
    assert_true(v->line > 1);
  }
  const char *other = "clock.sources[0].frequency";
  assert_int_equal(value_at(r.part, other)->from.source,
                   SOURCE_COMMON_PRACTICE);
  arena_free(&r.arena);
}

static void all_but_one_value_of_the_sample_are_assumed(void **state)
{
  (void)state;
  struct reading r;
  begin(&r);
  uint32_t assumed = 0;
  for (size_t s = 0; s < SECTION_COUNT_; s++) {
    assumed += r.part->assumed[s];
  }
  assert_int_equal(assumed, r.part->value_count - 1);
  assert_int_equal(r.part->assumed[SECTION_RESET],
                   7); /* one a row, and four of the line */
  assert_int_equal(r.part->assumed[SECTION_CLOCK], 3); /* of four */
  arena_free(&r.arena);
}

/* --- what is still right ------------------------------------------------- */

static const struct accepted_row {
  const char *name;
  const char *old, *new;
} accepted_rows[] = {
    {"regions may touch", "\"at\": \"0x06000000\"", "\"at\": \"0x0400C000\""},
    {"regions may touch from below", "\"at\": \"0x06000000\"",
     "\"at\": \"0x03FFE000\""},
    {"a region may end where the system space begins",
     "\"at\": \"0x20000000\"", "\"at\": \"0xDFFFE800\""},
    {"RAM may survive a power-on", "\"ram\": \"lose\"", "\"ram\": \"keep\""},
    {"fall may be as high as rise",
     "\"fall\": { \"min\": \"1.45V\", \"typ\": \"1.50V\", \"max\": \"1.56V\"",
     "\"fall\": { \"min\": \"1.55V\", \"typ\": \"1.60V\", \"max\": \"1.65V\""},
    {"re-arm may be as high as fall", "\"0.40V\"", "\"1.45V\""},
    {"a multiplication may take 32 cycles", "\"1 cycle\"", "\"32 cycles\""},
    {"a register may be the last word of its block", "\"offset\": \"0x04\"",
     "\"offset\": \"0x3FC\""},
    {"a check may read the last word", "\"at\": \"flash+0x800\"",
     "\"at\": \"flash+0xBFF8\""},
    {"a page may be as large as its region",
     "\"size\": \"48KiB\", \"page\": "
     "\"1KiB\"",
     "\"size\": \"64KiB\", \"page\": \"64KiB\""},
    {"a unit may be as large as its page",
     "\"page\": \"1KiB\", \"unit\": "
     "\"8B\"",
     "\"page\": \"64B\", \"unit\": \"64B\""},
    {"a factory value may have all bits of its field", "\"factory\": 9",
     "\"factory\": 15"},
    {"a rule may stand above one that asks less", "{ \"latch\": \"blank\" }",
     "{ \"option.start.source\": \"check\", \"latch\": \"blank\" }"},
    {"a rule may ask the same of another value", "{ \"latch\": \"blank\" }",
     "{ \"option.start.source\": \"strap\", \"strap.start\": \"low\" }"},
    {"a role may be left out", "\"role\": \"latch\", ", ""},
};

static void accepted_row(void **state)
{
  const struct accepted_row *row = *state;
  struct reading r;
  begin_edited(&r, row->old, row->new);
  if (r.status != SIM_OK) fail_msg("%s: %s", r.err.path, r.err.message);
  arena_free(&r.arena);
}

/* --- damaged files ------------------------------------------------------- */

static void damaged(const char *file)
{
  struct arena arena;
  arena_init(&arena);
  unsigned count =
      damage_all(sample_text(&arena, file), &part_shape, read_root);
  print_message("%u damaged files were refused or still right\n", count);
  assert_true(count > 1000);
  arena_free(&arena);
}

static void the_sample_spoilt_in_any_place_is_refused_there(void **state)
{
  (void)state;
  damaged(SAMPLE_PART);
}

static void a_model_spoilt_in_any_place_is_refused_there(void **state)
{
  (void)state;
  damaged(FIRSTFETCH_ROOT "/models/latched.json");
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(numbers_arrive_in_their_units),
      cmocka_unit_test(a_bound_that_is_left_out_is_typ),
      cmocka_unit_test(names_become_indexes),
      cmocka_unit_test(what_has_no_such_name_is_none),
      cmocka_unit_test(a_cause_without_a_row_cannot_happen),
      cmocka_unit_test(registers_ascend_and_keep_their_block),
      cmocka_unit_test(a_file_that_is_not_there_is_an_error),
      cmocka_unit_test(values_are_listed_with_path_and_section),
      cmocka_unit_test(all_but_one_value_of_the_sample_are_assumed),
      cmocka_unit_test(the_sample_spoilt_in_any_place_is_refused_there),
      cmocka_unit_test(a_model_spoilt_in_any_place_is_refused_there),
  };
  struct CMUnitTest tests[ROWS_COUNT(source_rows) + ROWS_COUNT(accepted_rows)];
  size_t count = ROWS_ADD(tests, source_row, source_rows);
  ROWS_ADD(tests + count, accepted_row, accepted_rows);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
