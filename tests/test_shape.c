/* The reader of shapes, on a shape that has one key of every kind: what each
 * value gives, or in which words it is refused. */
#include "rows.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "describe/shape.h"

struct target {
  const char *text, *name;
  bool flag, either, has_count;
  int choice;
  uint32_t count, hex, bytes;
  int64_t wide, amount;
  struct quantity quantity;
  uint32_t lsb, width;
  uint32_t list[3], list_count;
  struct element {
    const char *key;
    uint32_t value;
  } map[2];
  uint32_t map_count;
  uint32_t *pointed, pointed_count;
  uint32_t inner, shared, custom;
  uint32_t sourced; /* values that have a source */
};

static const char *const either_words[] = {"low", "high", NULL};
static const char *const choice_words[] = {"one", "two", "three", NULL};

static enum sim_status read_custom(struct shape_reader *r,
                                   const struct shape_row *row,
                                   const struct json *value, void *target)
{
  const struct target *whole = r->user;
  if (value->type == JSON_STRING) {
    return shape_expected(r, value, SIM_REFERENCE, row->expected);
  }
  /* `count` stands above in the table, wherever it stands in the text. */
  *(uint32_t *)target = whole->count + 1;
  return SIM_OK;
}

#define AT(field) offsetof(struct target, field)

static const struct shape_row inner_rows[] = {
    {"inner", SHAPE_COUNT, SHAPE_REQUIRED, AT(inner), .max = 9,
     .sentence = "A key of an inner object."},
    {"initial", SHAPE_COUNT, SHAPE_OPTIONAL, AT(shared), .initial = "5",
     .sentence = "A key with a default."},
};
static const struct shape inner_shape = {.what = "an inner object",
                                         SHAPE_ROWS(inner_rows)};

static const struct shape_row count_row = {.kind = SHAPE_COUNT, .max = 9};
static const struct shape_row element_row = {
    .kind = SHAPE_COUNT, .at = offsetof(struct element, value), .max = 9};
static const struct shape_row custom_forms[] = {{.kind = SHAPE_NAME},
                                                {.kind = SHAPE_COUNT}};

static const struct shape_row more_rows[] = {
    {"list", SHAPE_LIST, SHAPE_OPTIONAL, AT(list), .min = 1, .max = 3,
     .stride = sizeof(uint32_t), .counted = AT(list_count), .of = &count_row,
     .sentence = "A list."},
    {"pointed", SHAPE_LIST, SHAPE_OPTIONAL, AT(pointed), .max = 1000,
     .stride = sizeof(uint32_t), .counted = AT(pointed_count),
     .of = &count_row, .pointed = true, .sentence = "A list in the arena."},
    {"map", SHAPE_MAP, SHAPE_OPTIONAL, AT(map), .max = 2,
     .stride = sizeof(struct element), .keyed = true,
     .key_at = offsetof(struct element, key), .counted = AT(map_count),
     .of = &element_row, .sentence = "A map."},
    {"object", SHAPE_OBJECT, SHAPE_OPTIONAL, 0, .shape = &inner_shape,
     .sentence = "An object."},
    {"custom", SHAPE_CUSTOM, SHAPE_OPTIONAL, AT(custom), .of = custom_forms,
     .of_count = 2, .read = read_custom, .expected = "a name or a number",
     .sentence = "Something else."},
};
static const struct shape more_shape = {.what = "more", SHAPE_ROWS(more_rows)};

static const struct shape_row rows[] = {
    {"text", SHAPE_TEXT, SHAPE_OPTIONAL, AT(text), .sentence = "A text."},
    {"name", SHAPE_NAME, SHAPE_OPTIONAL, AT(name), .sentence = "A name."},
    {"flag", SHAPE_FLAG, SHAPE_OPTIONAL, AT(flag), .initial = "true",
     .sentence = "A flag."},
    {"either", SHAPE_EITHER, SHAPE_OPTIONAL, AT(either), .words = either_words,
     .sentence = "One of two."},
    {"choice", SHAPE_CHOICE, SHAPE_OPTIONAL, AT(choice), .words = choice_words,
     .min = -1, .initial = "two", .sentence = "One of three."},
    {"count", SHAPE_COUNT, SHAPE_OPTIONAL, AT(count), .has = AT(has_count),
     .min = 2, .max = 40, .multiple = 2, .sentence = "A count."},
    {"wide", SHAPE_WIDE, SHAPE_OPTIONAL, AT(wide), .max = INT64_C(1) << 40,
     .sentence = "A large count."},
    {"hex", SHAPE_HEX, SHAPE_OPTIONAL, AT(hex), .multiple = 16,
     .sentence = "An address."},
    {"bytes", SHAPE_BYTES, SHAPE_OPTIONAL, AT(bytes), .min = 1024,
     .max = 65536, .multiple = 1024, .sentence = "A size."},
    {"amount", SHAPE_AMOUNT, SHAPE_OPTIONAL, AT(amount), .unit = UNIT_TIME,
     .min = 1000, .max = 5000000, .initial = "2us", .sentence = "A time."},
    {"quantity", SHAPE_QUANTITY, SHAPE_OPTIONAL, AT(quantity),
     .unit = UNIT_VOLTAGE, .max = 5000000, .sentence = "A voltage."},
    {"bits", SHAPE_BITS, SHAPE_OPTIONAL, AT(lsb), .sentence = "Bits."},
};
static const struct shape shape = {.what = "a sample",
                                   SHAPE_ROWS(rows),
                                   .also = &more_shape,
                                   .sourced = true};

/* --- reading ------------------------------------------------------------- */

static void count_sourced(struct shape_reader *r, const struct json *value,
                          struct provenance from)
{
  (void)value, (void)from;
  struct target *t = r->user;
  t->sourced++;
}

static enum sim_status read_target(struct arena *arena, const char *text,
                                   struct target *t, struct sim_error *err)
{
  const struct json *root;
  enum sim_status status =
      json_parse(arena, "s", text, strlen(text), false, &root, err);
  if (status != SIM_OK) return status;
  struct shape_reader reader = {
      .arena = arena, .err = err, .user = t, .sourced = count_sourced};
  return shape_read(&reader, &shape, root, t);
}

/* Each row is one member of the object; `what` is how the target is then
 * written by `show`, or the error. */
static const struct row {
  const char *name;
  const char *member;
  const char *what;
} value_rows[] = {
#include "shape_value_rows.def"
};

static void show_list(const uint32_t *list, uint32_t count, char *buf,
                      size_t size)
{
  for (uint32_t i = 0; i < count; i++) {
    size_t used = strlen(buf);
    snprintf(buf + used, size - used, " %" PRIu32, list[i]);
  }
}

static void show_map(const struct target *t, char *buf, size_t size)
{
  for (uint32_t i = 0; i < t->map_count; i++) {
    size_t used = strlen(buf);
    snprintf(buf + used, size - used, " %s=%" PRIu32, t->map[i].key,
             t->map[i].value);
  }
}

static void show_quantity(const struct quantity *q, char *buf, size_t size)
{
  snprintf(buf, size, "quantity %" PRId64 " %" PRId64 " %" PRId64 " %s",
           q->min, q->typ, q->max,
           q->source == SOURCE_PUBLISHED ? q->document : "assumed");
}

/* The member of the target that `key` names, as text. */
static void show(const struct target *t, const char *key, char *buf,
                 size_t size)
{
  if (!strcmp(key, "text")) snprintf(buf, size, "text %s", t->text);
  if (!strcmp(key, "name")) snprintf(buf, size, "name %s", t->name);
  if (!strcmp(key, "flag")) snprintf(buf, size, "flag %d", t->flag);
  if (!strcmp(key, "either")) snprintf(buf, size, "either %d", t->either);
  if (!strcmp(key, "choice")) snprintf(buf, size, "choice %d", t->choice);
  if (!strcmp(key, "count")) {
    snprintf(buf, size, "count %" PRIu32 " %d", t->count, t->has_count);
  }
  if (!strcmp(key, "wide")) snprintf(buf, size, "wide %" PRId64, t->wide);
  if (!strcmp(key, "hex")) snprintf(buf, size, "hex 0x%" PRIx32, t->hex);
  if (!strcmp(key, "bytes")) snprintf(buf, size, "bytes %" PRIu32, t->bytes);
  if (!strcmp(key, "amount"))
    snprintf(buf, size, "amount %" PRId64, t->amount);
  if (!strcmp(key, "quantity")) show_quantity(&t->quantity, buf, size);
  if (!strcmp(key, "bits")) {
    snprintf(buf, size, "bits %" PRIu32 " %" PRIu32, t->lsb, t->width);
  }
  if (!strcmp(key, "list")) show_list(t->list, t->list_count, buf, size);
  if (!strcmp(key, "pointed")) {
    show_list(t->pointed, t->pointed_count, buf, size);
  }
  if (!strcmp(key, "map")) show_map(t, buf, size);
  if (!strcmp(key, "object")) {
    snprintf(buf, size, "object %" PRIu32 " %" PRIu32, t->inner, t->shared);
  }
  if (!strcmp(key, "sourced")) {
    snprintf(buf, size, "sourced %" PRIu32, t->sourced);
  }
  if (!strcmp(key, "custom")) {
    snprintf(buf, size, "custom %" PRIu32, t->custom);
  }
}

static void value_row(void **state)
{
  const struct row *r = *state;
  struct arena arena;
  struct target t = {.text = NULL};
  struct sim_error err;
  char text[400], shown[1400], key[16];
  arena_init(&arena);
  snprintf(text, sizeof text, "{ %s }", r->member);
  enum sim_status status = read_target(&arena, text, &t, &err);
  if (status != SIM_OK) {
    sim_error_text(&err, shown, sizeof shown);
  } else {
    snprintf(key, sizeof key, "%.*s", (int)strcspn(r->what, " "), r->what);
    snprintf(shown, sizeof shown, "%s", key);
    show(&t, key, shown, sizeof shown);
  }
  assert_string_equal(shown, r->what);
  arena_free(&arena);
}

static void only_an_object_has_a_shape(void **state)
{
  (void)state;
  struct arena arena;
  struct target t = {.text = NULL};
  struct sim_error err;
  arena_init(&arena);
  assert_int_equal(read_target(&arena, "[]", &t, &err), SIM_TYPE);
  assert_string_equal(err.message, "is a list; expected an object: a sample");
  assert_int_equal(err.line, 1);
  arena_free(&arena);
}

/* --- the schema ---------------------------------------------------------- */

/* What draft 2020-12 says for the inner object; the words are those of its
 * core and validation vocabularies. */
static void a_schema_says_what_the_rows_say(void **state)
{
  (void)state;
  static const char expected[] =
      "{\n"
      "  \"$schema\": \"https://json-schema.org/draft/2020-12/schema\",\n"
      "  \"title\": \"Inner\",\n"
      "  \"type\": \"object\",\n"
      "  \"properties\": {\n"
      "    \"inner\": {\n"
      "      \"description\": \"A key of an inner object.\",\n"
      "      \"type\": \"integer\",\n"
      "      \"minimum\": 0,\n"
      "      \"maximum\": 9\n"
      "    },\n"
      "    \"initial\": {\n"
      "      \"description\": \"A key with a default.\",\n"
      "      \"type\": \"integer\",\n"
      "      \"minimum\": 0,\n"
      "      \"default\": 5\n"
      "    },\n"
      "    \"note\": {\n"
      "      \"$ref\": \"#/$defs/note\"\n"
      "    }\n"
      "  },\n"
      "  \"required\": [\n"
      "    \"inner\"\n"
      "  ],\n"
      "  \"additionalProperties\": false,\n"
      "  \"$defs\": {\n"
      "    \"note\": {\n"
      "      \"description\": \"A remark for the reader.\",\n"
      "      \"type\": \"string\",\n"
      "      \"minLength\": 1\n"
      "    }\n"
      "  }\n"
      "}\n";
  char *text = NULL;
  size_t size = 0;
  FILE *to = open_memstream(&text, &size);
  struct json_out *schema = shape_schema(&inner_shape, "Inner");
  assert_true(json_write(schema, to));
  json_out_free(schema);
  fclose(to);
  assert_string_equal(text, expected);
  free(text);
}

/* --- small questions ----------------------------------------------------- */

static void rows_of_also_follow(void **state)
{
  (void)state;
  size_t at;
  assert_int_equal(shape_row_count(&shape), 17);
  assert_string_equal(shape_row_at(&shape, 12, &at)->key, "list");
  assert_ptr_equal(shape_row_named(&shape, "custom"), &more_rows[4]);
  assert_null(shape_row_named(&shape, "inner"));
}

static void hex_has_up_to_64_bits(void **state)
{
  (void)state;
  uint64_t number = 1;
  assert_true(shape_hex("0xFFFFFFFFFFFFFFFF", &number));
  assert_true(number == UINT64_MAX);
  assert_false(shape_hex("0x00000000000000000", &number));
  assert_false(shape_hex("0X10", &number));
  assert_false(shape_hex("0x1g", &number));
  assert_true(number == UINT64_MAX);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(only_an_object_has_a_shape),
      cmocka_unit_test(a_schema_says_what_the_rows_say),
      cmocka_unit_test(rows_of_also_follow),
      cmocka_unit_test(hex_has_up_to_64_bits),
  };
  struct CMUnitTest tests[ROWS_COUNT(value_rows)];
  ROWS_ADD(tests, value_row, value_rows);
  int failed = cmocka_run_group_tests_name("values", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
