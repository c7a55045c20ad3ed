#include "core/bitband.h"

#include <stddef.h>

#define ALIAS_SIZE   0x02000000u
#define ALIAS_OFFSET 0x02000000u
#define RAM_BASE     0x20000000u
#define DEVICE_BASE  0x40000000u

static bool in_alias(addr_t at, addr_t base)
{
  return at - (base + ALIAS_OFFSET) < ALIAS_SIZE;
}

bool bitband_covers(const struct part_core *part, addr_t at)
{
  return part->bit_band &&
         (in_alias(at, RAM_BASE) || in_alias(at, DEVICE_BASE));
}

/* What the core stores by itself may be code. */
static bool poke(struct core *c, const struct bus *bus,
                 const struct bus_access *a)
{
  if (!bus_poke(bus, a->at, a->size, a->value)) return false;
  c->stored = (struct core_stored){a->at, a->size};
  c->boundary = true;
  return true;
}

static struct bus_answer access_behind(struct core *c, const struct bus *bus,
                                       const struct bus_access *a)
{
  struct bus_answer answer = {0};
  if (a->write ? poke(c, bus, a)
               : bus_peek(bus, a->at, a->size, &answer.value))
    return answer;
  answer.fault = bus_find(bus, a->at, NULL) != BUS_NO_REGION;
  return answer.fault ? answer : bus->access(bus->chip, a);
}

struct bus_answer bitband_access(struct core *c, const struct bus *bus,
                                 const struct bus_access *a)
{
  addr_t base = in_alias(a->at, RAM_BASE) ? RAM_BASE : DEVICE_BASE;
  uint32_t bit = (a->at - base - ALIAS_OFFSET) / 4;
  uint32_t wide = a->size * 8;
  struct bus_access behind = *a;
  behind.at = base + bit / wide * a->size;
  behind.write = false;
  bit %= wide;
  struct bus_answer read = access_behind(c, bus, &behind);
  if (read.fault || !a->write) {
    read.value = (read.value >> bit) & 1u;
    return read;
  }
  behind.write = true;
  behind.value = (read.value & ~(1u << bit)) | (a->value & 1u) << bit;
  struct bus_answer written = access_behind(c, bus, &behind);
  written.stall += read.stall;
  return written;
}
