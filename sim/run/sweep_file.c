#include "run/sweep_file.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "describe/names.h"

/* --- the list ------------------------------------------------------------ */

void sweep_records_add(struct sweep_records *records,
                       const struct sweep_record *record)
{
  if (records->count == records->room) {
    size_t room = records->room == 0 ? 64 : records->room * 2;
    void *list = realloc(records->list, room * sizeof(*records->list));
    if (list == NULL) arena_no_memory();
    records->list = list;
    records->room = room;
  }
  records->list[records->count++] = *record;
}

void sweep_records_free(struct sweep_records *records)
{
  free(records->list);
  *records = (struct sweep_records){0};
}

static int by_point(const void *a, const void *b)
{
  const struct sweep_record *one = a, *other = b;
  if (one->first != other->first) return one->first < other->first ? -1 : 1;
  return (one->last > other->last) - (one->last < other->last);
}

void sweep_records_order(struct sweep_records *records)
{
  size_t kept = 0;
  if (records->count > 1)
    qsort(records->list, records->count, sizeof(*records->list), by_point);
  for (size_t i = 0; i < records->count; i++) {
    const struct sweep_record r = records->list[i];
    struct sweep_record *before = kept > 0 ? &records->list[kept - 1] : NULL;
    if (before != NULL && sweep_joins(before, &r)) {
      before->last = r.last;
      before->at_last = r.at_last;
    } else {
      records->list[kept++] = r;
    }
  }
  records->count = kept;
}

struct sweep_range sweep_shard(uint64_t point_count, uint32_t shard,
                               uint32_t shards)
{
  wide_t count = point_count;
  return (struct sweep_range){(uint64_t)(count * (shard - 1) / shards) + 1,
                              (uint64_t)(count * shard / shards)};
}

void sweep_missing(struct arena *arena, const struct sweep_records *records,
                   struct sweep_range whole, struct sweep_range **ranges,
                   uint32_t *count)
{
  uint64_t next = whole.first;
  *ranges = arena_array(arena, records->count + 1, sizeof(**ranges));
  *count = 0;
  for (size_t i = 0; i < records->count; i++) {
    const struct sweep_record *r = &records->list[i];
    if (r->first > next)
      (*ranges)[(*count)++] = (struct sweep_range){next, r->first - 1};
    if (r->last >= next) next = r->last + 1;
  }
  if (next <= whole.last)
    (*ranges)[(*count)++] = (struct sweep_range){next, whole.last};
}

/* --- writing ------------------------------------------------------------- */

/* One character; bytes that are none become '?'. Returns its length. */
static size_t put_character(FILE *to, const char *text)
{
  uint32_t code;
  size_t length = utf8_read(text, strlen(text), &code);
  if (length == 0)
    putc('?', to);
  else if (code == '"' || code == '\\')
    fprintf(to, "\\%c", (char)code);
  else if (code < 0x20)
    fprintf(to, "\\u%04" PRIx32, code);
  else
    fwrite(text, 1, length, to);
  return length > 0 ? length : 1;
}

/* A text of the user's own, for JSON. */
static void put_text(FILE *to, const char *text)
{
  putc('"', to);
  while (*text != '\0')
    text += put_character(to, text);
  putc('"', to);
}

static void put_key_text(FILE *to, const char *key, const char *text)
{
  fprintf(to, ",\"%s\":", key);
  put_text(to, text);
}

static void put_hash(FILE *to, const char *key, struct hash128 hash)
{
  fprintf(to, ",\"%s\":\"%016" PRIx64 "%016" PRIx64 "\"", key, hash.high,
          hash.low);
}

void sweep_write_head(FILE *to, const struct sweep_head *head)
{
  fputs("{\"firstfetch_sweep\":1", to);
  put_key_text(to, "case", head->title);
  put_key_text(to, "file", head->case_file);
  put_key_text(to, "part", head->part);
  put_key_text(to, "fault", head->fault);
  put_key_text(to, "kind", head->kind);
  put_key_text(to, "how", head->how);
  put_hash(to, "setup", head->setup);
  fprintf(to,
          ",\"points\":%" PRIu64 ",\"end_ps\":\"%" PRId64
          "\",\"shard\":[%" PRIu32 ",%" PRIu32 "]}\n",
          head->point_count, head->end, head->shard, head->shards);
}

/* Texts of an answer, in the order of the file. */
static const struct {
  const char *key;
  size_t at;
} answer_texts[] = {
    {"image", offsetof(struct answer, image)},
    {"cause", offsetof(struct answer, cause)},
    {"region", offsetof(struct answer, region)},
    {"rule", offsetof(struct answer, rule)},
    {"latch", offsetof(struct answer, latch)},
    {"stale", offsetof(struct answer, stale)},
    {"symbol", offsetof(struct answer, symbol)},
    {"landing", offsetof(struct answer, landing)},
    {"outcome", offsetof(struct answer, outcome)},
};
#define ANSWER_TEXT_COUNT (sizeof(answer_texts) / sizeof(answer_texts[0]))

static void put_left(FILE *to, const struct answer *a)
{
  const char *before = ",\"left\":{";
  for (unsigned i = 0; i < TORN_COUNT_; i++) {
    if (a->left[i] == 0) continue;
    fprintf(to, "%s\"%s\":\"%s\"", before, torn_words[i],
            answer_class_words[a->left[i] - 1]);
    before = ",";
  }
  if (answer_cut(a)) putc('}', to);
}

void sweep_write_record(FILE *to, const struct sweep_record *r)
{
  fprintf(to,
          "{\"points\":[%" PRIu64 ",%" PRIu64 "],\"at_ps\":[\"%" PRId64
          "\",\"%" PRId64 "\"]",
          r->first, r->last, r->at_first, r->at_last);
  put_key_text(to, "class", answer_class_words[r->answer.class]);
  put_key_text(to, "what", r->what);
  if (r->has_cells) put_hash(to, "cells", r->cells);
  if (r->margin != PS_NEVER)
    fprintf(to, ",\"margin_ps\":\"%" PRId64 "\"", r->margin);
  put_left(to, &r->answer);
  if (r->answer.started) {
    fprintf(to, ",\"pc\":\"0x%08" PRIx32 "\"", r->answer.pc);
    for (size_t i = 0; i < ANSWER_TEXT_COUNT; i++)
      put_key_text(to, answer_texts[i].key,
                   (const char *)&r->answer + answer_texts[i].at);
  }
  fputs("}\n", to);
}

bool sweep_same(const struct sweep_head *a, const struct sweep_head *b)
{
  return a->setup.low == b->setup.low && a->setup.high == b->setup.high &&
         a->point_count == b->point_count && strcmp(a->fault, b->fault) == 0 &&
         strcmp(a->kind, b->kind) == 0;
}
