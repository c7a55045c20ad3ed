#include "base/json.h"

#include <assert.h>
#include <inttypes.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cjson/cJSON.h>

#include "base/utf8.h"

/* A struct json_out is a cJSON node under a name that tells nothing. */
static cJSON *node_of(struct json_out *value)
{
  return (cJSON *)value;
}

static struct json_out *checked(cJSON *node)
{
  if (!node) arena_no_memory();
  return (struct json_out *)node;
}

struct json_out *json_out_object(void)
{
  return checked(cJSON_CreateObject());
}

struct json_out *json_out_list(void)
{
  return checked(cJSON_CreateArray());
}

void json_out_free(struct json_out *value)
{
  cJSON_Delete(node_of(value));
}

/* --- adding -------------------------------------------------------------- */

static struct json_out *add(struct json_out *to, const char *key, cJSON *child)
{
  struct json_out *added = checked(child);
  cJSON *parent = node_of(to);
  cJSON_bool done;
  if (key) {
    assert(cJSON_IsObject(parent));
    assert(!cJSON_GetObjectItemCaseSensitive(parent, key));
    done = cJSON_AddItemToObject(parent, key, child);
  } else {
    assert(cJSON_IsArray(parent));
    done = cJSON_AddItemToArray(parent, child);
  }
  if (!done) arena_no_memory();
  return added;
}

struct json_out *json_add_object(struct json_out *to, const char *key)
{
  return add(to, key, cJSON_CreateObject());
}

struct json_out *json_add_list(struct json_out *to, const char *key)
{
  return add(to, key, cJSON_CreateArray());
}

void json_add_text(struct json_out *to, const char *key, const char *text)
{
  add(to, key, cJSON_CreateString(text));
}

void json_add_format(struct json_out *to, const char *key, const char *format,
                     ...)
{
  va_list args, again;
  va_start(args, format);
  va_copy(again, args);
  int length = vsnprintf(NULL, 0, format, args);
  assert(length >= 0);
  char *text = malloc((size_t)length + 1);
  if (!text) arena_no_memory();
  vsnprintf(text, (size_t)length + 1, format, again);
  va_end(again);
  va_end(args);
  json_add_text(to, key, text);
  free(text);
}

/* As raw text: a cJSON number is a double. */
void json_add_integer(struct json_out *to, const char *key, int64_t value)
{
  const int64_t largest = INT64_C(1) << 53;
  assert(value >= -largest && value <= largest);
  char digits[sizeof "-9223372036854775808"];
  snprintf(digits, sizeof digits, "%" PRId64, value);
  add(to, key, cJSON_CreateRaw(digits));
}

void json_add_boolean(struct json_out *to, const char *key, bool value)
{
  add(to, key, cJSON_CreateBool(value));
}

void json_add_null(struct json_out *to, const char *key)
{
  add(to, key, cJSON_CreateNull());
}

static void add_children(struct json_out *to, const struct json *value)
{
  for (const struct json *child = value->child; child; child = child->next)
    json_add_copy(to, child->key, child);
}

void json_add_copy(struct json_out *to, const char *key,
                   const struct json *value)
{
  switch (value->type) {
  case JSON_NULL: json_add_null(to, key); break;
  case JSON_BOOLEAN: json_add_boolean(to, key, value->truth); break;
  case JSON_NUMBER: add(to, key, cJSON_CreateRaw(value->text)); break;
  case JSON_STRING: json_add_text(to, key, value->text); break;
  case JSON_LIST: add_children(json_add_list(to, key), value); break;
  case JSON_OBJECT: add_children(json_add_object(to, key), value); break;
  }
}

/* --- printing ------------------------------------------------------------ */

/* RFC 8259 section 7: what must be escaped; DEL as well, for terminals. */
static void print_character(uint32_t code, const char *bytes, size_t length,
                            FILE *to)
{
  static const char special[] = "\"\\\b\f\n\r\t";
  static const char letters[] = "\"\\bfnrt";
  const char *found = code < 0x80 ? strchr(special, (int)code) : NULL;
  if (found) {
    fprintf(to, "\\%c", letters[found - special]);
  } else if (code < 0x20 || code == 0x7F) {
    fprintf(to, "\\u%04" PRIx32, code);
  } else {
    fwrite(bytes, 1, length, to);
  }
}

static void print_text(const char *text, FILE *to)
{
  size_t left = strlen(text);
  fputc('"', to);
  while (left > 0) {
    uint32_t code;
    size_t length = utf8_read(text, left, &code);
    if (length == 0) {
      fputs("\xEF\xBF\xBD", to); /* U+FFFD */
      length = 1;
    } else {
      print_character(code, text, length, to);
    }
    text += length;
    left -= length;
  }
  fputc('"', to);
}

static void new_line(int depth, FILE *to)
{
  fprintf(to, "\n%*s", 2 * depth, "");
}

static void print_value(const cJSON *value, int depth, FILE *to);

static void print_container(const cJSON *value, int depth, FILE *to)
{
  bool object = cJSON_IsObject(value);
  fputc(object ? '{' : '[', to);
  const cJSON *child;
  cJSON_ArrayForEach(child, value)
  {
    if (child != value->child) fputc(',', to);
    new_line(depth + 1, to);
    if (object) {
      print_text(child->string, to);
      fputs(": ", to);
    }
    print_value(child, depth + 1, to);
  }
  if (value->child) new_line(depth, to);
  fputc(object ? '}' : ']', to);
}

static void print_value(const cJSON *value, int depth, FILE *to)
{
  if (cJSON_IsObject(value) || cJSON_IsArray(value)) {
    print_container(value, depth, to);
  } else if (cJSON_IsString(value)) {
    print_text(value->valuestring, to);
  } else if (cJSON_IsRaw(value)) {
    fputs(value->valuestring, to);
  } else if (cJSON_IsBool(value)) {
    fputs(cJSON_IsTrue(value) ? "true" : "false", to);
  } else {
    assert(cJSON_IsNull(value));
    fputs("null", to);
  }
}

bool json_write(const struct json_out *value, FILE *to)
{
  print_value((const cJSON *)value, 0, to);
  fputc('\n', to);
  return fflush(to) == 0 && !ferror(to);
}
