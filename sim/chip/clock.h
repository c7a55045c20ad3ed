/* clock.h -- clock sources, and the one place that turns cycles into time.
 *
 * A cycle is converted from the last change of frequency, never from the
 * cycle before it, so rounding can't drift:
 *
 *   time of edge n   = base_at + floor((n - base_cycle) * 10^12 / hz)
 *   edge at or after = base_cycle + ceil((t - base_at) * hz / 10^12)
 *
 * Not modelled: jitter, the synchroniser's delay when the source changes.
 *
 * Owns: its fields. Borrows: the part.
 */
#ifndef CHIP_CLOCK_H
#define CHIP_CLOCK_H

#include <stdbool.h>

#include "base/units.h"
#include "describe/part.h"

struct fold;

struct clock {
  const struct part_clock *part;
  ps_t base_at;
  cycle_t base_cycle;
  int64_t hz;
  uint32_t source;
  ps_t ready_at[PART_MAX_CLOCKS]; /* PS_NEVER: switched off */
};

/* Source 0, cycle 0 at instant 0. */
void clock_init(struct clock *c, const struct part_clock *part);

/* Fall back to source 0 and switch the others off. */
void clock_reset(struct clock *c, struct moment now);

ps_t clock_time(const struct clock *c, cycle_t cycle);
cycle_t clock_edge(const struct clock *c, ps_t at);

/* The last edge that is not after `at`. */
cycle_t clock_cycle(const struct clock *c, ps_t at);

/* The clock stood still and runs again from here, source unchanged. */
void clock_restart(struct clock *c, struct moment now);

/* The instant of the edge `cycles` after the first edge at or after `at`. */
ps_t clock_after(const struct clock *c, ps_t at, int64_t cycles);

/* Ignored for source 0, which always runs, and where it would switch off the
 * source in use. */
void clock_enable(struct clock *c, uint32_t source, bool on, ps_t now);
bool clock_enabled(const struct clock *c, uint32_t source);
bool clock_ready(const struct clock *c, uint32_t source, ps_t now);

/* Run from another source; a source that is not ready is refused. Returns
 * true if the source changed. */
bool clock_select(struct clock *c, uint32_t source, struct moment now);

/* As it is seen from now (base/fold.h): the edges to come depend on where now
 * lies after the last one, and on the fraction of a picosecond that this edge
 * was rounded down by. */
void clock_fold(const struct clock *c, ps_t now, struct fold *f);

#endif
