#include "run/power_cycles.h"

#include <stdio.h>
#include <string.h>

#include "describe/trace_kinds.h"

#define UV_PER_MV 1000

static struct power_cycle *add(struct power_cycles *p)
{
  if (p->count == p->room) {
    uint32_t room = p->room == 0 ? 8 : p->room * 2;
    struct power_cycle *list = arena_array(p->arena, room, sizeof(*list));
    if (p->count > 0) memcpy(list, p->list, p->count * sizeof(*list));
    p->list = list;
    p->room = room;
  }
  return &p->list[p->count++];
}

static struct power_cycle *last(const struct power_cycles *p)
{
  return p->open ? &p->list[p->count - 1] : NULL;
}

/* --- what was missed ----------------------------------------------------- */

static const char *level_text(struct power_cycles *p, const char *what,
                              uv_t level)
{
  char text[80], amount[32];
  units_text(amount, sizeof(amount), UNIT_VOLTAGE, level);
  snprintf(text, sizeof(text), "%s of %s", what, amount);
  return arena_text(p->arena, text);
}

static const char *rearm_missed(struct power_cycles *p,
                                const struct power_cycle *c)
{
  const struct part_power *power = &p->plan->part->power;
  if (c->below_rearm == 0)
    return level_text(p, "the re-arm level", power->rearm_below.typ);
  char text[80], needs[32];
  units_text(needs, sizeof(needs), UNIT_TIME, power->rearm_for.typ);
  snprintf(text, sizeof(text), "the re-arm time of %s", needs);
  return arena_text(p->arena, text);
}

/* --- folding ------------------------------------------------------------- */

static void answer(struct power_cycles *p, enum power_cycle_answer is)
{
  struct power_cycle *c = last(p);
  if (c == NULL) return;
  p->open = false;
  c->answer = is;
  if (is == POWER_CYCLE_BROWN_OUT) c->missed = rearm_missed(p, c);
  if (is == POWER_CYCLE_UNNOTICED)
    c->missed = level_text(p, "the level that resets the part", c->resets);
}

/* The source goes, or comes back. */
static void source(struct power_cycles *p, const struct trace_record *r)
{
  uv_t to = (uv_t)r->a * UV_PER_MV;
  const struct step *step = &p->plan->script->steps[p->step];
  bool away = step->power == POWER_OFF ||
              (step->power == POWER_DIP &&
               to < p->plan->script->supply.source_uv / UV_PER_MV * UV_PER_MV);
  if (!away) return;
  if (p->open && step->power == POWER_OFF && !last(p)->came_back) return;
  answer(p, POWER_CYCLE_UNNOTICED);
  *add(p) = (struct power_cycle){.step = p->step,
                                 .dip = step->power == POWER_DIP,
                                 .at = r->at,
                                 .ram_kept = true,
                                 .lowest = INT64_MAX,
                                 .answer = POWER_CYCLE_OPEN};
  p->open = true;
}

static void lower(struct power_cycle *c, uint32_t mv)
{
  uv_t level = (uv_t)mv * UV_PER_MV;
  if (level < c->lowest) c->lowest = level;
}

static void came_back(struct power_cycle *c, const struct trace_record *r)
{
  c->came_back = true;
  c->back = r->at;
  c->resets = (uv_t)r->b * UV_PER_MV;
  lower(c, r->a);
}

static void enough(struct power_cycle *c, const struct trace_record *r)
{
  c->never = r->a == UINT32_MAX;
  c->enough = c->never ? 0 : (ps_t)r->a * PS_PER_US;
  c->stays = (uv_t)r->b * UV_PER_MV;
}

static void reset(struct power_cycles *p, const struct trace_record *r)
{
  if (r->a != CAUSE_POWER_ON && r->a != CAUSE_BROWN_OUT) return;
  struct power_cycle *c = last(p);
  if (c == NULL && r->a == CAUSE_BROWN_OUT) p->brown_outs++;
  if (c != NULL && !c->came_back) c->started++;
  if (c == NULL || !c->came_back) return;
  lower(c, p->dip.a);
  c->below_rearm = (ps_t)p->dip.b * PS_PER_NS;
  answer(p, r->a == CAUSE_POWER_ON ? POWER_CYCLE_POWER_ON
                                   : POWER_CYCLE_BROWN_OUT);
}

static void fold(void *context, const struct trace_record *r)
{
  struct power_cycles *p = context;
  struct power_cycle *c = last(p);
  switch (r->kind) {
  case TRACE_STEP: p->step = r->a; break;
  case TRACE_SOURCE: source(p, r); break;
  case TRACE_SOURCE_BACK:
    if (c != NULL) came_back(c, r);
    break;
  case TRACE_OFF_ENOUGH:
    if (c != NULL) enough(c, r);
    break;
  case TRACE_FED:
    if (c != NULL && r->a > 0) c->fed = true;
    break;
  case TRACE_RAIL_FALL:
    if (c != NULL && r->a == THRESHOLD_RAM_KEEP) c->ram_kept = false;
    break;
  case TRACE_RAIL_DIP: p->dip = *r; break;
  case TRACE_RESET: reset(p, r); break;
  default: break;
  }
}

void power_cycles_init(struct power_cycles *p, const struct plan *plan,
                       struct arena *arena, struct trace *tr)
{
  *p = (struct power_cycles){.plan = plan, .arena = arena};
  trace_listen(tr,
               TRACE_BIT(TRACE_STEP) | TRACE_BIT(TRACE_SOURCE) |
                   TRACE_BIT(TRACE_SOURCE_BACK) | TRACE_BIT(TRACE_OFF_ENOUGH) |
                   TRACE_BIT(TRACE_FED) | TRACE_BIT(TRACE_RAIL_FALL) |
                   TRACE_BIT(TRACE_RAIL_DIP) | TRACE_BIT(TRACE_RESET),
               fold, p);
}

void power_cycles_end(struct power_cycles *p)
{
  struct power_cycle *c = last(p);
  if (c == NULL) return;
  bool crossed = c->came_back && c->lowest < c->resets;
  if (c->came_back && !crossed) answer(p, POWER_CYCLE_UNNOTICED);
}
