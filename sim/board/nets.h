/* nets.h -- what the part's pins meet on the board, and who fights whom.
 *
 * A net may be tied to ground or to the supply through a resistance, and the
 * bench may drive it. Contention is two drivers that disagree with more
 * current than a pin of this part may carry:
 *
 *   I = supply / (resistance of the pin's driver + resistance to the level)
 *
 * so a light-emitting diode behind 1 kohm is none. The supply counts with its
 * open-circuit voltage: the worst case.
 *
 * Not modelled: two pins of the part on one net against each other; diode
 * drops; what the fight does to the rail.
 *
 * Owns: its fields. Borrows: the script, the part, the pins, the trace.
 */
#ifndef BOARD_NETS_H
#define BOARD_NETS_H

#include <stdbool.h>
#include <stdint.h>

#include "base/status.h"
#include "base/trace.h"
#include "chip/pins.h"
#include "describe/case.h"
#include "describe/part.h"

/* What a pin meets, by pin number. */
struct net_end {
  uint32_t net; /* of the script; PART_NONE: the pin is on none */
  bool tied;    /* to a fixed level */
  bool tied_high;
  int64_t through_mohm;
  bool driven, driven_high; /* by the bench */
};

struct nets {
  const struct part *part;
  struct pins *pins;
  struct trace *trace;
  uv_t supply_uv;
  struct net_end ends[PART_MAX_PINS];
  uint64_t fighting; /* bit per pin */
  ps_t since[PART_MAX_PINS];
};

/* Resolve the script's nets against the part. A pin that the part lacks, or
 * one that is on two nets, is an error. */
enum sim_status nets_init(struct nets *n, const struct case_script *script,
                          const struct part *part, struct pins *pins,
                          struct trace *tr, struct sim_error *err);

/* Let fixed levels reach the pins; listen to them from now on. */
void nets_connect(struct nets *n);

/* The bench drives a pin's net, and so every pin on it, or lets it go. */
void nets_drive(struct nets *n, uint32_t pin, enum drive_level level,
                struct moment now);

/* Current, in nA, that would flow if the part drove `high`; 0 if nothing on
 * the net disagrees. */
int64_t nets_current(const struct nets *n, uint32_t pin, bool high);

#endif
