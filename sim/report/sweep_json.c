#include <inttypes.h>

#include "base/json.h"
#include "describe/names.h"
#include "report/json_answer.h"
#include "report/sweep_report.h"
#include "run/sweep_summary.h"

static void put_time(struct json_out *to, const char *key, ps_t at)
{
  if (at == PS_NEVER)
    json_add_null(to, key);
  else
    json_add_format(to, key, "%" PRId64, at);
}

/* A JSON number is exact only so far. */
static void put_count(struct json_out *to, const char *key, uint64_t count)
{
  if (count <= UINT64_C(1) << 53)
    json_add_integer(to, key, (int64_t)count);
  else
    json_add_format(to, key, "%" PRIu64, count);
}

static void put_text(struct json_out *to, const char *key, const char *text)
{
  if (text[0] != '\0')
    json_add_text(to, key, text);
  else
    json_add_null(to, key);
}

/* What comes of each kind of thing that a cut order may leave. */
static void put_left(struct json_out *to, const struct answer *a)
{
  if (!answer_cut(a)) {
    json_add_null(to, "left");
    return;
  }
  struct json_out *left = json_add_object(to, "left");
  for (unsigned i = 0; i < TORN_COUNT_; i++)
    if (a->left[i] != 0)
      json_add_text(left, torn_words[i], answer_class_words[a->left[i] - 1]);
}

static void put_record(struct json_out *list, const struct sweep_record *r)
{
  struct json_out *to = json_add_object(list, NULL);
  struct json_out *points = json_add_list(to, "points");
  put_count(points, NULL, r->first);
  put_count(points, NULL, r->last);
  struct json_out *at = json_add_list(to, "at_ps");
  json_add_format(at, NULL, "%" PRId64, r->at_first);
  json_add_format(at, NULL, "%" PRId64, r->at_last);
  json_add_text(to, "class", answer_class_words[r->answer.class]);
  put_text(to, "what", r->what);
  put_time(to, "margin_ps", r->margin);
  put_text(to, "image", r->answer.image);
  put_left(to, &r->answer);
  json_answer(to, &r->answer);
}

static struct json_out *begin(const struct sweep_head *head)
{
  struct json_out *root = json_out_object();
  json_add_integer(root, "firstfetch_sweep", 1);
  json_add_text(root, "case", head->title);
  json_add_text(root, "part", head->part);
  put_text(root, "fault", head->fault);
  json_add_text(root, "kind", head->kind);
  json_add_text(root, "how", head->how);
  put_count(root, "points", head->point_count);
  put_time(root, "end_ps", head->end);
  struct json_out *shard = json_add_list(root, "shard");
  json_add_integer(shard, NULL, head->shard);
  json_add_integer(shard, NULL, head->shards);
  return root;
}

static bool finish(struct json_out *root, FILE *to)
{
  bool good = json_write(root, to);
  json_out_free(root);
  return good;
}

static void put_classes(struct json_out *root, const struct sweep_head *head,
                        const struct sweep_summary *s)
{
  struct json_out *list = json_add_list(root, "classes");
  for (unsigned i = 0; i < CLASS_COUNT_; i++) {
    if (s->first[i] == NULL) continue;
    struct json_out *to = json_add_object(list, NULL);
    json_add_text(to, "class", answer_class_words[i]);
    put_count(to, "points", s->points[i]);
    json_add_format(to, "first", "%s%s%s:%" PRIu64, head->fault,
                    head->fault[0] ? ":" : "", head->kind, s->first[i]->first);
  }
}

static void put_cut(struct json_out *root, const struct sweep_summary *s)
{
  struct json_out *list = json_add_list(root, "cut_orders");
  for (unsigned i = 0; i < TORN_COUNT_; i++) {
    if (s->cut[i] == 0) continue;
    struct json_out *to = json_add_object(list, NULL);
    json_add_text(to, "left", torn_words[i]);
    put_count(to, "points", s->cut[i]);
    json_add_text(to, "worst", answer_class_words[s->worst[i]]);
  }
}

bool sweep_json(FILE *to, const struct sweep_head *head,
                const struct sweep_records *records)
{
  struct sweep_summary s;
  sweep_summarize(records, &s);
  struct json_out *root = begin(head);
  put_classes(root, head, &s);
  put_cut(root, &s);
  put_count(root, "cells", s.cells);
  put_count(root, "answered_as_equal", s.with_cells - s.cells);
  struct json_out *list = json_add_list(root, "records");
  for (size_t i = 0; i < records->count; i++)
    put_record(list, &records->list[i]);
  return finish(root, to);
}

bool sweep_json_edge(FILE *to, const struct sweep_head *head,
                     const struct sweep_record *below,
                     const struct sweep_record *above, bool found)
{
  struct json_out *root = begin(head);
  json_add_boolean(root, "edge", found);
  struct json_out *list = json_add_list(root, "records");
  put_record(list, below);
  put_record(list, above);
  return finish(root, to);
}

/* --- corners ------------------------------------------------------------- */

static void put_corner(struct json_out *to, const struct corner *c)
{
  json_add_text(to, "number", c->number->path);
  json_add_text(to, "end", c->which);
  json_add_format(to, "value", "%" PRId64, c->value);
  json_add_boolean(to, "held", c->held);
  json_add_boolean(to, "matters", c->matters);
}

bool corners_json(FILE *to, const struct case_script *script,
                  const struct part *part, const struct corners *c)
{
  struct json_out *root = json_out_object();
  json_add_integer(root, "firstfetch_corners", 1);
  json_add_text(root, "case", script->title);
  json_add_text(root, "part", part->name);
  struct json_out *margins = json_add_list(root, "margins");
  for (uint32_t i = 0; i < c->margin_count; i++) {
    const struct corner_margin *m = &c->margins[i];
    struct json_out *one = json_add_object(margins, NULL);
    json_add_integer(one, "step", m->step);
    put_time(one, "typical_ps", m->typical);
    put_time(one, "least_ps", m->least);
    if (m->corner == PART_NONE)
      json_add_null(one, "corner");
    else
      json_add_integer(one, "corner", m->corner);
  }
  struct json_out *list = json_add_list(root, "corners");
  for (uint32_t i = 0; i < c->corner_count; i++)
    put_corner(json_add_object(list, NULL), &c->corners[i]);
  return finish(root, to);
}
