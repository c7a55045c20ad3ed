#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "describe/shape_text.h"
#include "describe/shape_value.h"

/* --- numbers ------------------------------------------------------------- */

static int hex_digit(char c)
{
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return -1;
}

bool shape_hex(const char *text, uint64_t *out)
{
  if (strncmp(text, "0x", 2) != 0) return false;
  uint64_t number = 0;
  size_t digits = 0;
  for (text += 2; hex_digit(*text) >= 0; text++) {
    number = number << 4 | (uint64_t)hex_digit(*text);
    digits++;
  }
  if (*text != '\0' || digits < 1 || digits > 16) return false;
  *out = number;
  return true;
}

static bool parse_hex(const char *text, int64_t *out)
{
  uint64_t number;
  if (!shape_hex(text, &number)) return false;
  *out = number > INT64_MAX ? INT64_MAX : (int64_t)number;
  return true;
}

static bool parse(const struct shape_row *row, const struct json *value,
                  int64_t *out)
{
  switch (row->kind) {
  case SHAPE_HEX: return parse_hex(value->text, out);
  case SHAPE_BYTES: return units_parse(value->text, UNIT_BYTES, out);
  case SHAPE_AMOUNT:
  case SHAPE_QUANTITY: return units_parse(value->text, row->unit, out);
  default: return json_integer(value, out);
  }
}

static bool is_narrow(const struct shape_row *row)
{
  return row->kind == SHAPE_COUNT || row->kind == SHAPE_HEX ||
         row->kind == SHAPE_BYTES;
}

static enum sim_status refuse_multiple(struct shape_reader *r,
                                       const struct shape_row *row,
                                       const struct json *value)
{
  char expected[64], number[32];
  if (row->kind == SHAPE_BYTES) {
    units_text(number, sizeof number, UNIT_BYTES, row->multiple);
  } else {
    snprintf(number, sizeof number,
             row->kind == SHAPE_HEX ? "0x%" PRIx64 : "%" PRId64,
             row->multiple);
  }
  snprintf(expected, sizeof expected, "a multiple of %s", number);
  return shape_expected(r, value, SIM_RANGE, expected);
}

/* A number within the row's bounds. */
static enum sim_status read_bounded(struct shape_reader *r,
                                    const struct shape_row *row,
                                    const struct json *value, int64_t *out)
{
  int64_t number;
  int64_t most = row->max > 0     ? row->max
                 : is_narrow(row) ? (int64_t)UINT32_MAX
                                  : INT64_MAX;
  if (!parse(row, value, &number))
    return shape_refuse(r, row, value, SIM_TYPE);
  if (number < row->min || number > most) {
    struct shape_row bounded = *row;
    bounded.max = most;
    return shape_refuse(r, &bounded, value, SIM_RANGE);
  }
  if (row->multiple > 0 && number % row->multiple != 0) {
    return refuse_multiple(r, row, value);
  }
  *out = number;
  return SIM_OK;
}

enum sim_status shape_read_number(struct shape_reader *r,
                                  const struct shape_row *row,
                                  const struct json *value, void *target)
{
  int64_t number;
  enum sim_status status = read_bounded(r, row, value, &number);
  if (status != SIM_OK) return status;
  if (is_narrow(row)) {
    *(uint32_t *)target = (uint32_t)number;
  } else {
    *(int64_t *)target = number;
  }
  return SIM_OK;
}

/* --- quantities with a tolerance ----------------------------------------- */

void shape_tolerance_rows(const struct shape_row *of,
                          struct shape_row rows[SHAPE_TOLERANCE_ROWS])
{
  const struct shape_row bound = {
      .kind = SHAPE_AMOUNT, .unit = of->unit, .min = of->min, .max = of->max};
  rows[0] = rows[1] = rows[2] = bound;
  rows[0].key = "min";
  rows[0].at = offsetof(struct shape_tolerance, min);
  rows[0].has = offsetof(struct shape_tolerance, has_min);
  rows[0].sentence = "The smallest it can be; left out, it is \"typ\".";
  rows[1].key = "typ";
  rows[1].at = offsetof(struct shape_tolerance, typ);
  rows[1].need = SHAPE_REQUIRED;
  rows[1].sentence = "What it usually is.";
  rows[2].key = "max";
  rows[2].at = offsetof(struct shape_tolerance, max);
  rows[2].has = offsetof(struct shape_tolerance, has_max);
  rows[2].sentence = "The largest it can be; left out, it is \"typ\".";
}

static enum sim_status read_tolerance(struct shape_reader *r,
                                      const struct shape_row *row,
                                      const struct json *value,
                                      struct shape_tolerance *t)
{
  struct shape_row rows[SHAPE_TOLERANCE_ROWS];
  shape_tolerance_rows(row, rows);
  const struct shape shape = {.what = "a quantity with its tolerance",
                              SHAPE_ROWS(rows),
                              .sourced = true,
                              .fact = true};
  enum sim_status status = shape_read(r, &shape, value, t);
  if (status != SIM_OK) return status;
  if (!t->has_min) t->min = t->typ;
  if (!t->has_max) t->max = t->typ;
  if (t->min <= t->typ && t->typ <= t->max) return SIM_OK;
  return json_fail(value, SIM_RANGE, r->err,
                   "is out of order; expected \"min\" no larger than "
                   "\"typ\", and \"typ\" no larger than \"max\"");
}

/* The provenance of the object is its own, so it is read here too; that it
 * is right has been seen. */
static enum sim_status read_own_source(struct shape_reader *r,
                                       const struct json *object,
                                       struct provenance *from)
{
  const struct json *source = json_get(object, "source");
  return source ? shape_read_source(r, source, from) : SIM_OK;
}

enum sim_status shape_read_quantity(struct shape_reader *r,
                                    const struct shape_row *row,
                                    const struct json *value, void *target)
{
  struct quantity *q = target;
  struct provenance from = r->from;
  struct shape_tolerance t = {0};
  enum sim_status status;
  if (value->type == JSON_OBJECT) {
    status = read_tolerance(r, row, value, &t);
    if (status == SIM_OK) status = read_own_source(r, value, &from);
  } else {
    status = read_bounded(r, row, value, &t.typ);
    t.min = t.max = t.typ;
    if (status == SIM_OK && r->sourced) r->sourced(r, value, from);
  }
  if (status != SIM_OK) return status;
  *q = (struct quantity){t.min, t.typ, t.max, from.source, from.document};
  return SIM_OK;
}
