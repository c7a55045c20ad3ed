/* shape.h -- what an object of a JSON file may hold, as a table.
 *
 * One row a key: what kind of value it is, where it goes, what it means in
 * one sentence. The same table is read by, complained from, and published as
 * a JSON Schema (shape_schema.c), so the three can't disagree.
 *
 * Every object may also carry "note" (free text, ignored); an object of a
 * shape that is `sourced` may carry "source", which holds for every value in
 * it that has none of its own.
 *
 * The rule a reader would get wrong: rows are read in the order of the table,
 * not of the file. A custom function may therefore look up what an earlier
 * row has read, wherever the two stand in the file.
 *
 * A default is read as if it stood in the file, with the source "assumed"; an
 * object that is left out gets the defaults of what is in it.
 *
 * Owns: nothing. What is read points into the JSON tree and the arena.
 */
#ifndef DESCRIBE_SHAPE_H
#define DESCRIBE_SHAPE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/json.h"
#include "base/status.h"
#include "base/units.h"
#include "describe/quantity.h"

/* What a value is, and what it is read into. */
enum shape_kind {
  SHAPE_TEXT,     /* const char *: at least one character */
  SHAPE_NAME,     /* const char *: see shape_is_name */
  SHAPE_FLAG,     /* bool: true, false */
  SHAPE_EITHER,   /* bool: words[0] is false, words[1] is true */
  SHAPE_CHOICE,   /* an enum or int: index in `words`, plus `min` */
  SHAPE_COUNT,    /* uint32_t: a bare integer */
  SHAPE_WIDE,     /* int64_t: a bare integer */
  SHAPE_HEX,      /* uint32_t: "0x20000000" */
  SHAPE_BYTES,    /* uint32_t: "64KiB" */
  SHAPE_AMOUNT,   /* int64_t: "20us", in `unit`, exact */
  SHAPE_QUANTITY, /* struct quantity: "20us", or an object of min, typ, max */
  SHAPE_BITS,     /* uint32_t lsb, and width right behind it: "7:4", "3" */
  SHAPE_OBJECT,   /* whatever the rows of `shape` are read into */
  SHAPE_LIST,     /* an array of elements like `of` */
  SHAPE_MAP,      /* the same, from an object with free keys */
  SHAPE_CUSTOM    /* whatever `read` makes of it; looks like one of `of` */
};

struct shape;
struct shape_row;
struct shape_reader;

/* Read a value that has the type of one of the row's forms. `target` is the
 * enclosing target plus the row's `at`; r->user is the caller's. */
typedef enum sim_status (*shape_custom)(struct shape_reader *r,
                                        const struct shape_row *row,
                                        const struct json *value,
                                        void *target);

enum shape_need { SHAPE_OPTIONAL, SHAPE_REQUIRED };

/* The first four stand in every row of an object, in this order.
 *
 * In `has` and `counted` 0 means nowhere: no first member of a target is a
 * flag or count. */
struct shape_row {
  const char *key; /* NULL where the row is an element or a form */
  enum shape_kind kind;
  enum shape_need need;
  size_t at;           /* offset in the target */
  size_t has;          /* offset of a bool that is set if the key is there */
  enum unit unit;      /* AMOUNT, QUANTITY */
  int64_t min, max;    /* bounds; max 0: the kind's own. LIST, MAP: length */
  int64_t multiple;    /* COUNT, HEX, BYTES: of this; 0: any */
  const char *initial; /* default, as in a file; NULL: the target stays. LIST:
                          as JSON, inside the objects that lead to it */
  const char *const *words; /* EITHER, CHOICE; ends with NULL */
  const struct shape *shape;
  const struct shape_row *of; /* LIST, MAP: the element; CUSTOM: the forms */
  size_t of_count;            /* CUSTOM: number of forms */
  size_t stride;              /* LIST, MAP: from element to element */
  size_t counted;             /* LIST, MAP: offset of a uint32_t count */
  bool keyed;                 /* MAP: elements keep their key ... */
  size_t key_at;              /* ... at this offset */
  bool pointed;               /* LIST: target is a pointer to a new array */
  shape_custom read;
  const char *expected; /* for messages: replaces the kind's own words */
  const char *pattern;  /* regular expression, for the schema. TEXT: of the
                           value; MAP: of the keys */
  unsigned section;     /* of values in it that have a source; 0: as around */
  const char *sentence; /* what the key means, for the schema */
};

struct shape {
  const char *what; /* "a memory region" */
  const struct shape_row *rows;
  size_t row_count;
  const struct shape *also; /* more rows, behind these, or NULL */
  size_t also_at;           /* where their target begins in ours */
  bool sourced;             /* may carry "source" */
  bool fact; /* the object as a whole is a value that has a source */
};

#define SHAPE_ROWS(rows) (rows), sizeof(rows) / sizeof((rows)[0])

struct shape_reader {
  struct arena *arena;
  struct sim_error *err;
  void *user; /* for custom functions */
  /* Called for every value that has a source, or NULL. */
  void (*sourced)(struct shape_reader *r, const struct json *value,
                  struct provenance from);
  struct provenance from; /* of what is being read */
  unsigned section;
};

/* Read an object into `target`, which the caller has zeroed. The first wrong
 * thing ends it: keys that should not be there, in the order of the file,
 * then row by row. What has been read until then stays in the target. */
enum sim_status shape_read(struct shape_reader *r, const struct shape *shape,
                           const struct json *value, void *target);

/* Number of rows with those of `also`, and one of them; *at is added to the
 * row's own offset. */
size_t shape_row_count(const struct shape *shape);
const struct shape_row *shape_row_at(const struct shape *shape, size_t index,
                                     size_t *at);

/* The default of a LIST row that has one. */
const struct json *shape_initial_list(const struct shape_row *row,
                                      struct arena *arena);

/* The row of a key, or NULL. */
const struct shape_row *shape_row_named(const struct shape *shape,
                                        const char *key);

/* One letter, digit or '_', then up to 62 of letters, digits, '_', '+', '-'.
 */
bool shape_is_name(const char *text);

/* "0x" and 1 to 16 hexadecimal digits. */
bool shape_hex(const char *text, uint64_t *out);

/* json_fail with "is VALUE; expected EXPECTED". */
enum sim_status shape_expected(struct shape_reader *r,
                               const struct json *value,
                               enum sim_status status, const char *expected);

/* A JSON Schema, draft 2020-12. To be freed by the caller. */
struct json_out *shape_schema(const struct shape *shape, const char *title);

#endif
