#include <string.h>

#include "base/fold.h"
#include "core/bus.h"
#include "core/core.h"
#include "core/cycles.h"

/* How far back the prefetch buffer remembers (core/pace.c): what lies before
 * that counts as lying there. */
static cycle_t prefetch_room(const struct core *c, const struct bus *bus)
{
  uint32_t most = 0;
  for (unsigned i = 0; i < bus->region_count; i++)
    if (bus->regions[i].wait_states > most) most = bus->regions[i].wait_states;
  return (cycle_t)(c->part->prefetch_words - 1) * (most + 1);
}

static cycle_t prefetch(const struct core *c, const struct bus *bus)
{
  if (c->part->prefetch_words == 0) return 0;
  cycle_t room = prefetch_room(c, bus), ready = c->fetch_ready - c->cycle;
  return ready < -room ? -room : ready;
}

/* A request that is older than the entry it overlaps says nothing more. */
static cycle_t request(const struct core *c)
{
  cycle_t age = c->cycle - c->pended_at;
  bool old =
      c->pended_at == CYCLE_NEVER || age > cycles_entry_overlap(c->part->kind);
  return old ? CYCLE_NEVER : -age;
}

/* Of these two, only whether an instruction came since is ever asked. */
static void fold_counts(const struct core *c, struct core *seen)
{
  seen->entered_at = c->entered_at == c->instructions + 1;
  seen->retired_seen = c->retired_seen != c->instructions;
  seen->instructions = seen->counted = 0;
}

void core_fold(const struct core *c, const struct bus *bus, struct fold *f)
{
  struct core seen;
  memcpy(&seen, c, sizeof(seen));
  seen.alarm = c->alarm == CYCLE_NEVER ? CYCLE_NEVER : c->alarm - c->cycle;
  seen.fetch_ready = prefetch(c, bus);
  seen.systick.at = c->systick.enabled ? c->systick.at - c->cycle : 0;
  seen.pended_at = request(c);
  if (c->came_due != CYCLE_NEVER) seen.came_due -= c->cycle;
  if (!c->progress.begun) memset(&seen.progress, 0, sizeof(seen.progress));
  fold_counts(c, &seen);
  seen.deadline = seen.cycle = 0;
  fold_add(f, &seen, sizeof(seen));
}
