/* pins.h -- what the part does with its pins, and what reaches them.
 *
 * After a reset that lets pins go every pin is high-impedance but those of
 * the debug port (common practice, no source). A pin is driven when its
 * output is switched on, or while the serial transmitter has it.
 *
 * What the part reads on a pin: its own level if it drives it; else what the
 * board puts there; else the pull of a strap on it, or one that the part
 * switches on in reset; else low (assumed: a floating input has no level, and
 * one answer must be the same each time).
 *
 * Not modelled here: currents and who wins (board/nets).
 *
 * Owns: its fields. Borrows: the part.
 */
#ifndef CHIP_PINS_H
#define CHIP_PINS_H

#include <stdbool.h>
#include <stdint.h>

#include "base/trace.h"
#include "base/units.h"
#include "describe/part.h"
#include "describe/trace_kinds.h"

/* No instruction is at an odd address. */
#define PINS_BY_NONE 1u

struct pins {
  const struct part *part;
  addr_t by; /* the instruction whose access moves pins; PINS_BY_NONE: none */
  uint64_t output; /* bit per pin: output switched on */
  uint64_t level;  /* level of an output */
  uint64_t taken;  /* the serial block drives it */
  uint64_t taken_level;
  uint64_t outside; /* the board drives it */
  uint64_t outside_level;
  uint64_t talks; /* characters came on it: its level is a matter of bits */
  bool dark; /* no supply: no output drives, whatever the bits above say */
  uint64_t shown, shown_level; /* as last reported */
};

void pins_init(struct pins *p, const struct part *part);

/* Every output off, every pin taken by a peripheral let go. */
void pins_reset(struct pins *p, struct moment now, struct trace *tr);

/* The supply went, or is there again. It changes no setting: what became of
 * those is the reset table's business. */
void pins_supply(struct pins *p, bool on, struct moment now, struct trace *tr);

/* Switch outputs on or off, set their levels: the bits of `mask` only. */
void pins_output(struct pins *p, uint64_t mask, uint64_t on, struct moment now,
                 struct trace *tr);
void pins_level(struct pins *p, uint64_t mask, uint64_t high,
                struct moment now, struct trace *tr);

/* A peripheral drives the pin (its level counts), or lets it go. */
void pins_take(struct pins *p, uint32_t pin, bool take, bool high,
               struct moment now, struct trace *tr);

/* The board drives the pin from outside, or lets it go. Where the trace is
 * NULL it is an edge of a character, and nothing is told. */
void pins_drive_outside(struct pins *p, uint32_t pin, bool drive, bool high,
                        struct moment now, struct trace *tr);

/* Levels from outside that stand: a line on which characters come counts as
 * idle. */
uint64_t pins_standing(const struct pins *p);

/* Levels as the part reads them. */
uint64_t pins_sense(const struct pins *p);

/* Sample the straps: bit per strap; adds one TRACE_STRAP each. */
uint32_t pins_straps(const struct pins *p, struct moment now,
                     struct trace *tr);

#endif
