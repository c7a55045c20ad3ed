/* sleep.h -- deep sleep: everything stands still until a pin or a timer wakes
 * the part, by a reset.
 *
 * The core sleeps (WFI, WFE, sleep on exit), and it is deep if the part's own
 * bit or SLEEPDEEP (ARM DDI 0419E, B3.2.7) says so: no interrupt and no event
 * wakes it then, for their clocks stand still. What the reset at its end
 * loads, samples and keeps is in the row deep_sleep_exit.
 *
 * A wake pin wakes while it is high, also one that is high already. The timer
 * counts ticks of its own clock from the entry on.
 *
 * Not modelled: a deep sleep that the program goes on from; the time that
 * waking takes, besides the row's sequence.
 *
 * Owns: its fields. Borrows: the part.
 */
#ifndef CHIP_SLEEP_H
#define CHIP_SLEEP_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "describe/part.h"

struct fold;

struct sleep {
  const struct part_deep_sleep *part;
  bool asked;         /* by the part's own bit */
  uint64_t wake_pins; /* bit per pin */
  uint32_t ticks;     /* of the timer */
  bool timer;         /* it wakes */
  bool deep;          /* asleep so */
  ps_t wakes_at;      /* by the timer; PS_NEVER */
};

void sleep_init(struct sleep *s, const struct part_deep_sleep *part);

/* The core sleeps, with SLEEPDEEP set or not: true if it is deep now, and was
 * not before. */
bool sleep_enter(struct sleep *s, bool sleepdeep, ps_t now);

/* It sleeps no longer. */
void sleep_leave(struct sleep *s);

/* As it is seen from now (base/fold.h). */
void sleep_fold(const struct sleep *s, ps_t now, struct fold *f);

#endif
