/* engine.h -- what an instruction engine implements; for cpu.c and engines.
 *
 * cpu.c resolves aliases before it calls, so an engine sees plain address
 * ranges.
 *
 * Owns: nothing. Borrows: the bus mapped last.
 */
#ifndef CORE_ENGINE_H
#define CORE_ENGINE_H

#include "core/cpu.h"

struct cpu_ops {
  void (*close)(struct cpu *cpu);
  void (*map)(struct cpu *cpu); /* cpu->bus is new or has changed */
  void (*forget)(struct cpu *cpu, addr_t at, uint32_t size);
  enum cpu_exit (*execute)(struct cpu *cpu, struct core *core);
  const char *(*disagreement)(const struct cpu *cpu); /* NULL: has none */
};

/* The first member of every engine. */
struct cpu {
  const struct cpu_ops *ops;
  const struct bus *bus; /* NULL before cpu_map */
};

#endif
