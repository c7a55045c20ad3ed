/* nevers.h -- the fold that watches what may never happen, at every instant.
 *
 * The boot ROM runs while its instructions execute: from the entry into it up
 * to the next entry elsewhere, reset, halt, sleep or lockup. Its time and
 * cycles are summed over one start; the instant at which they pass what is
 * allowed is computed, wherever the next record is.
 *
 * They are watched from the step that the script names, or from the first.
 *
 * Owns: nothing; memory is in the arena. Borrows: plan.
 */
#ifndef RUN_NEVERS_H
#define RUN_NEVERS_H

#include <stdbool.h>

#include "base/arena.h"
#include "base/trace.h"
#include "run/judge.h"
#include "run/plan.h"

/* What became of one never of the script. */
struct never_watch {
  ps_t broken_at;   /* the first time; PS_NEVER: it held */
  const char *seen; /* what broke it */
};

struct nevers {
  const struct plan *plan;
  struct arena *arena;
  struct never_watch *watches; /* one a never */
  uint32_t region;             /* that execution is in */
  uint32_t mapped;             /* that the start rules chose last */
  bool running;                /* the core executes */
  ps_t rom_ps, since_ps;       /* in the boot ROM, in this start */
  cycle_t rom_cycles, since_cycle;
  bool armed; /* they are watched */
  ps_t armed_at;
  bool runs_on;       /* the boot ROM ran already when they were armed, and no
                         reset or halt has ended it since */
  uint64_t fights;    /* pins that are fought over: bit per pin */
  uint64_t fights_on; /* of them, those that were already */
};

void nevers_init(struct nevers *n, const struct plan *plan,
                 struct arena *arena, struct trace *tr);

/* Watch them from now on, whatever the script says. What is so already does
 * not count, what goes on does: a boot ROM that runs breaks "rom runs" as soon
 * as time passes, a pin that is fought over "contention". */
void nevers_arm(struct nevers *n, struct moment now);

/* Go on watching from where another one stood. */
void nevers_resume(struct nevers *n, const struct nevers *from);

/* The first never of the script that is broken by `now`, its index; false:
 * none is. */
bool nevers_broken(struct nevers *n, struct moment now, uint32_t *index);

/* The run is over at `now`: judge them. */
void nevers_end(struct nevers *n, struct moment now, struct judge *judge);

#endif
