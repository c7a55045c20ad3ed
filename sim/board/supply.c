#include "board/supply.h"

#include <string.h>

#include "base/fold.h"

#include <assert.h>

/* pF * uV / nA = ns */
#define PS_PER_PF_UV_PER_NA 1000
/* nA * milliohm = 10^-12 V */
#define NA_MOHM_PER_UV 1000000
/* pF * uV = 10^-18 C = 1000 nA ps */
#define NA_PS_PER_PF_UV 1000
/* 10^-21 C */
#define NA_PS_PER_NC INT64_C(1000000000000)

/* A ramp shorter than this part of the time constant is at once: 2^30. */
#define RAMP_COUNTS ((wide_t)1 << 30)

void supply_init(struct supply *s, const struct case_supply *board)
{
  *s = (struct supply){
      .board = board, .asks_at = PS_NEVER, .feed = {.each_mohm = 1}};
}

/* --- the source ---------------------------------------------------------- */

uv_t supply_open_circuit(const struct supply *s, ps_t now)
{
  const struct source_line *l = &s->line;
  if (now >= l->until) return l->to;
  if (now <= l->at) return l->from;
  return l->from + (uv_t)((wide_t)(l->to - l->from) * (now - l->at) /
                          (l->until - l->at));
}

static void go(struct supply *s, uv_t from, uv_t to, ps_t lasts, ps_t now)
{
  ps_t left = PS_NEVER - 1 - now;
  s->line = (struct source_line){
      .at = now,
      .until = now + (lasts < left ? lasts : left),
      .from = from,
      .to = to,
  };
  s->changed = true;
}

void supply_on(struct supply *s, uv_t level, ps_t ramp, ps_t now)
{
  uv_t source = s->board->source_uv;
  wide_t way = source > level ? source - level : level - source;
  if (s->on && !s->leaving) return;
  s->on = true;
  s->leaving = s->cut = false;
  go(s, level, source, (ps_t)(way * ramp / source), now);
}

void supply_off(struct supply *s, ps_t ramp, ps_t now)
{
  s->changed = true;
  if (ramp == 0 || !s->on) {
    s->on = false;
    return;
  }
  s->leaving = true;
  go(s, supply_open_circuit(s, now), 0, ramp, now);
}

void supply_go(struct supply *s, uv_t to, ps_t ramp, ps_t now)
{
  assert(s->on);
  go(s, supply_open_circuit(s, now), to, ramp, now);
}

void supply_cut(struct supply *s)
{
  s->on = s->leaving = false;
  s->cut = s->changed = true;
}

void supply_feed(struct supply *s, const struct feed *feed)
{
  assert(feed->each_mohm > 0);
  if (s->feed.pins == feed->pins && s->feed.level == feed->level &&
      s->feed.each_mohm == feed->each_mohm)
    return;
  s->feed.pins = feed->pins; /* not what lies between them */
  s->feed.level = feed->level;
  s->feed.each_mohm = feed->each_mohm;
  s->changed = true;
}

/* --- pieces -------------------------------------------------------------- */

/* All that feeds the rail, as one source. */
struct thevenin {
  wide_t open_uv;   /* at the beginning of the piece, load subtracted */
  wide_t slope_way; /* it moves by so much ... */
  ps_t slope_lasts; /* ... in this time; 0: it stands */
  wide_t tau_fs;
};

static wide_t load_drop(const struct supply *s, wide_t mohm)
{
  return (wide_t)s->load_na * mohm / NA_MOHM_PER_UV;
}

static bool ramps(const struct supply *s, ps_t now)
{
  return s->on && now < s->line.until;
}

/* The source alone, the clamps alone, or both: the voltage is the mean,
 * weighted by the other's resistance. */
static struct thevenin feeds(const struct supply *s, bool clamps, ps_t now)
{
  wide_t r = s->board->resistance_mohm, weight = 1, sum = 1;
  wide_t open = s->on ? supply_open_circuit(s, now) : 0;
  if (clamps) {
    wide_t each = s->feed.each_mohm, pins = s->feed.pins;
    weight = s->on ? each : 0; /* of the source */
    wide_t other = s->on ? r * pins : 1;
    sum = weight + other;
    open = (open * weight + (wide_t)s->feed.level * other) / sum;
    r = s->on ? r * each / sum : (each + pins - 1) / pins;
  }
  struct thevenin t = {.open_uv = open - load_drop(s, r),
                       .tau_fs = r * s->board->bulk_pf};
  if (t.tau_fs < 1) t.tau_fs = 1;
  ps_t lasts = s->line.until - s->line.at;
  if (!ramps(s, now)) return t;
  t.slope_way = (wide_t)(s->line.to - s->line.from) * weight / sum;
  t.slope_lasts = lasts;
  return t;
}

static struct rail_segment flat(uv_t level, ps_t now)
{
  return (struct rail_segment){
      .at = now, .until = now, .from = level, .to = level};
}

/* How far the capacitor gets: down to `floor`, or until time ends. */
static struct rail_segment discharge(const struct supply *s, uv_t level,
                                     uv_t floor, ps_t now)
{
  struct rail_segment down = flat(level, now);
  if (s->load_na == 0 || level <= floor) return down;
  wide_t way = level - floor;
  wide_t lasts =
      (wide_t)s->board->bulk_pf * way * PS_PER_PF_UV_PER_NA / s->load_na;
  ps_t left = PS_NEVER - 1 - now;
  if (lasts <= left) {
    down.to = floor;
    down.until = now + (ps_t)lasts;
  } else {
    down.to = level - (uv_t)(way * left / lasts);
    down.until = now + left;
  }
  return down;
}

/* The rail is the source. */
static struct rail_segment stiff(const struct supply *s, uv_t level, ps_t now)
{
  ps_t until = s->line.until > now ? s->line.until : now;
  return (struct rail_segment){
      .at = now, .until = until, .from = level, .to = s->line.to};
}

static uv_t inside(wide_t level)
{
  return level < 0 ? 0 : (uv_t)level;
}

/* Until the ramp is over, the rail turns round, or nothing moves. */
static struct rail_segment
exponential(struct supply *s, const struct thevenin *t, uv_t level, ps_t now)
{
  wide_t slope_tau =
      t->slope_lasts == 0
          ? 0
          : t->slope_way * (t->tau_fs / FS_PER_PS) / t->slope_lasts;
  struct rail_segment g = flat(level, now);
  g.decay = (struct decay){.tau_fs = t->tau_fs,
                           .gap = (int64_t)(level - t->open_uv + slope_tau),
                           .aim = (int64_t)(t->open_uv - slope_tau),
                           .slope_way = (int64_t)t->slope_way,
                           .slope_lasts = t->slope_lasts,
                           .low = 0,
                           .high = INT64_MAX};
  ps_t lasts = decay_settled(&g.decay), turns = decay_turns(&g.decay);
  ps_t left = PS_NEVER - 1 - now;
  if (t->slope_lasts > 0) {
    s->asks_at = s->line.until;
    lasts = s->line.until - now;
  }
  if (turns < lasts) {
    lasts = turns;
    s->asks_at = now + lasts;
  }
  if (lasts > left) lasts = left;
  g.until = now + lasts;
  g.to = decay_at(&g.decay, lasts);
  bool settles = t->slope_lasts == 0 && lasts < left;
  if (settles) g.to = inside(t->open_uv);
  return g;
}

/* Where it meets the level at which the clamps begin or cease to conduct, the
 * piece ends. */
static void end_at_clamps(struct supply *s, struct rail_segment *g)
{
  uv_t level = s->feed.level;
  bool rising = g->from < level;
  bool gets_there = rising ? g->to > level : g->to < level;
  if (s->feed.pins == 0 || g->from == level || !gets_there) return;
  ps_t lasts = decay_first(&g->decay, level, rising, g->until - g->at);
  if (lasts == PS_NEVER) return;
  g->until = g->at + lasts;
  g->to = level;
  s->asks_at = g->until;
}

/* The clamps conduct below their level; at it if the rail would go on down
 * without them. */
static bool clamps_conduct(const struct supply *s, uv_t level, ps_t now)
{
  if (s->feed.pins == 0 || level > s->feed.level) return false;
  if (level < s->feed.level) return true;
  if (!s->on) return s->load_na > 0;
  return feeds(s, false, now).open_uv < level;
}

static struct rail_segment next_piece(struct supply *s, uv_t level, ps_t now)
{
  s->conducts = false;
  if (s->cut)
    return (struct rail_segment){
        .at = now, .until = now, .from = level, .to = 0};
  if (s->on && s->board->resistance_mohm == 0) return stiff(s, level, now);
  bool clamps = s->conducts = clamps_conduct(s, level, now);
  if (!s->on && !clamps) {
    bool waits = s->feed.pins > 0 && level > s->feed.level;
    uv_t floor = waits && s->feed.level > 0 ? s->feed.level : 0;
    struct rail_segment g = discharge(s, level, floor, now);
    if (waits && g.to == floor && floor > 0) s->asks_at = g.until;
    return g;
  }
  struct thevenin t = feeds(s, clamps, now);
  if (t.slope_lasts > 0 &&
      t.tau_fs / FS_PER_PS / t.slope_lasts >= RAMP_COUNTS) {
    s->line.until = now;
    t = feeds(s, clamps, now);
  }
  struct rail_segment g = exponential(s, &t, level, now);
  end_at_clamps(s, &g);
  return g;
}

/* --- the segment in force ------------------------------------------------ */

static wide_t charge_since(const struct supply *s, uv_t level, ps_t now)
{
  if (!s->counting) return 0;
  return (wide_t)s->load_na * (now - s->counted_at) +
         (wide_t)s->board->bulk_pf * (level - s->counted_level) *
             NA_PS_PER_PF_UV;
}

static void count_charge(struct supply *s, uv_t level, ps_t now)
{
  s->charge += charge_since(s, level, now);
  s->counted_at = now;
  s->counted_level = level;
}

int64_t supply_charge_nc(const struct supply *s, uv_t level, ps_t now)
{
  wide_t charge = s->charge + charge_since(s, level, now);
  return (int64_t)(charge / NA_PS_PER_NC);
}

struct rail_segment supply_segment(struct supply *s, uv_t level,
                                   int64_t part_load_na, ps_t now)
{
  count_charge(s, level, now);
  s->load_na = part_load_na + s->board->load_na;
  if (s->leaving && now >= s->line.until) s->on = s->leaving = false;
  s->counting = s->on;
  s->changed = false;
  s->asks_at = s->leaving ? s->line.until : PS_NEVER;
  struct rail_segment g = next_piece(s, level, now);
  if (s->leaving && s->asks_at > s->line.until) s->asks_at = s->line.until;
  return g;
}

bool supply_due(const struct supply *s, int64_t part_load_na, ps_t now)
{
  return s->changed || now >= s->asks_at ||
         s->load_na != part_load_na + s->board->load_na;
}

ps_t supply_falls_below(const struct supply *s, uv_t level,
                        int64_t part_load_na, uv_t below, uv_t *settles)
{
  struct supply off = *s;
  off.on = off.leaving = off.cut = false;
  ps_t now = 0;
  while (level >= below) {
    struct rail_segment g = supply_segment(&off, level, part_load_na, now);
    ps_t at = rail_segment_crosses(&g, below, false);
    if (at != PS_NEVER) return at;
    *settles = level = g.to;
    if (off.asks_at == PS_NEVER) return PS_NEVER;
    now = off.asks_at;
  }
  return now;
}

void supply_fold(const struct supply *s, ps_t now, struct fold *f)
{
  struct supply seen;
  memcpy(&seen, s, sizeof(seen));
  struct source_line *l = &seen.line;
  if (l->until <= now) {
    l->at = l->until = now;
    l->from = l->to;
  }
  l->at -= now;
  l->until -= now;
  seen.asks_at = fold_from_now(s->asks_at, now);
  seen.counting = false;
  seen.counted_at = 0;
  seen.counted_level = 0;
  seen.charge = 0;
  fold_add(f, &seen, sizeof(seen));
}
