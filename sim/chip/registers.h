/* registers.h -- the register file of a part.
 *
 * A part's registers are data. `access` decides what a field stores and
 * shows; its role (roles.h) decides what else happens. A field without a role
 * is plain storage.
 *
 * A write runs in three passes over the register's fields: unlock, settings,
 * start. So one write may carry a key, the value it guards and the order that
 * uses it, wherever their bits lie.
 *
 * The rule a reader would get wrong: a field is touched only where the access
 * has a byte lane in it. Reading one byte clears nothing in the byte beside
 * it, and writing one repeats no order there.
 *
 * Owns: nothing; the stored bits are in struct chip.
 */
#ifndef CHIP_REGISTERS_H
#define CHIP_REGISTERS_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "describe/part.h"

struct chip;

/* Index of the register at word address `at`, or PART_NONE. */
uint32_t registers_at(const struct part *part, addr_t at);

/* One access, as software or the debug port makes it. `lanes` has the bits of
 * the bytes that take part: all of them for a whole word. The value is in its
 * place in the word. */
uint32_t registers_read(struct chip *chip, uint32_t reg, uint32_t lanes,
                        struct moment now);

/* True if reading these bytes has no effect, and their value changes with an
 * event (chip_next) or a write only. */
bool registers_steady(const struct part *part, uint32_t reg, uint32_t lanes);

void registers_write(struct chip *chip, uint32_t reg, uint32_t lanes,
                     uint32_t value, struct moment now);

/* Every register at its reset value. A setting that shows its stored bits is
 * in force from here on. */
void registers_reset(struct chip *chip);

#endif
