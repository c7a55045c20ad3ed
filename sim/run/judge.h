/* judge.h -- the list of what was judged, and the nevers.
 *
 * Owns: nothing; memory is in the arena.
 */
#ifndef RUN_JUDGE_H
#define RUN_JUDGE_H

#include <stdbool.h>

#include "base/arena.h"
#include "base/trace.h"
#include "describe/result.h"
#include "run/plan.h"

struct judge {
  const struct plan *plan;
  struct arena *arena;
  struct judgement *list;
  uint32_t count, room;
  uint32_t region; /* that execution is in, for the nevers */
  bool broken[NEVER_COUNT_];
  const char *seen[NEVER_COUNT_]; /* what broke it first */
};

/* Watch the script's nevers from now on. */
void judge_init(struct judge *j, const struct plan *plan, struct arena *arena,
                struct trace *tr);

void judge_add(struct judge *j, const struct judgement *what);

/* The run is over: judge the nevers. */
void judge_end(struct judge *j);

#endif
