/* places.h -- the fold that tells where the instructions of a start stand: in
 * which file and line, and which bytes of code are there.
 *
 * It adds to the starts what only images and memory know, so it listens
 * behind starts.h. Bytes are taken when it is the instruction's turn: memory
 * may be other by the end of the run.
 *
 * Owns: nothing; texts are in the arena. Borrows: plan, starts, bus.
 */
#ifndef RUN_PLACES_H
#define RUN_PLACES_H

#include "base/arena.h"
#include "base/trace.h"
#include "core/bus.h"
#include "run/plan.h"
#include "run/starts.h"

struct places {
  const struct plan *plan;
  const struct starts *starts;
  struct arena *arena;
  const struct bus *bus;
  uint32_t done; /* number of the start whose end was seen */
};

void places_init(struct places *p, const struct plan *plan,
                 const struct starts *starts, struct arena *arena,
                 const struct bus *bus, struct trace *tr);

#endif
