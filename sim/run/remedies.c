#include "run/remedies.h"

#include <stdio.h>
#include <string.h>

#include "describe/names.h"

static void add(struct finding *f, struct arena *arena, const char *text)
{
  const uint32_t most = sizeof(f->remedies) / sizeof(f->remedies[0]);
  if (f->remedy_count < most)
    f->remedies[f->remedy_count++] = arena_text(arena, text);
}

static void power_on_text(const struct plan *plan, char *text, size_t size)
{
  const struct part_power *p = &plan->part->power;
  char level[32], time[32];
  units_text(level, sizeof(level), UNIT_VOLTAGE, p->rearm_below.typ);
  units_text(time, sizeof(time), UNIT_TIME, p->rearm_for.typ);
  snprintf(text, size, "a power-on with the rail below %s for %s%s", level,
           time,
           plan->script->supply.removable
               ? ""
               : " (this board's supply can't be switched off)");
}

static void cause_text(const struct plan *plan, enum cause cause, char *text,
                       size_t size)
{
  switch (cause) {
  case CAUSE_POWER_ON: power_on_text(plan, text, size); break;
  case CAUSE_OPTION_RELOAD:
    snprintf(text, size, "an option reload, even one that changes nothing");
    break;
  case CAUSE_PIN: snprintf(text, size, "a reset by the reset line"); break;
  default:
    snprintf(text, size, "a reset by cause %s", cause_word(cause));
    break;
  }
}

void remedies_for_latch(const struct plan *plan, struct arena *arena,
                        struct finding *finding)
{
  char text[160];
  const struct part_register *reg;
  const struct part_field *latch = part_field_of(plan->part, ROLE_LATCH, &reg);
  if (latch != NULL && latch->access != ACCESS_RO) {
    snprintf(text, sizeof(text), "a write to %s.%s", reg->block, reg->name);
    add(finding, arena, text);
  }
  /* what a person can do comes first; power is the last resort */
  static const enum cause order[] = {CAUSE_OPTION_RELOAD, CAUSE_PIN,
                                     CAUSE_SOFTWARE, CAUSE_DEEP_SLEEP_EXIT,
                                     CAUSE_POWER_ON};
  for (size_t i = 0; i < sizeof(order) / sizeof(order[0]); i++) {
    const struct part_reset *row = &plan->part->resets[order[i]];
    if (!row->present || !row->does[RESET_LATCH]) continue;
    cause_text(plan, order[i], text, sizeof(text));
    add(finding, arena, text);
  }
}
