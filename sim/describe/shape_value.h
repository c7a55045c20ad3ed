/* shape_value.h -- reading a value that stands for itself: everything that is
 * no list, no map and no object with rows of its own.
 */
#ifndef DESCRIBE_SHAPE_VALUE_H
#define DESCRIBE_SHAPE_VALUE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/json.h"
#include "describe/shape.h"

/* True if the value has a JSON type that the row allows. */
bool shape_fits(const struct shape_row *row, const struct json *value);

/* Read a value that fits a row of a kind from TEXT to BITS. */
enum sim_status shape_read_value(struct shape_reader *r,
                                 const struct shape_row *row,
                                 const struct json *value, void *target);

/* The kinds that shape_number.c reads: from COUNT to AMOUNT, and QUANTITY. */
enum sim_status shape_read_number(struct shape_reader *r,
                                  const struct shape_row *row,
                                  const struct json *value, void *target);
enum sim_status shape_read_quantity(struct shape_reader *r,
                                    const struct shape_row *row,
                                    const struct json *value, void *target);

/* "is VALUE; expected" what the row wants. */
enum sim_status shape_refuse(struct shape_reader *r,
                             const struct shape_row *row,
                             const struct json *value, enum sim_status status);

/* EITHER and CHOICE, for custom functions that have words to look up. */
enum sim_status shape_read_word(struct shape_reader *r,
                                const struct shape_row *row,
                                const struct json *value, void *target);

/* A quantity written as an object, and its rows: "min", "typ", "max", with
 * the unit and bounds of `of`. */
struct shape_tolerance {
  int64_t min, typ, max;
  bool has_min, has_max;
};
#define SHAPE_TOLERANCE_ROWS 3
void shape_tolerance_rows(const struct shape_row *of,
                          struct shape_row rows[SHAPE_TOLERANCE_ROWS]);

/* "assumed", "common practice" or a published document. */
enum sim_status shape_read_source(struct shape_reader *r,
                                  const struct json *value,
                                  struct provenance *from);

#endif
