#include "chip/clock.h"

#include <string.h>

#include "base/fold.h"

#include <assert.h>

static void run_from(struct clock *c, uint32_t source, struct moment now)
{
  c->base_at = now.at;
  c->base_cycle = now.cycle;
  c->source = source;
  c->hz = c->part->sources[source].frequency.typ;
  assert(c->hz > 0);
}

void clock_init(struct clock *c, const struct part_clock *part)
{
  assert(part->source_count > 0);
  *c = (struct clock){.part = part};
  clock_reset(c, (struct moment){0, 0});
}

void clock_reset(struct clock *c, struct moment now)
{
  for (uint32_t i = 1; i < c->part->source_count; i++)
    c->ready_at[i] = PS_NEVER;
  run_from(c, 0, now);
}

ps_t clock_time(const struct clock *c, cycle_t cycle)
{
  if (cycle == CYCLE_NEVER) return PS_NEVER;
  assert(cycle >= c->base_cycle);
  wide_t ps = (wide_t)(cycle - c->base_cycle) * PS_PER_S / c->hz;
  return ps > PS_NEVER - c->base_at ? PS_NEVER : c->base_at + (ps_t)ps;
}

/* The first edge at least `span` after the base. Rounding down of an edge's
 * instant does not matter here: floor(x) >= n exactly where x >= n. */
static cycle_t edge_from_base(const struct clock *c, wide_t span)
{
  return c->base_cycle + (cycle_t)((span * c->hz + PS_PER_S - 1) / PS_PER_S);
}

cycle_t clock_edge(const struct clock *c, ps_t at)
{
  if (at == PS_NEVER) return CYCLE_NEVER;
  if (at <= c->base_at) return c->base_cycle;
  return edge_from_base(c, (wide_t)at - c->base_at);
}

cycle_t clock_cycle(const struct clock *c, ps_t at)
{
  if (at <= c->base_at) return c->base_cycle;
  return edge_from_base(c, (wide_t)at + 1 - c->base_at) - 1;
}

void clock_restart(struct clock *c, struct moment now)
{
  run_from(c, c->source, now);
}

ps_t clock_after(const struct clock *c, ps_t at, int64_t cycles)
{
  return clock_time(c, clock_edge(c, at) + cycles);
}

void clock_enable(struct clock *c, uint32_t source, bool on, ps_t now)
{
  if (source == 0 || source >= c->part->source_count) return;
  if (on == clock_enabled(c, source)) return;
  if (!on && c->source == source) return; /* the core's own clock stays */
  c->ready_at[source] =
      on ? now + c->part->sources[source].start_up.typ : PS_NEVER;
}

bool clock_enabled(const struct clock *c, uint32_t source)
{
  return source < c->part->source_count && c->ready_at[source] != PS_NEVER;
}

bool clock_ready(const struct clock *c, uint32_t source, ps_t now)
{
  return clock_enabled(c, source) && c->ready_at[source] <= now;
}

bool clock_select(struct clock *c, uint32_t source, struct moment now)
{
  if (source == c->source || !clock_ready(c, source, now.at)) return false;
  run_from(c, source, now);
  return true;
}

void clock_fold(const struct clock *c, ps_t now, struct fold *f)
{
  struct clock seen;
  cycle_t last = clock_cycle(c, now);
  wide_t fraction = (wide_t)(last - c->base_cycle) * PS_PER_S;
  memcpy(&seen, c, sizeof(seen));
  seen.base_at = now - clock_time(c, last);
  seen.base_cycle = (cycle_t)(fraction % c->hz);
  for (uint32_t i = 0; i < PART_MAX_CLOCKS; i++)
    seen.ready_at[i] = fold_to_come(c->ready_at[i], now);
  fold_add(f, &seen, sizeof(seen));
}
