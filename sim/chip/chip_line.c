#include "chip/chip_line.h"

#include "chip/chip.h"

#define NA_PER_MA 1000000

bool chip_line_low(const struct chip *c)
{
  return line_is_plain(&c->line) ? reset_line_low(&c->reset) : c->line.low;
}

void chip_wire_line(struct chip *c, const struct line_wiring *wiring)
{
  line_wire(&c->line, wiring);
}

/* A push-pull host against whoever pulls: begins, ends. */
static void tell_fight(struct chip *c, struct moment now)
{
  int64_t na = line_fight(&c->line, rail_level(&c->rail, now.at));
  bool fights = na > 0;
  if (fights == (c->line_fight_at != PS_NEVER)) return;
  if (fights) {
    c->line_fight_at = now.at;
    trace_add(c->trace, now, TRACE_LINE_FIGHT, (uint32_t)(na / NA_PER_MA),
              na > c->part->pins.current_limit.typ);
    return;
  }
  ps_t lasted = (now.at - c->line_fight_at) / PS_PER_US;
  c->line_fight_at = PS_NEVER;
  trace_add(c->trace, now, TRACE_LINE_FIGHT_END,
            lasted > UINT32_MAX ? UINT32_MAX : (uint32_t)lasted, 0);
}

/* True if the line is now pulled by somebody and was by nobody, or the other
 * way round. */
static bool pull(struct chip *c, enum trace_driver driver, bool low,
                 struct moment now)
{
  bool changed = reset_pull(&c->reset, driver, low, now, c->trace);
  if (line_is_plain(&c->line)) return changed;
  line_pull(&c->line, c->reset.pulled, now.at);
  tell_fight(c, now);
  return changed;
}

void chip_pull_line(struct chip *c, enum trace_driver driver, bool low,
                    ps_t now)
{
  struct moment m = chip_moment(c, now);
  bool changed = pull(c, driver, low, m);
  if (!changed || !line_is_plain(&c->line)) return;
  if (low)
    chip_request_reset(c, CAUSE_PIN);
  else if (c->boot.phase == BOOT_LINE)
    boot_enter(&c->boot, BOOT_LINE, now);
}

void chip_drive_line(struct chip *c, bool low, struct moment now)
{
  ps_t least = c->line_driven_at + c->part->reset_line.drive.typ;
  if (low) {
    c->line_driven_at = now.at;
    line_hold(&c->line, PS_NEVER);
  } else if (c->reset.pulled & (1u << DRIVER_PART) && now.at < least) {
    line_hold(&c->line, least);
    return;
  }
  pull(c, DRIVER_PART, low, now);
}

/* Low for long enough: a reset, if somebody outside did it. */
static void seen(struct chip *c, struct moment now)
{
  trace_add(c->trace, now, TRACE_LINE_SEEN, 0, 0);
  if (c->line.outside)
    chip_request_reset(c, CAUSE_PIN);
  else if (c->part->reset_line.own_flag && c->part->resets[CAUSE_PIN].flag)
    reset_set_flag(&c->reset, CAUSE_PIN, now, c->trace);
}

static uint32_t nanoseconds(ps_t ps)
{
  return ps / PS_PER_NS > UINT32_MAX ? UINT32_MAX : (uint32_t)(ps / PS_PER_NS);
}

bool chip_follow_line(struct chip *c, struct moment now)
{
  if (line_is_plain(&c->line)) return false;
  switch (line_advance(&c->line, now.at)) {
  case LINE_NOTHING: return false;
  case LINE_SEEN: seen(c, now); break;
  case LINE_LET_GO: pull(c, DRIVER_PART, false, now); break;
  case LINE_LOST:
    trace_add(c->trace, now, TRACE_PULSE_LOST, nanoseconds(c->line.lasted), 0);
    break;
  case LINE_HIGH: trace_add(c->trace, now, TRACE_LINE_SEEN, 1, 0); break;
  }
  if (c->boot.phase == BOOT_LINE && !c->line.low)
    boot_enter(&c->boot, BOOT_LINE, now.at);
  return true;
}
