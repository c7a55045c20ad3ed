#include "run/fork.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

/* The blocks are mostly empty tables: they are kept as pages, too. */
#define CHIP_PAGES ((sizeof(struct chip) + PAGE_BYTES - 1) / PAGE_BYTES)

struct snapshot {
  ps_t now;
  struct stored_page *chip[CHIP_PAGES];
  struct supply supply;
  ps_t away_at;
  struct nets nets;
  struct probe probe;
  struct host host;
  struct neighbours neighbours;
  bool expecting;
  const struct machine *of;
  uint32_t first[PART_MAX_MEMORY + 1]; /* index of a region's first page */
  uint32_t count; /* with the pages of granules, behind those of regions */
  struct stored_page *pages[];
};

static uint32_t pages_of(const struct part_memory *m)
{
  assert(m->size % PAGE_BYTES == 0);
  return m->size / PAGE_BYTES;
}

static uint32_t granule_pages(const struct memory *memory, uint32_t region)
{
  return memory_granule_bytes(memory, region) / PAGE_BYTES;
}

static uint32_t count_pages(const struct memory *memory)
{
  uint32_t count = 0;
  for (uint32_t i = 0; i < memory->part->memory_count; i++)
    count += pages_of(&memory->part->memory[i]) + granule_pages(memory, i);
  return count;
}

/* Bytes of the chip on its page `index`. */
static size_t chip_bytes(size_t index)
{
  size_t left = sizeof(struct chip) - index * PAGE_BYTES;
  return left < PAGE_BYTES ? left : PAGE_BYTES;
}

static void keep_chip(struct snapshot *s, struct page_store *store,
                      const struct chip *chip)
{
  for (size_t i = 0; i < CHIP_PAGES; i++) {
    uint8_t bytes[PAGE_BYTES] = {0};
    memcpy(bytes, (const uint8_t *)chip + i * PAGE_BYTES, chip_bytes(i));
    s->chip[i] = pages_keep(store, bytes);
  }
}

struct snapshot *snapshot_take(struct page_store *store,
                               const struct machine *m)
{
  const struct memory *memory = &m->chip.memory;
  uint32_t count = count_pages(memory), next = 0;
  struct snapshot *s = malloc(sizeof(*s) + count * sizeof(s->pages[0]));
  if (s == NULL) arena_no_memory();
  s->now = m->now;
  keep_chip(s, store, &m->chip);
  s->supply = m->supply;
  s->away_at = m->away_at;
  s->nets = m->nets;
  s->probe = m->probe;
  s->host = m->host;
  s->neighbours = m->neighbours;
  s->expecting = m->expecting;
  s->of = m;
  for (uint32_t i = 0; i < m->part->memory_count; i++) {
    s->first[i] = next;
    const uint8_t *bytes = m->chip.memory.bytes[i];
    for (uint32_t k = 0; k < pages_of(&m->part->memory[i]); k++)
      s->pages[next++] = pages_keep(store, bytes + k * PAGE_BYTES);
  }
  s->first[m->part->memory_count] = next;
  for (uint32_t i = 0; i < m->part->memory_count; i++)
    for (uint32_t k = 0; k < granule_pages(memory, i); k++)
      s->pages[next++] =
          pages_keep(store, memory->granules[i] + k * PAGE_BYTES);
  s->count = next;
  return s;
}

void snapshot_free(struct page_store *store, struct snapshot *s)
{
  if (s == NULL) return;
  for (uint32_t i = 0; i < s->count; i++)
    pages_let_go(store, s->pages[i]);
  for (size_t i = 0; i < CHIP_PAGES; i++)
    pages_let_go(store, s->chip[i]);
  free(s);
}

const struct stored_page *const *
snapshot_pages(const struct snapshot *s, uint32_t region, uint32_t *count)
{
  *count = s->first[region + 1] - s->first[region];
  return (const struct stored_page *const *)&s->pages[s->first[region]];
}

const struct stored_page *const *snapshot_granules(const struct snapshot *s,
                                                   uint32_t *count)
{
  uint32_t first = s->first[s->of->part->memory_count];
  *count = s->count - first;
  return (const struct stored_page *const *)&s->pages[first];
}

void snapshot_chip(const struct snapshot *s, struct chip *chip)
{
  for (size_t i = 0; i < CHIP_PAGES; i++)
    memcpy((uint8_t *)chip + i * PAGE_BYTES, s->chip[i]->bytes, chip_bytes(i));
}

/* Neighbouring pages that differ are forgotten together. */
static void restore_region(const struct snapshot *s, struct machine *m,
                           uint32_t region)
{
  uint8_t *live = m->chip.memory.bytes[region];
  uint32_t count = s->first[region + 1] - s->first[region], differ = 0;
  for (uint32_t k = 0; k <= count; k++) {
    const uint8_t *kept =
        k < count ? s->pages[s->first[region] + k]->bytes : NULL;
    if (kept != NULL && memcmp(live + k * PAGE_BYTES, kept, PAGE_BYTES) != 0) {
      memcpy(live + k * PAGE_BYTES, kept, PAGE_BYTES);
      differ++;
    } else if (differ > 0) {
      addr_t at = m->part->memory[region].at + (k - differ) * PAGE_BYTES;
      cpu_invalidate(m->cpu, at, differ * PAGE_BYTES);
      differ = 0;
    }
  }
}

/* What the check bits say; no code depends on them. */
static void restore_granules(const struct snapshot *s, struct machine *m)
{
  const struct memory *memory = &m->chip.memory;
  uint32_t next = s->first[m->part->memory_count];
  for (uint32_t i = 0; i < m->part->memory_count; i++)
    for (uint32_t k = 0; k < granule_pages(memory, i); k++)
      memcpy(memory->granules[i] + k * PAGE_BYTES, s->pages[next++]->bytes,
             PAGE_BYTES);
}

void snapshot_restore(const struct snapshot *s, struct machine *m)
{
  assert(s->of == m);
  unsigned alias = m->chip.bus.alias;
  bool hidden = m->chip.flash_hidden;
  m->now = s->now;
  snapshot_chip(s, &m->chip);
  m->supply = s->supply;
  m->away_at = s->away_at;
  m->nets = s->nets;
  m->probe = s->probe;
  m->host = s->host;
  m->neighbours = s->neighbours;
  m->expecting = s->expecting;
  if (m->chip.bus.alias != alias || m->chip.flash_hidden != hidden)
    cpu_map(m->cpu, &m->chip.bus);
  for (uint32_t i = 0; i < m->part->memory_count; i++)
    restore_region(s, m, i);
  restore_granules(s, m);
}

/* --- a side branch ------------------------------------------------------- */

void fork_begin(struct fork *f, struct page_store *store, struct machine *m,
                uint64_t limit)
{
  f->before = snapshot_take(store, m);
  f->trace = m->trace;
  trace_init(&m->trace, limit);
  for (unsigned i = 0; i < f->trace.listener_count; i++) {
    const struct trace_listener *l = &f->trace.listeners[i];
    if (l->context == &m->nets)
      trace_listen(&m->trace, l->mask, l->fold, l->context);
  }
  f->visitor = m->visitor;
  m->visitor = NULL;
  m->chip.pause_at = CYCLE_NEVER;
  m->expecting = false;
  host_quiet(&m->host, &m->nets, chip_moment(&m->chip, m->now));
}

void fork_end(struct fork *f, struct page_store *store, struct machine *m)
{
  trace_free(&m->trace);
  m->trace = f->trace;
  m->visitor = f->visitor;
  snapshot_restore(f->before, m);
  snapshot_free(store, f->before);
}
