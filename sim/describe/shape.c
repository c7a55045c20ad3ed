#include "describe/shape.h"

#include <assert.h>
#include <inttypes.h>
#include <string.h>

#include "describe/shape_text.h"
#include "describe/shape_value.h"

/* --- rows ---------------------------------------------------------------- */

size_t shape_row_count(const struct shape *shape)
{
  return shape->row_count + (shape->also ? shape_row_count(shape->also) : 0);
}

const struct shape_row *shape_row_at(const struct shape *shape, size_t index,
                                     size_t *at)
{
  *at = 0;
  while (index >= shape->row_count) {
    index -= shape->row_count;
    *at += shape->also_at;
    shape = shape->also;
  }
  return &shape->rows[index];
}

const struct shape_row *shape_row_named(const struct shape *shape,
                                        const char *key)
{
  for (size_t i = 0; i < shape_row_count(shape); i++) {
    size_t at;
    const struct shape_row *row = shape_row_at(shape, i, &at);
    if (strcmp(row->key, key) == 0) return row;
  }
  return NULL;
}

/* --- messages ------------------------------------------------------------ */

enum sim_status shape_expected(struct shape_reader *r,
                               const struct json *value,
                               enum sim_status status, const char *expected)
{
  char shown[SHAPE_TEXT_SIZE];
  return json_fail(value, status, r->err, "is %s; expected %s",
                   shape_shown(value, shown, sizeof shown), expected);
}

static enum sim_status refuse_key(struct shape_reader *r,
                                  const struct shape *shape,
                                  const struct json *member)
{
  char keys[SHAPE_TEXT_SIZE];
  return json_fail_key(member, SIM_KEY, r->err, "is no key of %s; expected %s",
                       shape->what,
                       shape_keys(shape, member->key, keys, sizeof keys));
}

static enum sim_status refuse_absence(struct shape_reader *r,
                                      const struct shape_row *row,
                                      const struct json *object)
{
  char wanted[SHAPE_TEXT_SIZE];
  return json_fail(object, SIM_KEY, r->err, "has no \"%s\"; expected %s",
                   row->key, shape_wanted(row, wanted, sizeof wanted));
}

/* --- one value ----------------------------------------------------------- */

static void *inside(void *target, size_t offset)
{
  return (char *)target + offset;
}

static enum sim_status read_row(struct shape_reader *r,
                                const struct shape_row *row,
                                const struct json *value, void *target);

static enum sim_status read_length(struct shape_reader *r,
                                   const struct shape_row *row,
                                   const struct json *value)
{
  if ((int64_t)value->count < row->min) {
    return json_fail(value, SIM_RANGE, r->err,
                     "has length %" PRIu32 "; expected at least %" PRId64,
                     value->count, row->min);
  }
  if ((int64_t)value->count > row->max) {
    return json_fail(value, SIM_LIMIT, r->err,
                     "has length %" PRIu32 "; expected at most %" PRId64,
                     value->count, row->max);
  }
  return SIM_OK;
}

/* The elements of a list or map, one by one; `counted` keeps up, so that a
 * custom function sees which elements are there already. */
static enum sim_status read_elements(struct shape_reader *r,
                                     const struct shape_row *row,
                                     const struct json *value, void *target)
{
  enum sim_status status = read_length(r, row, value);
  char *elements = inside(target, row->at);
  if (row->pointed && status == SIM_OK) {
    elements = arena_array(r->arena, value->count, row->stride);
    *(void **)inside(target, row->at) = elements;
  }
  const struct json *child = value->child;
  for (; child && status == SIM_OK; child = child->next) {
    char *element = elements + child->index * row->stride;
    if (row->keyed) {
      *(const char **)inside(element, row->key_at) = child->key;
    }
    status = read_row(r, row->of, child, element);
    if (row->counted) {
      *(uint32_t *)inside(target, row->counted) = child->index + 1;
    }
  }
  return status;
}

static enum sim_status read_fitting(struct shape_reader *r,
                                    const struct shape_row *row,
                                    const struct json *value, void *target)
{
  switch (row->kind) {
  case SHAPE_OBJECT:
    return shape_read(r, row->shape, value, inside(target, row->at));
  case SHAPE_LIST:
  case SHAPE_MAP: return read_elements(r, row, value, target);
  case SHAPE_CUSTOM: return row->read(r, row, value, inside(target, row->at));
  default: return shape_read_value(r, row, value, inside(target, row->at));
  }
}

static enum sim_status read_row(struct shape_reader *r,
                                const struct shape_row *row,
                                const struct json *value, void *target)
{
  if (!shape_fits(row, value)) return shape_refuse(r, row, value, SIM_TYPE);
  unsigned section = r->section;
  if (row->section) r->section = row->section;
  enum sim_status status = read_fitting(r, row, value, target);
  r->section = section;
  if (status == SIM_OK && row->has) *(bool *)inside(target, row->has) = true;
  return status;
}

/* --- defaults ------------------------------------------------------------ */

/* The default as if it had been read from `object`. */
static struct json initial_value(const struct shape_row *row,
                                 const struct json *object)
{
  struct json value = {.type = JSON_STRING,
                       .file = object->file,
                       .key = row->key,
                       .text = row->initial,
                       .line = object->line,
                       .parent = object};
  if (row->kind == SHAPE_COUNT || row->kind == SHAPE_WIDE) {
    value.type = JSON_NUMBER;
  } else if (row->kind == SHAPE_FLAG) {
    value.type = JSON_BOOLEAN;
    value.truth = strcmp(row->initial, "true") == 0;
  }
  return value;
}

const struct json *shape_initial_list(const struct shape_row *row,
                                      struct arena *arena)
{
  struct sim_error err;
  const struct json *root;
  enum sim_status status = json_parse(
      arena, "", row->initial, strlen(row->initial), false, &root, &err);
  assert(status == SIM_OK);
  while (root->type == JSON_OBJECT) {
    root = root->child;
  }
  return root;
}

static void read_initial(struct shape_reader *r, const struct shape_row *row,
                         const struct json *object, void *target)
{
  enum sim_status status;
  if (row->kind == SHAPE_LIST) {
    status = read_row(r, row, shape_initial_list(row, r->arena), target);
  } else {
    struct json value = initial_value(row, object);
    status = shape_read_value(r, row, &value, inside(target, row->at));
  }
  assert(status == SIM_OK);
}

static void set_defaults(struct shape_reader *r, const struct shape *shape,
                         const struct json *object, void *target);

/* Whatever a file says of where its values come from, these are ours. */
static void set_default(struct shape_reader *r, const struct shape_row *row,
                        const struct json *object, void *target)
{
  struct provenance around = r->from;
  unsigned section = r->section;
  r->from = (struct provenance){SOURCE_ASSUMED, NULL};
  if (row->section) r->section = row->section;
  if (row->initial) {
    read_initial(r, row, object, target);
  } else if (row->kind == SHAPE_OBJECT) {
    const struct json none = {.type = JSON_OBJECT,
                              .file = object->file,
                              .key = row->key,
                              .line = object->line,
                              .parent = object};
    set_defaults(r, row->shape, &none, inside(target, row->at));
  }
  r->section = section;
  r->from = around;
}

/* Of an object that is left out. */
static void set_defaults(struct shape_reader *r, const struct shape *shape,
                         const struct json *object, void *target)
{
  for (size_t i = 0; i < shape_row_count(shape); i++) {
    size_t at;
    const struct shape_row *row = shape_row_at(shape, i, &at);
    set_default(r, row, object, inside(target, at));
  }
}

/* --- objects ------------------------------------------------------------- */

/* The keys that no table lists. */
static enum sim_status read_own_keys(struct shape_reader *r,
                                     const struct shape *shape,
                                     const struct json *object)
{
  static const struct shape_row note = {.kind = SHAPE_TEXT};
  for (const struct json *m = object->child; m; m = m->next) {
    if (shape_row_named(shape, m->key)) continue;
    enum sim_status status;
    const char *text;
    if (strcmp(m->key, "note") == 0) {
      status = read_row(r, &note, m, &text);
    } else if (strcmp(m->key, "source") == 0 && shape->sourced) {
      status = shape_read_source(r, m, &r->from);
    } else {
      status = refuse_key(r, shape, m);
    }
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

static enum sim_status read_rows(struct shape_reader *r,
                                 const struct shape *shape,
                                 const struct json *object, void *target)
{
  for (size_t i = 0; i < shape_row_count(shape); i++) {
    size_t at;
    const struct shape_row *row = shape_row_at(shape, i, &at);
    const struct json *value = json_get(object, row->key);
    enum sim_status status = SIM_OK;
    if (value) {
      status = read_row(r, row, value, inside(target, at));
    } else if (row->need == SHAPE_REQUIRED) {
      status = refuse_absence(r, row, object);
    } else {
      set_default(r, row, object, inside(target, at));
    }
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

enum sim_status shape_read(struct shape_reader *r, const struct shape *shape,
                           const struct json *value, void *target)
{
  if (value->type != JSON_OBJECT) {
    const struct shape_row row = {.kind = SHAPE_OBJECT, .shape = shape};
    return shape_refuse(r, &row, value, SIM_TYPE);
  }
  struct provenance around = r->from;
  enum sim_status status = read_own_keys(r, shape, value);
  if (status == SIM_OK && shape->fact && r->sourced) {
    r->sourced(r, value, r->from);
  }
  if (status == SIM_OK) status = read_rows(r, shape, value, target);
  r->from = around;
  return status;
}
