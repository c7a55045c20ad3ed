#include "run/engine.h"

#include <assert.h>

/* An event may make others due at the same instant, but not for ever. */
#define MAX_STANDSTILL 10000

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

void engine_pass(struct machine *m, ps_t until, engine_done done,
                 void *context)
{
  unsigned standstill = 0;
  for (;;) {
    settle(m);
    m->trace.stop = false;
    if (done != NULL && done(context)) return;
    if (m->trace.full || m->now >= until) return;
    ps_t next = chip_next(&m->chip);
    ps_t before = m->now;
    m->now = chip_run(&m->chip, m->now, next < until ? next : until);
    standstill = m->now == before ? standstill + 1 : 0;
    assert(standstill < MAX_STANDSTILL);
  }
}

ps_t engine_later(const struct machine *m, ps_t lasts)
{
  return lasts >= ENGINE_END - m->now ? ENGINE_END : m->now + lasts;
}
