#include "run/findings_power.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#define TEXT 600

/* The start that came of it, or 0. */
static uint32_t start_after(const struct findings *f,
                            const struct power_cycle *c)
{
  for (uint32_t i = 0; i < f->starts->count; i++)
    if (f->starts->list[i].at >= c->back) return f->starts->list[i].number;
  return 0;
}

static const char *volts(char *buf, uv_t level)
{
  return units_text(buf, 32, UNIT_VOLTAGE, level);
}

static const char *time_of(char *buf, ps_t lasts)
{
  return units_text(buf, 32, UNIT_TIME, lasts);
}

/* "off for 5.6 s would have sufficed", or why nothing would. */
static void put_enough(const struct power_cycle *c, char *text, size_t size)
{
  char amount[32];
  if (!c->never)
    snprintf(text, size, "Off for %s would have sufficed",
             time_of(amount, c->enough));
  else if (c->fed)
    snprintf(text, size,
             "No time off would have sufficed: the rail is back-powered to %s",
             volts(amount, c->stays));
  else
    snprintf(text, size,
             "No time off would have sufficed: nothing draws the rail below "
             "%s",
             volts(amount, c->stays));
}

static void no_power_on(struct findings *f, const struct power_cycle *c)
{
  const struct part_power *p = &f->plan->part->power;
  char text[TEXT], enough[120], lowest[32], rearm[32], needs[32], below[32];
  put_enough(c, enough, sizeof(enough));
  volts(rearm, p->rearm_below.typ);
  time_of(needs, p->rearm_for.typ);
  snprintf(text, sizeof(text),
           "The power cycle was none: the rail fell to %s and was below the "
           "re-arm level of %s for %s; a power-on needs %s there. The part "
           "went through brown_out instead. %s.",
           volts(lowest, c->lowest), rearm, time_of(below, c->below_rearm),
           needs, enough);
  struct finding *finding =
      findings_add(f, FINDING_NO_POWER_ON, start_after(f, c), text);
  if (c->never) {
    findings_remedy(f, finding,
                    c->fed ? "let go of every signal that is driven high, or "
                             "unplug what drives it, while the supply is off"
                           : "give the rail a bleed resistor");
  } else {
    snprintf(text, sizeof(text), "stay off until the rail is below %s for %s",
             rearm, needs);
    findings_remedy(f, finding, text);
  }
  findings_remedy(f, finding,
                  "discharge the rail through a resistor while "
                  "off");
}

static void back_powered(struct findings *f, const struct power_cycle *c)
{
  char text[TEXT], stays[32], started[80] = "";
  if (!c->fed || (!c->never && c->started == 0)) return;
  if (c->started > 0)
    snprintf(started, sizeof(started),
             " It even came up on them alone, %" PRIu32 " time%s.", c->started,
             c->started == 1 ? "" : "s");
  snprintf(text, sizeof(text),
           "While the supply was off, signals that were driven high fed the "
           "rail through the clamps of the pins: it stays at %s for as long "
           "as they are, and the part is not without power.%s Clamps carry "
           "little; what flows there may destroy the part.",
           volts(stays, c->stays), started);
  struct finding *finding =
      findings_add(f, FINDING_BACK_POWERED, start_after(f, c), text);
  findings_remedy(f, finding,
                  "let go of the signals, or drive them low, before the "
                  "supply is switched off");
  findings_remedy(f, finding,
                  "a series resistance in the signals, with a load on the "
                  "rail that takes more than comes through");
}

static void dip_reset(struct findings *f, const struct power_cycle *c)
{
  char text[TEXT], lowest[32];
  bool power_on = c->answer == POWER_CYCLE_POWER_ON;
  snprintf(text, sizeof(text),
           "The dip took the rail to %s, and the part went through %s: %s; "
           "RAM %s its content. What that row of the reset table keeps, "
           "outlived it.",
           volts(lowest, c->lowest), power_on ? "power_on" : "brown_out",
           power_on ? "it was a power cycle" : "it was no power cycle",
           c->ram_kept ? "kept" : "lost");
  struct finding *finding =
      findings_add(f, FINDING_DIP_RESET, start_after(f, c), text);
  findings_remedy(f, finding, "more bulk capacitance on the rail");
}

static void weak_supply(struct findings *f, const struct power_cycles *p,
                        int64_t charge_nc)
{
  const struct case_supply *s = &f->plan->script->supply;
  char text[TEXT], source[32], resistance[32];
  if (p->brown_outs == 0) return;
  snprintf(text, sizeof(text),
           "The supply (%s behind %s) could not carry the part: its own load "
           "took the rail down, and it tried again, %" PRIu32
           " time%s. The source gave %" PRId64 ".%03" PRId64
           " uC over the whole run.",
           volts(source, s->source_uv),
           units_text(resistance, sizeof(resistance), UNIT_RESISTANCE,
                      s->resistance_mohm),
           p->brown_outs, p->brown_outs == 1 ? "" : "s", charge_nc / 1000,
           charge_nc < 0 ? 0 : charge_nc % 1000);
  struct finding *finding = findings_add(f, FINDING_WEAK_SUPPLY, 0, text);
  findings_remedy(f, finding,
                  "a bulk capacitor that carries the start by itself");
  findings_remedy(f, finding,
                  "a source of less resistance: a warm or fresh "
                  "cell, a shorter path");
  findings_remedy(f, finding,
                  "start with less load: a slower clock, peripherals off, "
                  "sleep until the rail has recovered");
}

void findings_power(struct findings *f, const struct power_cycles *cycles,
                    int64_t charge_nc)
{
  for (uint32_t i = 0; i < cycles->count; i++) {
    const struct power_cycle *c = &cycles->list[i];
    bool reset = c->answer == POWER_CYCLE_BROWN_OUT ||
                 c->answer == POWER_CYCLE_POWER_ON;
    if (c->dip && reset) dip_reset(f, c);
    if (!c->dip && c->answer == POWER_CYCLE_BROWN_OUT) no_power_on(f, c);
    if (!c->dip) back_powered(f, c);
  }
  weak_supply(f, cycles, charge_nc);
}
