/* supply.h -- what feeds the rail: a source behind a resistance, and a bulk
 * capacitor.
 *
 *   switched on   the rail goes straight to source - load * resistance, at
 *                 the slope of the ramp (0 V to source in `ramp`)
 *   switched off  the capacitor alone feeds the load, a constant current:
 *                 dV/dt = -I / C, down to 0 V
 *
 * The load is the part's present one and the rest of the board's. When it
 * changes, a new segment begins at the present level.
 *
 * Not modelled: inrush, a source that sags, back-power through signal pins.
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

struct supply {
  const struct case_supply *board;
  bool on;
  int64_t load_na; /* of the segment in force */
};

void supply_init(struct supply *s, const struct case_supply *board);

/* Switch on or off. The caller moves the rail by supply_segment. */
void supply_switch(struct supply *s, bool on);

/* The segment from `level` at `now` with this load of the part, nA. */
struct rail_segment supply_segment(struct supply *s, uv_t level,
                                   int64_t part_load_na, ps_t now);

/* True if the load differs from that of the segment in force. */
bool supply_load_changed(const struct supply *s, int64_t part_load_na);

#endif
