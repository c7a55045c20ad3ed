/* What a part file says of what nothing describes: information words of the
 * factory, and bits of unknown registers. */
#include "describe/part_shape.h"

#include "describe/names.h"
#include "describe/part_check.h"

/* --- information words -----------------------------------------------------
 */

static const struct shape_row preset_rows[] = {
    {"at", SHAPE_HEX, SHAPE_REQUIRED, offsetof(struct part_preset, at),
     .multiple = 4, .sentence = "Address of the first word, in the region."},
    {"words", SHAPE_LIST, SHAPE_OPTIONAL, offsetof(struct part_preset, words),
     .min = 1, .max = 1024, .pointed = true, .stride = sizeof(uint32_t),
     .counted = offsetof(struct part_preset, word_count),
     .of = &(const struct shape_row){.kind = SHAPE_HEX},
     .sentence = "The words."},
    {"file", SHAPE_TEXT, SHAPE_OPTIONAL, offsetof(struct part_preset, file),
     .sentence = "Or a file with their bytes, a path beside this file."},
};

const struct shape part_preset_shape = {.what = "preset words",
                                        SHAPE_ROWS(preset_rows)};

/* --- answers ---------------------------------------------------------------
 */

static const struct shape_row answer_rows[] = {
    {"at", SHAPE_HEX, SHAPE_REQUIRED,
     offsetof(struct part_answer_row, answer.at), .multiple = 4,
     .sentence = "Address of the register's word."},
    {"bit", SHAPE_COUNT, SHAPE_OPTIONAL, offsetof(struct part_answer_row, bit),
     .has = offsetof(struct part_answer_row, has_bit), .max = 31,
     .sentence = "The bit, ..."},
    {"is", SHAPE_COUNT, SHAPE_OPTIONAL, offsetof(struct part_answer_row, is),
     .has = offsetof(struct part_answer_row, has_is), .max = 1,
     .sentence = "... and how it reads."},
    {"mask", SHAPE_HEX, SHAPE_OPTIONAL,
     offsetof(struct part_answer_row, answer.mask),
     .has = offsetof(struct part_answer_row, has_mask),
     .sentence = "Or several bits, ..."},
    {"reads", SHAPE_HEX, SHAPE_OPTIONAL,
     offsetof(struct part_answer_row, answer.value),
     .has = offsetof(struct part_answer_row, has_reads),
     .sentence = "... and how they read together."},
    {"when", SHAPE_CHOICE, SHAPE_OPTIONAL,
     offsetof(struct part_answer_row, answer.when), .words = answer_when_words,
     .initial = "always",
     .sentence = "Always, whatever is written; or from the second look on, "
                 "while a program polls it; or never by itself, because it "
                 "takes something outside: a program that polls it waits."},
};

const struct shape part_answer_shape = {.what = "an answer",
                                        SHAPE_ROWS(answer_rows)};

static enum sim_status check_form(const struct part_answer_row *a,
                                  const struct json *value,
                                  struct sim_error *err)
{
  bool one = a->has_bit && a->has_is, many = a->has_mask && a->has_reads;
  bool some = a->has_bit || a->has_is || a->has_mask || a->has_reads;
  bool half = a->has_bit != a->has_is || a->has_mask != a->has_reads;
  bool right = some ? one != many && !half : a->answer.when == ANSWER_OUTSIDE;
  if (right) return SIM_OK;
  return json_fail(value, SIM_KEY, err,
                   "does not say which bits; expected \"bit\" and \"is\", or "
                   "\"mask\" and \"reads\", or none of them where \"when\" is "
                   "\"outside\"");
}

static enum sim_status check_bits(const struct part_answer *a,
                                  const struct json *value,
                                  struct sim_error *err)
{
  bool none = json_get(value, "mask") && a->mask == 0;
  if (!none && (a->value & ~a->mask) == 0) return SIM_OK;
  return json_fail(json_get(value, none ? "mask" : "reads"), SIM_RANGE, err,
                   "is \"%.20s\"; expected %s",
                   json_get(value, none ? "mask" : "reads")->text,
                   none ? "at least one bit" : "bits of \"mask\" alone");
}

enum sim_status part_read_answer(struct shape_reader *r,
                                 const struct shape_row *row,
                                 const struct json *value, void *target)
{
  struct part_answer_row read = {.has_bit = false};
  enum sim_status status = shape_read(r, row->of->shape, value, &read);
  if (status == SIM_OK) status = check_form(&read, value, r->err);
  if (status == SIM_OK) status = check_bits(&read.answer, value, r->err);
  if (status != SIM_OK) return status;
  if (read.has_bit) {
    read.answer.mask = 1u << read.bit;
    read.answer.value = read.is << read.bit;
  }
  *(struct part_answer *)target = read.answer;
  return SIM_OK;
}
