/* Reading the lines that sweep_file.c writes. They may come from anywhere:
 * what does not fit is an error with its line. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "base/json.h"
#include "describe/names.h"
#include "run/sweep_file.h"

#define MAX_FILE_BYTES ((size_t)1 << 30)

struct reading {
  const char *file;
  uint32_t line; /* from 1 */
  struct sim_error *err;
};

static bool refuse(const struct reading *r, const char *key, const char *what)
{
  const struct sim_place place = {r->file, key, r->line, 1};
  sim_fail(r->err, SIM_SYNTAX, &place, "expected %s", what);
  return false;
}

/* --- values -------------------------------------------------------------- */

static bool text_of(const struct reading *r, const struct json *line,
                    const char *key, const char **text)
{
  const struct json *value = json_get(line, key);
  if (value == NULL || value->type != JSON_STRING)
    return refuse(r, key, "a string");
  *text = value->text;
  return true;
}

static bool count_in(const struct reading *r, const struct json *value,
                     const char *key, uint64_t *count)
{
  int64_t number;
  if (value == NULL || !json_integer(value, &number) || number < 0)
    return refuse(r, key, "a count");
  *count = (uint64_t)number;
  return true;
}

static bool time_in(const struct reading *r, const struct json *value,
                    const char *key, ps_t *time)
{
  char text[24];
  if (value == NULL || value->type != JSON_STRING)
    return refuse(r, key, "picoseconds as a string");
  char *end;
  long long number = strtoll(value->text, &end, 10);
  snprintf(text, sizeof(text), "%lld", number);
  if (strcmp(text, value->text) != 0 || number < 0)
    return refuse(r, key, "picoseconds as a string");
  *time = number;
  return true;
}

static bool hash_in(const struct reading *r, const struct json *value,
                    const char *key, struct hash128 *hash)
{
  if (value == NULL || value->type != JSON_STRING ||
      strlen(value->text) != 32 ||
      strspn(value->text, "0123456789abcdef") != 32)
    return refuse(r, key, "32 hexadecimal digits");
  char half[17] = {0};
  memcpy(half, value->text, 16);
  hash->high = strtoull(half, NULL, 16);
  hash->low = strtoull(value->text + 16, NULL, 16);
  return true;
}

static bool pair_of(const struct reading *r, const struct json *line,
                    const char *key, const struct json *pair[2])
{
  const struct json *value = json_get(line, key);
  if (value == NULL || value->type != JSON_LIST || value->count != 2)
    return refuse(r, key, "a list of two");
  pair[0] = value->child;
  pair[1] = value->child->next;
  return true;
}

/* --- lines --------------------------------------------------------------- */

static bool known_kind(const char *word)
{
  for (unsigned i = 0; i < SWEEP_KIND_COUNT_; i++)
    if (strcmp(sweep_kind_words[i], word) == 0) return true;
  return false;
}

static bool read_head(const struct reading *r, const struct json *line,
                      struct sweep_head *head)
{
  const struct json *shard[2];
  uint64_t version, own, all;
  if (!count_in(r, json_get(line, "firstfetch_sweep"), "firstfetch_sweep",
                &version))
    return false;
  if (version != 1) return refuse(r, "firstfetch_sweep", "version 1");
  if (!text_of(r, line, "case", &head->title) ||
      !text_of(r, line, "file", &head->case_file) ||
      !text_of(r, line, "part", &head->part) ||
      !text_of(r, line, "fault", &head->fault) ||
      !text_of(r, line, "kind", &head->kind) ||
      !text_of(r, line, "how", &head->how) ||
      !hash_in(r, json_get(line, "setup"), "setup", &head->setup) ||
      !count_in(r, json_get(line, "points"), "points", &head->point_count) ||
      !time_in(r, json_get(line, "end_ps"), "end_ps", &head->end) ||
      !pair_of(r, line, "shard", shard) ||
      !count_in(r, shard[0], "shard", &own) ||
      !count_in(r, shard[1], "shard", &all))
    return false;
  if (!known_kind(head->kind)) return refuse(r, "kind", "a kind of point");
  if (own < 1 || own > all || all > UINT32_MAX)
    return refuse(r, "shard", "a shard and how many there are");
  head->shard = (uint32_t)own;
  head->shards = (uint32_t)all;
  return true;
}

static bool read_class(const struct reading *r, const struct json *line,
                       const char *key, uint32_t *class)
{
  const char *word;
  if (!text_of(r, line, key, &word)) return false;
  for (*class = 0; *class < CLASS_COUNT_; ++*class)
    if (strcmp(answer_class_words[*class], word) == 0) return true;
  return refuse(r, key, "a class of answers");
}

static bool read_left(const struct reading *r, const struct json *line,
                      struct answer *a)
{
  const struct json *left = json_get(line, "left");
  if (left == NULL) return true;
  if (left->type != JSON_OBJECT)
    return refuse(r, "left", "classes by kinds of torn cells");
  for (unsigned i = 0; i < TORN_COUNT_; i++) {
    uint32_t class;
    if (json_get(left, torn_words[i]) == NULL) continue;
    if (!read_class(r, left, torn_words[i], &class)) return false;
    a->left[i] = (uint8_t)(class + 1);
  }
  return true;
}

static bool read_start(const struct reading *r, const struct json *line,
                       struct answer *a)
{
  const struct json *pc = json_get(line, "pc");
  if (pc == NULL) return true;
  const struct {
    const char *key;
    char *to;
  } texts[] = {
      {"image", a->image},   {"cause", a->cause},     {"region", a->region},
      {"rule", a->rule},     {"latch", a->latch},     {"stale", a->stale},
      {"symbol", a->symbol}, {"landing", a->landing}, {"outcome", a->outcome},
  };
  if (pc->type != JSON_STRING || strlen(pc->text) != 10)
    return refuse(r, "pc", "an address");
  a->started = 1;
  a->pc = (uint32_t)strtoul(pc->text, NULL, 16);
  for (size_t i = 0; i < sizeof(texts) / sizeof(texts[0]); i++) {
    const char *text;
    if (!text_of(r, line, texts[i].key, &text)) return false;
    answer_text(texts[i].to, text);
  }
  return true;
}

static bool read_optional(const struct reading *r, const struct json *line,
                          struct sweep_record *to)
{
  const struct json *cells = json_get(line, "cells");
  const struct json *margin = json_get(line, "margin_ps");
  to->margin = PS_NEVER;
  to->has_cells = cells != NULL;
  if (cells != NULL && !hash_in(r, cells, "cells", &to->cells)) return false;
  return margin == NULL || time_in(r, margin, "margin_ps", &to->margin);
}

static bool read_record(const struct reading *r, const struct json *line,
                        uint64_t point_count, struct sweep_record *to)
{
  const struct json *points[2], *at[2];
  const char *what;
  memset(to, 0, sizeof(*to));
  if (!pair_of(r, line, "points", points) ||
      !count_in(r, points[0], "points", &to->first) ||
      !count_in(r, points[1], "points", &to->last) ||
      !pair_of(r, line, "at_ps", at) ||
      !time_in(r, at[0], "at_ps", &to->at_first) ||
      !time_in(r, at[1], "at_ps", &to->at_last) ||
      !read_class(r, line, "class", &to->answer.class) ||
      !read_left(r, line, &to->answer) || !text_of(r, line, "what", &what) ||
      !read_optional(r, line, to))
    return false;
  if (to->first < 1 || to->last < to->first || to->last > point_count)
    return refuse(r, "points", "points of this sweep, ascending");
  snprintf(to->what, sizeof(to->what), "%s", what);
  return read_start(r, line, &to->answer);
}

/* --- the file ------------------------------------------------------------ */

static bool parse(const struct reading *r, struct arena *arena,
                  const char *text, size_t length, const struct json **line)
{
  if (json_parse(arena, r->file, text, length, false, line, r->err) !=
      SIM_OK) {
    r->err->line = r->line;
    return false;
  }
  return (*line)->type == JSON_OBJECT || refuse(r, "", "an object");
}

static bool read_line(const struct reading *r, struct arena *kept,
                      const char *text, size_t length, struct sweep_head *head,
                      struct sweep_records *records)
{
  const struct json *line;
  if (r->line == 1)
    return parse(r, kept, text, length, &line) && read_head(r, line, head);
  struct arena scratch;
  struct sweep_record record;
  arena_init(&scratch);
  bool good = parse(r, &scratch, text, length, &line) &&
              read_record(r, line, head->point_count, &record);
  arena_free(&scratch);
  if (good) sweep_records_add(records, &record);
  return good;
}

enum sim_status sweep_read(struct arena *arena, const char *file,
                           struct sweep_head *head,
                           struct sweep_records *records, size_t *whole,
                           struct sim_error *err)
{
  uint8_t *bytes;
  size_t length;
  struct reading r = {.file = file, .err = err};
  *whole = 0;
  enum sim_status status =
      file_read(arena, file, MAX_FILE_BYTES, &bytes, &length, err);
  if (status != SIM_OK) return status;
  const char *text = (const char *)bytes;
  while (*whole < length) {
    const char *end = memchr(text + *whole, '\n', length - *whole);
    if (end == NULL) break;
    size_t size = (size_t)(end - (text + *whole));
    r.line++;
    if (!read_line(&r, arena, text + *whole, size, head, records))
      return err->status;
    *whole += size + 1;
  }
  if (r.line > 0) return SIM_OK;
  r.line = 1;
  refuse(&r, "", "the head of a sweep");
  return err->status;
}
