#include "serve/loading.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "run/bench.h"

void loading_init(struct loading *l)
{
  *l = (struct loading){0};
}

void loading_free(struct loading *l)
{
  for (uint32_t i = 0; i < PART_MAX_MEMORY; i++) {
    free(l->bytes[i]);
    free(l->staged[i]);
  }
  loading_init(l);
}

/* The flash that holds the range whole, or PART_NONE. */
static uint32_t flash_of(const struct target *t, addr_t at, uint32_t size,
                         uint32_t *offset)
{
  const struct memory *memory = &t->machine->chip.memory;
  uint32_t region = memory_find(memory, at, size, offset);
  if (region != PART_NONE && memory->part->memory[region].kind == MEMORY_FLASH)
    return region;
  target_tell(t, "0x%08" PRIx32 ", %" PRIu32 " bytes: is no part of a flash",
              at, size);
  return PART_NONE;
}

bool loading_erase(struct target *t, addr_t at, uint32_t size)
{
  uint32_t offset;
  uint32_t region = flash_of(t, at, size, &offset);
  if (region == PART_NONE) return false;
  const struct part_memory *flash = &t->machine->part->memory[region];
  t->failed = false;
  for (uint32_t o = offset - offset % flash->page; o < offset + size;
       o += flash->page) {
    bench_erase(t->machine, true, flash->at + o);
    if (t->failed) return false;
  }
  return true;
}

static uint8_t *get_filled(uint32_t size, int with)
{
  uint8_t *memory = malloc(size);
  if (memory == NULL) arena_no_memory();
  memset(memory, with, size);
  return memory;
}

/* The units that the range touches are programmed whole: what gdb does not
 * say of one is left erased. */
static void mark_units(struct loading *l, uint32_t region, uint32_t unit,
                       uint32_t offset, uint32_t size)
{
  uint32_t first = offset - offset % unit;
  uint32_t units = (offset + size - first + unit - 1) / unit;
  memset(l->staged[region] + first, 1, (size_t)units * unit);
}

bool loading_stage(struct loading *l, struct target *t, addr_t at,
                   const uint8_t *bytes, uint32_t size)
{
  uint32_t offset;
  uint32_t region = flash_of(t, at, size, &offset);
  if (region == PART_NONE) return false;
  const struct part_memory *flash = &t->machine->part->memory[region];
  if (l->bytes[region] == NULL) {
    l->bytes[region] = get_filled(flash->size, 0xff);
    l->staged[region] = get_filled(flash->size, 0);
  }
  memcpy(l->bytes[region] + offset, bytes, size);
  mark_units(l, region, flash->unit, offset, size);
  return true;
}

/* --- programming --------------------------------------------------------- */

/* The next run of staged bytes at or behind *offset; false: there is none. */
static bool next_run(const uint8_t *staged, uint32_t all, uint32_t *offset,
                     uint32_t *size)
{
  while (*offset < all && !staged[*offset])
    ++*offset;
  *size = 0;
  while (*offset + *size < all && staged[*offset + *size])
    ++*size;
  return *size > 0;
}

/* Of one flash, run by run, ascending. */
static void program(const struct loading *l, struct target *t, uint32_t region)
{
  const struct part_memory *flash = &t->machine->part->memory[region];
  uint32_t offset = 0, size;
  for (;
       !t->failed && next_run(l->staged[region], flash->size, &offset, &size);
       offset += size) {
    struct image_segment run = {flash->at + offset, size,
                                l->bytes[region] + offset};
    const struct image image = {.segments = &run, .segment_count = 1};
    bench_write_image(t->machine, &image, ERASE_NONE, ORDER_ASCENDING);
  }
}

bool loading_done(struct loading *l, struct target *t)
{
  t->failed = false;
  for (uint32_t i = 0; i < t->machine->part->memory_count; i++)
    if (l->bytes[i] != NULL && !t->failed) program(l, t, i);
  loading_free(l);
  return !t->failed;
}
