/* rail.h -- what the supply voltage allows.
 *
 * The board says how the voltage moves: one segment at a time, straight or
 * exponential. This block knows the thresholds and finds the instant at which
 * each is crossed.
 *
 *   threshold        falling through it            rising through it
 *   BROWN_OUT_FALL   the part is reset and held    -
 *   BROWN_OUT_RISE   -                             the detector lets go
 *   ON_FALL          the part is reset and held    -
 *   ON_RISE          -                             the comparator lets go
 *   RAM_KEEP         RAM content is lost           -
 *   REARM            the re-arm time begins        it ends
 *
 * The part is up while both the comparator (ON) and the detector (BROWN_OUT)
 * let it go; the detector is there if the part has levels, and at the level
 * that is in force: the default one after a power-on, until rail_choose says
 * what an option field asks for.
 *
 * The rule a reader would get wrong: coming up is a power-on only if the rail
 * has been below REARM for the re-arm time since the last one. Otherwise it
 * is a brown-out, and whatever that row of the reset table keeps is kept: the
 * power cycle that was none. The chosen brown-out level is kept with it.
 *
 *   OFF --(both let go)--> UP --(< ON_FALL or < BROWN_OUT_FALL)--> OFF
 *
 * Not modelled: detector delay; a detector that is switched off in deep sleep.
 *
 * Owns: its fields. Borrows: the part.
 */
#ifndef CHIP_RAIL_H
#define CHIP_RAIL_H

#include <stdbool.h>

#include "base/decay.h"
#include "base/trace.h"
#include "base/units.h"
#include "describe/part.h"

struct fold;

#define RAIL_THRESHOLDS 6

/* The voltage goes one way from `from` at `at` to `to` at `until`, and stays
 * there: straight, or along `decay` (in uV), counted from `at`. */
struct rail_segment {
  ps_t at, until;
  uv_t from, to;
  struct decay decay; /* tau_fs 0: straight */
};

uv_t rail_segment_level(const struct rail_segment *s, ps_t now);

/* First instant at which the segment is at or above `level` (rising), or
 * below it (falling); PS_NEVER if it does not get there. */
ps_t rail_segment_crosses(const struct rail_segment *s, uv_t level,
                          bool rising);

/* What a crossing means for the rest of the part. */
enum rail_event { RAIL_NOTHING, RAIL_DOWN, RAIL_POWER_ON, RAIL_BROWN_OUT };

struct rail {
  const struct part_power *part;
  struct rail_segment segment;
  bool up;            /* the part is let go */
  bool on;            /* the comparator lets it */
  bool brown_out_off; /* the detector does not */
  uint32_t level;     /* of the detector, index; PART_NONE: none is in force */
  bool above[RAIL_THRESHOLDS]; /* by enum trace_threshold */
  bool armed;                  /* the next rise is a power-on */
  bool ram_lost;               /* in this excursion */
  ps_t rearm_since;            /* fell below REARM then; PS_NEVER: above */
  ps_t rearm_longest;          /* in this excursion */
  uv_t lowest;                 /* in this excursion */
  ps_t next_at;                /* the next crossing ... */
  unsigned next;               /* ... of this threshold */
};

/* 0 V for longer than any re-arm time. */
void rail_init(struct rail *r, const struct part_power *part);

/* The voltage moves otherwise from now on. */
void rail_move(struct rail *r, const struct rail_segment *segment);

/* Record the level, unless it is still that at which its last move began. */
void rail_tell(const struct rail *r, struct moment now, struct trace *tr);

uv_t rail_level(const struct rail *r, ps_t now);

/* The instant of the next crossing, or PS_NEVER. */
static inline ps_t rail_next(const struct rail *r)
{
  return r->next_at;
}

/* The level of the brown-out detector that is in force from now on, or
 * PART_NONE. RAIL_DOWN: the rail is below it. */
enum rail_event rail_choose(struct rail *r, uint32_t level, struct moment now,
                            struct trace *tr);

/* The highest level at which the part does not run: just below the threshold
 * that is met first as the rail falls. */
uv_t rail_too_low(const struct rail *r);

/* Carry out the earliest crossing that is not after `now`, if any; call until
 * it returns RAIL_NOTHING and rail_next() is later than now. */
enum rail_event rail_advance(struct rail *r, struct moment now,
                             struct trace *tr);

/* As it is seen from now (base/fold.h). How low it came is for reports; for
 * how long below REARM counts until the next rise is a power-on. */
void rail_fold(const struct rail *r, ps_t now, struct fold *f);

#endif
