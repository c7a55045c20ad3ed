/* supply.h -- what feeds the rail: a source behind a resistance, a bulk
 * capacitor, and what signal pins let in.
 *
 *            R                       drop, Rp
 *   source -[==]-+--- rail ---+-----|>|-[==]--- signals that are driven high
 *               ===           |
 *             bulk|        load (part and board), a constant current
 *
 *   switched on   the open-circuit voltage rises from what the rail has, at
 *                 the slope of the ramp (0 V to source in `ramp`); the rail
 *                 follows with the time constant R * bulk. That current is
 *                 the inrush. With R = 0 the rail is the open-circuit voltage.
 *   switched off  the source is open: the capacitor alone feeds the load,
 *                 dV/dt = -I / C, down to 0 V. With a ramp the source goes
 *                 down first, and takes the rail along.
 *   a dip         the source itself sags, and drains the rail through R.
 *   back-power    below signal level - drop the clamps of the pins conduct:
 *                 one more source of that voltage, behind Rp / pins.
 *
 * While two of them feed, they are one: conductances add up. The rail moves
 * piece by piece, each piece a line or an exponential (base/decay.h, where the
 * error is stated: a microvolt); the next piece begins when the load changes,
 * a ramp ends, the clamps begin or cease to conduct, or the rail turns round.
 *
 * The charge that the source gave is known without integrating: what the load
 * took, and what the capacitor has more than before. Where pins fed as well,
 * their share is counted in.
 *
 * A ramp that lasts less than a 2^30th of R * bulk is at once.
 *
 * Not modelled: a source that sags by itself as its cell empties; a load that
 * draws less at less voltage; the resistance of the capacitor; the currents of
 * a fight between pins.
 *
 * Owns: its fields. Borrows: the board's description.
 */
#ifndef BOARD_SUPPLY_H
#define BOARD_SUPPLY_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "chip/rail.h"
#include "describe/case.h"

struct fold;

/* The open-circuit voltage from `at` to `until`, straight; and behind it. */
struct source_line {
  ps_t at, until;
  uv_t from, to;
};

/* What signal pins let in: `pins` of them conduct below `level`. */
struct feed {
  uint32_t pins;
  uv_t level;        /* of the signals, less the drop of the clamp */
  int64_t each_mohm; /* > 0 */
};

struct supply {
  const struct case_supply *board;
  bool on;      /* the source is connected */
  bool leaving; /* it ramps down, and is then open */
  bool cut;     /* the rail is shorted to 0 V: supply_cut */
  struct source_line line;
  struct feed feed;
  bool conducts;      /* the clamps do, in the segment in force */
  int64_t load_na;    /* of the segment in force */
  ps_t asks_at;       /* another segment begins then; PS_NEVER */
  bool changed;       /* something else than the load did */
  bool counting;      /* the source was connected then */
  ps_t counted_at;    /* charge is counted up to here ... */
  uv_t counted_level; /* ... where the rail was */
  wide_t charge;      /* that the source gave, nA * ps */
};

void supply_init(struct supply *s, const struct case_supply *board);

/* Connect the source at `level` of the rail; `ramp` is for the way from 0 V to
 * the whole voltage. The caller then moves the rail by supply_segment; so
 * behind the next three. */
void supply_on(struct supply *s, uv_t level, ps_t ramp, ps_t now);

/* Open it, when it has gone down to 0 V in `ramp`; 0: at once. */
void supply_off(struct supply *s, ps_t ramp, ps_t now);

/* The source sags or rises to `to` in `ramp`. Only while it is on. */
void supply_go(struct supply *s, uv_t to, ps_t ramp, ps_t now);

/* Nothing feeds the rail, and it is at 0 V at once: a cut that nothing can
 * soften. supply_on ends it. */
void supply_cut(struct supply *s);

/* Signal pins feed, or no longer. */
void supply_feed(struct supply *s, const struct feed *feed);

/* Open-circuit voltage at `now`. */
uv_t supply_open_circuit(const struct supply *s, ps_t now);

/* The segment from `level` at `now` with this load of the part, nA. */
struct rail_segment supply_segment(struct supply *s, uv_t level,
                                   int64_t part_load_na, ps_t now);

/* True if the segment in force is over: another load, or asks_at. */
bool supply_due(const struct supply *s, int64_t part_load_na, ps_t now);

/* With the source open from `level` on and this load of the part: after how
 * long is the rail below `below`? PS_NEVER: it stays at *settles. */
ps_t supply_falls_below(const struct supply *s, uv_t level,
                        int64_t part_load_na, uv_t below, uv_t *settles);

/* Charge that the source gave up to `now`, in nC, rounded down. */
int64_t supply_charge_nc(const struct supply *s, uv_t level, ps_t now);

/* As it is seen from now (base/fold.h). What the source has given is for
 * reports. */
void supply_fold(const struct supply *s, ps_t now, struct fold *f);

#endif
