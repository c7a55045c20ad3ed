/* Reading case files: what they give.
 *
 * The expected numbers are those written in tests/sample_case.json, in the
 * units of base/units.h; the defaults are those of the description of each
 * key in traces/case.schema.json. */
#include "sample_edit.h"

#include "describe/case.h"
#include "describe/case_shape.h"
#include "shape_damage.h"

struct reading {
  struct arena arena;
  const struct case_script *script;
  struct sim_error err;
};

static void begin(struct reading *r, const char *file)
{
  arena_init(&r->arena);
  if (case_read(&r->arena, file, &r->script, &r->err) != SIM_OK) {
    fail_msg("%s: %s", r->err.path, r->err.message);
  }
}

/* A case of the steps in `text`, which must be right. */
static void begin_steps(struct reading *r, const char *text)
{
  char whole[2000];
  const struct json *root;
  struct case_script *script = NULL;
  arena_init(&r->arena);
  snprintf(
      whole, sizeof whole,
      "{ \"case\": \"c\", \"part\": \"p\", \"images\": { \"app\": \"a\" },"
      " \"steps\": [ %s ] }",
      text);
  enum sim_status status = json_parse(&r->arena, "case.json", whole,
                                      strlen(whole), false, &root, &r->err);
  if (status == SIM_OK) {
    status = case_from_json(&r->arena, "case.json", root, &script, &r->err);
  }
  if (status != SIM_OK) fail_msg("%s: %s", r->err.path, r->err.message);
  r->script = script;
}

/* --- all but the steps --------------------------------------------------- */

static void images_are_beside_the_case_file(void **state)
{
  (void)state;
  struct reading r;
  begin(&r, SAMPLE_CASE);
  const struct case_script *s = r.script;
  assert_int_equal(s->image_count, 2);
  assert_string_equal(s->images[0].name, "app");
  assert_string_equal(s->images[0].path, FIRSTFETCH_ROOT "/tests/app.elf");
  assert_false(s->images[0].has_base);
  assert_string_equal(s->images[1].name, "raw");
  assert_string_equal(s->images[1].path, FIRSTFETCH_ROOT "/tests/raw/app.bin");
  assert_true(s->images[1].has_base);
  assert_int_equal(s->images[1].base, 0x04000000);
  arena_free(&r.arena);
}

static void a_board_arrives_in_its_units(void **state)
{
  (void)state;
  struct reading r;
  begin(&r, SAMPLE_CASE);
  const struct case_supply *s = &r.script->supply;
  assert_int_equal(s->source_uv, 3000000);
  assert_int_equal(s->resistance_mohm, 10000);
  assert_int_equal(s->bulk_pf, 22000000);
  assert_int_equal(s->ramp_ps, 2 * PS_PER_MS);
  assert_int_equal(s->load_na, 3000);
  assert_true(s->removable);
  const struct case_net *n = r.script->nets;
  assert_int_equal(r.script->net_count, 2);
  assert_string_equal(n[0].name, "led");
  assert_int_equal(n[0].pin_count, 2);
  assert_string_equal(n[0].pins[1], "P1");
  assert_true(n[0].fixed && n[0].to == NET_GROUND);
  assert_int_equal(n[0].through_mohm, 1000000);
  assert_int_equal(n[0].line, 8);
  assert_false(n[1].fixed);
  arena_free(&r.arena);
}

static void a_board_that_is_left_out_has_defaults(void **state)
{
  (void)state;
  struct reading r;
  begin_steps(&r, "{ \"power\": \"on\" }");
  const struct case_supply *s = &r.script->supply;
  assert_int_equal(s->source_uv, 3000000);
  assert_int_equal(s->resistance_mohm, 0);
  assert_int_equal(s->bulk_pf, 10000000);
  assert_int_equal(s->ramp_ps, 100 * PS_PER_US);
  assert_int_equal(s->load_na, 0);
  assert_true(s->removable);
  assert_int_equal(r.script->net_count, 0);
  assert_int_equal(r.script->never_count, 0);
  arena_free(&r.arena);
}

static void never_keeps_its_lines(void **state)
{
  (void)state;
  struct reading r;
  begin(&r, SAMPLE_CASE);
  assert_int_equal(r.script->never_count, 3);
  assert_int_equal(r.script->never[0].kind, NEVER_ROM_RUNS);
  assert_int_equal(r.script->never[1].kind, NEVER_PIN_DRIVEN);
  assert_int_equal(r.script->never[2].kind, NEVER_CONTENTION);
  assert_int_equal(r.script->never[2].line, 11);
  arena_free(&r.arena);
}

/* --- steps --------------------------------------------------------------- */

static void steps_know_their_place(void **state)
{
  (void)state;
  struct reading r;
  begin(&r, SAMPLE_CASE);
  assert_int_equal(r.script->step_count, 20);
  for (uint32_t i = 0; i < r.script->step_count; i++) {
    assert_int_equal(r.script->steps[i].number, i);
    assert_int_equal(r.script->steps[i].line, 13 + i);
    assert_int_equal(r.script->steps[i].column, 5);
  }
  assert_string_equal(r.script->steps[2].label, "first");
  assert_null(r.script->steps[3].label);
  arena_free(&r.arena);
}

static void every_key_of_an_expectation_arrives(void **state)
{
  (void)state;
  struct reading r;
  begin(&r, SAMPLE_CASE);
  const struct step *s = &r.script->steps[3];
  const struct expectation *e = &s->expect;
  assert_int_equal(s->verb, VERB_EXPECT);
  assert_string_equal(e->region, "rom");
  assert_string_equal(e->landing, "flash");
  assert_string_equal(e->rule, "option-rom");
  assert_string_equal(e->symbol, "rom_entry");
  assert_string_equal(e->reaches, "main");
  assert_true(e->has_cause && e->cause == CAUSE_POWER_ON);
  assert_true(e->has_outcome && e->outcome == OUTCOME_WAITING);
  assert_true(e->has_latch && !e->latch_programmed);
  assert_true(e->has_stale && !e->stale);
  assert_true(e->has_sp && e->sp == 0x20001000);
  assert_true(e->has_pc && e->pc == 0x06000140);
  assert_true(e->has_rom_instructions && e->rom_instructions == 0);
  assert_true(e->has_pins_driven && e->pins_driven == 2);
  assert_true(e->has_read && e->read == 0);
  assert_true(e->has_exit_status && e->exit_status == 0);
  assert_int_equal(s->within, 3 * PS_PER_MS);
  assert_int_equal(s->on_count, 1);
  assert_string_equal(s->on[0].part, "checked");
  assert_string_equal(s->on[0].what.region, "flash");
  assert_false(s->on[0].what.has_latch);
  arena_free(&r.arena);
}

static void a_key_that_is_not_asked_stays_unasked(void **state)
{
  (void)state;
  struct reading r;
  begin_steps(&r, "{ \"expect\": { \"stale\": true } }");
  const struct step *s = &r.script->steps[0];
  assert_true(s->expect.has_stale && s->expect.stale);
  assert_false(s->expect.has_cause || s->expect.has_latch ||
               s->expect.has_sp || s->expect.has_read);
  assert_null(s->expect.region);
  assert_int_equal(s->within, 10 * PS_PER_MS); /* the default */
  arena_free(&r.arena);
}

static void options_are_set_by_name_or_number(void **state)
{
  (void)state;
  struct reading r;
  begin(&r, SAMPLE_CASE);
  const struct step *s = &r.script->steps[0];
  assert_int_equal(s->target, WRITE_OPTIONS);
  assert_int_equal(s->by, BY_PRESET);
  assert_int_equal(s->set_count, 2);
  assert_string_equal(s->set[0].field, "start.source");
  assert_string_equal(s->set[0].value, "rom");
  assert_string_equal(s->set[1].field, "start.wait");
  assert_string_equal(s->set[1].value, "3");
  arena_free(&r.arena);
}

static void a_write_goes_where_its_word_says(void **state)
{
  (void)state;
  struct reading r;
  begin(&r, SAMPLE_CASE);
  const struct step *s = r.script->steps;
  assert_int_equal(s[1].target, WRITE_LATCH);
  assert_int_equal(s[1].value, 1);
  assert_int_equal(s[8].target, WRITE_IMAGE);
  assert_int_equal(s[8].image, 0);
  assert_int_equal(s[8].erase, ERASE_ALL);
  assert_int_equal(s[8].by, BY_DEFAULT);
  assert_int_equal(s[9].target, WRITE_ADDRESS);
  assert_true(s[9].has_at);
  assert_int_equal(s[9].at, 0x20000000);
  assert_int_equal(s[9].value, 0x12345678);
  assert_int_equal(s[10].verb, VERB_RELOAD);
  assert_int_equal(s[10].by, BY_PROBE);
  arena_free(&r.arena);
}

static void a_probe_step_says_what_and_where(void **state)
{
  (void)state;
  struct reading r;
  begin(&r, SAMPLE_CASE);
  const struct step *s = r.script->steps;
  assert_int_equal(s[4].verb, VERB_PROBE);
  assert_int_equal(s[4].probe, PROBE_ATTACH);
  assert_int_equal(s[4].attach, ATTACH_HELD);
  assert_int_equal(s[5].probe, PROBE_HALT);
  assert_int_equal(s[6].probe, PROBE_READ);
  assert_int_equal(s[6].at, 0x04000000);
  assert_int_equal(s[7].probe, PROBE_ERASE);
  assert_true(s[7].has_at);
  assert_int_equal(s[11].probe, PROBE_GO);
  assert_int_equal(s[12].probe, PROBE_DETACH);
  arena_free(&r.arena);
}

static void power_reset_run_and_drive_arrive(void **state)
{
  (void)state;
  struct reading r;
  begin(&r, SAMPLE_CASE);
  const struct step *s = r.script->steps;
  assert_true(s[2].power == POWER_ON && s[2].lasts == 3 * PS_PER_MS);
  assert_true(s[13].reset == RESET_CAUSE && s[13].cause == CAUSE_PIN);
  assert_int_equal(s[13].lasts, PS_PER_MS);
  assert_true(s[14].reset == RESET_CAUSE && s[14].cause == CAUSE_WATCHDOG);
  assert_int_equal(s[15].reset, RESET_HOLD);
  assert_int_equal(s[16].verb, VERB_DRIVE);
  assert_string_equal(s[16].pin, "P2");
  assert_int_equal(s[16].level, DRIVE_HIGH);
  assert_int_equal(s[17].reset, RESET_RELEASE);
  assert_int_equal(s[18].lasts, 5 * PS_PER_MS);
  assert_string_equal(s[18].until, "main");
  assert_true(s[19].power == POWER_OFF && s[19].lasts == PS_PER_S);
  arena_free(&r.arena);
}

static void details_that_are_left_out_have_defaults(void **state)
{
  (void)state;
  struct reading r;
  begin_steps(&r, "{ \"power\": \"on\" }, { \"reset\": \"pin\" },"
                  " { \"probe\": \"attach\" }, { \"probe\": \"erase\" },"
                  " { \"write\": \"app\" }, { \"run\": \"1us\" }");
  const struct step *s = r.script->steps;
  assert_int_equal(s[0].lasts, 0);
  assert_int_equal(s[1].lasts, 20 * PS_PER_US);
  assert_int_equal(s[2].attach, ATTACH_RUNNING);
  assert_false(s[3].has_at);
  assert_int_equal(s[4].erase, ERASE_PAGES);
  assert_null(s[5].until);
  arena_free(&r.arena);
}

/* Steps that are right, close to ones that are refused. */
static const struct accepted_row {
  const char *name;
  const char *steps;
} accepted_rows[] = {
    {"asking for the region", "{ \"expect\": { \"region\": \"rom\" } }"},
    {"asking for the landing", "{ \"expect\": { \"landing\": \"rom\" } }"},
    {"asking for the rule", "{ \"expect\": { \"rule\": \"r\" } }"},
    {"asking for the symbol", "{ \"expect\": { \"symbol\": \"main\" } }"},
    {"asking what it reaches", "{ \"expect\": { \"reaches\": \"main\" } }"},
    {"asking for the cause", "{ \"expect\": { \"cause\": \"pin\" } }"},
    {"asking for the outcome", "{ \"expect\": { \"outcome\": \"off\" } }"},
    {"asking for the latch", "{ \"expect\": { \"latch\": \"blank\" } }"},
    {"asking whether it is stale", "{ \"expect\": { \"stale\": false } }"},
    {"asking for the stack", "{ \"expect\": { \"sp\": \"0x0\" } }"},
    {"asking for the address", "{ \"expect\": { \"pc\": \"0x0\" } }"},
    {"asking what the ROM ran", "{ \"expect\": { \"rom_instructions\": 0 } }"},
    {"asking for pins", "{ \"expect\": { \"pins_driven\": 0 } }"},
    {"asking for a status", "{ \"expect\": { \"exit_status\": 0 } }"},
    {"asking for what was read", "{ \"expect\": { \"read\": \"0x0\" } }"},
    {"asking on one part only",
     "{ \"expect\": {}, \"on\": { \"p\": { \"region\": \"rom\" } } }"},
    {"a pin reset after a released line",
     "{ \"reset\": \"hold\" }, { \"reset\": \"release\" },"
     " { \"reset\": \"pin\" }"},
    {"another cause while the line is held",
     "{ \"reset\": \"hold\" }, { \"reset\": \"software\" }"},
    {"attaching twice",
     "{ \"probe\": \"attach\" }, { \"probe\": \"attach\" }"},
    {"a preset after detaching",
     "{ \"probe\": \"attach\" }, { \"probe\": \"detach\" },"
     " { \"write\": \"app\", \"by\": \"preset\" }"},
    {"keys in any order",
     "{ \"label\": \"l\", \"reset\": \"held\", \"probe\": \"attach\" }"},
};

static void accepted_row(void **state)
{
  const struct accepted_row *row = *state;
  struct reading r;
  begin_steps(&r, row->steps);
  assert_true(r.script->step_count > 0);
  arena_free(&r.arena);
}

/* --- the built-in script ------------------------------------------------- */

static void the_built_in_script_plays_the_users_image(void **state)
{
  (void)state;
  struct arena arena;
  arena_init(&arena);
  const struct case_script *s =
      case_builtin(&arena, "latched", "out/app.bin", true, 0x04000000);
  assert_string_equal(s->part, "latched");
  assert_int_equal(s->image_count, 1);
  assert_string_equal(s->images[0].path, "out/app.bin");
  assert_true(s->images[0].has_base);
  assert_int_equal(s->images[0].base, 0x04000000);
  static const enum verb verbs[] = {VERB_POWER, VERB_PROBE, VERB_WRITE,
                                    VERB_PROBE, VERB_RESET, VERB_RUN,
                                    VERB_POWER, VERB_POWER};
  assert_int_equal(s->step_count, ROWS_COUNT(verbs));
  for (uint32_t i = 0; i < s->step_count; i++) {
    assert_int_equal(s->steps[i].verb, verbs[i]);
  }
  assert_int_equal(s->never_count, 0);
  arena_free(&arena);
}

/* --- damaged files ------------------------------------------------------- */

static enum sim_status read_root(struct arena *arena, const struct json *root,
                                 struct sim_error *err)
{
  struct case_script *script;
  return case_from_json(arena, root->file, root, &script, err);
}

static void damaged(const char *file, unsigned at_least)
{
  struct arena arena;
  arena_init(&arena);
  unsigned count =
      damage_all(sample_text(&arena, file), &case_shape, read_root);
  print_message("%u damaged files were refused or still right\n", count);
  assert_true(count > at_least);
  arena_free(&arena);
}

static void the_sample_spoilt_in_any_place_is_refused_there(void **state)
{
  (void)state;
  damaged(SAMPLE_CASE, 500);
}

static void a_case_spoilt_in_any_place_is_refused_there(void **state)
{
  (void)state;
  damaged(FIRSTFETCH_ROOT "/traces/still-boots-rom.jsonc", 200);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(images_are_beside_the_case_file),
      cmocka_unit_test(a_board_arrives_in_its_units),
      cmocka_unit_test(a_board_that_is_left_out_has_defaults),
      cmocka_unit_test(never_keeps_its_lines),
      cmocka_unit_test(steps_know_their_place),
      cmocka_unit_test(every_key_of_an_expectation_arrives),
      cmocka_unit_test(a_key_that_is_not_asked_stays_unasked),
      cmocka_unit_test(options_are_set_by_name_or_number),
      cmocka_unit_test(a_write_goes_where_its_word_says),
      cmocka_unit_test(a_probe_step_says_what_and_where),
      cmocka_unit_test(power_reset_run_and_drive_arrive),
      cmocka_unit_test(details_that_are_left_out_have_defaults),
      cmocka_unit_test(the_built_in_script_plays_the_users_image),
      cmocka_unit_test(the_sample_spoilt_in_any_place_is_refused_there),
      cmocka_unit_test(a_case_spoilt_in_any_place_is_refused_there),
  };
  struct CMUnitTest tests[ROWS_COUNT(accepted_rows)];
  ROWS_ADD(tests, accepted_row, accepted_rows);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
