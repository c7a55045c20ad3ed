/* Which form a step has: found by its verb, and by what the verb says. */
#include <assert.h>
#include <stdbool.h>
#include <string.h>

#include "describe/case_forms.h"
#include "describe/case_shape.h"
#include "describe/names.h"
#include "describe/shape_text.h"
#include "describe/shape_value.h"

/* Causes, but for the first: the supply makes a power-on. */
static const char *const all_reset_words[] = {
#define X(name, word, sentence) word,
#include "describe/causes.def"
#undef X
    "hold", "release", NULL};
#define RESET_WORDS (all_reset_words + CAUSE_POWER_ON + 1)
_Static_assert(CAUSE_POWER_ON == 0, "the first row of causes.def");

/* The first whose word, or beginning of a word, the verb's value is. */
static const struct form {
  enum verb verb;
  const char *word; /* NULL: anything */
  bool begins;      /* the value need only begin with it */
  const struct shape *shape;
} forms[] = {
    {VERB_POWER, "dip", false, &case_power_dip_shape},
    {VERB_POWER, NULL, false, &case_power_shape},
    {VERB_RESET, "pin", false, &case_reset_pin_shape},
    {VERB_RESET, "hold", false, &case_reset_line_shape},
    {VERB_RESET, "release", false, &case_reset_line_shape},
    {VERB_RESET, NULL, false, &case_reset_cause_shape},
    {VERB_WRITE, "latch", false, &case_write_latch_shape},
    {VERB_WRITE, "options", false, &case_write_options_shape},
    {VERB_WRITE, "0x", true, &case_write_address_shape},
    {VERB_WRITE, NULL, false, &case_write_image_shape},
    {VERB_RELOAD, NULL, false, &case_reload_shape},
    {VERB_PROBE, "attach", false, &case_attach_shape},
    {VERB_PROBE, "read", false, &case_probe_read_shape},
    {VERB_PROBE, "erase", false, &case_probe_erase_shape},
    {VERB_PROBE, "detach", false, &case_detach_shape},
    {VERB_PROBE, "registers", false, &case_probe_registers_shape},
    {VERB_PROBE, "set", false, &case_probe_set_shape},
    {VERB_PROBE, "step", false, &case_probe_step_shape},
    {VERB_PROBE, "reset", false, &case_probe_reset_shape},
    {VERB_PROBE, "start", false, &case_probe_start_shape},
    {VERB_PROBE, NULL, false, &case_probe_shape},
    {VERB_RUN, NULL, false, &case_run_shape},
    {VERB_DRIVE, NULL, false, &case_drive_shape},
    {VERB_SEND, "wipe", false, &case_send_wipe_shape},
    {VERB_SEND, "put", false, &case_send_put_shape},
    {VERB_SEND, "get", false, &case_send_get_shape},
    {VERB_SEND, "compare", false, &case_send_compare_shape},
    {VERB_SEND, "launch", false, &case_send_launch_shape},
    {VERB_SEND, "bytes", false, &case_send_bytes_shape},
    {VERB_SEND, NULL, false, &case_send_shape},
    {VERB_EXPECT, NULL, false, &case_expect_shape},
};
#define FORM_COUNT (sizeof forms / sizeof forms[0])

static bool form_matches(const struct form *form, enum verb verb,
                         const struct json *value)
{
  if (form->verb != verb) return false;
  if (!form->word) return true;
  if (value->type != JSON_STRING) return false;
  return form->begins
             ? strncmp(value->text, form->word, strlen(form->word)) == 0
             : strcmp(value->text, form->word) == 0;
}

static const struct shape *form_of(enum verb verb, const struct json *value)
{
  for (size_t i = 0; i < FORM_COUNT; i++) {
    if (form_matches(&forms[i], verb, value)) return forms[i].shape;
  }
  assert(false); /* every verb has a form for anything */
  return NULL;
}

/* "reset" beside "probe" is a detail, not a verb. */
static bool is_detail_of(enum verb detail, enum verb verb)
{
  for (size_t i = 0; i < FORM_COUNT; i++) {
    if (forms[i].verb != verb || verb == detail) continue;
    if (shape_row_named(forms[i].shape, verb_word(detail))) return true;
  }
  return false;
}

static bool is_verb_of(const struct json *step, enum verb verb)
{
  if (!json_get(step, verb_word(verb))) return false;
  for (enum verb v = 0; v < VERB_COUNT_; v++) {
    if (json_get(step, verb_word(v)) && is_detail_of(verb, v)) return false;
  }
  return true;
}

static enum sim_status refuse_no_verb(struct shape_reader *r,
                                      const struct json *step)
{
  char words[SHAPE_TEXT_SIZE];
  for (const struct json *m = step->child; m; m = m->next) {
    for (enum verb v = 0; v < VERB_COUNT_; v++) {
      if (!shape_is_near(m->key, verb_word(v))) continue;
      return json_fail_key(m, SIM_KEY, r->err, "is no verb; expected \"%s\"",
                           verb_word(v));
    }
  }
  return json_fail(step, SIM_KEY, r->err, "has no verb; expected %s",
                   shape_words(verb_words, NULL, words, sizeof words));
}

static enum sim_status find_verb(struct shape_reader *r,
                                 const struct json *step, enum verb *verb)
{
  *verb = VERB_COUNT_;
  for (const struct json *m = step->child; m; m = m->next) {
    enum verb v = 0;
    while (v < VERB_COUNT_ && strcmp(m->key, verb_word(v)) != 0) {
      v++;
    }
    if (v == VERB_COUNT_ || !is_verb_of(step, v)) continue;
    if (*verb != VERB_COUNT_) {
      return json_fail_key(m, SIM_KEY, r->err,
                           "is a second verb beside \"%s\"; expected one "
                           "verb in a step",
                           verb_word(*verb));
    }
    *verb = v;
  }
  return *verb == VERB_COUNT_ ? refuse_no_verb(r, step) : SIM_OK;
}

/* What the verb may say, before the keys beside it are looked at: a slip here
 * leads to the wrong form, and would be told as a wrong key. */
static enum sim_status check_verb_value(struct shape_reader *r, enum verb verb,
                                        const struct shape *form,
                                        const struct json *value)
{
  static const char *const *const lists[VERB_COUNT_] = {
      [VERB_POWER] = power_words,        [VERB_RESET] = RESET_WORDS,
      [VERB_RELOAD] = case_reload_words, [VERB_PROBE] = probe_words,
      [VERB_SEND] = case_send_words,
  };
  const struct shape_row *row = shape_row_named(form, verb_word(verb));
  if (!shape_fits(row, value)) return shape_refuse(r, row, value, SIM_TYPE);
  if (lists[verb]) {
    int ignored;
    const struct shape_row any = {.kind = SHAPE_CHOICE, .words = lists[verb]};
    return shape_read_word(r, &any, value, &ignored);
  }
  uint32_t ignored;
  return form == &case_write_image_shape ? case_find_image(r, value, &ignored)
                                         : SIM_OK;
}

static enum sim_status read_step(struct shape_reader *r,
                                 const struct shape_row *row,
                                 const struct json *value, void *target)
{
  (void)row;
  struct step *step = target;
  enum verb verb;
  enum sim_status status = find_verb(r, value, &verb);
  if (status != SIM_OK) return status;
  const struct json *said = json_get(value, verb_word(verb));
  const struct shape *form = form_of(verb, said);
  status = check_verb_value(r, verb, form, said);
  if (status != SIM_OK) return status;
  step->verb = verb;
  step->line = value->line;
  step->column = value->column;
  step->number = value->index;
  return shape_read(r, form, value, step);
}

static const struct shape_row step_forms[] = {
    {.kind = SHAPE_OBJECT, .shape = &case_power_dip_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_power_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_reset_pin_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_reset_line_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_reset_cause_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_write_latch_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_write_options_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_write_address_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_write_image_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_reload_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_attach_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_probe_read_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_probe_erase_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_detach_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_probe_registers_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_probe_set_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_probe_step_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_probe_reset_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_probe_start_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_probe_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_run_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_drive_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_send_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_send_wipe_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_send_put_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_send_get_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_send_compare_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_send_launch_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_send_bytes_shape},
    {.kind = SHAPE_OBJECT, .shape = &case_expect_shape},
};

const struct shape_row case_step_row = {
    .kind = SHAPE_CUSTOM,
    .of = step_forms,
    .of_count = sizeof step_forms / sizeof step_forms[0],
    .read = read_step,
    .expected = "an object: a step with one verb"};
