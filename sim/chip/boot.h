/* boot.h -- the sequence from the end of a reset to the first fetch.
 *
 *   power    OFF
 *     |  rail up
 *     v
 *   HELD -> OPTIONS -> CHECK -> LINE -> STRAPS -> VECTORS -> RUNNING
 *   HELD -> LINE -> OPTIONS -> CHECK -> STRAPS -> VECTORS -> RUNNING
 *
 * The upper order is that of a part which loads options and makes the blank
 * check while the reset line is still low; the lower one waits for the line
 * first. A phase that the reset table skips takes no time. LINE lasts until
 * the line is high. HELD is the start-up delay after the rail rose.
 *
 *   phase    lasts                 when it ends the chip
 *   HELD     start_up, or nothing  -
 *   OPTIONS  option_load cycles    loads the option words
 *   CHECK    blank_check cycles    samples the latch
 *   STRAPS   strap_delay cycles    samples the straps
 *   VECTORS  vector_fetch cycles   applies the start rules, starts the core
 *
 * This block only keeps the order and the time; chip.c does what a phase does
 * and turns cycles into time.
 *
 * Owns: its fields. Borrows: the part.
 */
#ifndef CHIP_BOOT_H
#define CHIP_BOOT_H

#include <stdbool.h>

#include "base/units.h"
#include "describe/part.h"

struct fold;

enum boot_phase {
  BOOT_OFF,
  BOOT_HELD,
  BOOT_OPTIONS,
  BOOT_CHECK,
  BOOT_LINE,
  BOOT_STRAPS,
  BOOT_VECTORS,
  BOOT_RUNNING
};

struct boot {
  const struct part_boot *part;
  bool does[RESET_COLUMN_COUNT_]; /* what this sequence does */
  enum cause cause;
  bool owed; /* begun and not yet RUNNING, through a loss of supply too */
  enum boot_phase phase;
  ps_t ends_at; /* of the phase; PS_NEVER: something else ends it */
};

void boot_init(struct boot *b, const struct part_boot *part);

/* The rail fell: nothing goes on until boot_begin. A sequence that had not
 * reached RUNNING counts as interrupted. */
void boot_off(struct boot *b);

/* A reset by `cause`, whose row of the table is `row`; the part is held until
 * `until`. A reset during a sequence begins it anew and still does what the
 * interrupted one had to do, a start-up delay to its end included; of the two
 * causes the one of higher priority stays. */
void boot_begin(struct boot *b, enum cause cause, const struct part_reset *row,
                ps_t until);

/* The phase after the present one in this part's order, skipping what the
 * reset table keeps. */
enum boot_phase boot_after(const struct boot *b);

/* Core clock cycles that `phase` lasts; 0 for HELD and LINE. */
int64_t boot_cycles(const struct boot *b, enum boot_phase phase);

/* Enter `phase`, which lasts until `ends_at`. */
void boot_enter(struct boot *b, enum boot_phase phase, ps_t ends_at);

/* True from the beginning of a reset until the first fetch, and while off. */
static inline bool boot_busy(const struct boot *b)
{
  return b->phase != BOOT_RUNNING;
}

/* As it is seen from now (base/fold.h). */
void boot_fold(const struct boot *b, ps_t now, struct fold *f);

#endif
