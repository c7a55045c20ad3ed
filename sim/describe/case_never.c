/* What may never happen: a word, or an object that says more. */
#include <inttypes.h>
#include <string.h>

#include "describe/case_shape.h"
#include "describe/names.h"
#include "describe/shape_value.h"

static const char *const by_words[] = {"rom", "anything", NULL};

static const struct shape_row bound_forms[] = {
    {.kind = SHAPE_AMOUNT, .unit = UNIT_TIME},
    {.kind = SHAPE_AMOUNT, .unit = UNIT_CYCLES},
};

static const struct shape_row rows[] = {
    {"never", SHAPE_CHOICE, SHAPE_REQUIRED, offsetof(struct case_never, kind),
     .words = never_words, .sentence = "What may not happen."},
    {"beyond", SHAPE_CUSTOM, SHAPE_OPTIONAL,
     offsetof(struct case_never, beyond), .of = bound_forms, .of_count = 2,
     .read = case_read_bound,
     .expected = "a time such as \"2ms\" or a number of cycles such as "
                 "\"5000 cycles\"",
     .sentence = "With \"rom runs\": so long in one start is allowed."},
    {"pin", SHAPE_NAME, SHAPE_OPTIONAL, offsetof(struct case_never, pin),
     .sentence = "With \"pin driven\" and \"contention\": this pin of the "
                 "part; left out, any."},
    {"by", SHAPE_EITHER, SHAPE_OPTIONAL,
     offsetof(struct case_never, by_anything), .words = by_words,
     .initial = "rom",
     .sentence = "With \"pin driven\": by the boot ROM alone, or by anything "
                 "that the part does."},
    {"region", SHAPE_NAME, SHAPE_OPTIONAL, offsetof(struct case_never, region),
     .sentence = "With \"start in\": the memory region."},
};

static const struct shape object = {.what = "what may never happen",
                                    SHAPE_ROWS(rows)};

static const struct shape_row forms[] = {
    {.kind = SHAPE_CHOICE, .words = never_words},
    {.kind = SHAPE_OBJECT, .shape = &object}};

static enum sim_status read_never(struct shape_reader *r,
                                  const struct shape_row *row,
                                  const struct json *value, void *target)
{
  struct case_never *never = target;
  never->line = value->line;
  never->column = value->column;
  if (value->type == JSON_OBJECT)
    return shape_read(r, row->of[1].shape, value, never);
  return shape_read_word(r, &row->of[0], value, &never->kind);
}

const struct shape_row case_never_row = {
    .kind = SHAPE_CUSTOM,
    .of = forms,
    .of_count = 2,
    .read = read_never,
    .expected = "what may never happen: a word, or an object with \"never\""};

/* --- what stands beside what ----------------------------------------------
 */

static const struct detail {
  const char *key;
  uint32_t kinds; /* bit per enum never_kind that it may stand beside */
  const char *expected;
} details[] = {
    {"beyond", 1u << NEVER_ROM_RUNS, "\"rom runs\""},
    {"pin", 1u << NEVER_PIN_DRIVEN | 1u << NEVER_CONTENTION,
     "\"pin driven\" or \"contention\""},
    {"by", 1u << NEVER_PIN_DRIVEN, "\"pin driven\""},
    {"region", 1u << NEVER_START_IN, "\"start in\""},
};

static enum sim_status check_details(const struct case_never *never,
                                     const struct json *node,
                                     struct sim_error *err)
{
  for (size_t i = 0; i < sizeof details / sizeof details[0]; i++) {
    const struct json *found =
        node->type == JSON_OBJECT ? json_get(node, details[i].key) : NULL;
    if (found && !(details[i].kinds >> never->kind & 1u))
      return json_fail_key(found, SIM_KEY, err,
                           "does not go with \"%s\"; expected it beside %s",
                           never_words[never->kind], details[i].expected);
  }
  if (never->kind == NEVER_START_IN && !never->region)
    return json_fail(node, SIM_KEY, err,
                     "does not say where; expected {\"never\": \"start in\", "
                     "\"region\": \"rom\"} or another region of the part");
  return SIM_OK;
}

static bool same_name(const char *a, const char *b)
{
  return a && b ? strcmp(a, b) == 0 : a == b;
}

static bool same(const struct case_never *a, const struct case_never *b)
{
  return a->kind == b->kind && same_name(a->pin, b->pin) &&
         same_name(a->region, b->region) && a->by_anything == b->by_anything &&
         a->beyond.asked == b->beyond.asked &&
         a->beyond.in_cycles == b->beyond.in_cycles &&
         a->beyond.value == b->beyond.value;
}

enum sim_status case_check_nevers(const struct case_script *script,
                                  const struct json *root,
                                  struct sim_error *err)
{
  const struct json *list = json_get(root, "never");
  const struct json *node = list ? list->child : NULL;
  for (uint32_t i = 0; i < script->never_count; i++, node = node->next) {
    const struct case_never *never = &script->never[i];
    enum sim_status status = check_details(never, node, err);
    if (status != SIM_OK) return status;
    for (uint32_t k = 0; k < i; k++)
      if (same(&script->never[k], never))
        return json_fail(node, SIM_KEY, err,
                         "is \"%s\" again; expected each once",
                         never_words[never->kind]);
  }
  return SIM_OK;
}
