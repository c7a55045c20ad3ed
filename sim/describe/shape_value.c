#include "describe/shape_value.h"

#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "describe/names.h"
#include "describe/shape_text.h"

_Static_assert(sizeof(enum shape_kind) == sizeof(int),
               "choices are stored as int, and so are enums");

enum sim_status shape_refuse(struct shape_reader *r,
                             const struct shape_row *row,
                             const struct json *value, enum sim_status status)
{
  char wanted[SHAPE_TEXT_SIZE];
  return shape_expected(r, value, status,
                        shape_wanted(row, wanted, sizeof wanted));
}

/* --- types --------------------------------------------------------------- */

static bool fits_a_form(const struct shape_row *row, const struct json *value)
{
  for (size_t i = 0; i < row->of_count; i++) {
    if (shape_fits(&row->of[i], value)) return true;
  }
  return false;
}

bool shape_fits(const struct shape_row *row, const struct json *value)
{
  switch (row->kind) {
  case SHAPE_TEXT:
  case SHAPE_NAME:
  case SHAPE_EITHER:
  case SHAPE_CHOICE:
  case SHAPE_HEX:
  case SHAPE_BYTES:
  case SHAPE_AMOUNT:
  case SHAPE_BITS: return value->type == JSON_STRING;
  case SHAPE_QUANTITY:
    return value->type == JSON_STRING || value->type == JSON_OBJECT;
  case SHAPE_FLAG: return value->type == JSON_BOOLEAN;
  case SHAPE_COUNT:
  case SHAPE_WIDE: return value->type == JSON_NUMBER;
  case SHAPE_OBJECT:
  case SHAPE_MAP: return value->type == JSON_OBJECT;
  case SHAPE_LIST: return value->type == JSON_LIST;
  case SHAPE_CUSTOM: return fits_a_form(row, value);
  }
  assert(false); /* no kind of shape */
  return false;
}

/* --- texts and words ----------------------------------------------------- */

#define LONGEST_NAME 63

static bool in_name(char c, bool first)
{
  bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
  bool digit = c >= '0' && c <= '9';
  return letter || digit || c == '_' || (!first && (c == '-' || c == '+'));
}

bool shape_is_name(const char *text)
{
  size_t length = 0;
  while (in_name(text[length], length == 0)) {
    length++;
  }
  return length > 0 && length <= LONGEST_NAME && text[length] == '\0';
}

static enum sim_status read_text(struct shape_reader *r,
                                 const struct shape_row *row,
                                 const struct json *value, void *target)
{
  bool right = row->kind == SHAPE_NAME ? shape_is_name(value->text)
                                       : value->text[0] != '\0';
  if (!right) return shape_refuse(r, row, value, SIM_RANGE);
  *(const char **)target = value->text;
  return SIM_OK;
}

static enum sim_status read_flag(struct shape_reader *r,
                                 const struct shape_row *row,
                                 const struct json *value, void *target)
{
  (void)r, (void)row;
  *(bool *)target = value->truth;
  return SIM_OK;
}

enum sim_status shape_read_word(struct shape_reader *r,
                                const struct shape_row *row,
                                const struct json *value, void *target)
{
  for (int i = 0; row->words[i]; i++) {
    if (strcmp(row->words[i], value->text) != 0) continue;
    if (row->kind == SHAPE_EITHER) {
      *(bool *)target = i == 1;
    } else {
      *(int *)target = i + (int)row->min;
    }
    return SIM_OK;
  }
  char wanted[SHAPE_TEXT_SIZE];
  return shape_expected(
      r, value, SIM_RANGE,
      shape_words(row->words, value->text, wanted, sizeof wanted));
}

enum sim_status shape_read_source(struct shape_reader *r,
                                  const struct json *value,
                                  struct provenance *from)
{
  static const char *const expected =
      "\"assumed\", \"common practice\" or the name of a published document";
  if (value->type != JSON_STRING) {
    return shape_expected(r, value, SIM_TYPE, expected);
  }
  const char *text = value->text;
  for (enum source s = SOURCE_ASSUMED; s < SOURCE_PUBLISHED; s++) {
    bool same = strcmp(text, source_word(s)) == 0;
    if (same) *from = (struct provenance){s, NULL};
    if (same) return SIM_OK;
    if (shape_is_near(text, source_word(s))) {
      return shape_expected(r, value, SIM_RANGE, expected);
    }
  }
  if (text[0] == '\0') return shape_expected(r, value, SIM_RANGE, expected);
  *from = (struct provenance){SOURCE_PUBLISHED, text};
  return SIM_OK;
}

/* --- bits ---------------------------------------------------------------- */

/* One or two digits at *text, at most 31; moves *text behind them. */
static bool read_bit(const char **text, uint32_t *out)
{
  uint32_t number = 0;
  size_t digits = 0;
  for (; **text >= '0' && **text <= '9' && digits < 3; (*text)++) {
    number = number * 10 + (uint32_t)(**text - '0');
    digits++;
  }
  *out = number;
  return digits == 1 || digits == 2;
}

static enum sim_status read_bits(struct shape_reader *r,
                                 const struct shape_row *row,
                                 const struct json *value, void *target)
{
  const char *text = value->text;
  uint32_t msb, lsb;
  bool right = read_bit(&text, &msb);
  lsb = msb;
  if (right && *text == ':') {
    text++;
    right = read_bit(&text, &lsb);
  }
  if (!right || *text != '\0') return shape_refuse(r, row, value, SIM_TYPE);
  if (msb > 31 || lsb > msb) {
    return shape_expected(r, value, SIM_RANGE,
                          "bits from 31 to 0, the higher one first");
  }
  uint32_t *bits = target;
  bits[0] = lsb;
  bits[1] = msb - lsb + 1;
  return SIM_OK;
}

/* ------------------------------------------------------------------------- */

enum sim_status shape_read_value(struct shape_reader *r,
                                 const struct shape_row *row,
                                 const struct json *value, void *target)
{
  static const shape_custom readers[] = {
      [SHAPE_TEXT] = read_text,
      [SHAPE_NAME] = read_text,
      [SHAPE_FLAG] = read_flag,
      [SHAPE_EITHER] = shape_read_word,
      [SHAPE_CHOICE] = shape_read_word,
      [SHAPE_COUNT] = shape_read_number,
      [SHAPE_WIDE] = shape_read_number,
      [SHAPE_HEX] = shape_read_number,
      [SHAPE_BYTES] = shape_read_number,
      [SHAPE_AMOUNT] = shape_read_number,
      [SHAPE_QUANTITY] = shape_read_quantity,
      [SHAPE_BITS] = read_bits,
  };
  assert(row->kind < sizeof readers / sizeof readers[0]);
  return readers[row->kind](r, row, value, target);
}
