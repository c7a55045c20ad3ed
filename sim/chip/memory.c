#include "chip/memory.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Host pages, so that regions can be mapped as they are. */
#define HOST_PAGE 4096u

static uint8_t *live_bytes(uint32_t size)
{
  size_t rounded = (size + HOST_PAGE - 1) & ~(size_t)(HOST_PAGE - 1);
  uint8_t *bytes = aligned_alloc(HOST_PAGE, rounded);
  if (bytes == NULL) {
    fputs("firstfetch: out of memory\n", stderr);
    abort();
  }
  return bytes;
}

void memory_init(struct memory *m, const struct part *part)
{
  *m = (struct memory){.part = part};
  for (uint32_t i = 0; i < part->memory_count; i++) {
    const struct part_memory *p = &part->memory[i];
    m->bytes[i] = live_bytes(p->size);
    bool cells = p->kind == MEMORY_FLASH || p->kind == MEMORY_INFO;
    memset(m->bytes[i], cells ? 0xff : 0, p->size);
  }
  memory_lose_ram(m);
}

void memory_free(struct memory *m)
{
  for (uint32_t i = 0; i < m->part->memory_count; i++)
    free(m->bytes[i]);
}

/* Multiplicative hash of the word's number; odd constants of our own. */
static void fill_unknown(uint8_t *bytes, uint32_t size)
{
  for (uint32_t i = 0; i < size; i += 4) {
    uint32_t word = (i / 4 + 1) * 0x9d2c5681u;
    word ^= word >> 15;
    memcpy(bytes + i, &word, 4);
  }
}

void memory_lose_ram(struct memory *m)
{
  for (uint32_t i = 0; i < m->part->memory_count; i++)
    if (m->part->memory[i].kind == MEMORY_RAM)
      fill_unknown(m->bytes[i], m->part->memory[i].size);
}

uint32_t memory_find(const struct memory *m, addr_t at, uint32_t size,
                     uint32_t *offset)
{
  for (uint32_t i = 0; i < m->part->memory_count; i++) {
    const struct part_memory *p = &m->part->memory[i];
    uint32_t into = at - p->at;
    if (into >= p->size || size > p->size - into) continue;
    *offset = into;
    return i;
  }
  return PART_NONE;
}

bool memory_erased(const struct memory *m, uint32_t region, uint32_t offset,
                   uint32_t size)
{
  uint32_t whole = m->part->memory[region].size;
  assert(offset <= whole && size <= whole - offset);
  for (uint32_t i = 0; i < size; i++)
    if (m->bytes[region][offset + i] != 0xff) return false;
  return true;
}
