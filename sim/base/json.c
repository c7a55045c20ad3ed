#include "base/json.h"

#include <assert.h>
#include <inttypes.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cjson/cJSON.h>

#include "base/file.h"
#include "base/json_scan.h"

/* --- from cJSON's tree to ours ------------------------------------------- */

static bool same_type(const struct json *value, const cJSON *node)
{
  switch (value->type) {
  case JSON_NULL: return cJSON_IsNull(node);
  case JSON_BOOLEAN: return cJSON_IsBool(node);
  case JSON_NUMBER: return cJSON_IsNumber(node);
  case JSON_STRING: return cJSON_IsString(node);
  case JSON_LIST: return cJSON_IsArray(node);
  case JSON_OBJECT: break;
  }
  return cJSON_IsObject(node);
}

/* Fill in what was decoded, in pre-order. Returns the spot behind the last
 * one of this node. The scan bounds the depth. */
static struct json_spot *fill(struct arena *arena, struct json_spot *spot,
                              const cJSON *node)
{
  assert(spot && same_type(&spot->value, node));
  struct json *value = &spot->value;
  if (value->type == JSON_STRING) {
    value->text = arena_text(arena, node->valuestring);
  }
  if (value->key && strcmp(value->key, node->string) != 0) {
    value->key = arena_text(arena, node->string);
  }
  struct json_spot *next = spot->next;
  const cJSON *child;
  cJSON_ArrayForEach(child, node) next = fill(arena, next, child);
  return next;
}

/* --- duplicate keys ------------------------------------------------------ */

static int by_key_then_index(const void *left, const void *right)
{
  const struct json *a = *(const struct json *const *)left;
  const struct json *b = *(const struct json *const *)right;
  int order = strcmp(a->key, b->key);
  if (order != 0) return order;
  return a->index < b->index ? -1 : a->index > b->index;
}

static bool key_is_before(const struct json *a, const struct json *b)
{
  if (a->key_line != b->key_line) return a->key_line < b->key_line;
  return a->key_column < b->key_column;
}

/* The first two equal keys of a document, as far as looked. */
struct duplicate {
  const struct json *first, *second; /* second is NULL if there are none */
};

/* Sorted, because a hostile object may have a million keys. */
static void look_in(const struct json *object, struct arena *scratch,
                    struct duplicate *found)
{
  const struct json **members =
      arena_array(scratch, object->count, sizeof(struct json *));
  uint32_t count = 0;
  for (const struct json *m = object->child; m; m = m->next) {
    members[count++] = m;
  }
  qsort(members, count, sizeof(struct json *), by_key_then_index);
  for (uint32_t i = 1; i < count; i++) {
    const struct json *first = members[i - 1], *second = members[i];
    if (strcmp(first->key, second->key) != 0) continue;
    if (found->second && !key_is_before(second, found->second)) continue;
    *found = (struct duplicate){first, second};
  }
}

static enum sim_status refuse_duplicates(const struct json_spot *spots,
                                         struct arena *scratch,
                                         struct sim_error *err)
{
  struct duplicate found = {NULL, NULL};
  for (const struct json_spot *s = spots; s; s = s->next) {
    if (s->value.type == JSON_OBJECT) look_in(&s->value, scratch, &found);
  }
  if (!found.second) return SIM_OK;
  return json_fail_key(found.second, SIM_KEY, err,
                       "is a duplicate of the key at line %" PRIu32
                       ", column %" PRIu32 "; expected each key once",
                       found.first->key_line, found.first->key_column);
}

/* --- parsing ------------------------------------------------------------- */

static enum sim_status parse(const struct json_source *source,
                             struct arena *arena, struct arena *scratch,
                             const struct json **root, struct sim_error *err)
{
  struct json_scanned scanned;
  enum sim_status status = json_scan(source, arena, scratch, &scanned, err);
  if (status != SIM_OK) return status;

  cJSON *tree = cJSON_ParseWithLength(scanned.blanked, source->length);
  if (!tree) arena_no_memory(); /* the text is known to be right */
  struct json_spot *rest = fill(arena, scanned.first, tree);
  assert(!rest);
  cJSON_Delete(tree);

  status = refuse_duplicates(scanned.first, scratch, err);
  if (status != SIM_OK) return status;
  *root = &scanned.first->value;
  return SIM_OK;
}

enum sim_status json_parse(struct arena *arena, const char *file,
                           const char *text, size_t length, bool comments,
                           const struct json **root, struct sim_error *err)
{
  struct json_source source = {file, text, length, comments};
  if (length > JSON_MAX_BYTES) {
    struct sim_place where = {file, NULL, 1, 1};
    return sim_fail(err, SIM_LIMIT, &where,
                    "is %zu bytes long; expected at most %u bytes", length,
                    JSON_MAX_BYTES);
  }
  struct arena scratch;
  arena_init(&scratch);
  enum sim_status status = parse(&source, arena, &scratch, root, err);
  arena_free(&scratch);
  return status;
}

static bool ends_with(const char *text, const char *ending)
{
  size_t length = strlen(text), tail = strlen(ending);
  return length >= tail && strcmp(text + length - tail, ending) == 0;
}

enum sim_status json_read(struct arena *arena, const char *file,
                          const struct json **root, struct sim_error *err)
{
  uint8_t *bytes;
  size_t length;
  enum sim_status status =
      file_read(arena, file, JSON_MAX_BYTES, &bytes, &length, err);
  if (status != SIM_OK) return status;
  return json_parse(arena, file, (const char *)bytes, length,
                    ends_with(file, ".jsonc"), root, err);
}
