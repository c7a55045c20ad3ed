/* rules.h -- the ordered, named table that picks where a start begins.
 *
 * The first rule whose terms all hold decides. What a rule may ask is small:
 * a field of the loaded option words, the blank latch, a sampled strap.
 *
 * Owns: nothing.
 */
#ifndef CHIP_RULES_H
#define CHIP_RULES_H

#include <stdbool.h>
#include <stdint.h>

#include "describe/part.h"

/* What the rules read, gathered by chip.c from the blocks that hold it. */
struct rule_inputs {
  bool latch_programmed;
  uint32_t straps;                  /* bit per strap, as sampled */
  uint32_t options[PART_MAX_WORDS]; /* as loaded */
};

/* True if all of these terms hold. */
bool rules_hold(const struct part *part, const struct rule_inputs *in,
                const struct part_term *terms, uint32_t count);

/* Index of the rule that decides, or PART_NONE if none holds (the part reader
 * refuses tables where that can be). */
uint32_t rules_choose(const struct part *part, const struct rule_inputs *in);

#endif
