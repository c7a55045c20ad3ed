/* queue.h -- what is due, and when: events as plain data.
 *
 * Entries leave by `at`; of those due at one instant, the one added first
 * leaves first. What an entry means is its owner's: `what` and `a`.
 *
 * Everything is inside the struct, sorted: a snapshot is a struct copy, and
 * unused entries are zero.
 *
 * Not modelled: events that move or are withdrawn. A block that changes its
 * mind reports its next instant itself and is not queued.
 */
#ifndef BASE_QUEUE_H
#define BASE_QUEUE_H

#include <stdint.h>

#include "base/units.h"

#define QUEUE_ROOM 64

struct queue_entry {
  ps_t at;
  uint64_t order; /* how many were added before it */
  uint32_t what, a;
};

struct queue {
  struct queue_entry entries[QUEUE_ROOM]; /* soonest first */
  uint64_t count;
  uint64_t added; /* since queue_init */
};

void queue_init(struct queue *q);

/* Asserts that there is room and that `at` is not PS_NEVER. */
void queue_add(struct queue *q, ps_t at, uint32_t what, uint32_t a);

/* When the next entry is due; PS_NEVER if there is none. */
ps_t queue_next_at(const struct queue *q);

/* Remove the next entry and return it. Asserts that there is one. */
struct queue_entry queue_take(struct queue *q);

#endif
