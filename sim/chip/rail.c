#include "chip/rail.h"

#include <string.h>

#include "base/fold.h"

#include <assert.h>

#include "describe/trace_kinds.h"

/* Of the detector; there is one in force. */
static const struct part_brown_out_level *detector(const struct rail *r)
{
  return &r->part->brown_out.levels[r->level];
}

static uv_t threshold_level(const struct rail *r, unsigned t)
{
  switch ((enum trace_threshold)t) {
  case THRESHOLD_BROWN_OUT_RISE: return detector(r)->rise.typ;
  case THRESHOLD_BROWN_OUT_FALL: return detector(r)->fall.typ;
  case THRESHOLD_ON_RISE: return r->part->on_rise.typ;
  case THRESHOLD_ON_FALL: return r->part->on_fall.typ;
  case THRESHOLD_RAM_KEEP: return r->part->ram_keep.typ;
  case THRESHOLD_REARM: return r->part->rearm_below.typ;
  }
  assert(0 && "a threshold");
  return 0;
}

static bool in_force(const struct rail *r, unsigned t)
{
  bool of_detector =
      t == THRESHOLD_BROWN_OUT_RISE || t == THRESHOLD_BROWN_OUT_FALL;
  return !of_detector || r->level != PART_NONE;
}

/* --- segments ------------------------------------------------------------ */

uv_t rail_segment_level(const struct rail_segment *s, ps_t now)
{
  if (now >= s->until) return s->to;
  if (now <= s->at) return s->from;
  if (s->decay.tau_fs == 0)
    return s->from + (uv_t)((wide_t)(s->to - s->from) * (now - s->at) /
                            (s->until - s->at));
  uv_t low = s->from < s->to ? s->from : s->to;
  uv_t high = s->from < s->to ? s->to : s->from;
  uv_t level = decay_at(&s->decay, now - s->at);
  if (level < low) return low;
  return level > high ? high : level;
}

static ps_t crosses_straight(const struct rail_segment *s, uv_t level,
                             bool rising)
{
  wide_t way = rising ? s->to - s->from : s->from - s->to;
  wide_t done = rising ? level - s->from : s->from - level + 1;
  wide_t lasts = s->until - s->at;
  return s->at + (ps_t)((done * lasts + way - 1) / way);
}

ps_t rail_segment_crosses(const struct rail_segment *s, uv_t level,
                          bool rising)
{
  bool gets_there = rising ? s->to >= level : s->to < level;
  if (!gets_there) return PS_NEVER;
  bool there = rising ? s->from >= level : s->from < level;
  if (there || s->until <= s->at) return s->at;
  if (s->decay.tau_fs == 0) return crosses_straight(s, level, rising);
  ps_t lasts = s->until - s->at;
  ps_t first =
      decay_first(&s->decay, rising ? level : level - 1, rising, lasts);
  return first == PS_NEVER ? s->until : s->at + first;
}

/* The earliest crossing. Where a steep segment crosses several at one instant
 * they come in the order in which a slower one would meet them: numbers
 * ascend as the rail falls and descend as it rises (part_check.c sees to it
 * that REARM is no higher than ON_FALL, and that no higher than ON_RISE). */
static void find_next(struct rail *r)
{
  r->next_at = PS_NEVER;
  for (unsigned t = 0; t < RAIL_THRESHOLDS; t++) {
    if (!in_force(r, t)) continue;
    bool rising = !r->above[t];
    ps_t at = rail_segment_crosses(&r->segment, threshold_level(r, t), rising);
    if (at < r->next_at || (rising && at == r->next_at && at != PS_NEVER)) {
      r->next_at = at;
      r->next = t;
    }
  }
}

static uint32_t default_level(const struct part_power *part)
{
  return part->brown_out.level_count > 0 ? part->brown_out.initial : PART_NONE;
}

void rail_init(struct rail *r, const struct part_power *part)
{
  *r = (struct rail){
      .part = part,
      .armed = true,
      .ram_lost = true,
      .level = default_level(part),
      .brown_out_off = true,
      .rearm_since = 0,
      .rearm_longest = part->rearm_for.typ,
      .next_at = PS_NEVER,
  };
}

static void note_lowest(struct rail *r, uv_t level)
{
  if (!r->up && level < r->lowest) r->lowest = level;
}

static uint32_t millivolts(uv_t uv)
{
  return (uint32_t)(uv / 1000);
}

void rail_move(struct rail *r, const struct rail_segment *segment)
{
  assert(segment->until >= segment->at);
  r->segment = *segment;
  note_lowest(r, segment->from);
  find_next(r);
}

uv_t rail_level(const struct rail *r, ps_t now)
{
  return rail_segment_level(&r->segment, now);
}

static uint32_t nanoseconds(ps_t ps)
{
  return ps / PS_PER_NS > UINT32_MAX ? UINT32_MAX : (uint32_t)(ps / PS_PER_NS);
}

void rail_tell(const struct rail *r, struct moment now, struct trace *tr)
{
  uint32_t mv = millivolts(rail_level(r, now.at));
  if (mv != millivolts(r->segment.from)) trace_add(tr, now, TRACE_RAIL, mv, 0);
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

static enum rail_event fall(struct rail *r, uv_t level)
{
  r->up = false;
  r->ram_lost = !r->above[THRESHOLD_RAM_KEEP];
  r->lowest = level;
  return RAIL_DOWN;
}

/* The comparator or the detector thinks otherwise now. */
static enum rail_event judge(struct rail *r, uv_t level, struct moment now,
                             struct trace *tr)
{
  bool up = r->on && (r->level == PART_NONE || !r->brown_out_off);
  if (up == r->up) return RAIL_NOTHING;
  return up ? rise(r, now, tr) : fall(r, level);
}

/* Rising through re-arm: was it below for long enough? What an option had
 * chosen is forgotten then. */
static void end_rearm(struct rail *r, ps_t at)
{
  ps_t below = at - r->rearm_since;
  if (below > r->rearm_longest) r->rearm_longest = below;
  r->rearm_since = PS_NEVER;
  if (r->rearm_longest < r->part->rearm_for.typ) return;
  r->armed = true;
  r->level = default_level(r->part);
  r->above[THRESHOLD_BROWN_OUT_RISE] = false;
  r->above[THRESHOLD_BROWN_OUT_FALL] = false;
  r->brown_out_off = true;
}

static void take(struct rail *r, unsigned t, ps_t at)
{
  bool above = r->above[t];
  switch ((enum trace_threshold)t) {
  case THRESHOLD_BROWN_OUT_RISE:
    if (above) r->brown_out_off = false;
    break;
  case THRESHOLD_BROWN_OUT_FALL:
    if (!above) r->brown_out_off = true;
    break;
  case THRESHOLD_ON_RISE:
    if (above) r->on = true;
    break;
  case THRESHOLD_ON_FALL:
    if (!above) r->on = false;
    break;
  case THRESHOLD_RAM_KEEP:
    if (!above) r->ram_lost = true;
    break;
  case THRESHOLD_REARM:
    if (above)
      end_rearm(r, at);
    else
      r->rearm_since = at;
    break;
  }
}

static enum rail_event cross(struct rail *r, unsigned t, ps_t at,
                             struct moment now, struct trace *tr)
{
  r->above[t] = !r->above[t];
  uv_t level = rail_level(r, at);
  note_lowest(r, level);
  trace_add(tr, now, r->above[t] ? TRACE_RAIL_RISE : TRACE_RAIL_FALL, t,
            millivolts(level));
  take(r, t, at);
  find_next(r);
  return judge(r, level, now, tr);
}

enum rail_event rail_advance(struct rail *r, struct moment now,
                             struct trace *tr)
{
  if (r->next_at > now.at) {
    if (!r->up) note_lowest(r, rail_level(r, now.at));
    return RAIL_NOTHING;
  }
  return cross(r, r->next, r->next_at, now, tr);
}

/* --- the brown-out detector ---------------------------------------------- */

enum rail_event rail_choose(struct rail *r, uint32_t level, struct moment now,
                            struct trace *tr)
{
  if (level == r->level) return RAIL_NOTHING;
  uv_t is = rail_level(r, now.at);
  r->level = level;
  r->brown_out_off = false;
  if (level != PART_NONE) {
    r->above[THRESHOLD_BROWN_OUT_RISE] = is >= detector(r)->rise.typ;
    r->above[THRESHOLD_BROWN_OUT_FALL] = is >= detector(r)->fall.typ;
    r->brown_out_off = !r->above[THRESHOLD_BROWN_OUT_FALL];
  }
  find_next(r);
  return judge(r, is, now, tr);
}

uv_t rail_too_low(const struct rail *r)
{
  uv_t level = r->part->on_fall.typ;
  if (r->level != PART_NONE && detector(r)->fall.typ > level)
    level = detector(r)->fall.typ;
  return level - 1;
}

void rail_fold(const struct rail *r, ps_t now, struct fold *f)
{
  struct rail seen;
  memcpy(&seen, r, sizeof(seen));
  struct rail_segment *s = &seen.segment;
  if (s->until <= now) {
    s->from = s->to = rail_level(r, now);
    s->at = s->until = now;
    memset(&s->decay, 0, sizeof(s->decay));
  }
  s->at -= now;
  s->until -= now;
  seen.rearm_since = fold_within(r->rearm_since, now, r->part->rearm_for.typ);
  if (r->up || r->armed) seen.rearm_longest = 0;
  seen.lowest = 0;
  seen.next_at = 0; /* follows from the segment */
  seen.next = 0;
  fold_add(f, &seen, sizeof(seen));
}
