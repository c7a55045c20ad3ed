#include "report/timeline.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "describe/trace_kinds.h"

/* --- growing lists ------------------------------------------------------- */

/* Room for one more of `size` bytes. */
static void *grown(void *list, uint32_t count, uint32_t *room, size_t size)
{
  if (count < *room) return list;
  *room = *room > 0 ? *room * 2 : 16;
  list = realloc(list, *room * size);
  if (!list) arena_no_memory();
  return list;
}

static struct lane *find_lane(struct timeline *t, enum lane_kind kind,
                              uint32_t index)
{
  for (uint32_t i = 0; i < t->lane_count; i++) {
    struct lane *lane = &t->lanes[i];
    if (lane->kind == kind && lane->index == index) return lane;
  }
  return NULL;
}

const struct lane *timeline_lane(const struct timeline *t, enum lane_kind kind,
                                 uint32_t index)
{
  return find_lane((struct timeline *)t, kind, index);
}

/* NULL: more lanes than a picture has room for. */
static struct lane *need_lane(struct timeline *t, enum lane_kind kind,
                              uint32_t index)
{
  struct lane *lane = find_lane(t, kind, index);
  if (lane || t->lane_count == TIMELINE_MAX_LANES) return lane;
  lane = &t->lanes[t->lane_count++];
  *lane = (struct lane){.kind = kind, .index = index};
  return lane;
}

/* --- spans --------------------------------------------------------------- */

static void close_span(struct lane *lane, ps_t at)
{
  if (!lane->open) return;
  struct span *last = &lane->spans[lane->count - 1];
  lane->open = false;
  last->to = at;
  if (last->from == at) lane->count--; /* it never held */
}

static void open_span(struct lane *lane, uint32_t value,
                      const struct trace_record *r)
{
  if (lane->count == TIMELINE_MAX_SPANS) {
    lane->spans[lane->count - 1].more++;
    lane->open = true;
    return;
  }
  lane->spans =
      grown(lane->spans, lane->count, &lane->room, sizeof *lane->spans);
  lane->spans[lane->count++] = (struct span){.from = r->at,
                                             .to = r->at,
                                             .value = value,
                                             .count = 1,
                                             .first = r->b,
                                             .last = r->b};
  lane->open = true;
}

/* The last span of this step again? */
static bool goes_on(struct lane *lane, uint32_t value, uint32_t step,
                    const struct trace_record *r)
{
  if (!lane_counts(lane->kind, r->kind) || lane->count == 0) return false;
  struct span *last = &lane->spans[lane->count - 1];
  if (last->value != value || lane->step != step) return false;
  last->count++;
  last->last = r->b;
  lane->open = true;
  return true;
}

static uint32_t present(const struct lane *lane)
{
  return lane->open ? lane->now : LANE_EMPTY;
}

static void feed(struct timeline *t, const struct lane_feed *f,
                 const struct trace_record *r)
{
  uint32_t index = f->indexed ? r->a : 0;
  const struct lane *known = find_lane(t, f->lane, index);
  uint32_t before = known ? present(known) : LANE_EMPTY;
  uint32_t value = f->take(t, before, r);
  bool again = value != LANE_EMPTY && lane_counts(f->lane, r->kind);
  if (value == before && !again) return;
  struct lane *lane = need_lane(t, f->lane, index);
  if (!lane) return;
  uint32_t step = t->step_count;
  close_span(lane, r->at);
  lane->now = value;
  if (value == LANE_EMPTY || goes_on(lane, value, step, r)) return;
  open_span(lane, value, r);
  lane->step = step;
}

/* --- the script ---------------------------------------------------------- */

static void begin_step(struct timeline *t, const struct trace_record *r)
{
  t->steps = grown(t->steps, t->step_count, &t->step_room, sizeof *t->steps);
  t->steps[t->step_count++] =
      (struct timeline_step){.from = r->at, .to = r->at, .number = r->a};
}

static void end_step(struct timeline *t, const struct trace_record *r)
{
  if (t->step_count > 0) t->steps[t->step_count - 1].to = r->at;
}

static void add_mark(struct timeline_marks *m, const struct trace_record *r)
{
  m->list = grown(m->list, m->count, &m->room, sizeof *m->list);
  m->list[m->count++] = (struct timeline_mark){.at = r->at, .what = r->a};
}

/* --- the rail ------------------------------------------------------------ */

static void add_point(struct timeline *t, ps_t at, uint32_t mv)
{
  uint32_t n = t->point_count;
  if (n > 0 && t->points[n - 1].at == at) {
    t->points[n - 1].mv = mv;
    return;
  }
  t->points = grown(t->points, n, &t->point_room, sizeof *t->points);
  t->points[t->point_count++] = (struct timeline_point){at, mv};
}

/* --- the fold ------------------------------------------------------------ */

static void take(void *context, const struct trace_record *r)
{
  struct timeline *t = context;
  switch (r->kind) {
  case TRACE_STEP: begin_step(t, r); break;
  case TRACE_STEP_END: end_step(t, r); break;
  case TRACE_RESET: add_mark(&t->resets, r); break;
  case TRACE_LATCH: add_mark(&t->samples, r); break;
  case TRACE_RAIL: add_point(t, r->at, r->a); break;
  case TRACE_RAIL_RISE:
  case TRACE_RAIL_FALL: add_point(t, r->at, r->b); break;
  default: break;
  }
  for (size_t i = 0; i < lane_feed_count; i++) {
    if (lane_feeds[i].kind == r->kind) feed(t, &lane_feeds[i], r);
  }
}

void timeline_listen(struct timeline *t, const struct part *part,
                     const struct case_script *script, struct trace *trace)
{
  *t = (struct timeline){.part = part, .script = script};
  add_point(t, 0, 0);
  trace_mask mask = TRACE_BIT(TRACE_STEP) | TRACE_BIT(TRACE_STEP_END) |
                    TRACE_BIT(TRACE_RESET) | TRACE_BIT(TRACE_RAIL) |
                    TRACE_BIT(TRACE_RAIL_RISE) | TRACE_BIT(TRACE_RAIL_FALL);
  for (size_t i = 0; i < lane_feed_count; i++) {
    mask |= TRACE_BIT(lane_feeds[i].kind);
  }
  trace_listen(trace, mask, take, t);
}

void timeline_end(struct timeline *t, ps_t end)
{
  t->end = end;
  for (uint32_t i = 0; i < t->lane_count; i++) {
    struct lane *lane = &t->lanes[i];
    if (lane->open) lane->spans[lane->count - 1].to = end;
  }
  add_point(t, end, t->points[t->point_count - 1].mv);
}

/* --- an overview --------------------------------------------------------- */

static bool is_brief(enum lane_kind kind)
{
  return kind == LANE_LINE || kind == LANE_HELD || kind == LANE_STALE ||
         kind == LANE_EXECUTION || kind == LANE_FLASH ||
         kind == LANE_CONTENTION;
}

static const char *label_of(const struct timeline *t,
                            const struct timeline_step *s)
{
  if (s->number >= t->script->step_count) return NULL;
  return t->script->steps[s->number].label;
}

void timeline_brief(struct timeline *t)
{
  uint32_t lanes = 0, steps = 0;
  for (uint32_t i = 0; i < t->lane_count; i++) {
    if (is_brief(t->lanes[i].kind))
      t->lanes[lanes++] = t->lanes[i];
    else
      free(t->lanes[i].spans);
  }
  for (uint32_t i = 0; i < t->step_count; i++) {
    if (label_of(t, &t->steps[i]) == NULL) continue;
    t->steps[steps] = t->steps[i];
    t->steps[steps].to = t->steps[steps].from;
    steps++;
  }
  t->lane_count = lanes;
  t->step_count = steps;
  t->point_count = 0;
  t->labels = true;
}

void timeline_free(struct timeline *t)
{
  for (uint32_t i = 0; i < t->lane_count; i++) {
    free(t->lanes[i].spans);
  }
  free(t->steps);
  free(t->resets.list);
  free(t->samples.list);
  free(t->points);
  memset(t, 0, sizeof *t);
}

const struct span *lane_at(const struct lane *lane, ps_t at)
{
  const struct span *found = NULL;
  if (!lane) return NULL;
  for (uint32_t i = 0; i < lane->count && lane->spans[i].from <= at; i++) {
    if (at <= lane->spans[i].to) found = &lane->spans[i];
  }
  return found;
}

const struct timeline_mark *timeline_mark_at(const struct timeline_marks *m,
                                             ps_t at)
{
  const struct timeline_mark *found = NULL;
  for (uint32_t i = 0; i < m->count && m->list[i].at <= at; i++) {
    found = &m->list[i];
  }
  return found;
}

const struct timeline_step *timeline_step_at(const struct timeline *t, ps_t at)
{
  const struct timeline_step *found = NULL;
  for (uint32_t i = 0; i < t->step_count && t->steps[i].from <= at; i++) {
    if (found && found->to >= at) break;
    found = &t->steps[i];
  }
  return found;
}
