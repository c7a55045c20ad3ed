#include "serve/breaks.h"

#include <string.h>

#include "board/probe.h"

/* The breakpoint unit, ARM DDI 0419E C1.8: control, comparators. */
#define UNIT            0xe0002000u
#define UNIT_SWITCH_ON  0x3u /* enable, and the key that lets it be written */
#define UNIT_NUMBER(v)  ((v) >> 4 & 15u)
#define COMPARATOR(i)   (UNIT + 8u + 4u * (i))
#define COMPARE_ENABLE  0x1u
#define COMPARE_WORD    0x1ffffffcu
#define COMPARE_LOWER   0x40000000u
#define COMPARE_UPPER   0x80000000u
#define COMPARE_HIGHEST 0x1fffffffu

/* BKPT #0, ARM DDI 0419E A6.7.12 */
static const uint8_t instruction[2] = {0x00, 0xbe};

void breaks_init(struct breaks *b, struct machine *m)
{
  *b = (struct breaks){.machine = m};
}

static uint32_t read_word(const struct breaks *b, addr_t at)
{
  uint32_t value = 0;
  probe_read(&b->machine->chip, at, b->machine->now, &value);
  return value;
}

static void write_word(const struct breaks *b, addr_t at, uint32_t value)
{
  probe_write(&b->machine->chip, at, value, b->machine->now);
}

uint32_t breaks_comparators(const struct breaks *b)
{
  uint32_t count = UNIT_NUMBER(read_word(b, UNIT));
  return count < CORE_BREAKPOINTS ? count : CORE_BREAKPOINTS;
}

/* --- comparators --------------------------------------------------------- */

static void load(const struct breaks *b, uint32_t index)
{
  addr_t at = b->held[index];
  write_word(b, UNIT, UNIT_SWITCH_ON);
  write_word(b, COMPARATOR(index),
             (at & COMPARE_WORD) | COMPARE_ENABLE |
                 (at & 2u ? COMPARE_UPPER : COMPARE_LOWER));
}

static bool is_ours(const struct breaks *b, uint32_t index)
{
  return b->used >> index & 1u;
}

static bool held_at(const struct breaks *b, addr_t at, uint32_t *index)
{
  for (*index = 0; *index < CORE_BREAKPOINTS; ++*index)
    if (is_ours(b, *index) && b->held[*index] == at) return true;
  return false;
}

static enum breaks_answer set_comparator(struct breaks *b, addr_t at,
                                         bool reaches)
{
  uint32_t index;
  if (held_at(b, at, &index)) return BREAKS_DONE;
  for (index = 0; index < breaks_comparators(b); index++) {
    if (is_ours(b, index) ||
        (read_word(b, COMPARATOR(index)) & COMPARE_ENABLE))
      continue;
    b->held[index] = at;
    b->used |= 1u << index;
    if (reaches) load(b, index);
    return BREAKS_DONE;
  }
  return BREAKS_NONE_LEFT;
}

/* --- instructions -------------------------------------------------------- */

/* Two bytes of RAM, or NULL. */
static uint8_t *ram_at(const struct breaks *b, addr_t at)
{
  const struct memory *memory = &b->machine->chip.memory;
  uint32_t offset;
  uint32_t region = memory_find(memory, at, 2, &offset);
  if (region == PART_NONE || memory->part->memory[region].kind != MEMORY_RAM)
    return NULL;
  return memory->bytes[region] + offset;
}

static void put(const struct breaks *b, addr_t at, const uint8_t bytes[2])
{
  memcpy(ram_at(b, at), bytes, 2);
  cpu_invalidate(b->machine->cpu, at, 2);
}

static struct breaks_ram *ram_held_at(struct breaks *b, addr_t at)
{
  for (uint32_t i = 0; i < b->ram_count; i++)
    if (b->ram[i].at == at) return &b->ram[i];
  return NULL;
}

static enum breaks_answer set_instruction(struct breaks *b, addr_t at)
{
  const uint8_t *bytes = ram_at(b, at);
  if (bytes == NULL) return BREAKS_OUT_OF_REACH;
  if (ram_held_at(b, at) != NULL) return BREAKS_DONE;
  if (b->ram_count == BREAKS_IN_RAM) return BREAKS_NONE_LEFT;
  struct breaks_ram *r = &b->ram[b->ram_count++];
  r->at = at;
  memcpy(r->replaced, bytes, 2);
  put(b, at, instruction);
  return BREAKS_DONE;
}

/* Whatever was written over it since stays. */
static void clear_instruction(struct breaks *b, struct breaks_ram *r)
{
  if (memcmp(ram_at(b, r->at), instruction, 2) == 0)
    put(b, r->at, r->replaced);
  *r = b->ram[--b->ram_count];
}

/* --- both ---------------------------------------------------------------- */

enum breaks_answer breaks_set(struct breaks *b, addr_t at, bool software,
                              bool reaches)
{
  if (at & 1u) return BREAKS_OUT_OF_REACH;
  if (at <= COMPARE_HIGHEST) return set_comparator(b, at, reaches);
  return software && reaches ? set_instruction(b, at) : BREAKS_OUT_OF_REACH;
}

bool breaks_clear(struct breaks *b, addr_t at)
{
  uint32_t index;
  struct breaks_ram *r = ram_held_at(b, at);
  if (r != NULL) {
    clear_instruction(b, r);
    return true;
  }
  if (!held_at(b, at, &index)) return false;
  b->used &= ~(1u << index);
  write_word(b, COMPARATOR(index), 0);
  return true;
}

void breaks_clear_all(struct breaks *b)
{
  while (b->ram_count > 0)
    clear_instruction(b, &b->ram[0]);
  for (uint32_t i = 0; i < CORE_BREAKPOINTS; i++)
    if (is_ours(b, i)) breaks_clear(b, b->held[i]);
}

void breaks_renew(struct breaks *b)
{
  for (uint32_t i = 0; i < CORE_BREAKPOINTS; i++)
    if (is_ours(b, i)) load(b, i);
}

void breaks_hide(const struct breaks *b, addr_t at, uint8_t *bytes,
                 uint32_t count)
{
  for (uint32_t i = 0; i < b->ram_count; i++)
    for (uint32_t k = 0; k < 2; k++) {
      uint32_t into = b->ram[i].at + k - at;
      if (into < count && ram_at(b, b->ram[i].at)[k] == instruction[k])
        bytes[into] = b->ram[i].replaced[k];
    }
}
