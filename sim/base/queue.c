#include "base/queue.h"

#include <assert.h>
#include <string.h>

void queue_init(struct queue *q)
{
  memset(q, 0, sizeof *q);
}

void queue_add(struct queue *q, ps_t at, uint32_t what, uint32_t a)
{
  assert(q->count < QUEUE_ROOM && at != PS_NEVER);
  uint64_t place = q->count;
  /* Strictly later entries move up: an equal one was added before. */
  while (place > 0 && q->entries[place - 1].at > at) {
    q->entries[place] = q->entries[place - 1];
    place--;
  }
  q->entries[place] = (struct queue_entry){at, q->added, what, a};
  q->added++;
  q->count++;
}

ps_t queue_next_at(const struct queue *q)
{
  return q->count > 0 ? q->entries[0].at : PS_NEVER;
}

struct queue_entry queue_take(struct queue *q)
{
  assert(q->count > 0);
  struct queue_entry next = q->entries[0];
  q->count--;
  memmove(&q->entries[0], &q->entries[1], q->count * sizeof q->entries[0]);
  memset(&q->entries[q->count], 0, sizeof q->entries[0]);
  return next;
}
