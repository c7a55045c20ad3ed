#include "chip/sleep.h"

#include <string.h>

#include "base/fold.h"

void sleep_init(struct sleep *s, const struct part_deep_sleep *part)
{
  *s = (struct sleep){.part = part, .wakes_at = PS_NEVER};
}

bool sleep_enter(struct sleep *s, bool sleepdeep, ps_t now)
{
  bool deep =
      s->part->present && (s->part->by_sleepdeep ? sleepdeep : s->asked);
  if (!deep || s->deep) return false;
  s->deep = true;
  int64_t hz = s->part->clock.typ;
  wide_t lasts = ((wide_t)s->ticks * PS_PER_S + hz - 1) / hz;
  s->wakes_at = s->timer ? now + (ps_t)lasts : PS_NEVER;
  return true;
}

void sleep_leave(struct sleep *s)
{
  s->deep = false;
  s->wakes_at = PS_NEVER;
}

void sleep_fold(const struct sleep *s, ps_t now, struct fold *f)
{
  struct sleep seen;
  memcpy(&seen, s, sizeof(seen));
  seen.wakes_at = fold_from_now(s->wakes_at, now);
  fold_add(f, &seen, sizeof(seen));
}
