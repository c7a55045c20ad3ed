#include "base/json.h"

#include <assert.h>
#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"

const struct json *json_get(const struct json *object, const char *key)
{
  assert(object->type == JSON_OBJECT);
  for (const struct json *m = object->child; m; m = m->next) {
    if (strcmp(m->key, key) == 0) return m;
  }
  return NULL;
}

/* RFC 8259 section 6: within 2^53, implementations agree on integers. */
#define LARGEST_INTEGER (INT64_C(1) << 53)

bool json_integer(const struct json *value, int64_t *out)
{
  if (value->type != JSON_NUMBER) return false;
  const char *text = value->text;
  bool negative = *text == '-';
  int64_t number = 0;
  for (text += negative; *text; text++) {
    if (*text < '0' || *text > '9') return false;
    number = number * 10 + (*text - '0');
    if (number > LARGEST_INTEGER) return false;
  }
  *out = negative ? -number : number;
  return true;
}

const char *json_type_text(const struct json *value)
{
  static const char *const texts[] = {
      [JSON_NULL] = "null",       [JSON_BOOLEAN] = "false",
      [JSON_NUMBER] = "a number", [JSON_STRING] = "a string",
      [JSON_LIST] = "a list",     [JSON_OBJECT] = "an object",
  };
  if (value->type == JSON_BOOLEAN && value->truth) return "true";
  return texts[value->type];
}

/* --- the path of a value ------------------------------------------------- */

/* A text that grows until a piece does not fit. */
struct path {
  char *buf;
  size_t size, used;
};

static void put(struct path *p, const char *piece, size_t length)
{
  if (p->size - p->used <= length) {
    p->size = p->used + 1; /* full: shorter pieces may not follow */
    return;
  }
  memcpy(p->buf + p->used, piece, length);
  p->used += length;
  p->buf[p->used] = '\0';
}

static bool is_plain(const char *key)
{
  static const char plain[] = "abcdefghijklmnopqrstuvwxyz"
                              "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
                              "0123456789_-";
  return key[0] != '\0' && key[strspn(key, plain)] == '\0';
}

/* One character of a quoted key; returns its length. */
static size_t put_quoted(struct path *p, const char *key)
{
  uint32_t code;
  char escape[sizeof "\\u0000"];
  size_t length = utf8_read(key, strlen(key), &code);
  assert(length > 0); /* the scan has seen to that */
  if (code >= 0x20) {
    if (code == '"' || code == '\\') put(p, "\\", 1);
    put(p, key, length);
  } else {
    int written = snprintf(escape, sizeof escape, "\\u%04" PRIx32, code);
    put(p, escape, (size_t)written);
  }
  return length;
}

static void put_key(struct path *p, const char *key)
{
  if (is_plain(key)) {
    if (p->used > 0) put(p, ".", 1);
    put(p, key, strlen(key));
    return;
  }
  put(p, "[\"", 2);
  while (*key) {
    key += put_quoted(p, key);
  }
  put(p, "\"]", 2);
}

/* The scan bounds the depth. */
static void put_steps(struct path *p, const struct json *value)
{
  if (!value->parent) return;
  put_steps(p, value->parent);
  if (value->key) {
    put_key(p, value->key);
    return;
  }
  char index[sizeof "[4294967295]"];
  int length = snprintf(index, sizeof index, "[%" PRIu32 "]", value->index);
  put(p, index, (size_t)length);
}

const char *json_path(const struct json *value, char *buf, size_t size)
{
  assert(size > 0);
  struct path p = {buf, size, 0};
  buf[0] = '\0';
  put_steps(&p, value);
  return buf;
}

/* --- errors -------------------------------------------------------------- */

static void fail_at(const struct json *value, uint32_t line, uint32_t column,
                    enum sim_status status, struct sim_error *err,
                    const char *format, va_list args)
{
  char path[sizeof err->path];
  json_path(value, path, sizeof path);
  struct sim_place where = {value->file, path, line, column};
  sim_fail_args(err, status, &where, format, args);
}

enum sim_status json_fail(const struct json *value, enum sim_status status,
                          struct sim_error *err, const char *format, ...)
{
  va_list args;
  va_start(args, format);
  fail_at(value, value->line, value->column, status, err, format, args);
  va_end(args);
  return status;
}

enum sim_status json_fail_key(const struct json *member,
                              enum sim_status status, struct sim_error *err,
                              const char *format, ...)
{
  assert(member->key);
  va_list args;
  va_start(args, format);
  fail_at(member, member->key_line, member->key_column, status, err, format,
          args);
  va_end(args);
  return status;
}
