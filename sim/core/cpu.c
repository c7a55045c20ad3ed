#include "core/cpu.h"

#include <assert.h>
#include <stddef.h>

#include "core/engine.h"

enum sim_status cpu_open(struct cpu **cpu, enum cpu_engine engine,
                         const struct part_core *part, struct sim_error *err)
{
  switch (engine) {
  case CPU_ENGINE_OWN: return cpu_open_own(cpu, part, err);
  case CPU_ENGINE_BOTH: return cpu_open_both(cpu, part, err);
  default: return cpu_open_unicorn(cpu, part, err);
  }
}

enum cpu_engine cpu_engine_for_forks(enum core_kind kind)
{
  return kind < CORE_KIND_M3 ? CPU_ENGINE_OWN : CPU_ENGINE_UNICORN;
}

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

const char *cpu_disagreement(const struct cpu *cpu)
{
  return cpu->ops->disagreement == NULL ? NULL : cpu->ops->disagreement(cpu);
}
