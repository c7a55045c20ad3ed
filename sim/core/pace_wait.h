/* pace_wait.h -- the rounds of a wait that nothing can tell apart are not
 * executed one by one.
 *
 * A program that polls a register comes back to the same read again and again.
 * Where the bus says that the answer is steady, and at two such reads in a row
 * registers, RAM and the fetch buffer are the same and nothing was reported or
 * accessed in between but those reads, every further round is the same, until
 * something happens outside: at `stop_at`. So the cycles and instructions of
 * all whole rounds up to there are counted at once, and the last are executed.
 *
 * The rule a reader would get wrong: this changes no result. What would be
 * seen with each round executed is seen, to the cycle.
 *
 * Not modelled: a wait in whose rounds something is written outside RAM, or
 * with the floating-point extension switched on; those are executed.
 *
 * Owns: nothing but its fields.
 */
#ifndef CORE_PACE_WAIT_H
#define CORE_PACE_WAIT_H

#include <stdbool.h>
#include <stdint.h>

#include "base/hash.h"
#include "base/units.h"
#include "core/bus.h"

struct pace;

/* Registers 0..14, and the flags. */
#define PACE_WAIT_REGISTERS 16u

/* The most reads of one round. Assumed: more than a program polls in turn. */
#define PACE_WAIT_READS 8u

struct pace_wait {
  bool begun;      /* a read was noted, and the next like it is waited for */
  uint32_t reads;  /* since */
  uint32_t pauses; /* reads to let pass before one is noted */
  uint32_t misses; /* rounds in a row that differed */
  struct bus_access read;
  uint32_t value; /* its answer */
  cycle_t cycle;
  uint64_t instructions, reports;
  uint32_t registers[PACE_WAIT_REGISTERS];
  addr_t fetched;
  cycle_t fetch_ready; /* from `cycle` on */
  struct hash128 ram;
};

/* An access was answered. May move the cycle on. */
void pace_wait(struct pace *p, const struct bus_access *a,
               const struct bus_answer *answer);

#endif
