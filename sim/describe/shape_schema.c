/* A JSON Schema from the tables: draft 2020-12. What a schema can't say in
 * its own words (bounds of a quantity with a unit) is in the description. */
#include <assert.h>
#include <stdio.h>
#include <string.h>

#include "describe/shape.h"
#include "describe/shape_text.h"
#include "describe/shape_value.h"

#define NAME_PATTERN "^[A-Za-z0-9_][A-Za-z0-9_+-]{0,62}$"

/* What the definitions at the end are called, and what has been used. */
static const struct {
  const char *word, *tolerance;
} unit_names[UNIT_COUNT_] = {
    [UNIT_TIME] = {"time", "time_with_tolerance"},
    [UNIT_VOLTAGE] = {"voltage", "voltage_with_tolerance"},
    [UNIT_RESISTANCE] = {"resistance", "resistance_with_tolerance"},
    [UNIT_CAPACITANCE] = {"capacitance", "capacitance_with_tolerance"},
    [UNIT_CURRENT] = {"current", "current_with_tolerance"},
    [UNIT_FREQUENCY] = {"frequency", "frequency_with_tolerance"},
    [UNIT_BYTES] = {"size", "size_with_tolerance"},
    [UNIT_CYCLES] = {"cycles", "cycles_with_tolerance"},
};

struct writer {
  unsigned plain, tolerance; /* bit per unit */
  bool sourced;              /* some shape may carry "source" */
};

static const struct shape_row note_row = {
    .kind = SHAPE_TEXT, .sentence = "A remark for the reader."};

static const struct shape_row source_row = {
    .kind = SHAPE_TEXT,
    .sentence = "Where the values around it come from: \"assumed\", "
                "\"common practice\" or the name of a published document."};

static void write_row(struct writer *w, const struct shape_row *row,
                      struct json_out *to);

static void write_words(const char *const *words, struct json_out *to)
{
  struct json_out *list = json_add_list(to, "enum");
  for (; *words; words++) {
    json_add_text(list, NULL, *words);
  }
}

static void write_integer(const struct shape_row *row, struct json_out *to)
{
  json_add_text(to, "type", "integer");
  json_add_integer(to, "minimum", row->min);
  if (row->max > 0) json_add_integer(to, "maximum", row->max);
  if (row->multiple > 1) json_add_integer(to, "multipleOf", row->multiple);
}

static void write_pattern(const char *pattern, struct json_out *to)
{
  json_add_text(to, "type", "string");
  json_add_text(to, "pattern", pattern);
}

static void write_text(const struct shape_row *row, struct json_out *to)
{
  if (row->pattern) {
    write_pattern(row->pattern, to);
    return;
  }
  json_add_text(to, "type", "string");
  json_add_integer(to, "minLength", 1);
}

static void write_unit(unsigned *used, enum unit unit, const char *name,
                       struct json_out *to)
{
  *used |= 1u << unit;
  json_add_format(to, "$ref", "#/$defs/%s", name);
}

/* --- objects and lists --------------------------------------------------- */

static void write_note_and_source(struct writer *w, const struct shape *shape,
                                  struct json_out *properties)
{
  w->sourced = w->sourced || shape->sourced;
  if (shape->sourced) {
    json_add_text(json_add_object(properties, "source"), "$ref",
                  "#/$defs/source");
  }
  json_add_text(json_add_object(properties, "note"), "$ref", "#/$defs/note");
}

static void write_shape(struct writer *w, const struct shape *shape,
                        struct json_out *to)
{
  size_t at;
  json_add_text(to, "type", "object");
  struct json_out *properties = json_add_object(to, "properties");
  for (size_t i = 0; i < shape_row_count(shape); i++) {
    const struct shape_row *row = shape_row_at(shape, i, &at);
    write_row(w, row, json_add_object(properties, row->key));
  }
  write_note_and_source(w, shape, properties);
  struct json_out *required = json_add_list(to, "required");
  for (size_t i = 0; i < shape_row_count(shape); i++) {
    const struct shape_row *row = shape_row_at(shape, i, &at);
    if (row->need == SHAPE_REQUIRED) json_add_text(required, NULL, row->key);
  }
  json_add_boolean(to, "additionalProperties", false);
}

static void write_list(struct writer *w, const struct shape_row *row,
                       struct json_out *to)
{
  json_add_text(to, "type", "array");
  json_add_integer(to, "minItems", row->min);
  json_add_integer(to, "maxItems", row->max);
  write_row(w, row->of, json_add_object(to, "items"));
}

static void write_map(struct writer *w, const struct shape_row *row,
                      struct json_out *to)
{
  json_add_text(to, "type", "object");
  json_add_integer(to, "minProperties", row->min);
  json_add_integer(to, "maxProperties", row->max);
  struct json_out *names = json_add_object(to, "propertyNames");
  json_add_text(names, "pattern", row->pattern ? row->pattern : NAME_PATTERN);
  write_row(w, row->of, json_add_object(to, "additionalProperties"));
}

static void write_forms(struct writer *w, const struct shape_row *row,
                        struct json_out *to)
{
  if (row->of_count == 1) {
    write_row(w, row->of, to);
    return;
  }
  struct json_out *forms = json_add_list(to, "anyOf");
  for (size_t i = 0; i < row->of_count; i++) {
    write_row(w, &row->of[i], json_add_object(forms, NULL));
  }
}

/* --- rows ---------------------------------------------------------------- */

static void write_kind(struct writer *w, const struct shape_row *row,
                       struct json_out *to)
{
  switch (row->kind) {
  case SHAPE_TEXT: write_text(row, to); break;
  case SHAPE_NAME: write_pattern(NAME_PATTERN, to); break;
  case SHAPE_FLAG: json_add_text(to, "type", "boolean"); break;
  case SHAPE_EITHER:
  case SHAPE_CHOICE: write_words(row->words, to); break;
  case SHAPE_COUNT:
  case SHAPE_WIDE: write_integer(row, to); break;
  case SHAPE_HEX: write_pattern("^0x[0-9A-Fa-f]{1,8}$", to); break;
  case SHAPE_BYTES:
    write_unit(&w->plain, UNIT_BYTES, unit_names[UNIT_BYTES].word, to);
    break;
  case SHAPE_AMOUNT:
    write_unit(&w->plain, row->unit, unit_names[row->unit].word, to);
    break;
  case SHAPE_QUANTITY:
    write_unit(&w->tolerance, row->unit, unit_names[row->unit].tolerance, to);
    break;
  case SHAPE_BITS: write_pattern("^[0-9]{1,2}(:[0-9]{1,2})?$", to); break;
  case SHAPE_OBJECT: write_shape(w, row->shape, to); break;
  case SHAPE_LIST: write_list(w, row, to); break;
  case SHAPE_MAP: write_map(w, row, to); break;
  case SHAPE_CUSTOM: write_forms(w, row, to); break;
  }
}

/* The bounds that the schema has no keyword for. */
static bool has_unsaid_bounds(const struct shape_row *row)
{
  bool unit = row->kind == SHAPE_HEX || row->kind == SHAPE_BYTES ||
              row->kind == SHAPE_AMOUNT || row->kind == SHAPE_QUANTITY;
  return unit && (row->max > 0 || row->min > 0);
}

/* Of a default: texts, truths, whole numbers and what is made of them. */
static void write_value(const struct json *value, struct json_out *to,
                        const char *key)
{
  int64_t number = 0;
  struct json_out *inside = NULL;
  switch (value->type) {
  case JSON_OBJECT: inside = json_add_object(to, key); break;
  case JSON_LIST: inside = json_add_list(to, key); break;
  case JSON_BOOLEAN: json_add_boolean(to, key, value->truth); break;
  case JSON_STRING: json_add_text(to, key, value->text); break;
  default:
    assert(json_integer(value, &number));
    json_add_integer(to, key, number);
    break;
  }
  for (const struct json *c = inside ? value->child : NULL; c; c = c->next) {
    write_value(c, inside, c->key);
  }
}

static void write_initial_list(const struct shape_row *row,
                               struct json_out *to)
{
  struct arena arena;
  arena_init(&arena);
  write_value(shape_initial_list(row, &arena), to, "default");
  arena_free(&arena);
}

static void write_initial(const struct shape_row *row, struct json_out *to)
{
  if (row->kind == SHAPE_LIST) {
    write_initial_list(row, to);
  } else if (row->kind == SHAPE_FLAG) {
    json_add_boolean(to, "default", strcmp(row->initial, "true") == 0);
  } else if (row->kind == SHAPE_COUNT || row->kind == SHAPE_WIDE) {
    struct json value = {.type = JSON_NUMBER, .text = row->initial};
    int64_t number = 0;
    bool right = json_integer(&value, &number);
    assert(right);
    json_add_integer(to, "default", number);
  } else {
    json_add_text(to, "default", row->initial);
  }
}

static void write_row(struct writer *w, const struct shape_row *row,
                      struct json_out *to)
{
  char bounds[SHAPE_TEXT_SIZE];
  if (row->sentence && has_unsaid_bounds(row)) {
    json_add_format(to, "description", "%s Allowed: %s.", row->sentence,
                    shape_bounds(row, bounds, sizeof bounds));
  } else if (row->sentence) {
    json_add_text(to, "description", row->sentence);
  }
  write_kind(w, row, to);
  if (row->initial) write_initial(row, to);
}

/* --- definitions --------------------------------------------------------- */

static void write_plain_unit(enum unit unit, struct json_out *to)
{
  char pattern[128];
  size_t used =
      (size_t)snprintf(pattern, sizeof pattern, "^[0-9]+(\\.[0-9]+)? ?(");
  for (unsigned i = 0; units_suffix(unit, i); i++) {
    used += (size_t)snprintf(pattern + used, sizeof pattern - used, "%s%s",
                             i > 0 ? "|" : "", units_suffix(unit, i));
    assert(used < sizeof pattern);
  }
  snprintf(pattern + used, sizeof pattern - used, ")$");
  json_add_format(to, "description", "In the form of %s.",
                  units_expected(unit));
  write_pattern(pattern, to);
}

static void write_tolerance(struct writer *w, enum unit unit,
                            struct json_out *to)
{
  struct shape_row rows[SHAPE_TOLERANCE_ROWS];
  shape_tolerance_rows(&(struct shape_row){.unit = unit}, rows);
  const struct shape shape = {.what = "a quantity with its tolerance",
                              SHAPE_ROWS(rows),
                              .sourced = true};
  struct json_out *forms = json_add_list(to, "anyOf");
  write_unit(&w->plain, unit, unit_names[unit].word,
             json_add_object(forms, NULL));
  write_shape(w, &shape, json_add_object(forms, NULL));
}

static void write_definitions(struct writer *w, struct json_out *to)
{
  struct json_out *definitions = json_add_object(to, "$defs");
  write_row(w, &note_row, json_add_object(definitions, "note"));
  if (w->sourced) {
    write_row(w, &source_row, json_add_object(definitions, "source"));
  }
  for (enum unit u = 0; u < UNIT_COUNT_; u++) {
    if (!(w->tolerance >> u & 1u)) continue;
    write_tolerance(w, u,
                    json_add_object(definitions, unit_names[u].tolerance));
  }
  for (enum unit u = 0; u < UNIT_COUNT_; u++) {
    if (!(w->plain >> u & 1u)) continue;
    write_plain_unit(u, json_add_object(definitions, unit_names[u].word));
  }
}

struct json_out *shape_schema(const struct shape *shape, const char *title)
{
  struct writer w = {0, 0, false};
  struct json_out *root = json_out_object();
  json_add_text(root, "$schema",
                "https://json-schema.org/draft/2020-12/schema");
  json_add_text(root, "title", title);
  write_shape(&w, shape, root);
  write_definitions(&w, root);
  return root;
}
