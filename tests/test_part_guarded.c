/* What a part file says about cut orders, ECC, protection, banks and the check
 * of its options: read as written, and refused in these words. */
#include "sample_edit.h"

#include "describe/part_shape.h"

#define FLASH_END "\"option_program\": \"24ms\" }"
#define FLASH(more)                                                           \
  {                                                                           \
    FLASH_END, "\"option_program\": \"24ms\", " more " }"                     \
  }
#define OPTIONS(more)                                                         \
  {                                                                           \
    "\"options\": {\n", "\"options\": { " more "\n"                           \
  }
#define PROTECTION(more)                                                      \
  {                                                                           \
    "  \"straps\": [", "  \"protection\": { " more " },\n  \"straps\": ["     \
  }

static enum sim_status read_edited(struct arena *arena,
                                   const struct sample_edit *edits,
                                   const struct part **part,
                                   struct sim_error *err)
{
  const struct json *root;
  const char *text = sample_edited(arena, SAMPLE_PART, edits);
  enum sim_status status =
      json_parse(arena, "part.json", text, strlen(text), false, &root, err);
  if (status != SIM_OK) return status;
  return part_from_json(arena, "part.json", root, part, err);
}

/* --- refused ------------------------------------------------------------- */

static const struct refused_row {
  const char *name;
  struct sample_edit edits[SAMPLE_EDITS];
  const char *error;
} refusals[] = {
    {"a kind of torn cells is one of six",
     {FLASH("\"torn\": { \"program\": [ \"half\" ] }")},
     "part.json:18:125: flash.torn.program[0]: is \"half\"; expected one of "
     "\"old\", \"new\", \"part\", \"ones\", \"zeros\", \"weak\""},
    {"a list of kinds has one at least",
     {FLASH("\"torn\": { \"erase\": [] }")},
     "part.json:18:121: flash.torn.erase: has length 0; expected at least 1"},
    {"an order is one of three",
     {FLASH("\"torn\": { \"reload\": [ \"old\" ] }")},
     "part.json:18:112: flash.torn.reload: is no key of what a cut order may "
     "leave; expected one of \"program\", \"erase\", \"options\""},
    {"busy flash stalls or faults",
     {FLASH("\"while_busy\": \"wait\"")},
     "part.json:18:116: flash.while_busy: is \"wait\"; expected \"stall\" or "
     "\"fault\""},
    {"ECC is over 8 bytes",
     {FLASH("\"ecc\": true"), {"\"unit\": \"8B\"", "\"unit\": \"4B\""}},
     "part.json:14:102: memory[0].unit: programs 4 bytes at once; expected at "
     "least 8 with \"ecc\""},
    {"a check of options is one of three",
     {OPTIONS("\"integrity\": \"parity\",")},
     "part.json:32:29: options.integrity: is \"parity\"; expected one of "
     "\"none\", \"complement\", \"checksum\""},
    {"a fallback value is one of its field",
     {{"\"factory\": \"check\"",
       "\"factory\": \"check\", \"fallback\": \"open\""}},
     "part.json:35:124: options.words[0].fields[0].fallback: is \"open\"; "
     "expected one of \"check\", \"strap\", \"rom\""},
    {"pages are protected whole",
     {PROTECTION("\"pages\": [ { \"at\": \"flash+0\", \"size\": \"512B\", "
                 "\"when\": { \"option.start.wait\": 1 } } ]")},
     "part.json:39:57: protection.pages[0].size: is not a multiple of 1024, "
     "the page; expected whole pages"},
    {"from their beginning",
     {PROTECTION("\"pages\": [ { \"at\": \"flash+512\", \"size\": \"1KiB\", "
                 "\"when\": { \"option.start.wait\": 1 } } ]")},
     "part.json:39:38: protection.pages[0].at: is not a multiple of 1024, the "
     "page; expected whole pages"},
    {"within their region",
     {PROTECTION("\"pages\": [ { \"at\": \"flash+0\", \"size\": \"64KiB\", "
                 "\"when\": { \"option.start.wait\": 1 } } ]")},
     "part.json:39:57: protection.pages[0].size: is 65536; expected at most "
     "49152, the rest of \"flash\""},
    {"by option fields",
     {PROTECTION("\"readout\": { \"when\": { \"latch\": \"blank\" } }")},
     "part.json:39:42: protection.readout.when.latch: is no option field; "
     "expected \"option.WORD.FIELD\""},
    {"that the part has",
     {PROTECTION("\"readout\": { \"when\": { \"option.start.lock\": 1 } }")},
     "part.json:39:42: protection.readout.when[\"option.start.lock\"]: asks "
     "for an option field that this part lacks; expected \"source\" or "
     "\"wait\""},
};

static void refused_row(void **state)
{
  const struct refused_row *r = *state;
  struct arena arena;
  struct sim_error err;
  const struct part *part;
  char said[1400];
  arena_init(&arena);
  enum sim_status status = read_edited(&arena, r->edits, &part, &err);
  if (status == SIM_OK) fail_msg("is not refused");
  assert_string_equal(sim_error_text(&err, said, sizeof said), r->error);
  arena_free(&arena);
}

/* --- read ---------------------------------------------------------------- */

static const struct part *read_part(struct arena *arena,
                                    const struct sample_edit *edits)
{
  struct sim_error err;
  const struct part *part = NULL;
  char said[1400];
  arena_init(arena);
  if (read_edited(arena, edits, &part, &err) != SIM_OK)
    fail_msg("%s", sim_error_text(&err, said, sizeof said));
  return part;
}

/* Where nothing is said: cut orders leave the old content, which is assumed;
 * no ECC, no check, no lock. */
static void what_is_left_out_is_harmless(void **state)
{
  (void)state;
  struct arena arena;
  const struct sample_edit none[SAMPLE_EDITS] = {{NULL, NULL}};
  const struct part *part = read_part(&arena, none);
  assert_false(part_declares_torn(part));
  assert_false(part->flash.ecc || part->flash.read_while_write);
  assert_int_equal(part->flash.while_busy, WHILE_BUSY_STALL);
  assert_int_equal(part->options.integrity, INTEGRITY_NONE);
  assert_int_equal(part->protection.readout_count, 0);
  assert_int_equal(part->protection.page_count, 0);
  arena_free(&arena);
}

static void all_of_it_is_read(void **state)
{
  (void)state;
  struct arena arena;
  const struct sample_edit edits[SAMPLE_EDITS] = {
      FLASH("\"ecc\": true, \"while_busy\": \"fault\", \"read_while_write\": "
            "true, \"torn\": { \"program\": [ \"weak\", \"zeros\" ] }"),
      OPTIONS("\"integrity\": \"checksum\","),
      {"\"factory\": \"check\"",
       "\"factory\": \"check\", \"fallback\": \"rom\""},
      PROTECTION("\"pages\": [ { \"at\": \"flash+0x400\", \"size\": \"2KiB\", "
                 "\"when\": { \"option.start.wait\": 3 } } ], \"readout\": { "
                 "\"when\": { \"option.start.source\": \"strap\" }, "
                 "\"starts\": false }")};
  const struct part *part = read_part(&arena, edits);
  const struct part_protection *p = &part->protection;
  assert_true(part_declares_torn(part));
  assert_true(part->flash.ecc && part->flash.read_while_write);
  assert_int_equal(part->flash.while_busy, WHILE_BUSY_FAULT);
  assert_int_equal(part->flash.torn_program.count, 2);
  assert_int_equal(part->flash.torn_program.kinds[0], TORN_WEAK);
  assert_int_equal(part->flash.torn_program.kinds[1], TORN_ZEROS);
  assert_int_equal(part->options.integrity, INTEGRITY_CHECKSUM);
  assert_int_equal(part->options.words[0].fields[0].fallback, 2);
  assert_int_equal(p->page_count, 1);
  assert_true(p->pages[0].offset == 0x400 && p->pages[0].bytes == 0x800);
  assert_true(p->pages[0].term_count == 1 && p->pages[0].terms[0].value == 3);
  assert_true(p->readout_count == 1 && p->readout[0].value == 1);
  assert_true(p->denies_debug && !p->denies_starts);
  arena_free(&arena);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(what_is_left_out_is_harmless),
      cmocka_unit_test(all_of_it_is_read),
  };
  struct CMUnitTest tests[ROWS_COUNT(refusals)];
  ROWS_ADD(tests, refused_row, refusals);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
