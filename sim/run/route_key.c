#include "run/route_key.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/fold.h"
#include "chip/memory.h"

struct collecting {
  struct page_store *store;
  struct route_key *key;
};

static void add_page(struct collecting *c, const uint8_t *bytes)
{
  c->key->pages[c->key->count++] = pages_keep(c->store, bytes);
}

/* Any number of bytes; the last page is filled up with zeros. */
static void add_bytes(struct collecting *c, const void *bytes, size_t count)
{
  for (size_t done = 0; done < count; done += PAGE_BYTES) {
    size_t left = count - done;
    uint8_t page[PAGE_BYTES] = {0};
    memcpy(page, (const uint8_t *)bytes + done,
           left < PAGE_BYTES ? left : PAGE_BYTES);
    add_page(c, page);
  }
}

static void add_memory(struct collecting *c, const struct machine *m)
{
  const struct memory *memory = &m->chip.memory;
  for (uint32_t i = 0; i < m->part->memory_count; i++) {
    uint32_t granules = memory_granule_bytes(memory, i);
    if (m->part->memory[i].kind == MEMORY_ROM) continue;
    add_bytes(c, memory->bytes[i], m->part->memory[i].size);
    if (granules > 0) add_bytes(c, memory->granules[i], granules);
  }
}

static size_t pages_needed(const struct machine *m, const struct fold *f)
{
  size_t count = (f->count + PAGE_BYTES - 1) / PAGE_BYTES;
  for (uint32_t i = 0; i < m->part->memory_count; i++)
    count +=
        (m->part->memory[i].size + memory_granule_bytes(&m->chip.memory, i)) /
        PAGE_BYTES;
  return count;
}

static struct hash128 hash_of(const struct route_key *key)
{
  struct hash128 hash = {0, 0};
  for (size_t i = 0; i < key->count; i++) {
    const struct hash128 both[2] = {hash, key->pages[i]->hash};
    hash = hash_bytes(both, sizeof(both));
  }
  return hash;
}

struct route_key *route_key_make(struct page_store *store,
                                 const struct machine *m, const void *extra,
                                 size_t extra_bytes)
{
  struct fold f;
  struct collecting c = {.store = store};
  fold_init(&f);
  machine_fold(m, &f);
  fold_add(&f, extra, extra_bytes);
  c.key =
      malloc(sizeof(*c.key) + pages_needed(m, &f) * sizeof(c.key->pages[0]));
  if (c.key == NULL) arena_no_memory();
  c.key->count = 0;
  add_bytes(&c, f.bytes, f.count);
  add_memory(&c, m);
  fold_free(&f);
  c.key->hash = hash_of(c.key);
  return c.key;
}

bool route_key_equal(const struct route_key *a, const struct route_key *b)
{
  return a->count == b->count && a->hash.low == b->hash.low &&
         a->hash.high == b->hash.high &&
         memcmp(a->pages, b->pages, a->count * sizeof(a->pages[0])) == 0;
}

void route_key_free(struct page_store *store, struct route_key *key)
{
  if (key == NULL) return;
  for (size_t i = 0; i < key->count; i++)
    pages_let_go(store, key->pages[i]);
  free(key);
}
