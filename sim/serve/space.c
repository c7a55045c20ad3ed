#include "serve/space.h"

#include <inttypes.h>
#include <string.h>

#include "board/probe.h"
#include "run/engine.h"

/* --- reading ------------------------------------------------------------- */

uint32_t space_read(struct target *t, addr_t at, uint8_t *bytes,
                    uint32_t count)
{
  struct machine *m = t->machine;
  uint32_t word = 0, done = 0;
  for (; done < count && at + done >= at; done++) {
    addr_t here = at + done;
    if ((done == 0 || here % 4 == 0) &&
        !probe_read(&m->chip, here & ~3u, m->now, &word))
      break;
    bytes[done] = (uint8_t)(word >> here % 4 * 8);
  }
  breaks_hide(&t->breaks, at, bytes, done);
  return done;
}

/* --- writing ------------------------------------------------------------- */

static bool refuse(const struct target *t, addr_t at, const char *why)
{
  target_tell(t, "0x%08" PRIx32 " can't be written: %s", at, why);
  return false;
}

static void write_ram(struct target *t, uint32_t region, uint32_t offset,
                      addr_t at, const uint8_t *bytes, uint32_t count)
{
  struct machine *m = t->machine;
  memcpy(m->chip.memory.bytes[region] + offset, bytes, count);
  cpu_invalidate(m->cpu, at, count);
}

/* What a write sets in motion begins at once. */
static bool write_words(struct target *t, addr_t at, const uint8_t *bytes,
                        uint32_t count)
{
  struct machine *m = t->machine;
  if (at % 4 != 0 || count % 4 != 0)
    return refuse(t, at, "registers take whole words");
  for (uint32_t i = 0; i < count; i += 4) {
    const uint8_t *b = bytes + i;
    uint32_t word = b[0] | (uint32_t)b[1] << 8 | (uint32_t)b[2] << 16 |
                    (uint32_t)b[3] << 24;
    if (!probe_write(&m->chip, at + i, word, m->now))
      return refuse(t, at + i, "nothing is there that takes it");
    engine_pass(m, m->now, NULL, NULL);
  }
  return true;
}

bool space_write(struct target *t, addr_t at, const uint8_t *bytes,
                 uint32_t count)
{
  const struct memory *memory = &t->machine->chip.memory;
  uint32_t offset;
  if (count == 0) return true;
  if (!target_reaches(t, "write")) return false;
  if (count - 1 > UINT32_MAX - at)
    return refuse(t, at, "it goes on beyond the last address");
  uint32_t region = memory_find(memory, at, 1, &offset);
  if (region == PART_NONE) return write_words(t, at, bytes, count);
  if (memory->part->memory[region].kind != MEMORY_RAM)
    return refuse(t, at,
                  "flash is written through its controller, as `load` does, "
                  "and ROM not at all");
  if (count > memory->part->memory[region].size - offset)
    return refuse(t, at, "it goes on beyond the end of RAM");
  write_ram(t, region, offset, at, bytes, count);
  return true;
}

/* --- the map ------------------------------------------------------------- */

static const struct part_memory *lowest_from(const struct part *part,
                                             uint64_t from)
{
  const struct part_memory *lowest = NULL;
  for (uint32_t i = 0; i < part->memory_count; i++) {
    const struct part_memory *m = &part->memory[i];
    if (m->at >= from && (lowest == NULL || m->at < lowest->at)) lowest = m;
  }
  return lowest;
}

static void put(FILE *to, const char *type, uint64_t at, uint64_t size,
                uint32_t block)
{
  if (size == 0) return;
  fprintf(to,
          "<memory type=\"%s\" start=\"0x%" PRIx64 "\" length=\"0x%" PRIx64
          "\"",
          type, at, size);
  if (block > 0)
    fprintf(to,
            "><property name=\"blocksize\">0x%" PRIx32
            "</property></memory>\n",
            block);
  else
    fputs("/>\n", to);
}

static void put_memory(FILE *to, const struct part_memory *m)
{
  if (m->kind == MEMORY_FLASH)
    put(to, "flash", m->at, m->size, m->page);
  else
    put(to, m->kind == MEMORY_RAM ? "ram" : "rom", m->at, m->size, 0);
}

void space_describe(const struct part *part, FILE *to)
{
  const struct part_memory *m;
  uint64_t at = 0, end = (uint64_t)UINT32_MAX + 1;
  fputs("<?xml version=\"1.0\"?>\n<memory-map>\n", to);
  for (; (m = lowest_from(part, at)) != NULL; at = (uint64_t)m->at + m->size) {
    put(to, at == 0 && part_has_alias(part) ? "rom" : "ram", at, m->at - at,
        0);
    put_memory(to, m);
  }
  put(to, "ram", at, end - at, 0);
  fputs("</memory-map>\n", to);
}
