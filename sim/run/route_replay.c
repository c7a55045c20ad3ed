#include "run/route_replay.h"

#include "describe/names.h"
#include "run/play.h"

/* The last start in the steps [from, to), or NULL. */
static const struct start *last_in(const struct result *r, uint32_t from,
                                   uint32_t to)
{
  const struct start *last = NULL;
  for (uint32_t i = 0; i < r->start_count; i++) {
    const struct start *s = &r->starts[i];
    if (s->step >= from && s->step < to) last = s;
  }
  return last;
}

/* `from` is the step that asks for the goal of the shipped unit; the resets in
 * the field come behind it. */
static void tell_shipped(const struct catalog *c, const struct result *r,
                         uint32_t from, const char *state,
                         struct route_shipped *list, uint32_t *count)
{
  uint32_t at = from + 1;
  for (uint32_t i = 0; i < c->field_count; i++) {
    uint32_t end = at + c->field[i].count;
    struct route_shipped *s = &list[(*count)++];
    s->state = state;
    s->after = c->field_names[i];
    const struct start *start = last_in(r, at, end);
    answer_take(&s->answer, start);
    if (start != NULL) /* the next reset ends it, which nobody asked about */
      answer_text(s->answer.outcome, outcome_word(start_doing(start)));
    at = end;
  }
}

static enum sim_status replay_one(const struct catalog *c, uint32_t from,
                                  uint32_t which, struct route_procedure *p,
                                  struct route_shipped *list,
                                  struct sim_error *err)
{
  const struct play_options how = {
      .engine = c->part->core.kind <= CORE_KIND_M0PLUS ? CPU_ENGINE_OWN
                                                       : CPU_ENGINE_UNICORN};
  struct play *play;
  enum sim_status status =
      play_prepare(p->scripts[which], c->part, &how, &play, err);
  if (status != SIM_OK) return status;
  const struct result *r = play_run(play);
  tell_shipped(c, r, from, p->times[which].state, list, &p->shipped_count);
  if (which == 0) {
    p->assumed = r->assumed;
    p->touched = r->touched;
  }
  play_free(play);
  return SIM_OK;
}

enum sim_status route_replay(const struct catalog *c,
                             const uint32_t *shipped_from,
                             struct route_procedure *p, struct arena *arena,
                             struct sim_error *err)
{
  enum sim_status status = SIM_OK;
  struct route_shipped *list =
      arena_array(arena, p->time_count * c->field_count + 1, sizeof(*list));
  p->shipped = list;
  p->shipped_count = 0;
  for (uint32_t i = 0; i < p->time_count && status == SIM_OK; i++)
    status = replay_one(c, shipped_from[i], i, p, list, err);
  return status;
}
