/* rail.h -- what the supply voltage allows.
 *
 * The board says how the voltage moves: one straight segment at a time. This
 * block knows the thresholds and finds the instant at which each is crossed.
 *
 *   threshold   falling through it               rising through it
 *   ON_FALL     the part is reset and held       -
 *   ON_RISE     -                                a power-on, or a brown-out
 *   RAM_KEEP    RAM content is lost              -
 *   REARM       the re-arm time begins           it ends
 *
 * The rule a reader would get wrong: rising through ON_RISE is a power-on
 * only if the rail has been below REARM for the re-arm time since the last
 * one. Otherwise it is a brown-out, and whatever that row of the reset table
 * keeps is kept: the power cycle that was none.
 *
 *   OFF --(>= ON_RISE)--> UP --(< ON_FALL)--> OFF
 *
 * Not modelled: detector delay; the separate brown-out detector.
 *
 * Owns: its fields. Borrows: the part.
 */
#ifndef CHIP_RAIL_H
#define CHIP_RAIL_H

#include <stdbool.h>

#include "base/trace.h"
#include "base/units.h"
#include "describe/part.h"

#define RAIL_THRESHOLDS 4

/* The voltage from `at` to `until` goes straight from `from` to `to`, and
 * stays there. */
struct rail_segment {
  ps_t at, until;
  uv_t from, to;
};

/* What a crossing means for the rest of the part. */
enum rail_event { RAIL_NOTHING, RAIL_DOWN, RAIL_POWER_ON, RAIL_BROWN_OUT };

struct rail {
  const struct part_power *part;
  struct rail_segment segment;
  bool up;                     /* between ON_RISE and the next ON_FALL */
  bool above[RAIL_THRESHOLDS]; /* by enum trace_threshold */
  bool armed;                  /* the next rise is a power-on */
  bool ram_lost;               /* in this excursion */
  ps_t rearm_since;            /* fell below REARM then; PS_NEVER: above */
  ps_t rearm_longest;          /* in this excursion */
  uv_t lowest;                 /* in this excursion */
};

/* 0 V for longer than any re-arm time. */
void rail_init(struct rail *r, const struct part_power *part);

/* The voltage moves otherwise from now on. */
void rail_move(struct rail *r, const struct rail_segment *segment);

uv_t rail_level(const struct rail *r, ps_t now);

/* The instant of the next crossing, or PS_NEVER. */
ps_t rail_next(const struct rail *r);

/* Carry out the earliest crossing that is not after `now`, if any; call until
 * it returns RAIL_NOTHING and rail_next() is later than now. */
enum rail_event rail_advance(struct rail *r, struct moment now,
                             struct trace *tr);

#endif
