#include "chip/chip_watch.h"

#include <string.h>

#include "chip/chip.h"

/* ARM DDI 0419E, B3.2.7 */
#define CONTROL_SLEEPDEEP 0x04u

/* --- watchdog ------------------------------------------------------------ */

static uint32_t microseconds(ps_t ps)
{
  return ps / PS_PER_US > UINT32_MAX ? UINT32_MAX : (uint32_t)(ps / PS_PER_US);
}

static void tell(struct chip *c, enum trace_watchdog what, ps_t counted,
                 struct moment now)
{
  trace_add(c->trace, now, TRACE_WATCHDOG, what, microseconds(counted));
}

static bool stands_still(const struct chip *c)
{
  const struct part_watchdog *part = &c->part->watchdog;
  bool freezes = part->in_halt == WATCHDOG_FREEZES || c->watchdog.freeze;
  if (!c->rail.up) return true;
  if (c->core.mode == CORE_HALTED) return freezes;
  return c->sleep.deep && part->in_deep_sleep == WATCHDOG_FREEZES;
}

void chip_follow_watchdog(struct chip *c, struct moment now)
{
  struct watchdog *w = &c->watchdog;
  if (!w->running) return;
  watchdog_hold(w, stands_still(c), now.at);
  if (w->due_at > now.at) return;
  tell(c, WATCHDOG_EXPIRED, watchdog_counted(w, now.at), now);
  chip_request_reset(c, CAUSE_WATCHDOG);
  w->due_at = PS_NEVER;
  w->running = false; /* a reset that does not stop it begins it anew */
  c->watchdog_owed = true;
}

void chip_start_watchdog(struct chip *c, bool by_option, struct moment now)
{
  const struct part_watchdog *part = &c->part->watchdog;
  if (!part->present || c->watchdog.running) return;
  if (by_option && !c->watchdog_owed) {
    if (part->option == NULL) return;
    const char *value =
        part_option_value_name(c->part, part->option, c->options.active);
    if (value == NULL || strcmp(value, part->when) != 0) return;
  }
  c->watchdog_owed = false;
  watchdog_start(&c->watchdog, now.at);
  tell(c, WATCHDOG_STARTED, 0, now);
}

void chip_kick_watchdog(struct chip *c, struct moment now)
{
  struct watchdog *w = &c->watchdog;
  if (!w->running) return;
  ps_t counted = watchdog_counted(w, now.at);
  bool in_time = watchdog_kick(w, now.at);
  tell(c, in_time ? WATCHDOG_FED : WATCHDOG_TOO_EARLY, counted, now);
}

/* --- deep sleep ---------------------------------------------------------- */

static bool wakes_by_pin(const struct chip *c)
{
  return pins_sense(&c->pins) & c->sleep.wake_pins;
}

void chip_follow_sleep(struct chip *c, struct moment now)
{
  struct sleep *s = &c->sleep;
  if (c->core.mode != CORE_SLEEPING) {
    sleep_leave(s);
    return;
  }
  bool sleepdeep = c->core.system_control & CONTROL_SLEEPDEEP;
  if (sleep_enter(s, sleepdeep, now.at))
    trace_add(c->trace, now, TRACE_DEEP_SLEEP, SLEEP_ENTERED, c->core.r[15]);
  if (!s->deep) return;
  bool by_pin = wakes_by_pin(c);
  if (!by_pin && s->wakes_at > now.at) return;
  trace_add(c->trace, now, TRACE_DEEP_SLEEP,
            by_pin ? SLEEP_WOKEN_BY_PIN : SLEEP_WOKEN_BY_TIMER, c->core.r[15]);
  sleep_leave(s);
  chip_request_reset(c, CAUSE_DEEP_SLEEP_EXIT);
}
