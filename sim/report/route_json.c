#include <inttypes.h>

#include "base/json.h"
#include "report/json_answer.h"
#include "report/route_report.h"

static void put_count(struct json_out *to, const char *key, uint64_t count)
{
  json_add_integer(to, key, (int64_t)count);
}

static void put_time(struct json_out *to, const char *key, ps_t time)
{
  json_add_format(to, key, "%" PRId64, time);
}

static void put_moves(struct json_out *to, const struct route_move *moves,
                      uint32_t count)
{
  struct json_out *list = json_add_list(to, "actions");
  for (uint32_t i = 0; i < count; i++) {
    struct json_out *one = json_add_object(list, NULL);
    json_add_text(one, "action", route_action_words[moves[i].action]);
    json_add_text(one, "name", moves[i].name);
    json_add_text(one, "detail", moves[i].detail);
  }
}

static void put_shipped(struct json_out *to, const struct route_procedure *p)
{
  struct json_out *list = json_add_list(to, "shipped");
  for (uint32_t i = 0; i < p->shipped_count; i++) {
    struct json_out *one = json_add_object(list, NULL);
    json_add_text(one, "state", p->shipped[i].state);
    json_add_text(one, "after", p->shipped[i].after);
    json_answer(one, &p->shipped[i].answer);
  }
}

static void put_procedure(struct json_out *to, const struct route_procedure *p)
{
  put_moves(to, p->moves, p->move_count);
  struct json_out *times = json_add_list(to, "times");
  for (uint32_t i = 0; i < p->time_count; i++) {
    struct json_out *one = json_add_object(times, NULL);
    json_add_text(one, "state", p->times[i].state);
    put_time(one, "simulated_ps", p->times[i].simulated);
  }
  put_time(to, "person_ps", p->person);
  put_shipped(to, p);
  put_count(to, "assumed_numbers", p->assumed);
}

static void put_effort(struct json_out *to, const struct route_effort *e)
{
  struct json_out *one = json_add_object(to, "effort");
  json_add_text(one, "end", route_end_words[e->end]);
  put_count(one, "states", e->states);
  put_count(one, "attempts", e->attempts);
  put_count(one, "depth", e->depth);
}

static void put_alone(struct json_out *root, const struct route_result *r)
{
  struct json_out *list = json_add_list(root, "alone");
  for (uint32_t i = 0; i < r->alone_count; i++) {
    const struct route_alone *a = &r->alone[i];
    struct json_out *one = json_add_object(list, NULL);
    json_add_text(one, "state", a->state);
    if (a->found)
      put_procedure(json_add_object(one, "procedure"), &a->procedure);
    else
      json_add_null(one, "procedure");
    put_effort(one, &a->effort);
  }
}

static void put_dead_ends(struct json_out *root, const struct route_result *r)
{
  struct json_out *list = json_add_list(root, "dead_ends");
  for (uint32_t i = 0; i < r->dead_end_count; i++) {
    const struct route_dead_end *d = &r->dead_ends[i];
    struct json_out *one = json_add_object(list, NULL);
    json_add_text(one, "why", d->why);
    json_add_text(one, "state", d->state);
    put_count(one, "attempts", d->attempts);
    put_moves(one, d->moves, d->move_count);
  }
}

static void put_lifts(struct json_out *root, const struct route_result *r)
{
  struct json_out *list = json_add_list(root, "lifted");
  for (uint32_t i = 0; i < r->lift_count; i++) {
    const struct route_lift *l = &r->lifts[i];
    struct json_out *one = json_add_object(list, NULL);
    json_add_text(one, "constraint", l->what);
    json_add_boolean(one, "found", l->found);
    put_moves(one, l->moves, l->move_count);
    put_effort(one, &l->effort);
  }
}

static void put_texts(struct json_out *root, const char *key,
                      const char *const *texts, uint32_t count)
{
  struct json_out *list = json_add_list(root, key);
  for (uint32_t i = 0; i < count; i++)
    json_add_text(list, NULL, texts[i]);
}

static void put_notes(struct json_out *root, const struct route_result *r)
{
  struct json_out *list = json_add_list(root, "before");
  for (uint32_t i = 0; i < r->note_count; i++) {
    struct json_out *one = json_add_object(list, NULL);
    json_add_text(one, "state", r->notes[i].state);
    json_add_text(one, "text", r->notes[i].text);
  }
}

bool route_json(FILE *to, const struct route_result *r)
{
  struct json_out *root = json_out_object();
  json_add_integer(root, "firstfetch_route", 1);
  json_add_text(root, "case", r->script->title);
  json_add_text(root, "part", r->part->name);
  json_add_text(root, "goal", r->goal);
  put_texts(root, "never", r->nevers, r->never_count);
  put_texts(root, "at_hand", r->at_hand, r->at_hand_count);
  put_texts(root, "states", r->states, r->state_count);
  put_texts(root, "field", r->field, r->field_count);
  put_time(root, "pause_ps", r->pause);
  put_notes(root, r);
  put_effort(root, &r->effort);
  put_count(root, "depth_asked", r->depth_asked);
  struct json_out *list = json_add_list(root, "procedures");
  for (uint32_t i = 0; i < r->procedure_count; i++)
    put_procedure(json_add_object(list, NULL), &r->procedures[i]);
  put_alone(root, r);
  put_dead_ends(root, r);
  put_lifts(root, r);
  bool good = json_write(root, to);
  json_out_free(root);
  return good;
}
