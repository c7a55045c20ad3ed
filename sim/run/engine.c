#include "run/engine.h"

#include <assert.h>

/* An event may make others due at the same instant, but not for ever. */
#define MAX_STANDSTILL 10000

/* The core never runs longer than this before the limits are looked at. */
#define SLICE PS_PER_S

static void follow_supply(struct machine *m)
{
  int64_t load = chip_load(&m->chip);
  if (!supply_load_changed(&m->supply, load)) return;
  struct rail_segment s = supply_segment(
      &m->supply, rail_level(&m->chip.rail, m->now), load, m->now);
  rail_move(&m->chip.rail, &s);
}

/* Everything due now, the supply included. */
static void settle(struct machine *m)
{
  chip_advance(&m->chip, m->now);
  follow_supply(m);
}

bool engine_stopped(const struct machine *m, enum trace_stop *why)
{
  if (m->trace.full)
    *why = STOP_TRACE_LIMIT;
  else if (m->chip.core.instructions >= ENGINE_INSTRUCTIONS)
    *why = STOP_INSTRUCTION_LIMIT;
  else if (m->now >= ENGINE_END)
    *why = STOP_TIME_LIMIT;
  else
    return false;
  return true;
}

/* Where the core must pause at the latest. */
static ps_t pause_at(const struct machine *m, ps_t until)
{
  ps_t at = chip_next(&m->chip);
  if (until < at) at = until;
  ps_t slice = m->now + SLICE;
  return m->chip.core.mode == CORE_RUNNING && slice < at ? slice : at;
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
    ps_t before = m->now;
    m->now = chip_run(&m->chip, m->now, pause_at(m, until));
    standstill = m->now == before ? standstill + 1 : 0;
    assert(standstill < MAX_STANDSTILL);
  }
}

ps_t engine_later(const struct machine *m, ps_t lasts)
{
  return lasts >= ENGINE_END - m->now ? ENGINE_END : m->now + lasts;
}
