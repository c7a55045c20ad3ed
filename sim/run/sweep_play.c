/* Points that are whole plays of the case: VARY. */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "run/margins.h"
#include "run/play.h"
#include "run/sweep.h"

/* Cut to its room, with '?' for what is not ASCII: a label may be anything. */
static void append(char what[SWEEP_WHAT], const char *word)
{
  size_t used = strlen(what), from = used;
  snprintf(what + used, SWEEP_WHAT - used, "%s%s", used > 0 ? ", " : "", word);
  for (char *c = what + from; *c != '\0'; c++)
    if (*c < ' ' || *c > '~') *c = '?';
}

static void describe_values(const struct vary *v, uint64_t point,
                            char what[SWEEP_WHAT])
{
  char text[SWEEP_WHAT];
  for (uint32_t i = 0; i < v->axis_count; i++) {
    vary_text(text, sizeof(text), v->axes[i].name, v->axes[i].unit,
              vary_value(v, i, point));
    append(what, text);
  }
}

static enum answer_class class_of(const struct result *result)
{
  switch (result->verdict) {
  case VERDICT_HELD: return CLASS_HELD;
  case VERDICT_FAILED: return CLASS_FAILED;
  case VERDICT_NONE: break;
  }
  return CLASS_UNJUDGED;
}

static ps_t least_margin(const struct margins *m, const struct result *result)
{
  ps_t least = PS_NEVER;
  for (uint32_t i = 0; i < m->script->step_count; i++) {
    ps_t margin = margins_of(m, result, i);
    if (margin < least) least = margin;
  }
  return least;
}

static void take_result(struct sweep_record *r, const struct result *result)
{
  const struct start *last = result->start_count > 0
                                 ? &result->starts[result->start_count - 1]
                                 : NULL;
  answer_take(&r->answer, last);
  r->answer.class = class_of(result);
  r->at_first = r->at_last = result->end;
}

static enum sim_status play_point(const struct sweep *s, struct arena *arena,
                                  struct sweep_record *r,
                                  struct sim_error *err)
{
  const struct play_options how = {.judge = true, .engine = s->engine};
  const struct case_script *script =
      vary_script(&s->vary, arena, s->script, r->first);
  struct margins margins;
  struct play *play;
  enum sim_status status = play_prepare(script, s->part, &how, &play, err);
  if (status != SIM_OK) return status;
  margins_init(&margins, script, arena, play_trace(play));
  const struct result *result = play_run(play);
  take_result(r, result);
  r->margin = least_margin(&margins, result);
  play_free(play);
  describe_values(&s->vary, r->first, r->what);
  return SIM_OK;
}

static enum sim_status play_range(const struct sweep *s,
                                  const struct sweep_range *range,
                                  const struct sweep_sink *sink, bool *more,
                                  struct sim_error *err)
{
  for (uint64_t point = range->first; point <= range->last && *more; point++) {
    struct arena arena;
    struct sweep_record r;
    memset(&r, 0, sizeof(r));
    r.first = r.last = point;
    arena_init(&arena);
    sink->asking(sink->context, point);
    enum sim_status status = play_point(s, &arena, &r, err);
    sink->asking(sink->context, 0);
    arena_free(&arena);
    if (status != SIM_OK) return status;
    *more = sink->record(sink->context, &r);
  }
  return SIM_OK;
}

enum sim_status sweep_play_all(const struct sweep *s,
                               const struct sweep_range *ranges,
                               uint32_t range_count,
                               const struct sweep_sink *sink,
                               struct sim_error *err)
{
  bool more = true;
  for (uint32_t i = 0; i < range_count && more; i++) {
    enum sim_status status = play_range(s, &ranges[i], sink, &more, err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}
