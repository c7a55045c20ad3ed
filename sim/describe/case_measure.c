/* Measures of a case: the forms of a mark, bounds, and what may not be said
 * of them together. */
#include <inttypes.h>
#include <string.h>

#include "describe/case_shape.h"
#include "describe/shape_text.h"
#include "describe/shape_value.h"

/* --- marks --------------------------------------------------------------- */

#define AT(field) offsetof(struct case_mark, field)

static const char *const line_words[] = {"low", "high", NULL};

/* In the order of enum drive_level. */
static const char *const pin_level_words[] = {"low", "high", "released", NULL};
_Static_assert(DRIVE_LOW == 0 && DRIVE_HIGH == 1 && DRIVE_RELEASE == 2,
               "the order of pin_level_words");

static const char *const start_words[] = {"any",
#define X(name, word, sentence) word,
#include "describe/causes.def"
#undef X
                                          NULL};

static const struct shape_row symbol_rows[] = {
    {"symbol", SHAPE_TEXT, SHAPE_REQUIRED, AT(symbol),
     .sentence = "A symbol of an image is entered; told once a start, the "
                 "first time."},
};

static const struct shape_row address_rows[] = {
    {"address", SHAPE_HEX, SHAPE_REQUIRED, AT(address),
     .sentence = "The instruction at this address is reached; told once a "
                 "start, the first time."},
};

static const struct shape_row pin_rows[] = {
    {"pin", SHAPE_NAME, SHAPE_REQUIRED, AT(pin),
     .sentence = "What the part does with this pin changes."},
    {"level", SHAPE_CHOICE, SHAPE_REQUIRED, AT(level),
     .words = pin_level_words,
     .sentence = "It is driven to this level, or let go."},
};

static const struct shape_row start_rows[] = {
    {"start", SHAPE_CHOICE, SHAPE_REQUIRED, AT(cause), .words = start_words,
     .min = MARK_ANY_CAUSE,
     .sentence = "A start after a reset, of any cause or of this one; its "
                 "vectors are read then."},
};

static const struct shape_row line_rows[] = {
    {"line", SHAPE_EITHER, SHAPE_REQUIRED, AT(high), .words = line_words,
     .sentence = "The reset line goes to this level; \"high\" is its "
                 "release, when nobody pulls it any more."},
};

#define MARK(text, rows)                                                      \
  {                                                                           \
    .what = (text), SHAPE_ROWS(rows)                                          \
  }
static const struct shape mark_shapes[] = {
    [MARK_SYMBOL] = MARK("a mark at a symbol", symbol_rows),
    [MARK_ADDRESS] = MARK("a mark at an address", address_rows),
    [MARK_PIN] = MARK("a mark at a pin", pin_rows),
    [MARK_START] = MARK("a mark at a start", start_rows),
    [MARK_LINE] = MARK("a mark at the reset line", line_rows),
};
#define MARK_COUNT (sizeof mark_shapes / sizeof mark_shapes[0])

/* The first key of each form. */
static const char *const mark_words[] = {
    [MARK_SYMBOL] = "symbol", [MARK_ADDRESS] = "address", [MARK_PIN] = "pin",
    [MARK_START] = "start",   [MARK_LINE] = "line",       NULL};

static enum sim_status refuse_no_mark(struct shape_reader *r,
                                      const struct json *value)
{
  char words[SHAPE_TEXT_SIZE];
  for (const struct json *m = value->child; m; m = m->next) {
    for (size_t i = 0; i < MARK_COUNT; i++) {
      if (!shape_is_near(m->key, mark_words[i])) continue;
      return json_fail_key(m, SIM_KEY, r->err, "is no mark; expected \"%s\"",
                           mark_words[i]);
    }
  }
  return json_fail(value, SIM_KEY, r->err, "has no mark; expected %s",
                   shape_words(mark_words, NULL, words, sizeof words));
}

static enum sim_status read_mark(struct shape_reader *r,
                                 const struct shape_row *row,
                                 const struct json *value, void *target)
{
  struct case_mark *mark = target;
  size_t kind = 0;
  while (kind < MARK_COUNT && !json_get(value, mark_words[kind])) {
    kind++;
  }
  if (kind == MARK_COUNT) return refuse_no_mark(r, value);
  mark->kind = (enum mark_kind)kind;
  mark->line = value->line;
  mark->column = value->column;
  return shape_read(r, row->of[kind].shape, value, mark);
}

#define FORM(mark) [mark] = {.kind = SHAPE_OBJECT, .shape = &mark_shapes[mark]}
static const struct shape_row mark_forms[] = {
    FORM(MARK_SYMBOL), FORM(MARK_ADDRESS), FORM(MARK_PIN),
    FORM(MARK_START),  FORM(MARK_LINE),
};

#define EXPECTED_MARK "an object with a mark, such as {\"symbol\": \"main\"}"

/* --- bounds -------------------------------------------------------------- */

#define EXPECTED_BOUND                                                        \
  "a time such as \"2ms\" or a number of cycles such as \"5000 cycles\""

enum sim_status case_read_bound(struct shape_reader *r,
                                const struct shape_row *row,
                                const struct json *value, void *target)
{
  struct case_bound *bound = target;
  bound->in_cycles = units_parse(value->text, UNIT_CYCLES, &bound->value);
  bound->asked =
      bound->in_cycles || units_parse(value->text, UNIT_TIME, &bound->value);
  return bound->asked ? SIM_OK
                      : shape_expected(r, value, SIM_RANGE, row->expected);
}

static const struct shape_row bound_forms[] = {
    {.kind = SHAPE_AMOUNT, .unit = UNIT_TIME},
    {.kind = SHAPE_AMOUNT, .unit = UNIT_CYCLES},
};

/* --- the measure --------------------------------------------------------- */

#define MARK_ROW(key, field, text)                                            \
  {                                                                           \
    key, SHAPE_CUSTOM, SHAPE_REQUIRED, offsetof(struct case_measure, field),  \
        .of = mark_forms, .of_count = MARK_COUNT, .read = read_mark,          \
        .expected = EXPECTED_MARK, .sentence = text                           \
  }
#define BOUND_ROW(key, field, text)                                           \
  {                                                                           \
    key, SHAPE_CUSTOM, SHAPE_OPTIONAL, offsetof(struct case_measure, field),  \
        .of = bound_forms, .of_count = 2, .read = case_read_bound,            \
        .expected = EXPECTED_BOUND, .sentence = text                          \
  }

static const struct shape_row measure_rows[] = {
    {"measure", SHAPE_TEXT, SHAPE_REQUIRED,
     offsetof(struct case_measure, name),
     .sentence = "What is measured, as reports call it."},
    MARK_ROW("from", from,
             "Where it begins: the latest such instant before \"to\"."),
    MARK_ROW("to", to,
             "Where it ends: the first such instant after \"from\"."),
    BOUND_ROW("at_most", at_most, "No time may be longer; one there must be."),
    BOUND_ROW("at_least", at_least,
              "No time may be shorter; one there must be."),
};

static const struct shape measure_shape = {.what = "a measure",
                                           SHAPE_ROWS(measure_rows)};

static const struct shape_row measure_form = {.kind = SHAPE_OBJECT,
                                              .shape = &measure_shape};

static enum sim_status read_measure(struct shape_reader *r,
                                    const struct shape_row *row,
                                    const struct json *value, void *target)
{
  struct case_measure *measure = target;
  measure->line = value->line;
  return shape_read(r, row->of->shape, value, measure);
}

const struct shape_row case_measure_row = {.kind = SHAPE_CUSTOM,
                                           .of = &measure_form,
                                           .of_count = 1,
                                           .read = read_measure};

/* --- all of them --------------------------------------------------------- */

static enum sim_status check_bounds(const struct case_measure *m,
                                    const struct json *node,
                                    struct sim_error *err)
{
  bool comparable = m->at_least.asked && m->at_most.asked &&
                    m->at_least.in_cycles == m->at_most.in_cycles;
  if (!comparable || m->at_least.value <= m->at_most.value) return SIM_OK;
  return json_fail(json_get(node, "at_least"), SIM_RANGE, err,
                   "is \"%s\"; expected no more than \"at_most\", \"%s\"",
                   json_get(node, "at_least")->text,
                   json_get(node, "at_most")->text);
}

static enum sim_status check_name(const struct json *node,
                                  struct sim_error *err)
{
  const struct json *name = json_get(node, "measure");
  for (const struct json *n = node->parent->child; n != node; n = n->next) {
    const struct json *other = json_get(n, "measure");
    if (strcmp(name->text, other->text) != 0) continue;
    return json_fail(name, SIM_KEY, err,
                     "is the name of the measure in line %" PRIu32
                     " too; expected another one",
                     other->line);
  }
  return SIM_OK;
}

enum sim_status case_check_measures(const struct case_script *script,
                                    const struct json *root,
                                    struct sim_error *err)
{
  const struct json *list = json_get(root, "measure");
  if (!list) return SIM_OK;
  for (const struct json *n = list->child; n; n = n->next) {
    enum sim_status status = check_name(n, err);
    if (status == SIM_OK) {
      status = check_bounds(&script->measures[n->index], n, err);
    }
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}
