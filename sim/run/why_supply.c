/* What supply and reset line have to do with it. */
#include <inttypes.h>

#include "run/why_parts.h"

uint32_t why_last_step(const struct why_case *w,
                       bool (*is)(const struct step *))
{
  for (uint32_t i = w->script->step_count; i-- > 0;)
    if (is(&w->script->steps[i])) return i;
  return PART_NONE;
}

/* --- the supply ---------------------------------------------------------- */

static bool switches_off(const struct step *s)
{
  return s->verb == VERB_POWER && s->power == POWER_OFF;
}

/* Off so briefly that the rail fell half as far as re-arm asks, and too
 * briefly to fall at all: two stories. */
void why_no_power_cycle(const struct why_case *w, struct proposals *p)
{
  uint32_t step = why_last_step(w, switches_off);
  char time[32];
  if (step == PART_NONE) return;
  why_edit(why_begin(p, WHY_NO_POWER_CYCLE, "the power was never off"),
           EDIT_DROP, step, NULL);
  ps_t whole = w->script->steps[step].lasts;
  for (ps_t off = whole / 2; off > PS_PER_US; off /= 3)
    why_edit(
        why_begin(p, WHY_NO_POWER_CYCLE,
                  why_format(w, "the power was off for %s only",
                             units_text(time, sizeof(time), UNIT_TIME, off))),
        EDIT_REPLACE, step,
        why_format(w, "{\"power\": \"off\", \"for\": \"%" PRId64 "us\"}",
                   (int64_t)(off / PS_PER_US)));
}

/* Straps, debug pins, and those of the serial port. */
static uint64_t pins_in_use(const struct part *part)
{
  const struct part_pins *pins = &part->pins;
  uint64_t used = pins->debug;
  if (pins->serial_transmit != PART_NONE)
    used |= UINT64_C(1) << pins->serial_transmit;
  if (pins->serial_receive != PART_NONE)
    used |= UINT64_C(1) << pins->serial_receive;
  for (uint32_t i = 0; i < part->strap_count; i++)
    used |= UINT64_C(1) << part->straps[i].pin;
  return used;
}

/* A pin that something else on the board may drive, or NULL: one on a net that
 * is tied to nothing, else any that the part has no use of its own for. */
static const char *free_pin(const struct why_case *w)
{
  uint64_t used = pins_in_use(w->part);
  for (uint32_t i = 0; i < w->script->net_count; i++) {
    const struct case_net *n = &w->script->nets[i];
    for (uint32_t k = 0; k < n->pin_count && !n->fixed; k++) {
      uint32_t pin = part_pin_named(w->part, n->pins[k]);
      if (pin != PART_NONE && !(used >> pin & 1)) return n->pins[k];
    }
  }
  for (uint32_t i = 0; i < w->part->pins.count; i++)
    if (!(used >> i & 1)) return w->part->pins.names[i];
  return NULL;
}

/* A signal through 10 kohm (assumed), of 60 % of the supply's voltage as of a
 * rail of its own, and not so high that the part could run on it: that would
 * look as if the power had never been off. */
void why_back_powered(const struct why_case *w, struct proposals *p)
{
  const char *pin = free_pin(w);
  int64_t most = w->part->power.on_fall.typ + w->part->pins.clamp_drop.typ;
  int64_t level = w->script->supply.source_uv / 10 * 6;
  int64_t mv = (level < most ? level : most) / 1000;
  if (why_last_step(w, switches_off) == PART_NONE || pin == NULL) return;
  struct proposal *new = why_begin(
      p, WHY_BACK_POWERED,
      why_format(w, "%s high, %" PRId64 " mV through 10 kohm", pin, mv));
  why_edit(new, EDIT_BOARD, 0,
           why_format(w,
                      "{\"signals\": {\"level\": \"%" PRId64 "mV\","
                      " \"through\": \"10kohm\"}}",
                      mv));
  why_edit(new, EDIT_FIRST, 0,
           why_format(w, "[{\"drive\": \"%s\", \"level\": \"high\"}]", pin));
}

/* --- the reset line ------------------------------------------------------ */

static bool pulls_line(const struct step *s)
{
  return s->verb == VERB_RESET && s->reset == RESET_CAUSE &&
         s->cause == CAUSE_PIN;
}

void why_reset_lost(const struct why_case *w, struct proposals *p)
{
  uint32_t step = why_last_step(w, pulls_line);
  if (step != PART_NONE)
    why_edit(why_begin(p, WHY_RESET_LOST, NULL), EDIT_DROP, step, NULL);
}
