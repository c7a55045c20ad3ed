/* boot_reference.h -- a second, tiny model of what a reset does, to hold
 * against the simulator.
 *
 * It knows no time, no bus and no instructions: only what is kept from one
 * reset to the next (the latch, the loaded options, the straps, what address
 * 0 shows, RAM, flags, debug) and what the part's reset table and start rules
 * say about it. It shares the description of a part with the simulator, and
 * no code.
 *
 * Owns: its fields. Borrows: the part.
 */
#ifndef TESTS_BOOT_REFERENCE_H
#define TESTS_BOOT_REFERENCE_H

#include <stdbool.h>
#include <stdint.h>

#include "describe/part.h"

/* What a start begins with, and what is seen of the reset before it. */
struct reference_start {
  enum cause cause;
  bool programmed; /* the latch */
  bool stale;      /* a fresh check would say otherwise */
  const char *rule, *region;
  uint32_t first_word; /* at address 0 */
  uint32_t sp, pc;
  bool halted;         /* by the vector catch, before any instruction */
  bool catch_armed;    /* still, for the next reset */
  bool ram_kept;       /* the marker is still there */
  bool straps_sampled; /* at this reset */
  bool flagged;        /* it set its own flag */
  uint32_t flags;      /* bit per cause, all that are set */
  bool pin_driven;     /* an output from before is still on */
  bool fast;           /* the clock from before is still selected */
  bool unlocked;       /* the flash controller from before */
  bool line_pulled;    /* the part pulled the reset line low */
};

struct reference {
  const struct part *part;
  /* the surroundings, set by whoever plays */
  uint32_t flash[2], rom[2];      /* stack pointer, reset vector */
  uint32_t cells[PART_MAX_WORDS]; /* option words, non-volatile */
  bool driven[PART_MAX_PINS];     /* a pin by the bench */
  bool driven_high[PART_MAX_PINS];
  bool marker; /* stands in RAM */
  bool debug_enabled, catch_armed;
  bool pin_driven, fast, unlocked; /* by the program or the probe */
  uint32_t flags;
  /* what resets leave behind */
  bool programmed;
  uint32_t loaded[PART_MAX_WORDS];
  uint32_t straps; /* bit per strap, as sampled */
  uint32_t region; /* that address 0 shows */
};

/* Before first power: factory options, erased flash. */
void reference_init(struct reference *r, const struct part *part,
                    const uint32_t rom[2]);

/* Give an option field of the cells another value, by name. */
void reference_option(struct reference *r, uint32_t word, uint32_t field,
                      const char *value);

/* One reset and the start after it. `powered`: RAM had enough voltage to keep
 * its content throughout. */
struct reference_start reference_reset(struct reference *r, enum cause cause,
                                       bool powered);

/* True if they are the same in everything. The line does not count at a pin
 * reset, where it is low already. */
bool reference_same(const struct reference_start *a,
                    const struct reference_start *b);

#endif
