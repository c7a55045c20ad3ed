#include "core/bus.h"

#include <stddef.h>

unsigned bus_find(const struct bus *bus, addr_t at, uint32_t *offset)
{
  for (unsigned i = 0; i < bus->region_count; i++) {
    const struct bus_region *r = &bus->regions[i];
    uint32_t into = at - r->at;
    if (into >= r->size && i == bus->alias) into = at;
    if (into < r->size) {
      if (offset != NULL) *offset = into;
      return i;
    }
  }
  return BUS_NO_REGION;
}

bool bus_peek(const struct bus *bus, addr_t at, unsigned size, uint32_t *value)
{
  uint32_t offset;
  unsigned i = bus_find(bus, at, &offset);
  if (i == BUS_NO_REGION || bus->regions[i].size - offset < size) return false;
  uint32_t v = 0;
  for (unsigned n = 0; n < size; n++)
    v |= (uint32_t)bus->regions[i].bytes[offset + n] << (8 * n);
  *value = v;
  return true;
}

bool bus_poke(const struct bus *bus, addr_t at, unsigned size, uint32_t value)
{
  uint32_t offset;
  unsigned i = bus_find(bus, at, &offset);
  if (i == BUS_NO_REGION || !bus->regions[i].writable ||
      bus->regions[i].size - offset < size)
    return false;
  for (unsigned n = 0; n < size; n++)
    bus->regions[i].bytes[offset + n] = (uint8_t)(value >> (8 * n));
  return true;
}
