#include "run/route.h"

#include <stdio.h>
#include <string.h>

#include "describe/never_text.h"
#include "run/route_asking.h"
#include "run/route_replay.h"

/* --- the question -------------------------------------------------------- */

static enum sim_status reach_states(struct route_asking *a,
                                    struct sim_error *err)
{
  struct route_kept *before = route_begin(&a->bench);
  enum sim_status status = SIM_OK;
  const struct sim_place place = {a->catalog.script.file, "route",
                                  a->catalog.spec->line,
                                  a->catalog.spec->column};
  for (uint32_t i = 0; i < a->catalog.state_count && status == SIM_OK; i++) {
    struct route_played played;
    route_play(&a->bench, before, &a->catalog.states[i].steps, 1, &played,
               &a->incoming[i]);
    if (played.good)
      route_arm(&a->bench, a->incoming[i]);
    else
      status = sim_fail(err, SIM_REFERENCE, &place,
                        "can't bring the part into the state \"%s\": %s",
                        a->catalog.states[i].name, played.why);
  }
  route_forget(&a->bench, before);
  return status;
}

enum sim_status route_asking_open(struct route_asking *a, struct arena *arena,
                                  const struct case_script *script,
                                  const struct part *part, uint32_t means,
                                  struct sim_error *err)
{
  memset(a, 0, sizeof(*a));
  enum sim_status status =
      catalog_make(&a->catalog, arena, script, part, means, err);
  if (status != SIM_OK) return status;
  status = route_bench_open(&a->bench, &a->catalog, err);
  if (status != SIM_OK) return status;
  status = reach_states(a, err);
  if (status != SIM_OK) route_asking_close(a);
  return status;
}

void route_asking_close(struct route_asking *a)
{
  for (uint32_t i = 0; i < ROUTE_MAX_STATES; i++)
    route_forget(&a->bench, a->incoming[i]);
  route_bench_close(&a->bench);
}

uint32_t route_asking_all(const struct route_asking *a)
{
  return (1u << a->catalog.state_count) - 1;
}

/* --- the answer as plain data -------------------------------------------- */

struct telling {
  const struct route_asking *asking;
  struct arena *arena;
  struct route_result *result;
};

static enum sim_status tell_procedure(const struct telling *t, uint32_t mask,
                                      const struct route_found *found,
                                      struct route_procedure *p,
                                      struct sim_error *err)
{
  const struct catalog *c = &t->asking->catalog;
  uint32_t shipped[ROUTE_MAX_STATES];
  struct route_time *times =
      arena_array(t->arena, c->state_count, sizeof(*times));
  const struct case_script **scripts =
      arena_array(t->arena, c->state_count, sizeof(*scripts));
  p->moves = route_moves(c, &found->path, true, t->arena, &p->move_count);
  for (uint32_t i = 0; i < c->state_count; i++) {
    if (!(mask >> i & 1u)) continue;
    times[p->time_count] =
        (struct route_time){c->states[i].name, found->times[i]};
    scripts[p->time_count] =
        route_script(c, &found->path, i, t->arena, &shipped[p->time_count]);
    p->time_count++;
  }
  p->times = times;
  p->scripts = scripts;
  p->person = found->person;
  return route_replay(c, shipped, p, t->arena, err);
}

static enum sim_status tell_procedures(const struct telling *t, uint32_t mask,
                                       const struct route_answer *answer,
                                       struct sim_error *err)
{
  enum sim_status status = SIM_OK;
  struct route_procedure *list =
      arena_array(t->arena, answer->found_count, sizeof(*list));
  for (uint32_t i = 0; i < answer->found_count && status == SIM_OK; i++)
    status = tell_procedure(t, mask, &answer->found[i], &list[i], err);
  t->result->procedures = list;
  t->result->procedure_count = answer->found_count;
  return status;
}

static void tell_dead_ends(const struct telling *t,
                           const struct route_answer *answer)
{
  const struct catalog *c = &t->asking->catalog;
  struct route_dead_end *list =
      arena_array(t->arena, answer->failed_count, sizeof(*list));
  for (uint32_t i = 0; i < answer->failed_count; i++) {
    const struct route_failed *f = &answer->failed[i];
    list[i].why = arena_text(t->arena, f->why);
    list[i].state = c->states[f->state].name;
    list[i].attempts = f->attempts;
    list[i].moves =
        route_moves(c, &f->path, false, t->arena, &list[i].move_count);
  }
  t->result->dead_ends = list;
  t->result->dead_end_count = answer->failed_count;
}

static void tell_states(const struct telling *t)
{
  const struct catalog *c = &t->asking->catalog;
  struct route_result *r = t->result;
  const char **names = arena_array(t->arena, c->state_count, sizeof(*names));
  struct route_note *notes =
      arena_array(t->arena, c->state_count, sizeof(*notes));
  const char **field = arena_array(t->arena, CAUSE_COUNT_, sizeof(*field));
  for (uint32_t i = 0; i < c->state_count; i++) {
    char text[96];
    names[i] = c->states[i].name;
    route_describe(t->asking->incoming[i], text, sizeof(text));
    if (text[0] != '\0')
      notes[r->note_count++] =
          (struct route_note){names[i], arena_text(t->arena, text)};
  }
  memcpy(field, c->field_names, c->field_count * sizeof(*field));
  r->states = names;
  r->state_count = c->state_count;
  r->notes = notes;
  r->field = field;
  r->field_count = c->field_count;
}

static void tell_constraints(const struct telling *t)
{
  const struct catalog *c = &t->asking->catalog;
  struct route_result *r = t->result;
  const char **nevers =
      arena_array(t->arena, c->script.never_count, sizeof(*nevers));
  const char **at_hand = arena_array(t->arena, MEANS_COUNT_, sizeof(*at_hand));
  for (uint32_t i = 0; i < c->script.never_count; i++) {
    char text[160];
    never_text(&c->script.never[i], text, sizeof(text));
    nevers[r->never_count++] = arena_text(t->arena, text);
  }
  for (uint32_t i = 0; i < MEANS_COUNT_; i++)
    if (c->means >> i & 1u) at_hand[r->at_hand_count++] = route_means_words[i];
  r->nevers = nevers;
  r->at_hand = at_hand;
}

/* --- where no procedure works from all ----------------------------------- */

static enum sim_status search_alone(const struct route_request *q,
                                    struct route_asking *asking,
                                    const struct telling *t,
                                    struct sim_error *err)
{
  enum sim_status status = SIM_OK;
  const struct catalog *c = &asking->catalog;
  struct route_alone *list =
      arena_array(t->arena, c->state_count, sizeof(*list));
  struct route_answer *answer = arena_get(t->arena, sizeof(*answer));
  struct route_limits limits = q->limits;
  limits.procedures = 1;
  for (uint32_t i = 0; i < c->state_count && status == SIM_OK; i++) {
    route_search(&asking->bench, asking->incoming, 1u << i, &limits, q->tick,
                 q->context, answer);
    list[i].state = c->states[i].name;
    list[i].effort = answer->effort;
    list[i].found = answer->found_count > 0;
    if (list[i].found)
      status = tell_procedure(t, 1u << i, &answer->found[0],
                              &list[i].procedure, err);
  }
  t->result->alone = list;
  t->result->alone_count = c->state_count;
  return status;
}

/* --- all of it ----------------------------------------------------------- */

static enum sim_status search(const struct route_request *q,
                              struct route_asking *asking,
                              const struct telling *t, struct sim_error *err)
{
  struct route_answer *answer = arena_get(t->arena, sizeof(*answer));
  uint32_t all = route_asking_all(asking);
  route_search(&asking->bench, asking->incoming, all, &q->limits, q->tick,
               q->context, answer);
  tell_states(t);
  tell_constraints(t);
  t->result->goal = arena_text(t->arena, route_goal_text(&asking->bench));
  t->result->effort = answer->effort;
  enum sim_status status = tell_procedures(t, all, answer, err);
  if (answer->found_count > 0) return status;
  tell_dead_ends(t, answer);
  if (asking->catalog.state_count < 2) return SIM_OK;
  return search_alone(q, asking, t, err);
}

static bool found_any(const struct route_result *r)
{
  for (uint32_t i = 0; i < r->alone_count; i++)
    if (r->alone[i].found) return true;
  return r->procedure_count > 0;
}

enum sim_status route_ask(const struct route_request *q, struct arena *arena,
                          const struct route_result **result,
                          struct sim_error *err)
{
  struct route_asking *asking = arena_get(arena, sizeof(*asking));
  struct route_result *r = arena_get(arena, sizeof(*r));
  const struct telling t = {asking, arena, r};
  enum sim_status status = SIM_OK;
  if (q->script->route != NULL) r->pause = q->script->route->pause;
  r->script = q->script;
  r->part = q->part;
  r->depth_asked = q->limits.depth;
  status = route_asking_open(
      asking, arena, q->script, q->part,
      q->script->route != NULL ? catalog_at_hand(q->script) : 0, err);
  if (status != SIM_OK) return status;
  status = search(q, asking, &t, err);
  route_asking_close(asking);
  if (status != SIM_OK) return status;
  if (!found_any(r)) status = route_lift(q, arena, r, err);
  *result = r;
  return status;
}
