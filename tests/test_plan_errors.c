/* Names in a script that mean nothing on its part, on its board or in its
 * images: each is refused before anything runs, with the place. The words are
 * ours.
 *
 * What a script says by itself is refused by its reader; what only the part
 * or an image can refuse, by the preparation of a play. Scripts also come
 * from programs, without a file; those rows change what was read.
 */
#include "played.h"

static const char base_case[] =
    "{\n"
    "  \"case\": \"A script to be spoiled\",\n"
    "  \"part\": \"latched\",\n"
    "  \"images\": { \"app\": { \"file\": \"app.bin\", \"base\": "
    "\"0x04000000\" } },\n"
    "  \"board\": {\n"
    "    \"supply\": { \"source\": \"3.0V\", \"removable\": true },\n"
    "    \"nets\": [\n"
    "      { \"net\": \"led\", \"pins\": [ \"P9\" ], \"to\": \"ground\" },\n"
    "      { \"net\": \"button\", \"pins\": [ \"P3\", \"P4\" ] } ]\n"
    "  },\n"
    "  \"steps\": [\n"
    "    { \"power\": \"on\" },\n"
    "    { \"probe\": \"attach\", \"reset\": \"held\" },\n"
    "    { \"write\": \"app\" },\n"
    "    { \"write\": \"options\", \"set\": { \"start.source\": \"strap\" } "
    "},\n"
    "    { \"drive\": \"P2\", \"level\": \"high\" },\n"
    "    { \"reset\": \"watchdog\" },\n"
    "    { \"run\": \"1ms\", \"until\": \"0x04000040\" },\n"
    "    { \"power\": \"off\", \"for\": \"1s\" },\n"
    "    { \"expect\": { \"reaches\": \"rom_entry\" } }\n"
    "  ]\n"
    "}\n";

enum refuses { READER, PLAN };

static const struct row {
  const char *name;
  const char *from, *to; /* in the script */
  enum refuses refuses;
  enum sim_status status;
  const char *file;  /* that the error is about */
  const char *error; /* behind its name */
} rows[] = {
    {"a never of a pin that the part lacks", "\"part\": \"latched\",",
     "\"part\": \"latched\", \"never\": [ { \"never\": \"contention\", "
     "\"pin\": \"P16\" } ],",
     PLAN, SIM_REFERENCE, "case.json",
     ":3:33: never[0]: part latched has no pin or strap \"P16\"; expected the "
     "name of one"},
    {"a never of a region that the part lacks", "\"part\": \"latched\",",
     "\"part\": \"latched\", \"never\": [ { \"never\": \"start in\", "
     "\"region\": \"attic\" } ],",
     PLAN, SIM_REFERENCE, "case.json",
     ":3:33: never[0]: part latched has no memory region \"attic\"; expected "
     "the name of one"},
    {"a driver called like a pin", "\"P3\", \"P4\" ]",
     "\"P3\", \"P4\" ], \"drivers\": [ { \"driver\": \"P5\" } ]", PLAN,
     SIM_REFERENCE, "case.json",
     ":9: board.nets[1].drivers[0]: driver \"P5\" is called like a pin of "
     "part "
     "latched; expected another name"},
    {"a driver twice", "\"P3\", \"P4\" ]",
     "\"P3\", \"P4\" ], \"drivers\": [ { \"driver\": \"chip\" }, { "
     "\"driver\": \"chip\" } ]",
     READER, SIM_KEY, "case.json",
     ":9:97: board.nets[1].drivers[1].driver: is \"chip\", as in line 9; "
     "expected each driver once"},
    {"a loader that is none", "{ \"write\": \"app\" }",
     "{ \"write\": \"app\", \"through\": \"app\" }", PLAN, SIM_REFERENCE,
     "case.json",
     ":14:5: steps[2]: the loader is not in RAM; expected an image that lies "
     "there"},
    {"a loader for nobody", "{ \"write\": \"app\" }",
     "{ \"write\": \"app\", \"by\": \"preset\", \"through\": \"app\" }",
     READER, SIM_KEY, "case.json",
     ":14:39: steps[2].through: does not go with \"by\": \"preset\"; expected "
     "the probe to bring the loader"},
    {"a net on a pin that the part lacks", "\"P9\"", "\"P16\"", PLAN,
     SIM_REFERENCE, "case.json",
     ":8: board.nets[0].pins: part latched has no pin \"P16\"; "
     "expected the name of one"},
    {"a pin twice on one net", "\"P4\"", "\"P3\"", READER, SIM_KEY,
     "case.json",
     ":9:42: board.nets[1].pins[1]: is \"P3\", as in line 9; "
     "expected each pin once"},
    {"a pin on two nets", "\"P4\"", "\"P9\"", READER, SIM_KEY, "case.json",
     ":9:42: board.nets[1].pins[1]: is \"P9\", as in line 8; "
     "expected each pin once"},
    {"a net twice", "\"button\"", "\"led\"", READER, SIM_KEY, "case.json",
     ":9:16: board.nets[1].net: is \"led\", as in line 8; expected "
     "each net once"},
    {"a drive of a pin that the part lacks", "\"P2\"", "\"P16\"", PLAN,
     SIM_REFERENCE, "case.json",
     ":16:5: steps[4]: part latched has no pin or strap \"P16\"; "
     "expected the name of one"},
    {"a symbol to run to that is in no image", "0x04000040", "main", PLAN,
     SIM_REFERENCE, "case.json",
     ":18:5: steps[6]: no image has a symbol \"main\"; expected one "
     "of them, or an address such as \"0x04000100\""},
    {"a symbol to reach that is in no image", "rom_entry", "rom_entri", PLAN,
     SIM_REFERENCE, "case.json",
     ":20:5: steps[8]: no image has a symbol \"rom_entri\"; "
     "expected one of them, or an address such as \"0x04000100\""},
    {"an address to run to of more than 32 bits", "0x04000040", "0x104000040",
     PLAN, SIM_REFERENCE, "case.json",
     ":18:5: steps[6]: no image has a symbol \"0x104000040\"; "
     "expected one of them, or an address such as \"0x04000100\""},
    {"an address to run to with a sign", "0x04000040", "0x+4000040", PLAN,
     SIM_REFERENCE, "case.json",
     ":18:5: steps[6]: no image has a symbol \"0x+4000040\"; "
     "expected one of them, or an address such as \"0x04000100\""},
    {"an address to run to that says 0x twice", "0x04000040", "0x0x4000040",
     PLAN, SIM_REFERENCE, "case.json",
     ":18:5: steps[6]: no image has a symbol \"0x0x4000040\"; "
     "expected one of them, or an address such as \"0x04000100\""},
    {"an option word that the part lacks", "start.source", "begin.source",
     PLAN, SIM_REFERENCE, "case.json",
     ":15:5: steps[3]: part latched has no option field "
     "\"begin.source\"; expected one of its own, \"word.field\""},
    {"an option field that the part lacks", "start.source", "start.sources",
     PLAN, SIM_REFERENCE, "case.json",
     ":15:5: steps[3]: part latched has no option field "
     "\"start.sources\"; expected one of its own, \"word.field\""},
    {"half an option field's name", "start.source", "start.sour", PLAN,
     SIM_REFERENCE, "case.json",
     ":15:5: steps[3]: part latched has no option field "
     "\"start.sour\"; expected one of its own, \"word.field\""},
    {"an option without a field", "start.source", "start", READER, SIM_KEY,
     "case.json",
     ":15:36: steps[3].set.start: is no option field; expected one "
     "in the form \"word.field\""},
    {"a value that the option lacks", "\"strap\" }", "\"trap\" }", PLAN,
     SIM_REFERENCE, "case.json",
     ":15:5: steps[3]: option field \"start.source\" has no value "
     "\"trap\"; expected the name of one, or a number of 2 bits"},
    {"a number that the option's bits cannot hold", "\"strap\" }", "4 }", PLAN,
     SIM_REFERENCE, "case.json",
     ":15:5: steps[3]: option field \"start.source\" has no value "
     "\"4\"; expected the name of one, or a number of 2 bits"},
    {"a value with a sign", "\"strap\" }", "\"+1\" }", READER, SIM_RANGE,
     "case.json",
     ":15:52: steps[3].set[\"start.source\"]: is \"+1\"; expected a "
     "name of letters, digits, '_', '-' and '+'"},
    {"a cause that the part's table lacks", "watchdog", "lockup", PLAN,
     SIM_REFERENCE, "case.json",
     ":17:5: steps[5]: part latched has no reset cause \"lockup\" "
     "in its table; expected one that has a row"},
    {"a cause that no table can have", "watchdog", "watchdogs", READER,
     SIM_RANGE, "case.json",
     ":17:16: steps[5].reset: is \"watchdogs\"; expected "
     "\"watchdog\""},
    {"an image that the script lacks", "\"write\": \"app\"",
     "\"write\": \"application\"", READER, SIM_REFERENCE, "case.json",
     ":14:16: steps[2].write: is \"application\"; expected one of "
     "\"app\", \"latch\", \"options\""},
    {"an image file that is not there", "app.bin", "application.bin", PLAN,
     SIM_FILE, "application.bin",
     ": does not exist; expected a readable file"},
    {"an image that begins before flash", "0x04000000", "0x03fffffc", PLAN,
     SIM_RANGE, "app.bin",
     ": has 68 bytes at 0x03fffffc; expected all inside one flash "
     "or RAM of part latched"},
    {"an image that ends behind flash", "0x04000000", "0x0400bfc0", PLAN,
     SIM_RANGE, "app.bin",
     ": has 68 bytes at 0x0400bfc0; expected all inside one flash "
     "or RAM of part latched"},
    {"an image in the boot ROM", "0x04000000", "0x06000000", PLAN, SIM_RANGE,
     "app.bin",
     ": has 68 bytes at 0x06000000; expected all inside one flash "
     "or RAM of part latched"},
    {"an image that ends behind the last address", "0x04000000", "0xfffffffc",
     PLAN, SIM_RANGE, "app.bin",
     ": reaches 0x10000003F; expected addresses up to 0xFFFFFFFE"},
    {"a probe's work without a probe",
     "{ \"probe\": \"attach\", \"reset\": \"held\" }", "{ \"run\": \"1ms\" }",
     READER, SIM_RANGE, "case.json",
     ":14:16: steps[2].write: needs a probe, and none is attached "
     "here; expected \"probe\": \"attach\" before it, or \"by\": "
     "\"preset\""},
    {"a supply switched off that can't be", "true", "false", READER, SIM_RANGE,
     "case.json",
     ":19:16: steps[7].power: is \"off\"; expected no such step, "
     "because board.supply.removable is false"},
};

static void assert_error(struct played_bench *bench, const struct row *row,
                         const struct sim_error *err)
{
  char told[1200];
  sim_error_text(err, told, sizeof told);
  const char *expected =
      played_format(bench, "%s/%s%s", bench->folder, row->file, row->error);
  assert_string_equal(told, expected);
  assert_int_equal(err->status, row->status);
}

static void put_image(struct played_bench *bench)
{
  static const uint32_t image[17] = {0x20001000, 0x04000041};
  played_file(bench, "app.bin", image, sizeof image);
}

/* A play that is refused leaves nothing behind: the sanitizers' leak check
 * watches this. */
static enum sim_status prepare(const struct case_script *script,
                               const struct part *part, struct sim_error *err)
{
  static const struct play_options judging = {.judge = true};
  struct play *play = NULL;
  enum sim_status status = play_prepare(script, part, &judging, &play, err);
  assert_null(play);
  return status;
}

static void a_name_is_refused(void **state)
{
  struct played_bench *bench = *state;
  const struct row *row = bench->row;
  put_image(bench);
  const char *path =
      played_text_file(bench, "case.json",
                       played_replace(bench, base_case, row->from, row->to));

  struct sim_error err = {0};
  const struct case_script *script = NULL;
  enum sim_status status = case_read(&bench->arena, path, &script, &err);
  assert_int_equal(status == SIM_OK, row->refuses == PLAN);
  if (status == SIM_OK) {
    status = prepare(script, played_part(bench, PLAYED_LATCHED), &err);
  }
  assert_int_not_equal(status, SIM_OK);
  assert_error(bench, row, &err);
}

/* --- scripts without a file ---------------------------------------------- */

static void put_on_two_nets(struct case_script *script, struct step *steps)
{
  (void)steps;
  script->nets[1].pins[0] = "P9";
}

static void solder_the_supply(struct case_script *script, struct step *steps)
{
  (void)steps;
  script->supply.removable = false;
}

static void leave_the_probe_away(struct case_script *script,
                                 struct step *steps)
{
  (void)script;
  steps[1].verb = VERB_RUN;
}

static void leave_the_probe_away_from_a_reload(struct case_script *script,
                                               struct step *steps)
{
  leave_the_probe_away(script, steps);
  steps[2].verb = VERB_RELOAD;
  steps[2].target = WRITE_OPTIONS;
}

static const struct changed_row {
  const char *name;
  void (*change)(struct case_script *script, struct step *steps);
  enum sim_status status;
  const char *error;
} changed_rows[] = {
    {"in memory: a pin on two nets", put_on_two_nets, SIM_REFERENCE,
     ":9: board.nets[1].pins: pin \"P9\" is on two nets; expected "
     "one at most"},
    {"in memory: a supply switched off that can't be", solder_the_supply,
     SIM_REFERENCE,
     ":19:5: steps[7]: the supply of this board can't be switched "
     "off; expected board.supply.removable to be true"},
    {"in memory: a write without a probe", leave_the_probe_away, SIM_KEY,
     ":14:5: steps[2]: no probe was attached before this step; "
     "expected \"by\": \"preset\", or a step {\"probe\": "
     "\"attach\"} above"},
    {"in memory: a reload without a probe", leave_the_probe_away_from_a_reload,
     SIM_KEY,
     ":14:5: steps[2]: no probe was attached before this step; "
     "expected \"by\": \"preset\", or a step {\"probe\": "
     "\"attach\"} above"},
};

static void a_changed_script_is_refused(void **state)
{
  struct played_bench *bench = *state;
  const struct changed_row *changed = bench->row;
  put_image(bench);
  struct case_script script =
      *played_case(bench, played_text_file(bench, "case.json", base_case));
  struct step steps[16];
  assert_true(script.step_count <= ROWS_COUNT(steps));
  memcpy(steps, script.steps, script.step_count * sizeof steps[0]);
  script.steps = steps;
  changed->change(&script, steps);

  struct sim_error err = {0};
  const struct part *part = played_part(bench, PLAYED_LATCHED);
  assert_int_not_equal(prepare(&script, part, &err), SIM_OK);
  const struct row row = {
      .status = changed->status, .file = "case.json", .error = changed->error};
  assert_error(bench, &row, &err);
}

/* --- one name in two images ---------------------------------------------- */

static const char two_images[] =
    "{\n"
    "  \"case\": \"Two images have a main\",\n"
    "  \"part\": \"latched\",\n"
    "  \"images\": {\n"
    "    \"old\": \"" FIRSTFETCH_ROOT "/images/jumps-to-rom/jumps-to-rom.elf"
    "\",\n"
    "    \"new\": \"" FIRSTFETCH_ROOT "/images/logger/logger.elf\" },\n"
    "  \"steps\": [\n"
    "    { \"write\": \"new\", \"by\": \"preset\" },\n"
    "    { \"power\": \"on\" },\n"
    "    { \"expect\": { \"reaches\": \"%s\" } }\n"
    "  ]\n"
    "}\n";

static const struct case_script *case_reaching(struct played_bench *bench,
                                               const char *symbol)
{
  return played_case(
      bench, played_text_file(bench, "case.json",
                              played_format(bench, two_images, symbol)));
}

static void a_symbol_of_two_images_is_refused(void **state)
{
  struct played_bench *bench = *state;
  const struct row row = {
      .status = SIM_REFERENCE,
      .file = "case.json",
      .error = ":10:5: steps[2]: symbol \"main\" is at different addresses in "
               "two images; expected an address such as \"0x04000100\""};
  const struct part *part = played_part(bench, PLAYED_LATCHED);
  struct sim_error err = {0};
  assert_int_equal(prepare(case_reaching(bench, "main"), part, &err),
                   SIM_REFERENCE);
  assert_error(bench, &row, &err);
}

/* No `main` is told, which might be the other image's. */
static void a_symbol_of_one_of_them_is_found(void **state)
{
  struct played_bench *bench = *state;
  const struct part *part = played_part(bench, PLAYED_LATCHED);
  struct play *play =
      played_prepare(case_reaching(bench, "read_temperature"), part);
  const struct result *result = play_run(play);
  assert_int_equal(result->verdict, VERDICT_HELD);
  assert_int_equal(result->starts[0].reached_count, 1);
  assert_string_equal(result->starts[0].reached[0], "read_temperature");
  play_free(play);
}

/* --- the part's own image ------------------------------------------------ */

static const struct rom_row {
  const char *name;
  const char *image; /* of the boot ROM, beside the part file */
  enum sim_status status;
  const char *error; /* behind the folder of the images */
} rom_rows[] = {
    {"a boot ROM whose image is not there", "images/rom/rim.elf", SIM_FILE,
     ": does not exist; expected a readable file"},
    {"a boot ROM whose image is for flash", "images/logger/logger.elf",
     SIM_RANGE,
     ": has bytes at 0x04000000..0x040001e7; expected all inside "
     "\"rom\" (0x06000000, 8192 bytes)"},
};

static void a_boot_rom_is_refused(void **state)
{
  struct played_bench *bench = *state;
  const struct rom_row *row = bench->row;
  put_image(bench);
  const char *text =
      played_replace(bench, played_part_text(bench, PLAYED_LATCHED),
                     "images/rom/rom.elf", row->image);
  const struct part *part =
      played_part(bench, played_text_file(bench, "part.json", text));
  const struct case_script *script =
      played_case(bench, played_text_file(bench, "case.json", base_case));
  struct sim_error err = {0};
  assert_int_equal(prepare(script, part, &err), row->status);
  char told[1200];
  assert_string_equal(
      sim_error_text(&err, told, sizeof told),
      played_format(bench, FIRSTFETCH_ROOT "/%s%s", row->image, row->error));
}

/* --- more places than can be watched ------------------------------------- */

/* `main` of the image, if it has one, is watched too. */
static const char *many_places(struct played_bench *bench, unsigned count)
{
  const char *text = "";
  for (unsigned i = 0; i < count; i++) {
    text = played_format(bench,
                         "%s    { \"run\": \"1us\", \"until\": "
                         "\"0x%08x\" },\n",
                         text, 0x04000040u + 2 * i);
  }
  return played_replace(bench, base_case, "    { \"drive\"",
                        played_format(bench, "%s    { \"drive\"", text));
}

static void places_to_watch_have_an_end(void **state)
{
  struct played_bench *bench = *state;
  put_image(bench);
  struct sim_error err = {0};
  const struct row row = {
      .status = SIM_LIMIT,
      .file = "case.json",
      .error = ":52:5: steps[40]: too many places are watched; expected at "
               "most 32"};
  const struct case_script *script = played_case(
      bench, played_text_file(bench, "case.json", many_places(bench, 32)));
  const struct part *part = played_part(bench, PLAYED_LATCHED);
  assert_int_equal(prepare(script, part, &err), SIM_LIMIT);
  assert_error(bench, &row, &err);

  script = played_case(
      bench, played_text_file(bench, "case.json", many_places(bench, 31)));
  play_free(played_prepare(script, part));
}

/* ------------------------------------------------------------------------- */

static void the_base_is_accepted(void **state)
{
  struct played_bench *bench = *state;
  put_image(bench);
  const char *path = played_text_file(bench, "case.json", base_case);
  play_free(played_prepare(played_case(bench, path),
                           played_part(bench, PLAYED_LATCHED)));
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows) + ROWS_COUNT(changed_rows) +
                          ROWS_COUNT(rom_rows) + 4] = {
      PLAYED_TEST(the_base_is_accepted),
      PLAYED_TEST(places_to_watch_have_an_end),
      PLAYED_TEST(a_symbol_of_two_images_is_refused),
      PLAYED_TEST(a_symbol_of_one_of_them_is_found),
  };
  size_t n = 4;
  n += PLAYED_ADD(tests + n, a_name_is_refused, rows);
  n += PLAYED_ADD(tests + n, a_changed_script_is_refused, changed_rows);
  n += PLAYED_ADD(tests + n, a_boot_rom_is_refused, rom_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  return cmocka_run_group_tests(tests, NULL, NULL);
}
