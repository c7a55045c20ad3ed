/* pace.h -- the bookkeeping around each instruction, the same in any engine:
 * cycles, deadline, region changes, watches, wait states, data accesses.
 *
 * An engine calls pace_next at the entry of every instruction and executes it
 * only if the answer is true. Cost is charged at entry, so what an access
 * inside the instruction adds (stalls) comes on top.
 *
 * The rule a reader would get wrong: whether a conditional branch was taken is
 * known only where the next instruction begins. Its refill is charged there,
 * before the deadline is looked at; an engine that stops for another reason
 * calls pace_settle with the address it got to.
 *
 * Wait states: a fetch of an aligned word (part->fetch_bytes) that is not in
 * the one-word fetch buffer costs the region's wait states; a branch empties
 * the buffer. With a prefetch buffer the next words are fetched while
 * instructions execute, and only what is left to wait is charged. A data read
 * from a region costs its wait states too. The documents give no formula for
 * any of it (assumed).
 *
 * An instruction that an interrupt breaks off (a list, a long multiplication
 * or division) is left to the core where it does not end by `stop_at`: list.c,
 * system.c.
 *
 * v7-M has more to it (pace_v7m.h); an engine that sets `v7m` gets it through
 * the same calls.
 *
 * Owns: nothing. Borrows: core and bus between pace_begin and pace_end, the
 * cost table, the regions' bytes.
 */
#ifndef CORE_PACE_H
#define CORE_PACE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "core/bus.h"
#include "core/core.h"
#include "core/cpu.h"
#include "core/cycles.h"
#include "core/pace_wait.h"

#define PACE_FILTER_SIZE 512u

struct pace_v7m;

struct pace {
  /* touched by every instruction */
  cycle_t cycle;
  cycle_t stop_at; /* no instruction begins at or after it */
  uint64_t instructions;
  const cost_t *costs;
  const uint8_t *bytes; /* of the region execution is in */
  addr_t from;          /* where those bytes are seen */
  uint32_t span;        /* how many; 0: look closer at every instruction */
  addr_t pc, next;      /* the last instruction, and what follows it */
  cost_t cost;          /* of the last instruction */
  uint8_t filter[PACE_FILTER_SIZE]; /* not 0 where a watch may be */

  uint32_t size;      /* real size behind `bytes` */
  bool waits;         /* some region has wait states */
  bool closer;        /* look closer at every instruction */
  uint64_t access_of; /* `instructions` whose accesses are counted */
  unsigned ordinal;   /* of the next access within it */
  bool faulted;       /* an access of the last instruction failed */
  bool restores;      /* a failed access leaves registers to be put back */
  bool handed_over;   /* the last instruction is for list.c: undo it */
  cycle_t data_waits; /* in the cycles of the last instruction, where lists
                         of loads can wait */
  uint64_t resumed;   /* `instructions` at which one that was broken off and
                         not abandoned is begun again */
  bool stopped;       /* pace_next said no; `exit` says why */
  uint64_t reports;   /* made to the chip */
  struct pace_wait wait;
  enum cpu_exit exit;

  struct core *core;
  const struct bus *bus;
  /* Register 0..14, or 16 for the flags, as the engine has it right now. */
  uint32_t (*read_register)(void *engine, unsigned number);
  void (*halt)(void *engine); /* called where pace_next says no */
  void *engine;
  struct pace_v7m *v7m; /* borrowed; NULL on v6-M */
};

/* Take over from struct core, and give back: cycle, instructions, PC. The
 * engine has set `costs`, `read_register`, `halt` and `engine`. */
void pace_begin(struct pace *p, struct core *core, const struct bus *bus);
void pace_end(struct pace *p, addr_t pc);

/* Charge what is left of the last branch, now that execution is at `pc`. True
 * if that is a boundary at which to stop. */
bool pace_settle(struct pace *p, addr_t pc);

/* The last instruction did not happen; if it was handed over, not even its
 * cycles. */
void pace_undo(struct pace *p);

/* Stop at the next boundary. */
void pace_interrupt(struct pace *p);

/* True if the last instruction is LDM, STM, PUSH or POP. */
bool pace_transfers_list(const struct pace *p);

/* A data access of the last instruction outside the regions; the value read.
 * If it sets `faulted` or `handed_over` the engine must abandon the
 * instruction there, and leave with CPU_DATA_FAULT or CPU_SYSTEM. */
uint32_t pace_access(struct pace *p, addr_t at, unsigned size, bool write,
                     uint32_t value);

/* The careful half of pace_next. */
bool pace_closer(struct pace *p, addr_t pc);

static inline bool pace_watched(const struct pace *p, addr_t pc)
{
  return p->filter[(pc >> 1) % PACE_FILTER_SIZE] != 0;
}

static inline uint16_t pace_halfword(const uint8_t *bytes)
{
  return (uint16_t)(bytes[0] | bytes[1] << 8);
}

/* A data read of the regions while the bus is guarded. False: a bus error. */
bool pace_guard(struct pace *p, addr_t at, unsigned words);

/* Execution is about to begin the instruction at `pc`, whose bytes can be
 * fetched. False: don't execute it, leave the engine. */
static inline bool pace_next(struct pace *p, addr_t pc)
{
  cycle_t cycle = p->cycle;
  uint32_t offset = pc - p->from;
  if (pc != p->next) cycle += cost_taken(p->cost);
  if (offset >= p->span || pace_watched(p, pc)) return pace_closer(p, pc);
  cost_t cost = p->costs[pace_halfword(p->bytes + offset)];
  cycle += cost_cycles(cost);
  if (cycle > p->stop_at || (cost & COST_CLOSER)) return pace_closer(p, pc);
  p->cycle = cycle;
  p->cost = cost;
  p->pc = pc;
  p->next = pc + 2;
  p->instructions++;
  return true;
}

#endif
