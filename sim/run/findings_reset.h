/* findings_reset.h -- what follows from resets: why was the watchdog not fed,
 * was a pulse seen, who fought the line?
 *
 * A fold that keeps, at each expiry, what was under way: an order of the
 * flash, the boot ROM, or a program. Each is told once, with how often.
 *
 * Owns: nothing.
 */
#ifndef RUN_FINDINGS_RESET_H
#define RUN_FINDINGS_RESET_H

#include "run/findings.h"

enum starved {
  STARVED_BY_FLASH,
  STARVED_BY_ROM,
  STARVED_BY_PROGRAM,
  STARVED_TOO_EARLY, /* it was fed too early */
  STARVED_COUNT_
};

struct reset_facts {
  const struct plan *plan;
  const struct starts *starts;
  bool flash_busy;
  bool too_early; /* told, and not expired yet */
  uint32_t count[STARVED_COUNT_];
  uint32_t start[STARVED_COUNT_]; /* number of the first */
  uint32_t us[STARVED_COUNT_];    /* that the first had counted */
  uint32_t pulses, pulse_ns;      /* lost; how long the first was */
  uint32_t pulse_start;
  uint32_t fights, fight_ma; /* on the line; of the first */
  uint32_t fight_start;
  uint64_t fight_us;      /* in all */
  uint32_t fights_unseen; /* the part read the line as high */
  bool seen;              /* low, in the fight that goes on */
};

void reset_facts_init(struct reset_facts *f, const struct plan *plan,
                      const struct starts *starts, struct trace *tr);

/* The run is over. */
void findings_reset(struct findings *f, const struct reset_facts *facts);

#endif
