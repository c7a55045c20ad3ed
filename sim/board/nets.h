/* nets.h -- what the part's pins meet on the board, and who fights whom.
 *
 * A net is one node. Into it lead, each a voltage behind a resistance: the
 * pins of the part that drive, a fixed level, pulls, other chips' outputs, a
 * light-emitting diode where it conducts, and the bench, which is stiff and
 * overrules all others, as is a fixed level without resistance. What flows
 * into each follows from Ohm's and Kirchhoff's laws:
 *
 *   V = sum(V_i / R_i) / sum(1 / R_i)       I_i = (V_i - V) / R_i
 *
 * Contention is more current through a pin than this part's may carry, so a
 * light-emitting diode behind 1 kohm is none. The supply counts with its
 * open-circuit voltage: the worst case.
 *
 * Each contention is told with its current, the instruction that began it
 * (where one did), its duration and the energy that the part's driver and the
 * whole net took (saturating at 4.29 J). The sum over all pins is held against
 * the part's limit for all of them.
 *
 * What a pin reads that does not drive: high where its net is at half the
 * supply or above (assumed).
 *
 * Not modelled: what the fight does to the rail; a driver's resistance that
 * changes with its current.
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

struct fold;

/* A net of the script; or, behind those, a pin that is on none. */
#define NETS_MAX_NODES (CASE_MAX_NETS + PART_MAX_PINS)

/* What goes on at a pin, since its current changed last. */
struct net_pin {
  uint32_t node;
  int64_t current_na; /* out of a pin that drives high, or into one that drives
                         low; 0: it does not drive */
  int64_t net_nw;     /* power of its whole net */
  ps_t at;            /* since when */
  ps_t since;         /* contention: its beginning */
  int64_t part_pj, net_pj; /* of the contention, up to `at` */
};

struct nets {
  const struct case_script *script;
  const struct part *part;
  struct pins *pins;
  struct trace *trace;
  struct net_pin ends[PART_MAX_PINS];
  bool untold; /* this change of a level goes without a record */
  uint8_t bench[NETS_MAX_NODES]; /* enum drive_level */
  uint8_t drivers[CASE_MAX_NETS][CASE_MAX_DRIVERS];
  uint32_t members[CASE_MAX_NETS][8]; /* pins of a net */
  uint64_t fighting;                  /* bit per pin */
  uint64_t reached, reached_level;    /* what the net lets a pin read */
  bool overloaded;
};

/* Resolve the script's nets against the part. A pin that the part lacks, one
 * that is on two nets, or a driver called like a pin is an error. */
enum sim_status nets_init(struct nets *n, const struct case_script *script,
                          const struct part *part, struct pins *pins,
                          struct trace *tr, struct sim_error *err);

/* Let levels reach the pins; listen to them from now on. */
void nets_connect(struct nets *n);

/* The bench drives a pin's net, and so every pin on it, or lets it go. */
void nets_drive(struct nets *n, uint32_t pin, enum drive_level level,
                struct moment now);

/* The same with one edge of a serial line, which nobody wants in a trace: only
 * what comes of it is told. */
void nets_drive_bit(struct nets *n, uint32_t pin, bool high,
                    struct moment now);

/* What somebody else reads on a pin's net: what the part drives, else what the
 * board does; high where nobody drives, for who listens pulls up (common
 * practice, no source). */
bool nets_level(const struct nets *n, uint32_t pin);

/* An output on the board changes. An open-drain one that goes high lets go. */
void nets_drive_output(struct nets *n, uint32_t net, uint32_t driver,
                       enum drive_level level, struct moment now);

/* Index of a driver of the script by its name, in *net and *driver. */
bool nets_driver_named(const struct case_script *script, const char *name,
                       uint32_t *net, uint32_t *driver);

/* Tell the energy of every contention that still goes on, up to now. */
void nets_end(struct nets *n, struct moment now);

/* What a pin meets, or would meet, on its net. */
struct net_meeting {
  int64_t current_na; /* through its driver */
  int64_t part_nw;    /* power in its driver */
  int64_t net_nw;     /* power in all of the net */
  int64_t across_uv;  /* between its level and that of the net without it; 0:
                         nothing is there, or it agrees */
};

/* If it drove `high` behind `driver_mohm`, with the other pins of the part as
 * they are and, at worst, outputs of other chips that let go driving the other
 * level. */
struct net_meeting nets_meet(const struct nets *n, uint32_t pin, bool high,
                             int64_t driver_mohm);

/* The same in the present state of the board, other pins included, with the
 * part's typical resistance: the current in nA. */
int64_t nets_current(const struct nets *n, uint32_t pin, bool high);

/* As they are seen from now (base/fold.h). What a fight has taken so far is
 * for reports. */
void nets_fold(const struct nets *n, struct fold *f);

#endif
