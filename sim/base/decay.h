/* decay.h -- a capacitor behind a resistance: the exponential, in whole
 * numbers.
 *
 * A quantity moves along
 *
 *   x(t) = aim + slope * t + gap * e^(-t / tau)
 *
 * between two bounds that it does not leave, and does not turn around in
 * between: who asks sees to that (decay_turns says where it would). e^(-x) is
 * worked out to 62 binary places by halving and a series of 24 terms
 * (base/decay.c).
 *
 * Error: of x(t), less than one unit (a microvolt, say) besides the rounding
 * to whole units, for gaps up to 2^54. An instant that decay_first finds is
 * the first picosecond at which x(t), so computed, is there; it differs from
 * the true one by no more than the time in which x moves by that one unit.
 *
 * tau in femtoseconds: milliohm times picofarad is that, with nothing to
 * round.
 *
 * Owns: nothing.
 */
#ifndef BASE_DECAY_H
#define BASE_DECAY_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"

#define FS_PER_PS 1000

/* tau of which the sum with time still fits, 10^6 s (1 Mohm, 1 F). */
#define DECAY_LONGEST ((wide_t)1000000 * PS_PER_S * FS_PER_PS)

struct decay {
  wide_t tau_fs; /* > 0, at most DECAY_LONGEST */
  int64_t gap;
  int64_t aim;       /* at t = 0 */
  int64_t slope_way; /* the aim moves by so much ... */
  ps_t slope_lasts;  /* ... in this time; 0: it stands */
  int64_t low, high; /* bounds */
};

/* e^(-t / tau) times 2^62, rounded down; t >= 0. */
uint64_t decay_left(wide_t tau_fs, ps_t t);

int64_t decay_at(const struct decay *d, ps_t t);

/* The first t in 0..last at which x is at or above `level` (rising), or at or
 * below it; PS_NEVER if it is not there at `last`. */
ps_t decay_first(const struct decay *d, int64_t level, bool rising, ps_t last);

/* Where the exponential and the slope cancel each other: before it x goes one
 * way, after it the other. PS_NEVER: it does not turn. */
ps_t decay_turns(const struct decay *d);

/* After so long the exponential is less than a half unit. */
ps_t decay_settled(const struct decay *d);

#endif
