/* The forms of a "write" step, by what is written. */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "describe/case_forms.h"
#include "describe/names.h"
#include "describe/shape_text.h"
#include "describe/shape_value.h"

static const char *const by_words[] = {"probe", "preset", NULL};
static const char *const image_by_words[] = {"probe", "preset", "host", NULL};
static const char *const latch_target[] = {"latch", NULL};
static const char *const options_target[] = {"options", NULL};

static const struct shape_row address_form = {.kind = SHAPE_HEX,
                                              .multiple = 4};
static const struct shape_row image_form = {.kind = SHAPE_NAME};

static enum sim_status read_address_target(struct shape_reader *r,
                                           const struct shape_row *row,
                                           const struct json *value,
                                           void *target)
{
  struct step *step = target;
  step->target = WRITE_ADDRESS;
  step->has_at = true;
  return shape_read_value(r, row->of, value, &step->at);
}

enum sim_status case_find_image(struct shape_reader *r,
                                const struct json *value, uint32_t *index)
{
  const struct case_script *script = r->user;
  const char *names[CASE_MAX_IMAGES + 3] = {NULL};
  uint32_t count = script->image_count;
  for (uint32_t i = 0; i < count; i++) {
    names[i] = script->images[i].name;
    if (strcmp(names[i], value->text) != 0) continue;
    *index = i;
    return SIM_OK;
  }
  names[count] = latch_target[0];
  names[count + 1] = options_target[0];
  char words[SHAPE_TEXT_SIZE];
  return shape_expected(r, value, SIM_REFERENCE,
                        shape_words(names, value->text, words, sizeof words));
}

static enum sim_status read_image_target(struct shape_reader *r,
                                         const struct shape_row *row,
                                         const struct json *value,
                                         void *target)
{
  (void)row;
  struct step *step = target;
  step->target = WRITE_IMAGE;
  return case_find_image(r, value, &step->image);
}

static enum sim_status read_through(struct shape_reader *r,
                                    const struct shape_row *row,
                                    const struct json *value, void *target)
{
  (void)row;
  return case_find_image(r, value, target);
}

/* A value that is a name or a number, kept as text. */
static enum sim_status read_setting(struct shape_reader *r,
                                    const struct shape_row *row,
                                    const struct json *value, void *target)
{
  struct option_setting *setting = target;
  const char *dot = strchr(value->key, '.');
  char word[64] = "";
  if (dot && (size_t)(dot - value->key) < sizeof word) {
    memcpy(word, value->key, (size_t)(dot - value->key));
  }
  if (!dot || !shape_is_name(word) || !shape_is_name(dot + 1)) {
    return json_fail_key(value, SIM_KEY, r->err,
                         "is no option field; expected one in the form "
                         "\"word.field\"");
  }
  if (value->type == JSON_STRING) {
    return shape_read_value(r, &row->of[0], value, &setting->value);
  }
  uint32_t number;
  char text[16];
  enum sim_status status = shape_read_value(r, &row->of[1], value, &number);
  if (status != SIM_OK) return status;
  snprintf(text, sizeof text, "%" PRIu32, number);
  setting->value = arena_text(r->arena, text);
  return SIM_OK;
}

static const struct shape_row setting_forms[] = {{.kind = SHAPE_NAME},
                                                 {.kind = SHAPE_COUNT}};

const struct shape_row case_setting_row = {
    .kind = SHAPE_CUSTOM,
    .of = setting_forms,
    .of_count = 2,
    .read = read_setting,
    .expected = "the name of a value, or an integer"};

static const struct shape_row by_rows[] = {
    {"by", SHAPE_CHOICE, SHAPE_OPTIONAL, offsetof(struct step, by),
     .words = by_words, .min = BY_PROBE,
     .sentence = "Who writes: the probe, through the part's own means, or "
                 "nobody, because it was like that before. Left out, the "
                 "attached probe."},
};

static const struct shape by_shape = {
    .what = "who writes", SHAPE_ROWS(by_rows), .also = &case_step_shape};

static const struct shape_row image_by_rows[] = {
    {"by", SHAPE_CHOICE, SHAPE_OPTIONAL, offsetof(struct step, by),
     .words = image_by_words, .min = BY_PROBE,
     .sentence = "Who writes: the probe, through the part's own means; the "
                 "serial host, through the boot ROM; or nobody, because it "
                 "was like that before. Left out, the attached probe."},
};

static const struct shape image_by_shape = {.what = "who writes an image",
                                            SHAPE_ROWS(image_by_rows),
                                            .also = &case_step_shape};

static const struct shape_row write_latch_rows[] = {
    {"write", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct step, target),
     .words = latch_target, .min = WRITE_LATCH,
     .sentence = "Write the blank latch."},
    {"value", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct step, value),
     .words = latch_words, .sentence = "What it shall say."},
};

const struct shape case_write_latch_shape = {.what = "a write to the latch",
                                             SHAPE_ROWS(write_latch_rows),
                                             .also = &by_shape};

static const struct shape_row write_options_rows[] = {
    {"write", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct step, target),
     .words = options_target, .min = WRITE_OPTIONS,
     .sentence = "Write option words; they act once they are loaded."},
    {"set", SHAPE_MAP, SHAPE_REQUIRED, offsetof(struct step, set), .min = 1,
     .max = CASE_MAX_SET, .stride = sizeof(struct option_setting),
     .keyed = true, .key_at = offsetof(struct option_setting, field),
     .counted = offsetof(struct step, set_count), .of = &case_setting_row,
     .pattern = CASE_SETTING_PATTERN, .sentence = "Values by \"word.field\"."},
};

const struct shape case_write_options_shape = {.what =
                                                   "a write to the options",
                                               SHAPE_ROWS(write_options_rows),
                                               .also = &by_shape};

static const struct shape_row write_address_rows[] = {
    {"write", SHAPE_CUSTOM, SHAPE_REQUIRED, 0, .of = &address_form,
     .of_count = 1, .read = read_address_target,
     .expected = "an address such as \"0x44000000\"",
     .sentence = "Write a word of a register or of RAM."},
    {"value", SHAPE_HEX, SHAPE_REQUIRED, offsetof(struct step, value),
     .sentence = "The word."},
};

const struct shape case_write_address_shape = {.what = "a write to an address",
                                               SHAPE_ROWS(write_address_rows),
                                               .also = &by_shape};

static const struct shape_row write_image_rows[] = {
    {"write", SHAPE_CUSTOM, SHAPE_REQUIRED, 0, .of = &image_form,
     .of_count = 1, .read = read_image_target,
     .expected = "the name of an image, \"latch\", \"options\" or an "
                 "address",
     .sentence = "Write an image."},
    {"erase", SHAPE_CHOICE, SHAPE_OPTIONAL, offsetof(struct step, erase),
     .words = erase_words, .initial = "pages",
     .sentence = "What is erased first: the pages that the image touches, "
                 "everything, or nothing."},
    {"through", SHAPE_CUSTOM, SHAPE_OPTIONAL, offsetof(struct step, through),
     .has = offsetof(struct step, has_through), .of = &image_form,
     .of_count = 1, .read = read_through, .expected = "the name of an image",
     .sentence = "The image of a loader: the probe puts it into RAM and lets "
                 "it run on the core, page by page."},
    {"order", SHAPE_CHOICE, SHAPE_OPTIONAL, offsetof(struct step, order),
     .words = order_words, .initial = "ascending",
     .sentence = "Which programming unit comes first. The vectors are the "
                 "first 8 bytes of the image."},
};

const struct shape case_write_image_shape = {.what = "a write of an image",
                                             SHAPE_ROWS(write_image_rows),
                                             .also = &image_by_shape};
