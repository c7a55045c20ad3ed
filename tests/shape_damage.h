/* shape_damage.h -- every way to spoil one value of a document that a shape
 * describes: its key removed, doubled, renamed; its value of another type,
 * in another unit, out of range. Each must give one error, with a place and
 * the path of what was spoilt.
 */
#ifndef TESTS_SHAPE_DAMAGE_H
#define TESTS_SHAPE_DAMAGE_H

#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <inttypes.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <cmocka.h>

#include "base/arena.h"
#include "base/json.h"
#include "describe/shape.h"
#include "describe/shape_value.h"

/* Reads a whole document of the kind under test. */
typedef enum sim_status (*damage_reader)(struct arena *arena,
                                         const struct json *root,
                                         struct sim_error *err);

struct damage {
  const char *text; /* undamaged */
  size_t length;
  damage_reader read;
  struct arena arena; /* of the undamaged document */
  unsigned count;     /* of damaged documents that were read */
};

/* --- places in the text -------------------------------------------------- */

/* The samples are ASCII: a column is a byte. */
static size_t damage_offset(const struct damage *d, uint32_t line,
                            uint32_t column)
{
  size_t at = 0;
  for (; line > 1; line--) {
    at = (size_t)(strchr(d->text + at, '\n') - d->text) + 1;
  }
  return at + column - 1;
}

static size_t damage_string_end(const struct damage *d, size_t at)
{
  for (at++; d->text[at] != '"'; at++) {
    if (d->text[at] == '\\') at++;
  }
  return at + 1;
}

static size_t damage_value_end(const struct damage *d, size_t at)
{
  unsigned depth = 0;
  do {
    char c = d->text[at];
    if (c == '"') {
      at = damage_string_end(d, at);
      continue;
    }
    depth += c == '{' || c == '[';
    depth -= c == '}' || c == ']';
    at++;
  } while (depth > 0 || !strchr(",]} \n", d->text[at]));
  return at;
}

/* --- what must come of it ------------------------------------------------ */

struct damage_answer {
  enum sim_status status; /* SIM_OK: any but SIM_OK */
  bool may_be_right;      /* what was left out is optional */
  bool below;             /* the path may lead further down */
  const char *path;
};

static void damage_judge(const struct damage_answer *wanted,
                         enum sim_status status, const struct sim_error *err)
{
  if (status == SIM_OK && wanted->may_be_right) return;
  if (status == SIM_OK) fail_msg("%s: is not refused", wanted->path);
  char text[1400];
  sim_error_text(err, text, sizeof text);
  bool placed = err->line > 0 && err->column > 0 && err->message[0] &&
                strcmp(err->file, "damaged.json") == 0;
  if (!placed) fail_msg("%s: no place: %s", wanted->path, text);
  if (err->status != status) fail_msg("%s: two statuses", text);
  if (wanted->may_be_right) return;
  bool no_such = wanted->status == SIM_RANGE && status == SIM_REFERENCE;
  if (wanted->status != SIM_OK && wanted->status != status && !no_such) {
    fail_msg("%s: status %d, not %d", text, (int)status, (int)wanted->status);
  }
  size_t length = strlen(wanted->path);
  if (strncmp(err->path, wanted->path, length) != 0 ||
      (!wanted->below && err->path[length] != '\0')) {
    fail_msg("wanted path %s: %s", wanted->path, text);
  }
  if (!strstr(err->message, "expected")) fail_msg("expects nothing: %s", text);
}

/* The document with the bytes from `from` to `to` replaced. */
static void damage_try(struct damage *d, size_t from, size_t to,
                       const char *instead, const struct damage_answer *wanted)
{
  struct arena arena;
  struct sim_error err = {.status = SIM_OK};
  const struct json *root;
  arena_init(&arena);
  size_t more = strlen(instead);
  size_t length = d->length - (to - from) + more;
  char *text = arena_get(&arena, length + 1);
  memcpy(text, d->text, from);
  memcpy(text + from, instead, more);
  memcpy(text + from + more, d->text + to, d->length - to);
  enum sim_status status =
      json_parse(&arena, "damaged.json", text, length, true, &root, &err);
  if (status == SIM_OK) status = d->read(&arena, root, &err);
  damage_judge(wanted, status, &err);
  d->count++;
  arena_free(&arena);
}

static void damage_replace(struct damage *d, const struct json *value,
                           const char *instead, enum sim_status status)
{
  char path[256];
  struct damage_answer wanted = {.status = status,
                                 .path = json_path(value, path, sizeof path)};
  size_t from = damage_offset(d, value->line, value->column);
  damage_try(d, from, damage_value_end(d, from), instead, &wanted);
}

/* --- keys ---------------------------------------------------------------- */

static void damage_remove(struct damage *d, const struct json *member,
                          bool required, bool below)
{
  char path[256];
  struct damage_answer wanted = {
      .status = below ? SIM_OK : SIM_KEY,
      .may_be_right = !required,
      .below = below,
      .path = json_path(member->parent, path, sizeof path)};
  size_t from = damage_offset(d, member->key_line, member->key_column);
  size_t to =
      damage_value_end(d, damage_offset(d, member->line, member->column));
  to += strspn(d->text + to, " \n");
  if (d->text[to] == ',') {
    to++;
  } else {
    while (strchr(" \n", d->text[from - 1])) {
      from--;
    }
    from -= d->text[from - 1] == ',';
  }
  damage_try(d, from, to, "", &wanted);
}

static void damage_double(struct damage *d, const struct json *member)
{
  char path[256], copy[32000];
  struct damage_answer wanted = {.status = SIM_KEY,
                                 .path = json_path(member, path, sizeof path)};
  size_t from = damage_offset(d, member->key_line, member->key_column);
  size_t to =
      damage_value_end(d, damage_offset(d, member->line, member->column));
  snprintf(copy, sizeof copy, "%.*s, ", (int)(to - from), d->text + from);
  damage_try(d, from, from, copy, &wanted);
}

static void damage_rename(struct damage *d, const struct json *member,
                          bool below)
{
  char path[256], key[128];
  json_path(member->parent, path, sizeof path);
  size_t used = strlen(path);
  if (!below) {
    snprintf(path + used, sizeof path - used, "%szz%s", used > 0 ? "." : "",
             member->key);
  }
  struct damage_answer wanted = {
      .status = below ? SIM_OK : SIM_KEY, .below = below, .path = path};
  snprintf(key, sizeof key, "\"zz%s\"", member->key);
  size_t from = damage_offset(d, member->key_line, member->key_column);
  damage_try(d, from, damage_string_end(d, from), key, &wanted);
}

/* --- values -------------------------------------------------------------- */

static const char *damage_smallest_unit(enum unit unit)
{
  for (unsigned i = 0;; i++) {
    char text[32];
    int64_t one;
    snprintf(text, sizeof text, "1%s", units_suffix(unit, i));
    if (units_parse(text, unit, &one) && one == 1)
      return units_suffix(unit, i);
  }
}

/* A value just outside the row's bounds; false if it has none. */
static bool damage_beyond(const struct shape_row *row, char *buf, size_t size)
{
  int64_t more = row->max > 0 ? row->max + 1 : INT64_C(1) << 32;
  enum unit unit = row->kind == SHAPE_BYTES ? UNIT_BYTES : row->unit;
  switch (row->kind) {
  case SHAPE_TEXT: snprintf(buf, size, "\"\""); return true;
  case SHAPE_NAME: snprintf(buf, size, "\"a name\""); return true;
  case SHAPE_EITHER:
  case SHAPE_CHOICE: snprintf(buf, size, "\"neither\""); return true;
  case SHAPE_COUNT: snprintf(buf, size, "%" PRId64, more); return true;
  case SHAPE_HEX:
    snprintf(buf, size, "\"0x%" PRIx64 "\"", (uint64_t)more);
    return true;
  case SHAPE_BYTES:
  case SHAPE_AMOUNT:
  case SHAPE_QUANTITY:
    snprintf(buf, size, "\"%" PRId64 " %s\"", more,
             damage_smallest_unit(unit));
    return true;
  case SHAPE_BITS: snprintf(buf, size, "\"32\""); return true;
  case SHAPE_LIST: snprintf(buf, size, "[]"); return row->min > 0;
  default: return false;
  }
}

static bool damage_has_unit(const struct shape_row *row)
{
  return row->kind == SHAPE_BYTES || row->kind == SHAPE_AMOUNT ||
         row->kind == SHAPE_QUANTITY;
}

static void damage_value(struct damage *d, const struct shape_row *row,
                         const struct json *value)
{
  static const struct json others[] = {
      {.type = JSON_NULL, .text = "null"},
      {.type = JSON_BOOLEAN, .text = "true"},
      {.type = JSON_NUMBER, .text = "7"},
      {.type = JSON_STRING, .text = "\"seven\""},
      {.type = JSON_LIST, .text = "[ 7 ]"},
      {.type = JSON_OBJECT, .text = "{ \"seven\": 7 }"},
  };
  for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
    if (shape_fits(row, &others[i])) continue;
    damage_replace(d, value, others[i].text, SIM_TYPE);
  }
  char beyond[64];
  if (damage_beyond(row, beyond, sizeof beyond)) {
    damage_replace(d, value, beyond, SIM_RANGE);
  }
  if (damage_has_unit(row)) {
    damage_replace(d, value, "\"5 spoons\"", SIM_TYPE);
    damage_replace(d, value, "\"-1\"", SIM_TYPE);
  }
  bool names = row->kind == SHAPE_CUSTOM && row->of->kind == SHAPE_NAME;
  if (names) damage_replace(d, value, "\"no body\"", SIM_OK);
}

/* --- the whole document -------------------------------------------------- */

static void damage_object(struct damage *d, const struct shape *shape,
                          const struct json *object, bool below);

static bool damage_takes(const struct shape *form, const struct json *member)
{
  const struct shape_row *row = shape_row_named(form, member->key);
  if (!row) return strcmp(member->key, "note") == 0;
  if (row->kind != SHAPE_CHOICE) return true;
  size_t i = 0;
  while (row->words[i] && strcmp(row->words[i], member->text) != 0) {
    i++;
  }
  return row->words[i];
}

/* The first form that has all keys of the object, and their words. */
static const struct shape *damage_form(const struct shape_row *row,
                                       const struct json *object)
{
  for (size_t i = 0; i < row->of_count; i++) {
    if (row->of[i].kind != SHAPE_OBJECT) continue;
    const struct json *m = object->child;
    while (m && damage_takes(row->of[i].shape, m)) {
      m = m->next;
    }
    if (!m) return row->of[i].shape;
  }
  fail_msg("line %u: no form", object->line);
  return NULL;
}

static void damage_tolerance(struct damage *d, const struct shape_row *row,
                             const struct json *value)
{
  struct shape_row rows[SHAPE_TOLERANCE_ROWS];
  shape_tolerance_rows(row, rows);
  const struct shape shape = {
      .what = "a quantity", SHAPE_ROWS(rows), .sourced = true};
  damage_object(d, &shape, value, false);
}

static void damage_row(struct damage *d, const struct shape_row *row,
                       const struct json *value)
{
  damage_value(d, row, value);
  if (row->kind == SHAPE_LIST || row->kind == SHAPE_MAP) {
    for (const struct json *c = value->child; c; c = c->next) {
      if (c->key) damage_double(d, c);
      damage_row(d, row->of, c);
    }
  } else if (row->kind == SHAPE_QUANTITY && value->type == JSON_OBJECT) {
    damage_tolerance(d, row, value);
  } else if (row->kind == SHAPE_OBJECT) {
    damage_object(d, row->shape, value, false);
  } else if (value->type == JSON_OBJECT) {
    damage_object(d, damage_form(row, value), value, row->of_count > 2);
  }
}

/* `below`: the keys decide which form the object has, so the error may be
 * about another of them. */
static void damage_object(struct damage *d, const struct shape *shape,
                          const struct json *object, bool below)
{
  static const struct shape_row text = {.kind = SHAPE_TEXT};
  for (const struct json *m = object->child; m; m = m->next) {
    const struct shape_row *row = shape_row_named(shape, m->key);
    bool required = row && row->need == SHAPE_REQUIRED;
    damage_remove(d, m, required, below);
    damage_double(d, m);
    damage_rename(d, m, below);
    damage_row(d, row ? row : &text, m);
  }
}

/* Spoil every value of the document, one at a time; returns how many damaged
 * documents were read. */
static inline unsigned damage_all(const char *text, const struct shape *shape,
                                  damage_reader read)
{
  struct damage d = {.text = text, .length = strlen(text), .read = read};
  struct sim_error err;
  const struct json *root;
  arena_init(&d.arena);
  enum sim_status status =
      json_parse(&d.arena, "damaged.json", text, d.length, true, &root, &err);
  if (status == SIM_OK) status = read(&d.arena, root, &err);
  if (status != SIM_OK) fail_msg("%s: %s", err.path, err.message);
  damage_object(&d, shape, root, false);
  arena_free(&d.arena);
  return d.count;
}

#endif
