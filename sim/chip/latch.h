/* latch.h -- the outcome of a blank check, held until the next sample.
 *
 *   first words  ____blank____/------------programmed-----------
 *   sample       _|_________________________________|___________
 *   latch        blank-------- still blank ---------/programmed-
 *                              ^^^^^^^^^^^ stale
 *
 * The start rules read the latch, never the flash. That gap is where "it
 * still boots to ROM" lives. Which resets sample is the part's reset table;
 * here is only the bit.
 *
 * Not modelled: a latch that loses its value without losing power.
 *
 * Owns: its fields.
 */
#ifndef CHIP_LATCH_H
#define CHIP_LATCH_H

#include <stdbool.h>

#include "base/trace.h"
#include "base/units.h"
#include "describe/trace_kinds.h"

struct latch {
  bool valid;      /* false until first sampled */
  bool programmed; /* what the start rules act on */
};

/* Unknown, as before first power. */
void latch_init(struct latch *l);

/* Take over a value and say who gave it. */
void latch_set(struct latch *l, bool programmed, enum trace_sampler by,
               struct moment now, struct trace *tr);

#endif
