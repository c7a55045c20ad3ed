#include "chip/line.h"

#include <string.h>

#include "base/fold.h"

#define WHOLE     INT64_C(1000000)
#define LOW_FROM  INT64_C(300000) /* below it */
#define HIGH_FROM INT64_C(700000)

/* Conductance, 10^15 / milliohm. */
#define UNIT_OVER_MOHM INT64_C(1000000000000000)

/* uV / milliohm = mA */
#define NA_PER_UV_PER_MOHM 1000000

#define BIT(driver) (1u << (driver))
#define OUTSIDE     (BIT(DRIVER_PROBE) | BIT(DRIVER_BENCH))

void line_init(struct line *l, const struct part_reset_line *part)
{
  *l = (struct line){.part = part,
                     .wiring = {.host_mohm = 1},
                     .from = WHOLE,
                     .to = WHOLE,
                     .crosses_at = PS_NEVER,
                     .seen_at = PS_NEVER,
                     .lost_at = PS_NEVER,
                     .let_go_at = PS_NEVER};
}

void line_wire(struct line *l, const struct line_wiring *wiring)
{
  l->wiring = *wiring;
  if (l->wiring.host_mohm < 1) l->wiring.host_mohm = 1;
}

bool line_is_plain(const struct line *l)
{
  return l->wiring.capacitor_pf == 0 && l->part->pulse.typ == 0 &&
         l->part->drive.typ == 0 && !l->wiring.push_pull;
}

/* --- the circuit --------------------------------------------------------- */

static int64_t through(int64_t mohm)
{
  return mohm > 0 ? UNIT_OVER_MOHM / mohm : 0;
}

static bool host_drives_high(const struct line *l)
{
  return l->wiring.push_pull && !(l->pulled & BIT(DRIVER_BENCH));
}

static int64_t upward(const struct line *l)
{
  int64_t sum = through(l->part->pull.typ) + through(l->wiring.pull_mohm);
  return host_drives_high(l) ? sum + through(l->wiring.host_mohm) : sum;
}

static int64_t downward(const struct line *l)
{
  int64_t sum = 0;
  if (l->pulled & BIT(DRIVER_PART))
    sum += through(l->part->drive_resistance.typ);
  if (l->pulled & BIT(DRIVER_PROBE)) sum += through(l->wiring.host_mohm);
  if (l->pulled & BIT(DRIVER_BENCH)) sum += through(l->wiring.host_mohm);
  return sum;
}

int64_t line_fight(const struct line *l, uv_t rail)
{
  int64_t down = downward(l);
  if (!host_drives_high(l) || down == 0) return 0;
  int64_t mohm = l->wiring.host_mohm + UNIT_OVER_MOHM / down;
  return (int64_t)((wide_t)rail * NA_PER_UV_PER_MOHM / mohm);
}

int64_t line_level(const struct line *l, ps_t now)
{
  if (l->decay.tau_fs == 0) return l->to;
  return decay_at(&l->decay, now > l->at ? now - l->at : 0);
}

static void find_crossing(struct line *l)
{
  bool rising = l->low;
  int64_t level = rising ? HIGH_FROM : LOW_FROM - 1;
  bool gets_there = rising ? l->to >= level : l->to <= level;
  l->crosses_at = PS_NEVER;
  if (!gets_there) return;
  ps_t after = 0;
  if (l->decay.tau_fs > 0)
    after = decay_first(&l->decay, level, rising, decay_settled(&l->decay));
  if (after != PS_NEVER) l->crosses_at = l->at + after;
}

void line_pull(struct line *l, uint32_t pulled, ps_t now)
{
  int64_t level = line_level(l, now);
  bool was = l->pulled & OUTSIDE, is = pulled & OUTSIDE;
  l->pulled = pulled;
  if (is && !was) l->outside_at = now;
  if (is) l->outside = true;
  if (was && !is && !l->low) l->lost_at = now;
  int64_t up = upward(l), sum = up + downward(l);
  l->at = now;
  l->from = level;
  l->to = sum > 0 ? (int64_t)((wide_t)up * WHOLE / sum) : level;
  l->decay = (struct decay){.gap = level - l->to, .aim = l->to, .high = WHOLE};
  if (sum > 0)
    l->decay.tau_fs = (wide_t)l->wiring.capacitor_pf * (UNIT_OVER_MOHM / sum);
  if (l->decay.tau_fs > DECAY_LONGEST) l->decay.tau_fs = DECAY_LONGEST;
  find_crossing(l);
}

void line_hold(struct line *l, ps_t until)
{
  l->let_go_at = until;
}

/* --- what the part makes of it ------------------------------------------- */

static ps_t sooner(ps_t a, ps_t b)
{
  return a < b ? a : b;
}

ps_t line_next(const struct line *l)
{
  return sooner(sooner(l->crosses_at, l->seen_at),
                sooner(l->lost_at, l->let_go_at));
}

static enum line_event cross(struct line *l)
{
  ps_t at = l->crosses_at;
  bool was_seen = l->seen;
  l->low = !l->low;
  if (l->low) {
    l->low_at = at;
    l->seen_at = at + l->part->pulse.typ;
  } else {
    l->lasted = at - l->low_at;
    l->seen = false;
    l->seen_at = PS_NEVER;
  }
  find_crossing(l);
  if (l->low) return LINE_NOTHING;
  bool outside = l->outside;
  l->outside = l->pulled & OUTSIDE;
  return was_seen || !outside ? LINE_HIGH : LINE_LOST;
}

/* It never got low: the capacitor, or a push-pull host, was stronger. */
static enum line_event lose(struct line *l)
{
  l->lasted = l->lost_at - l->outside_at;
  l->lost_at = PS_NEVER;
  l->outside = l->pulled & OUTSIDE;
  return LINE_LOST;
}

enum line_event line_advance(struct line *l, ps_t now)
{
  if (l->lost_at <= now) return lose(l);
  while (line_next(l) <= now) {
    if (l->seen_at <= l->crosses_at && l->seen_at <= now) {
      l->seen_at = PS_NEVER;
      l->seen = true;
      return LINE_SEEN;
    }
    if (l->crosses_at <= now) {
      enum line_event event = cross(l);
      if (event != LINE_NOTHING) return event;
      continue;
    }
    l->let_go_at = PS_NEVER;
    return LINE_LET_GO;
  }
  return LINE_NOTHING;
}

void line_fold(const struct line *l, ps_t now, struct fold *f)
{
  struct line seen;
  memcpy(&seen, l, sizeof(seen));
  int64_t level = line_level(l, now);
  seen.from = level;
  seen.decay.gap = level - l->to;
  if (seen.decay.gap == 0) seen.decay.tau_fs = 0;
  seen.at = seen.lasted = seen.low_at = seen.outside_at = 0;
  seen.crosses_at = fold_from_now(l->crosses_at, now);
  seen.seen_at = fold_from_now(l->seen_at, now);
  seen.lost_at = fold_from_now(l->lost_at, now);
  seen.let_go_at = fold_from_now(l->let_go_at, now);
  fold_add(f, &seen, sizeof(seen));
}
