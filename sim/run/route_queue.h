/* route_queue.h -- the nodes of a search that wait for their turn, and the
 * states that had it.
 *
 * The queue gives the node of least cost; of equal ones the one that came
 * first.
 *
 * Owns: its lists and the nodes in them, a node its kept states and keys.
 */
#ifndef RUN_ROUTE_QUEUE_H
#define RUN_ROUTE_QUEUE_H

#include "run/route_branch.h"

struct route_node {
  struct route_node *next_met;     /* in its bucket */
  const struct route_node *parent; /* NULL: the incoming states */
  uint32_t action;                 /* that led here */
  uint32_t depth;
  bool done;           /* the goal holds, and all is let go of */
  bool asked, reaches; /* whether it is a procedure as it stands */
  struct catalog_bench bench;
  ps_t cost, person;
  uint64_t number;
  ps_t times[ROUTE_MAX_STATES];
  struct route_kept *kept[ROUTE_MAX_STATES]; /* by incoming state, or NULL */
  struct route_key *keys[ROUTE_MAX_STATES];
};

struct route_queue {
  struct route_node **heap;
  size_t heap_count, heap_room;
  struct route_node **all; /* to be freed */
  size_t all_count, all_room;
  struct route_node **buckets; /* of those that had their turn, by hash */
  size_t met_count, bucket_count;
};

struct route_node *route_queue_node(struct route_queue *q);
void route_queue_push(struct route_queue *q, struct route_node *node);
struct route_node *route_queue_pop(struct route_queue *q); /* NULL: empty */

/* True if the node's state had its turn with as few actions. */
bool route_queue_met(const struct route_queue *q,
                     const struct route_node *node);

/* It has its turn now: its keys stay, to be known again. */
void route_queue_meet(struct route_queue *q, struct route_node *node);

/* Its kept states are needed no more, or never were. */
void route_queue_drop(struct route_bench *b, struct route_node *node);

void route_queue_free(struct route_bench *b, struct route_queue *q);

#endif
