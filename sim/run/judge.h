/* judge.h -- the list of what was judged: expectations, nevers, bounds.
 *
 * Owns: nothing; memory is in the arena.
 */
#ifndef RUN_JUDGE_H
#define RUN_JUDGE_H

#include <stdint.h>

#include "base/arena.h"
#include "describe/result.h"

struct judge {
  struct arena *arena;
  struct judgement *list;
  uint32_t count, room;
};

void judge_init(struct judge *j, struct arena *arena);

void judge_add(struct judge *j, const struct judgement *what);

#endif
