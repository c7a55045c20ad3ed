/* starts.h -- the fold that tells where each start began, and how it went on.
 *
 * A start begins with TRACE_START, or by hand-over where execution goes from
 * elsewhere into the boot ROM by itself (once a reset: a program that calls
 * ROM routines is told of the first time only), or where the probe loads and
 * goes. What a loader of the probe executes belongs to no start, or the other
 * way where the serial host had the ROM launch something. It ends with the
 * next reset, with loss of supply, or with the run.
 *
 * Owns: nothing; memory is in the arena. Borrows: plan.
 */
#ifndef RUN_STARTS_H
#define RUN_STARTS_H

#include "base/arena.h"
#include "base/trace.h"
#include "describe/result.h"
#include "describe/trace_kinds.h"
#include "run/plan.h"

struct starts {
  const struct plan *plan;
  struct arena *arena;
  struct start *list;
  uint32_t count, room;
  bool open;        /* the last one still goes on */
  bool handed_over; /* since the last reset */
  bool loader;      /* the probe's loader has the core */
  bool exits;       /* the program ended itself; the core halts next */
  /* what the next start will begin with */
  uint32_t step, rule, region;
  bool latch_programmed, fresh_programmed;
  uint32_t last_region; /* that execution was in */
  uint64_t pins_driven; /* in the open start */
  uint32_t read;        /* last word that the probe read */
  bool has_read;
  enum trace_reply host; /* how the host's last doing ended */
  bool has_host;
  bool launching; /* the boot ROM was asked to leave, and will */
};

void starts_init(struct starts *s, const struct plan *plan,
                 struct arena *arena, struct trace *tr);

/* Keep what is known beyond the trace: in `to`, whose list is then `last`
 * alone, the newest start, if there is one. */
void starts_keep(struct starts *to, struct start *last,
                 const struct starts *from);

/* Go on from what was kept. `room` starts fit into `list` before more is taken
 * from the arena; at least one. */
void starts_resume(struct starts *s, const struct starts *kept,
                   struct start *list, uint32_t room);

/* The start that goes on now or ended last; NULL before the first. */
struct start *starts_last(const struct starts *s);

/* The run is over at `now`. */
void starts_end(struct starts *s, struct moment now);

#endif
