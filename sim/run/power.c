#include "run/power.h"

#include "describe/trace_kinds.h"
#include "run/engine.h"

static struct moment now_of(const struct machine *m)
{
  return chip_moment(&m->chip, m->now);
}

static void pass(struct machine *m, ps_t lasts)
{
  engine_pass(m, engine_later(m, lasts), NULL, NULL);
}

static uint32_t millivolts(uv_t uv)
{
  return (uint32_t)(uv / 1000);
}

static uint32_t nanoseconds(ps_t ps)
{
  return ps / PS_PER_NS > UINT32_MAX ? UINT32_MAX : (uint32_t)(ps / PS_PER_NS);
}

/* Rounded up; all-ones is never. */
static uint32_t microseconds(ps_t ps)
{
  ps_t us = (ps + PS_PER_US - 1) / PS_PER_US;
  return us >= UINT32_MAX ? UINT32_MAX - 1 : (uint32_t)us;
}

/* --- how long off would have sufficed ------------------------------------ */

/* One stretch of the fall, with one load. */
struct stretch {
  bool falls; /* through it at all */
  uv_t level; /* where it ends */
  ps_t lasts;
};

static struct stretch fall(const struct machine *m, const struct stretch *from,
                           int64_t load, uv_t below)
{
  struct stretch s = *from;
  if (!s.falls || s.level < below) return s;
  ps_t lasts = supply_falls_below(&m->supply, s.level, load, below, &s.level);
  s.falls = lasts != PS_NEVER;
  if (!s.falls) return s;
  s.lasts += lasts;
  s.level = below - 1;
  return s;
}

/* From here on with the source open: what the part draws changes as it is
 * reset, and again as its comparator lets go. */
static struct stretch fall_to_rearm(const struct machine *m)
{
  const struct rail *r = &m->chip.rail;
  const struct part_power *p = &m->part->power;
  struct stretch s = {.falls = true, .level = rail_level(r, m->now)};
  if (r->up) s = fall(m, &s, chip_load(&m->chip), rail_too_low(r) + 1);
  if (r->on) s = fall(m, &s, p->load_reset.typ, p->on_fall.typ);
  return fall(m, &s, p->load_off.typ, p->rearm_below.typ);
}

enum power_loss power_lost_in(const struct machine *m, ps_t off)
{
  const struct rail *r = &m->chip.rail;
  struct stretch s = {.falls = true, .level = rail_level(r, m->now)};
  if (r->up) s = fall(m, &s, chip_load(&m->chip), rail_too_low(r) + 1);
  if (!s.falls || s.lasts > off) return POWER_KEPT;
  if (r->armed) return POWER_LOST;
  s = fall_to_rearm(m);
  bool lost = s.falls && s.lasts + m->part->power.rearm_for.typ <= off;
  return lost ? POWER_LOST : POWER_DIPPED;
}

static void tell_enough(struct machine *m)
{
  const struct rail *r = &m->chip.rail;
  ps_t needs = m->part->power.rearm_for.typ;
  bool below = r->rearm_since != PS_NEVER;
  struct stretch s = {.falls = true};
  ps_t begins = below ? r->rearm_since : m->now;
  if (!below && !r->armed) s = fall_to_rearm(m);
  ps_t enough = begins - m->away_at + s.lasts + needs;
  if (enough < needs) enough = needs; /* it had been low before */
  trace_add(&m->trace, now_of(m), TRACE_OFF_ENOUGH,
            s.falls ? microseconds(enough) : UINT32_MAX,
            s.falls ? 0 : millivolts(s.level));
}

/* --- the source ---------------------------------------------------------- */

static void tell_source(struct machine *m)
{
  const struct source_line *l = &m->supply.line;
  bool goes = m->supply.on;
  trace_add(&m->trace, now_of(m), TRACE_SOURCE, millivolts(goes ? l->to : 0),
            goes ? nanoseconds(l->until - l->at) : 0);
}

static void come_back(struct machine *m)
{
  const struct rail *r = &m->chip.rail;
  if (m->away_at == PS_NEVER) return;
  trace_add(&m->trace, now_of(m), TRACE_SOURCE_BACK,
            millivolts(rail_level(r, m->now)),
            millivolts(rail_too_low(r) + 1));
  tell_enough(m);
  m->away_at = PS_NEVER;
}

static void switch_on(struct machine *m, const struct step *step)
{
  ps_t ramp = step->has_ramp ? step->ramp : m->script->supply.ramp_ps;
  come_back(m);
  supply_on(&m->supply, rail_level(&m->chip.rail, m->now), ramp, m->now);
  tell_source(m);
  pass(m, step->lasts);
}

static void switch_off(struct machine *m, const struct step *step)
{
  if (m->supply.on) m->away_at = m->now;
  supply_off(&m->supply, step->ramp, m->now);
  tell_source(m);
  pass(m, step->lasts);
}

/* `for` is how long it stays down; the ways there and back come on top. */
static void dip(struct machine *m, const struct step *step)
{
  m->away_at = m->now;
  supply_go(&m->supply, step->dip_uv, step->ramp, m->now);
  tell_source(m);
  pass(m, step->ramp);
  pass(m, step->lasts);
  come_back(m);
  supply_go(&m->supply, m->script->supply.source_uv, step->ramp, m->now);
  tell_source(m);
  pass(m, step->ramp);
}

void power_take(struct machine *m, const struct step *step)
{
  switch (step->power) {
  case POWER_ON: switch_on(m, step); break;
  case POWER_OFF: switch_off(m, step); break;
  case POWER_DIP: dip(m, step); break;
  }
}
