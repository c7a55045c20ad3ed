#include "run/route_key.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "chip/memory.h"
#include "core/cycles.h"

/* --- as seen from now ---------------------------------------------------- */

static ps_t from_now(ps_t at, ps_t now)
{
  return at == PS_NEVER ? PS_NEVER : at - now;
}

/* Of something that lies behind only the fact counts. */
static ps_t still_to_come(ps_t at, ps_t now)
{
  return at == PS_NEVER ? PS_NEVER : at > now ? at - now : 0;
}

static cycle_t cycles_from(cycle_t at, cycle_t now)
{
  return at == CYCLE_NEVER ? CYCLE_NEVER : at - now;
}

/* The edges to come depend on where now lies after the last one, and on the
 * fraction of a picosecond that this edge was rounded down by. */
static void make_clock_relative(struct clock *c, ps_t now)
{
  struct clock seen = {.part = c->part, .hz = c->hz, .source = c->source};
  cycle_t last = clock_cycle(c, now);
  wide_t fraction = (wide_t)(last - c->base_cycle) * PS_PER_S;
  seen.base_at = now - clock_time(c, last);
  seen.base_cycle = (cycle_t)(fraction % c->hz);
  for (uint32_t i = 0; i < PART_MAX_CLOCKS; i++)
    seen.ready_at[i] = still_to_come(c->ready_at[i], now);
  memcpy(c, &seen, sizeof(seen));
}

static void make_rail_relative(struct rail *r, ps_t now)
{
  struct rail_segment *s = &r->segment;
  uv_t level = rail_level(r, now);
  if (s->until <= now) {
    s->from = s->to = level;
    s->at = s->until = now;
    memset(&s->decay, 0, sizeof(s->decay));
  }
  s->at -= now;
  s->until -= now;
  r->rearm_since = from_now(r->rearm_since, now);
  r->next_at = 0; /* follows from the segment */
  r->next = 0;
}

/* What the source has given is for reports. */
static void make_supply_relative(struct supply *s, ps_t now)
{
  struct source_line *l = &s->line;
  if (l->until <= now) {
    l->at = l->until = now;
    l->from = l->to;
  }
  l->at -= now;
  l->until -= now;
  s->asks_at = from_now(s->asks_at, now);
  s->counted_at = 0;
  s->counted_level = 0;
  s->charge = 0;
}

/* A plain line is who pulls it, and no more. */
static void make_line_relative(struct chip *c, ps_t now)
{
  struct line *l = &c->line;
  int64_t level = line_level(l, now);
  bool driven = l->pulled & (1u << DRIVER_PART);
  l->from = level;
  l->decay.gap = level - l->to;
  l->at = l->lasted = 0;
  l->outside_at = l->outside ? l->outside_at - now : 0;
  l->low_at = l->low ? l->low_at - now : 0;
  l->crosses_at = from_now(l->crosses_at, now);
  l->seen_at = from_now(l->seen_at, now);
  l->lost_at = from_now(l->lost_at, now);
  l->let_go_at = from_now(l->let_go_at, now);
  c->line_driven_at = driven ? c->line_driven_at - now : 0;
  c->line_fight_at = c->line_fight_at == PS_NEVER ? PS_NEVER : 0;
}

static void make_watches_relative(struct chip *c, ps_t now)
{
  struct watchdog *w = &c->watchdog;
  w->begun_at = w->running ? w->begun_at - now : 0;
  w->due_at = from_now(w->due_at, now);
  w->held_at = from_now(w->held_at, now);
  c->sleep.wakes_at = from_now(c->sleep.wakes_at, now);
}

static void make_flash_relative(struct flash *f, ps_t now)
{
  f->begun_at = flash_busy(f) ? f->begun_at - now : 0;
  f->ends_at = from_now(f->ends_at, now);
}

/* How far back the prefetch buffer remembers (core/pace.c): what lies before
 * that counts as lying there. */
static cycle_t prefetch_room(const struct core *c, const struct bus *bus)
{
  uint32_t most = 0;
  for (unsigned i = 0; i < bus->region_count; i++)
    if (bus->regions[i].wait_states > most) most = bus->regions[i].wait_states;
  if (c->part->prefetch_words == 0) return 0;
  return (cycle_t)(c->part->prefetch_words - 1) * (most + 1);
}

/* A request that is older than the entry it overlaps says nothing more. */
static void make_requests_relative(struct core *c)
{
  cycle_t age = c->cycle - c->pended_at;
  bool old =
      c->pended_at == CYCLE_NEVER || age > cycles_entry_overlap(c->part->kind);
  c->pended_at = old ? CYCLE_NEVER : -age;
  if (c->came_due != CYCLE_NEVER) c->came_due -= c->cycle;
  if (!c->progress.begun) memset(&c->progress, 0, sizeof(c->progress));
}

static void make_core_relative(struct core *c, const struct bus *bus)
{
  cycle_t room = prefetch_room(c, bus), ready = c->fetch_ready - c->cycle;
  c->alarm = cycles_from(c->alarm, c->cycle);
  if (ready < -room) ready = -room;
  c->fetch_ready = c->part->prefetch_words == 0 ? 0 : ready;
  c->systick.at = c->systick.enabled ? c->systick.at - c->cycle : 0;
  c->entered_at -= c->instructions;
  c->retired_seen -= c->instructions;
  make_requests_relative(c);
  c->deadline = c->cycle = 0;
  c->instructions = c->counted = 0;
}

static void make_out_relative(struct character_out *c, ps_t now)
{
  c->begun = c->busy ? c->begun - now : 0;
  c->next = c->busy ? from_now(c->next, now) : 0;
}

static void make_in_relative(struct character_in *c, ps_t now)
{
  c->begun = c->busy ? c->begun - now : 0;
  c->next = c->busy ? from_now(c->next, now) : 0;
}

static void make_serial_relative(struct serial *s, ps_t now)
{
  s->held_at = s->holds ? s->held_at - now : 0;
  make_out_relative(&s->out, now);
  make_in_relative(&s->in, now);
}

static void make_lines_relative(struct machine *m, ps_t now)
{
  for (uint32_t i = 0; i < PART_MAX_PORTS; i++)
    make_serial_relative(&m->chip.serial[i], now);
  make_out_relative(&m->host.out, now);
  make_in_relative(&m->host.in, now);
  m->host.gives_up_at = still_to_come(m->host.gives_up_at, now);
  for (uint32_t i = 0; i < CASE_MAX_NEIGHBOURS; i++) {
    struct neighbour *n = &m->neighbours.each[i];
    n->begins = still_to_come(n->begins, now);
    make_out_relative(&n->out, now);
  }
}

/* Where no polled register was met, these are plain counters. */
static void make_learn_relative(struct learn *l)
{
  if (l->poll_count > 0 || l->register_count > 0) return;
  l->accesses = l->writes = 0;
}

/* What a fight has taken so far is for reports. */
static void make_nets_relative(struct nets *n)
{
  for (uint32_t i = 0; i < PART_MAX_PINS; i++) {
    n->ends[i].at = n->ends[i].since = 0;
    n->ends[i].part_pj = n->ends[i].net_pj = 0;
  }
}

/* `m` is a copy without memory and accelerator. */
static void make_relative(struct machine *m)
{
  ps_t now = m->now;
  struct chip *c = &m->chip;
  memset(&m->trace, 0, sizeof(m->trace));
  m->cpu = NULL;
  m->visitor = NULL;
  make_clock_relative(&c->clock, now);
  make_rail_relative(&c->rail, now);
  make_supply_relative(&m->supply, now);
  m->away_at = from_now(m->away_at, now);
  make_line_relative(c, now);
  make_watches_relative(c, now);
  make_flash_relative(&c->flash, now);
  make_core_relative(&c->core, &c->bus);
  make_learn_relative(&c->learn);
  make_nets_relative(&m->nets);
  make_lines_relative(m, now);
  c->boot.ends_at = from_now(c->boot.ends_at, now);
  c->until = 0; /* of the last run, as the next two */
  c->pause_at = 0;
  c->stop = 0;
  m->now = 0;
}

/* --- pages --------------------------------------------------------------- */

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

static size_t pages_needed(const struct machine *m)
{
  size_t count = (sizeof(*m) + PAGE_BYTES - 1) / PAGE_BYTES + 1;
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
  assert(extra_bytes <= PAGE_BYTES);
  struct machine seen;
  struct collecting c = {.store = store};
  c.key = malloc(sizeof(*c.key) + pages_needed(m) * sizeof(c.key->pages[0]));
  if (c.key == NULL) arena_no_memory();
  c.key->count = 0;
  memcpy(&seen, m, sizeof(seen));
  make_relative(&seen);
  add_bytes(&c, &seen, sizeof(seen));
  add_bytes(&c, extra, extra_bytes);
  add_memory(&c, m);
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
