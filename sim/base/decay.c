#include "base/decay.h"

#include <assert.h>

#define PLACES 62
#define ONE    ((uint64_t)1 << PLACES)

/* ln 2, times 2^62. */
#define LN2 3196577161300663914u

/* Terms of the series for e^(-r), r below ln 2: the last is r^24 / 24!, less
 * than 2^-91. */
#define TERMS 24

/* Behind 64 tau nothing is left of 2^62. */
#define LONGEST_TAU 64

__extension__ typedef unsigned __int128 uwide_t;

static uint64_t times(uint64_t a, uint64_t b)
{
  return (uint64_t)((uwide_t)a * b >> PLACES);
}

/* 1 - r (1 - r/2 (1 - r/3 (...))) */
static uint64_t series(uint64_t r)
{
  uint64_t sum = ONE;
  for (unsigned n = TERMS; n > 0; n--)
    sum = ONE - times(r, sum) / n;
  return sum;
}

/* t / tau times 2^62, for t below LONGEST_TAU tau, as whole and rest. */
static uint64_t ratio(wide_t tau_fs, wide_t t_fs, unsigned *whole)
{
  *whole = (unsigned)(t_fs / tau_fs);
  wide_t rest = t_fs % tau_fs;
  /* tau_fs is below 2^70: 56 binary places are what fits, the others are
   * zero */
  return (uint64_t)((rest << 56) / tau_fs) << (PLACES - 56);
}

uint64_t decay_left(wide_t tau_fs, ps_t t)
{
  assert(tau_fs > 0 && tau_fs <= DECAY_LONGEST && t >= 0);
  wide_t t_fs = (wide_t)t * FS_PER_PS;
  if (t_fs / tau_fs >= LONGEST_TAU) return 0;
  unsigned whole;
  uint64_t rest = ratio(tau_fs, t_fs, &whole);
  /* x = halvings * ln 2 + r */
  uwide_t x = (uwide_t)whole * ONE + rest;
  unsigned halvings = (unsigned)(x / LN2);
  if (halvings > PLACES) return 0;
  return series((uint64_t)(x % LN2)) >> halvings;
}

static int64_t scaled(int64_t gap, uint64_t left)
{
  wide_t magnitude = (wide_t)(gap < 0 ? -gap : gap) * (wide_t)left >> PLACES;
  return gap < 0 ? -(int64_t)magnitude : (int64_t)magnitude;
}

int64_t decay_at(const struct decay *d, ps_t t)
{
  wide_t x = (wide_t)d->aim + scaled(d->gap, decay_left(d->tau_fs, t));
  if (d->slope_lasts > 0) x += (wide_t)d->slope_way * t / d->slope_lasts;
  if (x < d->low) return d->low;
  return x > d->high ? d->high : (int64_t)x;
}

ps_t decay_first(const struct decay *d, int64_t level, bool rising, ps_t last)
{
  ps_t low = -1, high = last; /* not there at low, there at high */
  int64_t end = decay_at(d, last);
  if (rising ? end < level : end > level) return PS_NEVER;
  while (high - low > 1) {
    ps_t middle = low + (high - low) / 2;
    int64_t x = decay_at(d, middle);
    if (rising ? x >= level : x <= level)
      high = middle;
    else
      low = middle;
  }
  return high;
}

/* Speed of the exponential at t, in units per slope_lasts: gap * slope_lasts /
 * tau * e^(-t / tau). */
static bool outruns(const struct decay *d, ps_t t)
{
  wide_t gap = d->gap < 0 ? -d->gap : d->gap;
  wide_t way = d->slope_way < 0 ? -d->slope_way : d->slope_way;
  wide_t speed = gap * (wide_t)decay_left(d->tau_fs, t) >> PLACES;
  return speed * d->slope_lasts > way * (d->tau_fs / FS_PER_PS);
}

ps_t decay_turns(const struct decay *d)
{
  bool against = (d->gap > 0) == (d->slope_way > 0);
  if (d->slope_lasts == 0 || d->slope_way == 0 || d->gap == 0 || !against)
    return PS_NEVER;
  if (!outruns(d, 0)) return PS_NEVER;
  ps_t low = 0, high = decay_settled(d);
  while (high - low > 1) {
    ps_t middle = low + (high - low) / 2;
    if (outruns(d, middle))
      low = middle;
    else
      high = middle;
  }
  return high;
}

ps_t decay_settled(const struct decay *d)
{
  wide_t gap = d->gap < 0 ? -d->gap : d->gap;
  int64_t taus = 1; /* 2^taus is less than e^taus */
  while (gap >> taus > 0)
    taus++;
  wide_t ps = (wide_t)taus * d->tau_fs / FS_PER_PS + 1;
  return ps > PS_NEVER / 2 ? PS_NEVER / 2 : (ps_t)ps;
}
