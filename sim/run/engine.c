#include "run/engine.h"

#include <assert.h>

#include "board/feed.h"
#include "core/cpu.h"
#include "describe/trace_kinds.h"
#include "run/visitor.h"

/* An event may make others due at the same instant, but not for ever. */
#define MAX_STANDSTILL 10000

/* The core never runs longer than this before the limits are looked at. */
#define SLICE PS_PER_S

/* The clamps begin to feed the rail, or cease to. */
static void tell_feed(struct machine *m, bool did, uv_t level)
{
  uint32_t pins = m->supply.conducts ? m->supply.feed.pins : 0;
  if (m->supply.conducts != did)
    trace_add(&m->trace, chip_moment(&m->chip, m->now), TRACE_FED, pins,
              (uint32_t)(level / 1000));
}

static void follow_supply(struct machine *m)
{
  int64_t load = chip_load(&m->chip);
  struct feed feed = feed_of(m->script, m->part, &m->nets, &m->probe);
  supply_feed(&m->supply, &feed);
  if (!supply_due(&m->supply, load, m->now)) return;
  bool fed = m->supply.conducts;
  uv_t level = rail_level(&m->chip.rail, m->now);
  struct rail_segment s = supply_segment(&m->supply, level, load, m->now);
  tell_feed(m, fed, level);
  rail_tell(&m->chip.rail, chip_moment(&m->chip, m->now), &m->trace);
  rail_move(&m->chip.rail, &s);
}

/* What others on the board do by themselves; true if a line changed. */
static bool advance_board(struct machine *m)
{
  struct moment now = chip_moment(&m->chip, m->now);
  bool host = host_advance(&m->host, &m->nets, now, &m->trace);
  return neighbours_advance(&m->neighbours, &m->nets, m->supply.on, now) ||
         host;
}

static ps_t board_next(const struct machine *m)
{
  ps_t host = host_next(&m->host), others = neighbours_next(&m->neighbours);
  return host < others ? host : others;
}

/* Everything due now, the supply included. The part first: the board hears
 * what it has put on a line, and it what the board has. */
static void settle(struct machine *m)
{
  chip_advance(&m->chip, m->now);
  if (advance_board(m)) chip_advance(&m->chip, m->now);
  follow_supply(m);
}

bool engine_stopped(const struct machine *m, enum trace_stop *why)
{
  if (m->trace.full)
    *why = STOP_TRACE_LIMIT;
  else if (m->chip.core.instructions >= m->instruction_limit)
    *why = STOP_INSTRUCTION_LIMIT;
  else if (m->now >= ENGINE_END)
    *why = STOP_TIME_LIMIT;
  else
    return false;
  return true;
}

bool engine_idle(const struct machine *m)
{
  return m->chip.core.mode != CORE_RUNNING &&
         chip_next(&m->chip) == PS_NEVER && board_next(m) == PS_NEVER &&
         m->supply.asks_at == PS_NEVER;
}

/* Where the core must pause at the latest. */
static ps_t pause_at(const struct machine *m, ps_t until)
{
  ps_t at = chip_next(&m->chip);
  if (until < at) at = until;
  if (board_next(m) < at) at = board_next(m);
  if (m->supply.asks_at < at) at = m->supply.asks_at;
  ps_t slice = m->now + SLICE;
  return m->chip.core.mode == CORE_RUNNING && slice < at ? slice : at;
}

/* Where the visitor wants the next look, before `until`: as a cycle where the
 * core runs, else as an instant. */
static ps_t set_pause(struct machine *m, ps_t until)
{
  struct chip *c = &m->chip;
  cycle_t next = m->visitor->next;
  if (next == CYCLE_NEVER) return until;
  if (c->core.mode == CORE_RUNNING) {
    c->pause_at = next;
    return until;
  }
  if (!c->rail.up) return until;
  ps_t at = clock_time(&c->clock, next);
  return at > m->now && at < until ? at : until;
}

/* It paused for the visitor alone: nothing else would have stopped it here,
 * so nobody else may notice. */
static bool paused_for_visitor(const struct machine *m, bool ran, ps_t until)
{
  const struct chip *c = &m->chip;
  if (m->now >= until || m->now >= chip_next(c)) return false;
  if (!ran) return true;
  return c->core.mode == CORE_RUNNING && c->stop == CORE_STOP_DEADLINE &&
         c->core.cycle >= c->pause_at;
}

/* chip_run, with looks of the visitor in between. */
static ps_t run_looked_on(struct machine *m, ps_t until)
{
  if (m->visitor == NULL) return chip_run(&m->chip, m->now, until);
  for (;;) {
    m->visitor->look(m->visitor->context, until);
    bool runs = m->chip.core.mode == CORE_RUNNING;
    ps_t stop = set_pause(m, until);
    m->now = chip_run(&m->chip, m->now, stop);
    bool paused = paused_for_visitor(m, runs, until);
    m->chip.pause_at = CYCLE_NEVER;
    if (!paused) return m->now;
  }
}

void engine_pass(struct machine *m, ps_t until, engine_done done,
                 void *context)
{
  unsigned standstill = 0;
  enum trace_stop why;
  for (;;) {
    settle(m);
    m->trace.stop = false;
    if (done != NULL && done(context)) return;
    if (engine_stopped(m, &why) || m->now >= until) return;
    if (cpu_disagreement(m->cpu) != NULL) return;
    ps_t before = m->now;
    m->now = run_looked_on(m, pause_at(m, until));
    standstill = m->now == before ? standstill + 1 : 0;
    assert(standstill < MAX_STANDSTILL);
  }
}

ps_t engine_later(const struct machine *m, ps_t lasts)
{
  return lasts >= ENGINE_END - m->now ? ENGINE_END : m->now + lasts;
}
