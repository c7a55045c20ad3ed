/* cpu.h -- an instruction engine: executes plain instructions, nothing else.
 *
 * An engine holds no state of record. cpu_execute loads struct core, runs
 * instructions and stores struct core again, with the reason it came back and
 * the address of the instruction concerned in r[15]. It takes no exception,
 * touches no special register and never sleeps: such an instruction is left
 * unexecuted for system.c (CPU_SYSTEM), and core.c decides what follows.
 *
 * An instruction that faults is undone: the registers are as before it, and
 * it is not counted. What it stored before the faulting access stays stored;
 * destination registers of a load multiple that began in plain memory and
 * faulted outside it may hold what had been read (the architecture leaves
 * them unknown; its base is as before).
 *
 * Not every engine invalidates by itself: whoever changes code bytes or the
 * alias at 0 from outside says so. Stores by the program itself are followed,
 * through either alias; those that hit the next few instructions take effect
 * after the next branch or barrier.
 *
 * Owns: the engine. Borrows: the bus, between cpu_map and the next cpu_map.
 */
#ifndef CORE_CPU_H
#define CORE_CPU_H

#include "base/status.h"
#include "core/bus.h"
#include "core/core.h"

enum cpu_exit {
  CPU_BOUNDARY,    /* deadline, attention or boundary; r[15]: next */
  CPU_SYSTEM,      /* r[15]: the instruction, for system.c to execute */
  CPU_RETURN,      /* an EXC_RETURN value went into PC: it is in r[15] */
  CPU_UNDEFINED,   /* r[15]: the instruction */
  CPU_NOT_THUMB,   /* r[15]: branch target, T is 0 in xpsr */
  CPU_UNALIGNED,   /* r[15]: the instruction, undone */
  CPU_DATA_FAULT,  /* r[15]: the instruction, undone */
  CPU_FETCH_FAULT, /* r[15]: the address that can't be fetched or is XN */
  CPU_DIVIDE,      /* by zero, where that faults (v7-M); r[15]: it, undone */
  CPU_BREAKPOINT   /* r[15]: an instruction that the breakpoint unit holds */
};

struct cpu;

/* An engine over Unicorn for this kind of core. `part` is borrowed for the
 * life of the engine. SIM_LIMIT if the library can't open one. */
enum sim_status cpu_open_unicorn(struct cpu **cpu,
                                 const struct part_core *part,
                                 struct sim_error *err);

/* Our own interpreter of ARMv6-M. Follows every change of memory at once.
 * SIM_USAGE for a core of another architecture. */
enum sim_status cpu_open_own(struct cpu **cpu, const struct part_core *part,
                             struct sim_error *err);

/* The two in lockstep, slowly: where they differ, nothing executes any more
 * and every cpu_execute attends instead. */
enum sim_status cpu_open_both(struct cpu **cpu, const struct part_core *part,
                              struct sim_error *err);

enum cpu_engine { CPU_ENGINE_UNICORN, CPU_ENGINE_OWN, CPU_ENGINE_BOTH };

/* What suits code that runs once, a thousand times over: our own where it can
 * (forks, searches). */
enum cpu_engine cpu_engine_for_forks(enum core_kind kind);

/* One of the three. */
enum sim_status cpu_open(struct cpu **cpu, enum cpu_engine engine,
                         const struct part_core *part, struct sim_error *err);

/* What two engines in lockstep did not agree on, in one line, or NULL. The
 * text lives in the engine. */
const char *cpu_disagreement(const struct cpu *cpu);

void cpu_close(struct cpu *cpu);

/* Map the regions and the alias of `bus`; call again when they change, and
 * not from inside a bus callback. */
void cpu_map(struct cpu *cpu, const struct bus *bus);

/* Code bytes of [at, at + size), within one region, changed; every alias of
 * it is forgotten. May be called from inside a bus access. */
void cpu_invalidate(struct cpu *cpu, addr_t at, uint32_t size);

/* Execute from core->r[15] until core->deadline, core->attention,
 * core->boundary or an exit of another kind. T must be set and `bus` be the
 * one mapped. Instruction costs are added to core->cycle. */
enum cpu_exit cpu_execute(struct cpu *cpu, struct core *core,
                          const struct bus *bus);

#endif
