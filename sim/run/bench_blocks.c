/* An image cut into the blocks that flash is erased or programmed in. */
#include <assert.h>
#include <string.h>

#include "run/bench_parts.h"

void bench_unit_bytes(const struct image *image, addr_t at, uint32_t unit,
                      uint8_t *bytes)
{
  memset(bytes, 0xff, unit);
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *s = &image->segments[i];
    for (uint32_t k = 0; k < unit; k++)
      if (at + k - s->at < s->size) bytes[k] = s->bytes[at + k - s->at];
  }
}

const struct part_memory *bench_memory_of(const struct machine *m, addr_t at)
{
  uint32_t offset;
  uint32_t region = memory_find(&m->chip.memory, at, 1, &offset);
  assert(region != PART_NONE); /* plan_images.c saw to it */
  return &m->part->memory[region];
}

bool bench_each_block(struct machine *m, const struct image *image, bool pages,
                      bench_block_work work, void *context)
{
  uint64_t done_to = 0;
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *s = &image->segments[i];
    const struct part_memory *flash = bench_memory_of(m, s->at);
    uint32_t block = pages ? flash->page : flash->unit;
    uint64_t at = s->at - s->at % block;
    if (at < done_to) at = done_to;
    for (; at < (uint64_t)s->at + s->size; at += block) {
      if (!work(m, image, (addr_t)at, block, context)) return false;
      done_to = at + block;
    }
  }
  return true;
}

bool bench_load_ram(struct machine *m, const struct image *image)
{
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *s = &image->segments[i];
    uint32_t offset;
    uint32_t region = memory_find(&m->chip.memory, s->at, s->size, &offset);
    bench_pass(m, m->part->probe.transfer.typ * (s->size / 4 + 1));
    if (!bench_reaches_memory(m, ACTION_WRITE)) return false;
    chip_preset(&m->chip, region, offset, s->bytes, s->size, m->now);
  }
  return true;
}
