/* memory.h -- the live bytes of every region, contiguous.
 *
 * Contiguous because an instruction engine maps them. Flash cells and ROM
 * keep their content for ever; RAM loses it when the supply does.
 *
 * Owns: the bytes. Borrows: the part.
 */
#ifndef CHIP_MEMORY_H
#define CHIP_MEMORY_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "describe/part.h"

struct memory {
  const struct part *part;
  uint8_t *bytes[PART_MAX_MEMORY]; /* owned, page aligned */
};

/* Flash and information words erased, ROM zero, RAM as after a loss of supply.
 */
void memory_init(struct memory *m, const struct part *part);
void memory_free(struct memory *m);

/* RAM content is lost: what is left is unknown on hardware. Here it is a
 * fixed pattern that no program takes for its own data, the same each time. */
void memory_lose_ram(struct memory *m);

/* Index of the region that holds [at, at + size) whole, with the offset of
 * `at` in it, or PART_NONE. The alias at 0 is not known here. */
uint32_t memory_find(const struct memory *m, addr_t at, uint32_t size,
                     uint32_t *offset);

/* True if every byte of [offset, offset + size) of a region is all-ones. */
bool memory_erased(const struct memory *m, uint32_t region, uint32_t offset,
                   uint32_t size);

#endif
