#include "core/cpu.h"

#include <assert.h>
#include <stddef.h>

#include "core/engine.h"

void cpu_close(struct cpu *cpu)
{
  if (cpu != NULL) cpu->ops->close(cpu);
}

void cpu_map(struct cpu *cpu, const struct bus *bus)
{
  assert(bus->region_count > 0);
  cpu->bus = bus;
  cpu->ops->map(cpu);
}

void cpu_invalidate(struct cpu *cpu, addr_t at, uint32_t size)
{
  uint32_t offset;
  assert(cpu->bus != NULL);
  unsigned i = bus_find(cpu->bus, at, &offset);
  if (i == BUS_NO_REGION || size == 0) return;
  const struct bus_region *r = &cpu->bus->regions[i];
  if (size > r->size - offset) size = r->size - offset;
  cpu->ops->forget(cpu, r->at + offset, size);
  if (i == cpu->bus->alias) cpu->ops->forget(cpu, offset, size);
}

enum cpu_exit cpu_execute(struct cpu *cpu, struct core *core,
                          const struct bus *bus)
{
  assert(cpu->bus == bus && (core->xpsr & CORE_THUMB));
  return cpu->ops->execute(cpu, core);
}
