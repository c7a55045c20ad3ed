#include "chip/memory.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/ecc.h"

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

uint32_t memory_granule_bytes(const struct memory *m, uint32_t region)
{
  const struct part_memory *p = &m->part->memory[region];
  if (p->kind != MEMORY_FLASH || !m->part->flash.ecc) return 0;
  return (p->size / MEMORY_GRANULE + 1023) / 1024 * 1024;
}

void memory_init(struct memory *m, const struct part *part)
{
  *m = (struct memory){.part = part};
  uint32_t largest = 0;
  for (uint32_t i = 0; i < part->memory_count; i++) {
    const struct part_memory *p = &part->memory[i];
    m->bytes[i] = live_bytes(p->size);
    bool cells = p->kind == MEMORY_FLASH || p->kind == MEMORY_INFO;
    memset(m->bytes[i], cells ? 0xff : 0, p->size);
    if (p->kind != MEMORY_FLASH) continue;
    if (p->size > largest) largest = p->size;
    if (!part->flash.ecc) continue;
    m->granules[i] = live_bytes(memory_granule_bytes(m, i));
    memset(m->granules[i], GRANULE_ERASED, memory_granule_bytes(m, i));
  }
  m->zeros = live_bytes(largest);
  memset(m->zeros, 0, largest);
  memory_lose_ram(m);
}

void memory_free(struct memory *m)
{
  for (uint32_t i = 0; i < m->part->memory_count; i++) {
    free(m->bytes[i]);
    free(m->granules[i]);
  }
  free(m->zeros);
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

/* --- granules ------------------------------------------------------------ */

enum memory_granule memory_worst(const struct memory *m, uint32_t region,
                                 uint32_t offset, uint32_t size)
{
  uint32_t whole = m->part->memory[region].size;
  assert(size > 0 && offset < whole && size <= whole - offset);
  const uint8_t *granules = m->granules[region];
  if (granules == NULL) return GRANULE_GOOD;
  uint8_t worst = GRANULE_ERASED;
  uint32_t last = (offset + size - 1) / MEMORY_GRANULE;
  for (uint32_t i = offset / MEMORY_GRANULE; i <= last; i++)
    if (granules[i] > worst) worst = granules[i];
  return (enum memory_granule)worst;
}

bool memory_unprogrammed(const struct memory *m, uint32_t region,
                         uint32_t offset, uint32_t size)
{
  if (!memory_erased(m, region, offset, size)) return false;
  return m->granules[region] == NULL ||
         memory_worst(m, region, offset, size) == GRANULE_ERASED;
}

static void set_granule(struct memory *m, uint32_t region, uint32_t index,
                        enum memory_granule is)
{
  uint8_t *granule = &m->granules[region][index];
  m->flawed -= *granule >= GRANULE_CORRECTED;
  m->flawed += is >= GRANULE_CORRECTED;
  *granule = (uint8_t)is;
}

void memory_put(struct memory *m, uint32_t region, uint32_t offset,
                const uint8_t *bytes, uint32_t size)
{
  uint32_t whole = m->part->memory[region].size;
  assert(offset <= whole && size <= whole - offset);
  memcpy(m->bytes[region] + offset, bytes, size);
  if (m->granules[region] == NULL || size == 0) return;
  uint32_t first = offset / MEMORY_GRANULE;
  uint32_t last = (offset + size - 1) / MEMORY_GRANULE;
  for (uint32_t i = first; i <= last; i++)
    set_granule(m, region, i, GRANULE_GOOD);
}

/* --- cells on their way -------------------------------------------------- */

/* Bits without a pattern that depend on the place only: the finalizer of
 * MurmurHash3 (from memory). */
static uint8_t pattern(uint32_t place)
{
  uint32_t h = place * 0x9e3779b1u + 0x7f4a7c15u;
  h = (h ^ h >> 16) * 0x85ebca6bu;
  h = (h ^ h >> 13) * 0xc2b2ae35u;
  return (uint8_t)(h ^ h >> 16);
}

/* One byte of cells. Of half of the bits TORN_PART takes the old ones; of weak
 * cells one byte in four has one bit that reads as the old one. */
static uint8_t torn_byte(uint8_t old, uint8_t goal, enum torn left,
                         uint32_t place)
{
  uint8_t bits = pattern(place);
  switch (left) {
  case TORN_OLD: return old;
  case TORN_NEW: return goal;
  case TORN_ONES: return 0xff;
  case TORN_ZEROS: return 0;
  case TORN_PART: return (uint8_t)((old & bits) | (goal & ~bits));
  case TORN_WEAK: break;
  case TORN_COUNT_: assert(0 && "a kind");
  }
  uint8_t weak = (uint8_t)(bits & 3u ? 0u : 1u << (bits >> 5));
  return (uint8_t)((old & weak) | (goal & ~weak));
}

/* What a cell held before. Weak ones hold the new content by now: they were
 * erased, to be programmed, or are taken to have been zeros, to be erased. */
static uint8_t held(uint8_t now, const uint8_t *goal, enum torn left)
{
  if (left != TORN_WEAK) return now;
  return goal == NULL ? 0 : 0xff;
}

/* Check bits have places of their own, behind all addresses of memory. */
#define CHECK_PLACE 0xe0000000u

static uint8_t old_check(uint8_t granule, uint64_t data)
{
  return granule == GRANULE_ERASED ? 0xff : ecc_check(data);
}

static void put_granule(struct memory *m, uint32_t region, uint32_t offset,
                        uint64_t data, uint8_t check)
{
  enum memory_granule is = GRANULE_ERASED;
  if (data != UINT64_MAX || check != 0xff) {
    switch (ecc_decode(&data, &check)) {
    case ECC_CLEAN: is = GRANULE_GOOD; break;
    case ECC_CORRECTED: is = GRANULE_CORRECTED; break;
    case ECC_BAD:
      is = GRANULE_BAD;
      data = MEMORY_BAD_CODE * UINT64_C(0x0001000100010001);
      break;
    }
  }
  set_granule(m, region, offset / MEMORY_GRANULE, is);
  for (unsigned i = 0; i < MEMORY_GRANULE; i++)
    m->bytes[region][offset + i] = (uint8_t)(data >> (8 * i));
}

static void change_granule(struct memory *m, uint32_t region, uint32_t offset,
                           const uint8_t *goal, enum torn left)
{
  addr_t at = m->part->memory[region].at + offset;
  uint64_t old = 0, wanted = 0, data = 0;
  for (unsigned i = 0; i < MEMORY_GRANULE; i++) {
    uint8_t before = m->bytes[region][offset + i];
    uint8_t after = goal == NULL ? 0xff : goal[i];
    old |= (uint64_t)before << (8 * i);
    wanted |= (uint64_t)after << (8 * i);
    before = held(before, goal, left);
    data |= (uint64_t)torn_byte(before, after, left, at + i) << (8 * i);
  }
  uint8_t granule = m->granules[region][offset / MEMORY_GRANULE];
  uint8_t check = torn_byte(held(old_check(granule, old), goal, left),
                            goal == NULL ? 0xff : ecc_check(wanted), left,
                            CHECK_PLACE + at / MEMORY_GRANULE);
  put_granule(m, region, offset, data, check);
}

/* What was programmed since is no weakly erased cell any more. */
static bool used_since(const struct memory *m, uint32_t region,
                       uint32_t offset, uint32_t size, const uint8_t *goal,
                       enum torn left)
{
  return left == TORN_WEAK && goal == NULL &&
         !memory_unprogrammed(m, region, offset, size);
}

void memory_change(struct memory *m, uint32_t region, uint32_t offset,
                   const uint8_t *goal, uint32_t size, enum torn left)
{
  uint32_t whole = m->part->memory[region].size;
  assert(offset <= whole && size <= whole - offset);
  if (left == TORN_OLD) return;
  bool ecc = m->granules[region] != NULL;
  assert(!ecc || ((offset | size) % MEMORY_GRANULE) == 0);
  uint32_t step = ecc ? MEMORY_GRANULE : 1;
  for (uint32_t i = 0; i < size; i += step) {
    const uint8_t *to = goal == NULL ? NULL : goal + i;
    uint8_t *byte = m->bytes[region] + offset + i;
    addr_t at = m->part->memory[region].at + offset + i;
    if (used_since(m, region, offset + i, step, to, left)) continue;
    if (ecc)
      change_granule(m, region, offset + i, to, left);
    else
      *byte =
          torn_byte(held(*byte, to, left), to == NULL ? 0xff : *to, left, at);
  }
}
