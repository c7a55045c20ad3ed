#include "core/layout.h"

#include <assert.h>

#define SPACE_END (UINT64_C(1) << 32)

/* The region that begins soonest at or above `from`, or BUS_NO_REGION. */
static unsigned region_above(const struct bus *bus, uint64_t from)
{
  unsigned found = BUS_NO_REGION;
  for (unsigned i = 0; i < bus->region_count; i++) {
    addr_t at = bus->regions[i].at;
    if (at >= from && (found == BUS_NO_REGION || at < bus->regions[found].at))
      found = i;
  }
  return found;
}

static uint32_t window_size(const struct bus *bus)
{
  uint32_t largest = 0;
  unsigned lowest = region_above(bus, 0);
  for (unsigned i = 0; i < bus->region_count; i++) {
    if (bus->regions[i].size > largest) largest = bus->regions[i].size;
  }
  if (lowest == BUS_NO_REGION) return 0;
  addr_t room = bus->regions[lowest].at;
  return largest < room ? largest : room;
}

static void add(struct layout *l, uint64_t from, uint64_t to, unsigned region)
{
  if (from == to) return;
  assert(from < to && l->count < LAYOUT_MAX);
  l->stretches[l->count++] = (struct layout_stretch){from, to, region};
}

static void add_fixed(struct layout *l, const struct bus *bus, uint64_t from)
{
  unsigned i;
  while ((i = region_above(bus, from)) != BUS_NO_REGION) {
    uint64_t at = bus->regions[i].at;
    add(l, from, at, BUS_NO_REGION);
    from = at + bus->regions[i].size;
    add(l, at, from, i);
  }
  add(l, from, SPACE_END, BUS_NO_REGION);
}

void layout_build(struct layout *l, const struct bus *bus)
{
  uint32_t window = window_size(bus), shown = 0;
  assert(window != 0 || bus->alias == BUS_NO_REGION ||
         bus->regions[bus->alias].at == 0);
  l->count = 0;
  add_fixed(l, bus, window);
  l->fixed = l->count;
  if (window != 0 && bus->alias != BUS_NO_REGION)
    shown = bus->regions[bus->alias].size;
  assert(shown <= window);
  add(l, 0, shown, bus->alias);
  add(l, shown, window, BUS_NO_REGION);
}

bool layout_same_regions(const struct bus *a, const struct bus *b)
{
  if (a->region_count != b->region_count) return false;
  for (unsigned i = 0; i < a->region_count; i++) {
    const struct bus_region *x = &a->regions[i], *y = &b->regions[i];
    if (x->at != y->at || x->size != y->size || x->bytes != y->bytes ||
        x->writable != y->writable)
      return false;
  }
  return true;
}
