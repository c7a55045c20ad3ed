/* The "route" object of a case. */
#include <string.h>

#include "describe/case_forms.h"
#include "describe/case_shape.h"
#include "describe/names.h"
#include "describe/route.h"
#include "describe/shape_text.h"
#include "describe/shape_value.h"

#define AT(field) offsetof(struct route_spec, field)

/* --- images -------------------------------------------------------------- */

static const struct shape_row name_form = {.kind = SHAPE_NAME};

static enum sim_status read_image_name(struct shape_reader *r,
                                       const struct shape_row *row,
                                       const struct json *value, void *target)
{
  (void)row;
  const struct case_script *script = r->user;
  const char *names[CASE_MAX_IMAGES + 1] = {NULL};
  char words[SHAPE_TEXT_SIZE];
  for (uint32_t i = 0; i < script->image_count; i++) {
    names[i] = script->images[i].name;
    if (strcmp(names[i], value->text) != 0) continue;
    *(uint32_t *)target = i;
    return SIM_OK;
  }
  if (script->image_count == 0)
    return json_fail(value, SIM_REFERENCE, r->err,
                     "is \"%s\", and the case has no images; expected the "
                     "name of one",
                     value->text);
  return shape_expected(r, value, SIM_REFERENCE,
                        shape_words(names, value->text, words, sizeof words));
}

/* --- incoming states ----------------------------------------------------- */

static const struct shape_row incoming_form = {
    .kind = SHAPE_LIST,
    .at = offsetof(struct route_incoming, steps),
    .max = 100,
    .stride = sizeof(struct step),
    .pointed = true,
    .counted = offsetof(struct route_incoming, step_count),
    .of = &case_step_row};

/* --- all of it ----------------------------------------------------------- */

static const struct shape_row within_rows[] = {
    {"within", SHAPE_AMOUNT, SHAPE_OPTIONAL, AT(within), .unit = UNIT_TIME,
     .min = 1, .max = 10 * PS_PER_S, .initial = "5ms",
     .sentence = "How long to wait for it at most, each time."},
};

static const struct shape goal_shape = {.what = "a goal",
                                        SHAPE_ROWS(within_rows),
                                        .also = &case_expectation_shape,
                                        .also_at = AT(goal)};

static const struct shape_row means_form = {.kind = SHAPE_CHOICE,
                                            .words = route_means_words};
static const struct shape_row action_form = {.kind = SHAPE_CHOICE,
                                             .words = route_action_words};
static const struct shape_row with_form = {.kind = SHAPE_CHOICE,
                                           .words = route_incoming_words};
static const struct shape_row cause_form = {.kind = SHAPE_CHOICE,
                                            .words = cause_words};

static const struct shape_row rows[] = {
    {"goal", SHAPE_OBJECT, SHAPE_REQUIRED, 0, .shape = &goal_shape,
     .sentence = "What must be true of the last start when all is done, and "
                 "again after each reset in the field."},
    {"image", SHAPE_CUSTOM, SHAPE_REQUIRED, AT(image), .of = &name_form,
     .of_count = 1, .read = read_image_name,
     .expected = "the name of an image",
     .sentence = "The image that is to be written."},
    {"old", SHAPE_CUSTOM, SHAPE_OPTIONAL, AT(old), .of = &name_form,
     .of_count = 1, .read = read_image_name,
     .expected = "the name of an image",
     .sentence = "The image that is there before, in states that have one; "
                 "left out, the first of the case."},
    {"at_hand", SHAPE_LIST, SHAPE_OPTIONAL, AT(at_hand), .max = MEANS_COUNT_,
     .has = AT(says_at_hand), .stride = sizeof(enum route_means),
     .counted = AT(at_hand_count), .of = &means_form,
     .sentence = "What there is to work with; left out, probe, reset line "
                 "and host where the board has them, and power if the supply "
                 "can be switched off."},
    {"actions", SHAPE_LIST, SHAPE_OPTIONAL, AT(actions), .min = 1,
     .max = ROUTE_ACTION_COUNT_, .stride = sizeof(enum route_action),
     .counted = AT(action_count), .of = &action_form,
     .sentence = "What may be done with it; left out, all that this part and "
                 "board offer, but halt, go and wait."},
    {"options", SHAPE_MAP, SHAPE_OPTIONAL, AT(options), .min = 1,
     .max = ROUTE_MAX_OPTIONS, .stride = sizeof(struct option_setting),
     .keyed = true, .key_at = offsetof(struct option_setting, field),
     .counted = AT(option_count), .of = &case_setting_row,
     .pattern = CASE_SETTING_PATTERN,
     .sentence = "Values that \"write option\" may write, by \"word.field\"; "
                 "left out, each named value of the fields that start rules "
                 "ask for."},
    {"with", SHAPE_LIST, SHAPE_OPTIONAL, AT(with), .max = INCOMING_COUNT_,
     .stride = sizeof(enum route_incoming_kind), .counted = AT(with_count),
     .of = &with_form,
     .sentence = "States in which parts arrive, by name; left out where "
                 "\"incoming\" says none either, factory-blank."},
    {"incoming", SHAPE_MAP, SHAPE_OPTIONAL, AT(own), .min = 1,
     .max = ROUTE_MAX_STATES, .stride = sizeof(struct route_incoming),
     .keyed = true, .key_at = offsetof(struct route_incoming, name),
     .counted = AT(own_count), .of = &incoming_form,
     .sentence = "States of one's own, as steps that lead to them."},
    {"field", SHAPE_LIST, SHAPE_OPTIONAL, AT(field), .max = CAUSE_COUNT_,
     .has = AT(says_field), .stride = sizeof(enum cause),
     .counted = AT(field_count), .of = &cause_form,
     .sentence = "Resets that the shipped unit must outlive; left out, each "
                 "of this part's that comes without a probe."},
    {"pause", SHAPE_AMOUNT, SHAPE_OPTIONAL, AT(pause), .unit = UNIT_TIME,
     .max = 10 * PS_PER_S, .initial = "2ms",
     .sentence = "Time that passes after each action: nobody is quicker."},
};

static const struct shape shape = {.what = "a route", SHAPE_ROWS(rows)};

static const struct shape_row object_form = {.kind = SHAPE_OBJECT,
                                             .shape = &shape};

static enum sim_status read_route(struct shape_reader *r,
                                  const struct shape_row *row,
                                  const struct json *value, void *target)
{
  (void)row;
  struct route_spec *spec = arena_get(r->arena, sizeof *spec);
  spec->line = value->line;
  spec->column = value->column;
  *(const struct route_spec **)target = spec;
  return shape_read(r, &shape, value, spec);
}

static const struct shape_row case_rows[] = {
    {"route", SHAPE_CUSTOM, SHAPE_OPTIONAL,
     offsetof(struct case_script, route), .of = &object_form, .of_count = 1,
     .read = read_route, .expected = "an object with a goal",
     .sentence = "What the command route looks for: procedures that reach a "
                 "goal."},
};

const struct shape case_route_shape = {.what = "a case",
                                       SHAPE_ROWS(case_rows)};
