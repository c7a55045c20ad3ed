/* What a part file may not say of what nothing describes: information words,
 * unknown registers, answers. The sample with one thing made wrong. */
#include "sample_edit.h"

#include "describe/part_shape.h"

static const struct row {
  const char *name;
  struct sample_edit edits[SAMPLE_EDITS];
  const char *error;
} rows[] = {
    {"information words hold no program",
     {{"\"start\": \"flash\" }", "\"start\": \"info\" }"}},
     "part.json:45:37: start_rules[3].start: is \"info\", which holds "
     "information words; expected a region that can hold a program"},
    {"a ROM has no preset",
     {{"\"image\": \"rom.elf\"", "\"image\": \"rom.elf\", \"preset\": []"}},
     "part.json:15:93: memory[1].preset: stands in a region of kind \"rom\"; "
     "expected it only in one of kind \"info\""},
    {"preset words begin inside the region",
     {{"\"0x1FFFF408\"", "\"0x1FFFF3FC\""}},
     "part.json:16:165: memory[3].preset[0].at: is 0x1ffff3fc with 2 words; "
     "expected all inside \"info\" (0x1ffff400, 3072 bytes)"},
    {"preset words end inside the region",
     {{"\"0x1FFFF408\"", "\"0x1FFFFFFC\""}},
     "part.json:16:165: memory[3].preset[0].at: is 0x1ffffffc with 2 words; "
     "expected all inside \"info\" (0x1ffff400, 3072 bytes)"},
    {"a preset has one source",
     {{"\"file\": \"info.bin\"",
       "\"file\": \"info.bin\", \"words\": [ \"0x1\" "
       "]"}},
     "part.json:16:222: memory[3].preset[1]: has both; expected either "
     "\"words\" or \"file\""},
    {"a preset has a source",
     {{", \"file\": \"info.bin\"", ""}},
     "part.json:16:222: memory[3].preset[1]: has neither; expected either "
     "\"words\" or \"file\""},
    {"an unknown register is treated in one of three ways",
     {{"\"unknown\": \"zero\"", "\"unknown\": \"ignore\""}},
     "part.json:65:14: unknown: is \"ignore\"; expected one of \"learn\", "
     "\"zero\", \"fault\""},
    {"an answer is about a register that no block describes",
     {{"\"at\": \"0x40000010\"", "\"at\": \"0x44010004\""}},
     "part.json:67:13: answers[0].at: is 0x44010004, which is \"OUT\"; "
     "expected a register that no block describes"},
    {"an answer says what a bit is",
     {{"\"bit\": 5, \"is\": 1", "\"bit\": 5"}},
     "part.json:67:5: answers[0]: does not say which bits; expected \"bit\" "
     "and \"is\", or \"mask\" and \"reads\", or none of them where \"when\" "
     "is \"outside\""},
    {"an answer has one form",
     {{"\"mask\": \"0x00000300\"", "\"bit\": 8, \"is\": 1, \"mask\": "
                                   "\"0x00000300\""}},
     "part.json:68:5: answers[1]: does not say which bits; expected \"bit\" "
     "and \"is\", or \"mask\" and \"reads\", or none of them where \"when\" "
     "is \"outside\""},
    {"an answer without bits is about something outside",
     {{"\"when\": \"outside\"", "\"when\": \"always\""}},
     "part.json:69:5: answers[2]: does not say which bits; expected \"bit\" "
     "and \"is\", or \"mask\" and \"reads\", or none of them where \"when\" "
     "is \"outside\""},
    {"a mask has a bit",
     {{"\"0x00000300\", \"reads\": \"0x00000100\"",
       "\"0x0\", \"reads\": \"0x0\""}},
     "part.json:68:35: answers[1].mask: is \"0x0\"; expected at least one "
     "bit"},
    {"an answer reads bits of its mask",
     {{"\"reads\": \"0x00000100\"", "\"reads\": \"0x00000500\""}},
     "part.json:68:58: answers[1].reads: is \"0x00000500\"; expected bits of "
     "\"mask\" alone"},
    {"answers agree",
     {{"\"at\": \"0x40000010\", \"bit\": 5, \"is\": 1, \"when\": \"polled\"",
       "\"at\": \"0x40000014\", \"bit\": 9, \"is\": 1"}},
     "part.json:68:5: answers[1]: contradicts answers[0]; expected a bit "
     "always to read the same"},
};

static void row(void **state)
{
  const struct row *r = *state;
  struct arena arena;
  struct sim_error err;
  const struct json *root;
  arena_init(&arena);
  const char *text = sample_edited(&arena, SAMPLE_PART, r->edits);
  enum sim_status status =
      json_parse(&arena, "part.json", text, strlen(text), false, &root, &err);
  const struct part *part;
  if (status == SIM_OK) {
    status = part_from_json(&arena, "part.json", root, &part, &err);
  }
  if (status == SIM_OK) fail_msg("is not refused");
  char said[1400];
  assert_string_equal(sim_error_text(&err, said, sizeof said), r->error);
  assert_int_equal(err.status, status);
  arena_free(&arena);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  ROWS_ADD(tests, row, rows);
  return cmocka_run_group_tests_name("part_unknown", tests, NULL, NULL);
}
