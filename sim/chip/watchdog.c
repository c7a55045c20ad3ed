#include "chip/watchdog.h"

#include <string.h>

#include "base/fold.h"

void watchdog_init(struct watchdog *w, const struct part_watchdog *part)
{
  *w = (struct watchdog){.part = part, .held_at = PS_NEVER};
  watchdog_stop(w);
}

void watchdog_stop(struct watchdog *w)
{
  w->running = w->freeze = false;
  w->reload = w->part->reload;
  w->window = 0;
  w->due_at = PS_NEVER;
}

/* The first instant at which so many ticks are over. */
static ps_t ticks(const struct watchdog *w, int64_t count)
{
  int64_t hz = w->part->clock.typ;
  return (ps_t)(((wide_t)count * PS_PER_S + hz - 1) / hz);
}

static void begin(struct watchdog *w, ps_t now)
{
  w->begun_at = now;
  w->due_at = w->held_at == PS_NEVER ? now + ticks(w, (int64_t)w->reload + 1)
                                     : PS_NEVER;
  if (w->held_at != PS_NEVER) w->held_at = now;
}

void watchdog_start(struct watchdog *w, ps_t now)
{
  if (!w->part->present || w->running) return;
  w->running = true;
  begin(w, now);
}

bool watchdog_kick(struct watchdog *w, ps_t now)
{
  if (!w->running) return true;
  int64_t early = (int64_t)w->reload + 1 - w->window;
  if (w->window > 0 && early > 0 &&
      watchdog_counted(w, now) < ticks(w, early)) {
    w->due_at = now;
    return false;
  }
  begin(w, now);
  return true;
}

void watchdog_hold(struct watchdog *w, bool hold, ps_t now)
{
  if (hold == (w->held_at != PS_NEVER)) return;
  if (hold) {
    w->held_at = now;
    w->due_at = PS_NEVER;
    return;
  }
  if (w->running) {
    w->begun_at += now - w->held_at;
    w->due_at = w->begun_at + ticks(w, (int64_t)w->reload + 1);
  }
  w->held_at = PS_NEVER;
}

ps_t watchdog_counted(const struct watchdog *w, ps_t now)
{
  return (w->held_at == PS_NEVER ? now : w->held_at) - w->begun_at;
}

void watchdog_fold(const struct watchdog *w, ps_t now, struct fold *f)
{
  struct watchdog seen;
  memcpy(&seen, w, sizeof(seen));
  seen.begun_at = w->running ? -watchdog_counted(w, now) : 0;
  seen.due_at = fold_from_now(w->due_at, now);
  if (w->held_at != PS_NEVER) seen.held_at = 0;
  fold_add(f, &seen, sizeof(seen));
}
