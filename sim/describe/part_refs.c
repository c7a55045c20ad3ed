/* Values of a part file that name something said elsewhere in it. */
#include <assert.h>
#include <inttypes.h>
#include <string.h>

#include "describe/names.h"
#include "describe/part_shape.h"
#include "describe/shape_text.h"
#include "describe/shape_value.h"

/* Names to choose from: pins are the most numerous. */
struct choice {
  const char *names[PART_MAX_PINS + 1]; /* ends with NULL */
};

static uint32_t find(const struct choice *c, const char *name)
{
  for (uint32_t i = 0; c->names[i]; i++) {
    if (strcmp(c->names[i], name) == 0) return i;
  }
  return PART_NONE;
}

static enum sim_status refuse_name(struct shape_reader *r,
                                   const struct json *value,
                                   const struct choice *c)
{
  char words[SHAPE_TEXT_SIZE];
  return shape_expected(
      r, value, SIM_REFERENCE,
      c->names[0] ? shape_words(c->names, value->text, words, sizeof words)
                  : "it to be described");
}

/* --- pins ---------------------------------------------------------------- */

enum sim_status part_read_pin(struct shape_reader *r,
                              const struct shape_row *row,
                              const struct json *value, void *target)
{
  (void)row;
  const struct part *part = r->user;
  struct choice c = {{NULL}};
  memcpy(c.names, part->pins.names, part->pins.count * sizeof c.names[0]);
  uint32_t pin = find(&c, value->text);
  if (pin == PART_NONE) return refuse_name(r, value, &c);
  *(uint32_t *)target = pin;
  return SIM_OK;
}

enum sim_status part_read_pin_in_mask(struct shape_reader *r,
                                      const struct shape_row *row,
                                      const struct json *value, void *target)
{
  uint64_t *pins = target;
  uint32_t pin;
  enum sim_status status = part_read_pin(r, row, value, &pin);
  if (status != SIM_OK) return status;
  if (*pins >> pin & 1u) {
    return shape_expected(r, value, SIM_RANGE, "each pin once");
  }
  *pins |= UINT64_C(1) << pin;
  return SIM_OK;
}

/* --- memory -------------------------------------------------------------- */

static void list_memory(const struct part *part, struct choice *c)
{
  for (uint32_t i = 0; i < part->memory_count; i++) {
    c->names[i] = part->memory[i].name;
  }
}

enum sim_status part_read_region(struct shape_reader *r,
                                 const struct shape_row *row,
                                 const struct json *value, void *target)
{
  (void)row;
  struct choice c = {{NULL}};
  list_memory(r->user, &c);
  uint32_t region = find(&c, value->text);
  if (region == PART_NONE) return refuse_name(r, value, &c);
  *(uint32_t *)target = region;
  return SIM_OK;
}

/* An offset behind '+': hexadecimal or decimal. */
static bool parse_offset(const char *text, uint64_t *out)
{
  if (shape_hex(text, out)) return true;
  *out = 0;
  size_t digits = strspn(text, "0123456789");
  if (digits < 1 || digits > 10 || text[digits] != '\0') return false;
  for (; *text; text++) {
    *out = *out * 10 + (uint64_t)(*text - '0');
  }
  return true;
}

enum sim_status part_read_place(struct shape_reader *r,
                                const struct shape_row *row,
                                const struct json *value, void *target)
{
  const struct part *part = r->user;
  struct part_span *read = target;
  const char *plus = strchr(value->text, '+');
  uint64_t offset;
  if (!plus || !parse_offset(plus + 1, &offset)) {
    return shape_expected(r, value, SIM_TYPE, row->expected);
  }
  struct choice c = {{NULL}};
  list_memory(part, &c);
  size_t length = (size_t)(plus - value->text);
  read->memory = find(&c, arena_text_n(r->arena, value->text, length));
  if (read->memory == PART_NONE) {
    return shape_expected(r, value, SIM_REFERENCE, row->expected);
  }
  if (offset % 4 != 0 || offset >= part->memory[read->memory].size) {
    return json_fail(value, SIM_RANGE, r->err,
                     "is offset %" PRIu64 " of \"%s\"; expected a multiple "
                     "of 4 below %" PRIu32,
                     offset, c.names[read->memory],
                     part->memory[read->memory].size);
  }
  read->offset = (uint32_t)offset;
  return SIM_OK;
}

/* --- options and start rules --------------------------------------------- */

static bool fits_field(const struct part_option_field *field, int64_t number)
{
  return number >= 0 && number >> field->width == 0;
}

/* A value of an option field: one of its names, or a number that fits. */
static enum sim_status read_option_value(struct shape_reader *r,
                                         const struct part_option_field *field,
                                         const struct json *value,
                                         uint32_t *out)
{
  if (value->type == JSON_NUMBER) {
    int64_t number;
    if (!json_integer(value, &number) || !fits_field(field, number)) {
      return json_fail(value, SIM_RANGE, r->err,
                       "is %.40s; expected an integer of %" PRIu32 " bit%s",
                       value->text, field->width, field->width > 1 ? "s" : "");
    }
    *out = (uint32_t)number;
    return SIM_OK;
  }
  struct choice c = {{NULL}};
  for (uint32_t i = 0; i < field->value_count; i++) {
    c.names[i] = field->values[i].name;
  }
  uint32_t found = find(&c, value->text);
  if (found == PART_NONE && field->value_count == 0) {
    return shape_expected(r, value, SIM_REFERENCE,
                          "an integer, because the field names no values");
  }
  if (found == PART_NONE) return refuse_name(r, value, &c);
  *out = field->values[found].value;
  return SIM_OK;
}

enum sim_status part_read_factory(struct shape_reader *r,
                                  const struct shape_row *row,
                                  const struct json *value, void *target)
{
  (void)row;
  struct part_option_field *field = target;
  return read_option_value(r, field, value, &field->factory);
}

enum sim_status part_read_fallback(struct shape_reader *r,
                                   const struct shape_row *row,
                                   const struct json *value, void *target)
{
  (void)row;
  struct part_option_field *field = target;
  return read_option_value(r, field, value, &field->fallback);
}

/* The piece of `text` up to the next '.', or all of it; moves *text behind
 * the '.', or to the end. */
static const char *next_piece(struct arena *arena, const char **text)
{
  size_t length = strcspn(*text, ".");
  const char *piece = arena_text_n(arena, *text, length);
  *text += length;
  if (**text == '.') (*text)++;
  return piece;
}

static enum sim_status refuse_term(struct shape_reader *r,
                                   const struct json *value, const char *what,
                                   const struct choice *c)
{
  char words[SHAPE_TEXT_SIZE];
  return json_fail_key(value, SIM_REFERENCE, r->err,
                       "asks for %s that this part lacks; expected %s", what,
                       c->names[0]
                           ? shape_words(c->names, NULL, words, sizeof words)
                           : "it to be described");
}

static enum sim_status read_either(struct shape_reader *r,
                                   const struct json *value,
                                   const char *const *words, uint32_t *out)
{
  bool second = false;
  const struct shape_row row = {.kind = SHAPE_EITHER, .words = words};
  enum sim_status status = shape_read_word(r, &row, value, &second);
  *out = second;
  return status;
}

static enum sim_status read_option_term(struct shape_reader *r,
                                        const struct json *value,
                                        const char *rest,
                                        struct part_term *term)
{
  const struct part *part = r->user;
  struct choice words = {{NULL}}, fields = {{NULL}};
  for (uint32_t i = 0; i < part->options.word_count; i++) {
    words.names[i] = part->options.words[i].name;
  }
  term->kind = TERM_OPTION;
  term->index = find(&words, next_piece(r->arena, &rest));
  if (term->index == PART_NONE) {
    return refuse_term(r, value, "an option word", &words);
  }
  const struct part_option_word *word = &part->options.words[term->index];
  for (uint32_t i = 0; i < word->field_count; i++) {
    fields.names[i] = word->fields[i].name;
  }
  term->field = find(&fields, next_piece(r->arena, &rest));
  if (term->field == PART_NONE || *rest != '\0') {
    return refuse_term(r, value, "an option field", &fields);
  }
  return read_option_value(r, &word->fields[term->field], value, &term->value);
}

static enum sim_status read_strap_term(struct shape_reader *r,
                                       const struct json *value,
                                       const char *rest,
                                       struct part_term *term)
{
  static const char *const levels[] = {"low", "high", NULL};
  const struct part *part = r->user;
  struct choice straps = {{NULL}};
  for (uint32_t i = 0; i < part->strap_count; i++) {
    straps.names[i] = part->straps[i].name;
  }
  term->kind = TERM_STRAP;
  term->index = find(&straps, rest);
  if (term->index == PART_NONE) {
    return refuse_term(r, value, "a strap", &straps);
  }
  return read_either(r, value, levels, &term->value);
}

static enum sim_status read_latch_term(struct shape_reader *r,
                                       const struct json *value,
                                       struct part_term *term)
{
  const struct part *part = r->user;
  static const struct choice none = {{NULL}};
  if (part->blank_check.held == BLANK_NONE) {
    return refuse_term(r, value, "a blank check", &none);
  }
  term->kind = TERM_LATCH;
  return read_either(r, value, latch_words, &term->value);
}

enum sim_status part_read_term(struct shape_reader *r,
                               const struct shape_row *row,
                               const struct json *value, void *target)
{
  (void)row;
  struct part_term *term = target;
  const char *rest = value->key;
  const char *first = next_piece(r->arena, &rest);
  if (strcmp(value->key, "latch") == 0) {
    return read_latch_term(r, value, term);
  }
  if (strcmp(first, "strap") == 0) {
    return read_strap_term(r, value, rest, term);
  }
  if (strcmp(first, "option") == 0) {
    return read_option_term(r, value, rest, term);
  }
  return json_fail_key(value, SIM_KEY, r->err,
                       "is nothing that a rule can ask; expected \"latch\", "
                       "\"strap.NAME\" or \"option.WORD.FIELD\"");
}

/* --- rows that are put elsewhere ----------------------------------------- */

enum sim_status part_read_reset(struct shape_reader *r,
                                const struct shape_row *row,
                                const struct json *value, void *target)
{
  struct part_reset *resets = target;
  struct part_reset_row read = {.reset = {.present = true}};
  enum sim_status status = shape_read(r, row->of->shape, value, &read);
  if (status != SIM_OK) return status;
  if (resets[read.cause].present) {
    return json_fail(json_get(value, "cause"), SIM_KEY, r->err,
                     "is a second row for \"%s\"; expected one row a cause",
                     cause_word(read.cause));
  }
  resets[read.cause] = read.reset;
  return SIM_OK;
}

enum sim_status part_read_block(struct shape_reader *r,
                                const struct shape_row *row,
                                const struct json *value, void *target)
{
  struct part *part = r->user;
  struct part_block_row read = {.registers = NULL};
  enum sim_status status = shape_read(r, row->of->shape, value, &read);
  if (status != SIM_OK) return status;
  if (part->register_count + read.register_count > PART_MAX_REGISTER) {
    return json_fail(json_get(value, "registers"), SIM_LIMIT, r->err,
                     "brings the part to %" PRIu32 " registers; expected at "
                     "most %d",
                     part->register_count + read.register_count,
                     PART_MAX_REGISTER);
  }
  for (uint32_t i = 0; i < read.register_count; i++) {
    struct part_register *to = &part->registers[part->register_count++];
    *to = read.registers[i];
    to->block = read.block.name;
    to->at += read.block.at; /* part_check refuses what wraps around */
  }
  *(struct part_block *)target = read.block;
  return SIM_OK;
}
