/* memory.h -- the live bytes of every region, contiguous.
 *
 * Contiguous because an instruction engine maps them. Flash cells and ROM
 * keep their content for ever; RAM loses it when the supply does.
 *
 * With ECC, flash is made of granules of 8 bytes, and what is kept of their
 * check bits is what a read finds: `bytes` are what it returns, corrected.
 * Cells that no longer make a code word are kept as erased ones, as good ones,
 * or as these:
 *
 *   CORRECTED   one bit of the 72 is wrong; reads are right, and counted
 *   BAD         two or more are; reads fail. `bytes` hold MEMORY_BAD_CODE
 *               then, an instruction that no core knows: a program that comes
 *               there has its fault there
 *
 * Not modelled: a fetch of a CORRECTED granule, which is not counted; vectors
 * of exceptions in a BAD one, which read as that code.
 *
 * Owns: the bytes, the granules. Borrows: the part.
 */
#ifndef CHIP_MEMORY_H
#define CHIP_MEMORY_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "describe/part.h"

enum memory_granule {
  GRANULE_ERASED,
  GRANULE_GOOD,
  GRANULE_CORRECTED,
  GRANULE_BAD
};

#define MEMORY_GRANULE 8 /* bytes */

/* UDF #0 as a half-word: permanently undefined (ARM DDI 0419E, A5.2.6). */
#define MEMORY_BAD_CODE 0xde00u

struct memory {
  const struct part *part;
  uint8_t *bytes[PART_MAX_MEMORY];    /* owned, page aligned */
  uint8_t *granules[PART_MAX_MEMORY]; /* owned; NULL: no ECC. One of enum
                                         memory_granule each */
  uint32_t flawed;                    /* granules that are CORRECTED or BAD */
  uint8_t *zeros; /* owned: as many as the largest flash has bytes */
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

/* The same, and with ECC no granule of it was programmed. */
bool memory_unprogrammed(const struct memory *m, uint32_t region,
                         uint32_t offset, uint32_t size);

/* The worst granule that the range touches; GRANULE_GOOD without ECC. */
enum memory_granule memory_worst(const struct memory *m, uint32_t region,
                                 uint32_t offset, uint32_t size);

/* Write bytes, whatever was there. Granules that the range touches are good
 * ones then. */
void memory_put(struct memory *m, uint32_t region, uint32_t offset,
                const uint8_t *bytes, uint32_t size);

/* Flash cells on their way to `goal` (NULL: to be erased) end up as `left`.
 * What is left in part depends on where the cells are and nothing else;
 * TORN_WEAK writes what such cells read later. With ECC the range is whole
 * granules. */
void memory_change(struct memory *m, uint32_t region, uint32_t offset,
                   const uint8_t *goal, uint32_t size, enum torn left);

/* Bytes behind `granules` of a region, or 0: a multiple of 1 KiB. */
uint32_t memory_granule_bytes(const struct memory *m, uint32_t region);

#endif
