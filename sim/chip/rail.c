#include "chip/rail.h"

#include <assert.h>

#include "describe/trace_kinds.h"

static uv_t threshold_level(const struct rail *r, unsigned t)
{
  switch ((enum trace_threshold)t) {
  case THRESHOLD_ON_RISE: return r->part->on_rise.typ;
  case THRESHOLD_ON_FALL: return r->part->on_fall.typ;
  case THRESHOLD_RAM_KEEP: return r->part->ram_keep.typ;
  case THRESHOLD_REARM: return r->part->rearm_below.typ;
  }
  assert(0 && "a threshold");
  return 0;
}

/* First instant at which the segment is at or above `level` (rising), or
 * below it (falling); PS_NEVER if it does not get there. */
static ps_t crossing(const struct rail_segment *s, uv_t level, bool rising)
{
  bool gets_there = rising ? s->to >= level : s->to < level;
  if (!gets_there) return PS_NEVER;
  bool there = rising ? s->from >= level : s->from < level;
  if (there || s->until <= s->at) return s->at;
  wide_t way = rising ? s->to - s->from : s->from - s->to;
  wide_t done = rising ? level - s->from : s->from - level + 1;
  wide_t lasts = s->until - s->at;
  return s->at + (ps_t)((done * lasts + way - 1) / way);
}

/* The earliest crossing. Where a steep segment crosses several at one instant
 * they come in the order in which a slower one would meet them: numbers
 * ascend as the rail falls and descend as it rises (part_check.c sees to it
 * that REARM is no higher than ON_FALL, and that no higher than ON_RISE). */
static ps_t first_crossing(const struct rail *r, unsigned *which)
{
  ps_t first = PS_NEVER;
  for (unsigned t = 0; t < RAIL_THRESHOLDS; t++) {
    bool rising = !r->above[t];
    ps_t at = crossing(&r->segment, threshold_level(r, t), rising);
    if (at < first || (rising && at == first && at != PS_NEVER)) {
      first = at;
      *which = t;
    }
  }
  return first;
}

void rail_init(struct rail *r, const struct part_power *part)
{
  *r = (struct rail){
      .part = part,
      .armed = true,
      .ram_lost = true,
      .rearm_since = 0,
      .rearm_longest = part->rearm_for.typ,
  };
}

static void note_lowest(struct rail *r, uv_t level)
{
  if (!r->up && level < r->lowest) r->lowest = level;
}

void rail_move(struct rail *r, const struct rail_segment *segment)
{
  assert(segment->until >= segment->at);
  r->segment = *segment;
  note_lowest(r, segment->from);
}

uv_t rail_level(const struct rail *r, ps_t now)
{
  const struct rail_segment *s = &r->segment;
  if (now >= s->until) return s->to;
  if (now <= s->at) return s->from;
  return s->from + (uv_t)((wide_t)(s->to - s->from) * (now - s->at) /
                          (s->until - s->at));
}

ps_t rail_next(const struct rail *r)
{
  unsigned which = 0;
  return first_crossing(r, &which);
}

static uint32_t millivolts(uv_t uv)
{
  return (uint32_t)(uv / 1000);
}

static uint32_t nanoseconds(ps_t ps)
{
  return ps / PS_PER_NS > UINT32_MAX ? UINT32_MAX : (uint32_t)(ps / PS_PER_NS);
}

/* The rail has come up: was that a power-on? */
static enum rail_event rise(struct rail *r, struct moment now,
                            struct trace *tr)
{
  bool was_power_on = r->armed;
  trace_add(tr, now, TRACE_RAIL_DIP, millivolts(r->lowest),
            nanoseconds(r->rearm_longest));
  r->up = true;
  r->armed = false;
  r->rearm_longest = 0;
  return was_power_on ? RAIL_POWER_ON : RAIL_BROWN_OUT;
}

/* Rising through re-arm: was it below for long enough? */
static void end_rearm(struct rail *r, ps_t at)
{
  ps_t below = at - r->rearm_since;
  if (below > r->rearm_longest) r->rearm_longest = below;
  if (r->rearm_longest >= r->part->rearm_for.typ) r->armed = true;
  r->rearm_since = PS_NEVER;
}

static enum rail_event cross(struct rail *r, unsigned t, ps_t at,
                             struct moment now, struct trace *tr)
{
  r->above[t] = !r->above[t];
  uv_t level = rail_level(r, at);
  note_lowest(r, level);
  trace_add(tr, now, r->above[t] ? TRACE_RAIL_RISE : TRACE_RAIL_FALL, t,
            millivolts(level));
  switch ((enum trace_threshold)t) {
  case THRESHOLD_ON_RISE:
    return r->above[t] && !r->up ? rise(r, now, tr) : RAIL_NOTHING;
  case THRESHOLD_ON_FALL:
    if (r->above[t] || !r->up) return RAIL_NOTHING;
    r->up = false;
    r->ram_lost = !r->above[THRESHOLD_RAM_KEEP];
    r->lowest = level;
    return RAIL_DOWN;
  case THRESHOLD_RAM_KEEP:
    if (!r->above[t]) r->ram_lost = true;
    return RAIL_NOTHING;
  case THRESHOLD_REARM:
    if (r->above[t])
      end_rearm(r, at);
    else
      r->rearm_since = at;
    return RAIL_NOTHING;
  }
  return RAIL_NOTHING;
}

enum rail_event rail_advance(struct rail *r, struct moment now,
                             struct trace *tr)
{
  unsigned which = 0;
  ps_t at = first_crossing(r, &which);
  if (at > now.at) {
    note_lowest(r, rail_level(r, now.at));
    return RAIL_NOTHING;
  }
  return cross(r, which, at, now, tr);
}
