#include "run/corners.h"

#include "run/margins.h"
#include "run/play.h"

/* What one play came to. */
struct played {
  ps_t *margins; /* by `expect` step, in order */
  bool held, judged;
  uint32_t starts;
};

static uint32_t count_expects(const struct case_script *script)
{
  uint32_t count = 0;
  for (uint32_t i = 0; i < script->step_count; i++)
    if (script->steps[i].verb == VERB_EXPECT) count++;
  return count;
}

static enum sim_status play_once(const struct case_script *script,
                                 const struct part *part, struct arena *arena,
                                 struct played *to, struct sim_error *err)
{
  const struct play_options how = {
      .judge = true, .engine = cpu_engine_for_forks(part->core.kind)};
  struct margins margins;
  struct play *play;
  uint32_t next = 0;
  enum sim_status status = play_prepare(script, part, &how, &play, err);
  if (status != SIM_OK) return status;
  margins_init(&margins, script, arena, play_trace(play));
  const struct result *result = play_run(play);
  to->margins =
      arena_array(arena, count_expects(script) + 1, sizeof(*to->margins));
  for (uint32_t i = 0; i < script->step_count; i++)
    if (script->steps[i].verb == VERB_EXPECT)
      to->margins[next++] = margins_of(&margins, result, i);
  to->held = result->verdict == VERDICT_HELD;
  to->judged = result->verdict != VERDICT_NONE;
  to->starts = result->start_count;
  play_free(play);
  return SIM_OK;
}

/* A margin that there is none of is less than any. */
static bool is_less(ps_t a, ps_t b)
{
  if (a == PS_NEVER) return b != PS_NEVER;
  return b != PS_NEVER && a < b;
}

static void take(struct corners *c, uint32_t index, const struct played *typ,
                 const struct played *p)
{
  struct corner *corner = &c->corners[index];
  corner->held = p->held;
  corner->judged = p->judged;
  corner->matters = p->held != typ->held || p->starts != typ->starts;
  for (uint32_t i = 0; i < c->margin_count; i++) {
    struct corner_margin *m = &c->margins[i];
    if (p->margins[i] != typ->margins[i]) corner->matters = true;
    if (!is_less(p->margins[i], m->least)) continue;
    m->least = p->margins[i];
    m->corner = index;
  }
}

static void begin(struct corners *c, struct arena *arena,
                  const struct case_script *script, const struct played *typ)
{
  uint32_t next = 0;
  c->margin_count = count_expects(script);
  c->margins = arena_array(arena, c->margin_count + 1, sizeof(*c->margins));
  for (uint32_t i = 0; i < script->step_count; i++) {
    if (script->steps[i].verb != VERB_EXPECT) continue;
    ps_t margin = typ->margins[next];
    c->margins[next++] = (struct corner_margin){i, margin, margin, PART_NONE};
  }
  c->typical_held = typ->held;
  c->typical_judged = typ->judged;
}

/* Both ends of every number that has a tolerance. */
static void list_corners(struct corners *c, struct arena *arena,
                         struct part *part)
{
  const struct part_number *numbers;
  uint32_t count;
  part_numbers(arena, part, &numbers, &count);
  c->corners = arena_array(arena, 2 * (size_t)count + 1, sizeof(*c->corners));
  for (uint32_t i = 0; i < count; i++) {
    const struct quantity *q = part_number_in(part, &numbers[i]);
    if (q->min != q->typ)
      c->corners[c->corner_count++] = (struct corner){
          .number = &numbers[i], .value = q->min, .which = "min"};
    if (q->max != q->typ)
      c->corners[c->corner_count++] = (struct corner){
          .number = &numbers[i], .value = q->max, .which = "max"};
  }
}

enum sim_status corners_play(const struct case_script *script,
                             const struct part *part, struct arena *arena,
                             struct corners *c, struct sim_error *err)
{
  struct played typ, p;
  struct part *copy = arena_get(arena, sizeof(*copy));
  *copy = *part;
  *c = (struct corners){0};
  list_corners(c, arena, copy);
  enum sim_status status = play_once(script, copy, arena, &typ, err);
  if (status != SIM_OK) return status;
  begin(c, arena, script, &typ);
  for (uint32_t i = 0; i < c->corner_count; i++) {
    struct quantity *q = part_number_in(copy, c->corners[i].number);
    int64_t before = q->typ;
    q->typ = c->corners[i].value;
    status = play_once(script, copy, arena, &p, err);
    q->typ = before;
    if (status != SIM_OK) return status;
    take(c, i, &typ, &p);
  }
  return SIM_OK;
}
