#include "run/route_queue.h"

#include <stdlib.h>
#include <string.h>

#define FIRST_BUCKETS 1024u

static void *grown(void *list, size_t *room, size_t size)
{
  *room = *room == 0 ? 256 : *room * 2;
  void *more = realloc(list, *room * size);
  if (more == NULL) arena_no_memory();
  return more;
}

struct route_node *route_queue_node(struct route_queue *q)
{
  struct route_node *node = calloc(1, sizeof(*node));
  if (node == NULL) arena_no_memory();
  if (q->all_count == q->all_room)
    q->all = grown(q->all, &q->all_room, sizeof(*q->all));
  node->number = q->all_count;
  q->all[q->all_count++] = node;
  return node;
}

/* --- the heap ------------------------------------------------------------ */

static bool before(const struct route_node *a, const struct route_node *b)
{
  return a->cost < b->cost || (a->cost == b->cost && a->number < b->number);
}

static void swap(struct route_node **a, struct route_node **b)
{
  struct route_node *kept = *a;
  *a = *b;
  *b = kept;
}

void route_queue_push(struct route_queue *q, struct route_node *node)
{
  if (q->heap_count == q->heap_room)
    q->heap = grown(q->heap, &q->heap_room, sizeof(*q->heap));
  size_t i = q->heap_count++;
  q->heap[i] = node;
  for (; i > 0 && before(q->heap[i], q->heap[(i - 1) / 2]); i = (i - 1) / 2)
    swap(&q->heap[i], &q->heap[(i - 1) / 2]);
}

struct route_node *route_queue_pop(struct route_queue *q)
{
  if (q->heap_count == 0) return NULL;
  struct route_node *first = q->heap[0];
  q->heap[0] = q->heap[--q->heap_count];
  for (size_t i = 0;;) {
    size_t child = 2 * i + 1;
    if (child >= q->heap_count) return first;
    if (child + 1 < q->heap_count &&
        before(q->heap[child + 1], q->heap[child]))
      child++;
    if (!before(q->heap[child], q->heap[i])) return first;
    swap(&q->heap[child], &q->heap[i]);
    i = child;
  }
}

/* --- states that had their turn ------------------------------------------ */

static uint64_t hash_of(const struct route_node *node)
{
  uint64_t hash = 0;
  for (uint32_t i = 0; i < ROUTE_MAX_STATES; i++)
    if (node->keys[i] != NULL) hash = hash * 31 + node->keys[i]->hash.low;
  return hash;
}

static bool equal(const struct route_node *a, const struct route_node *b)
{
  for (uint32_t i = 0; i < ROUTE_MAX_STATES; i++)
    if (a->keys[i] != NULL && !route_key_equal(a->keys[i], b->keys[i]))
      return false;
  return true;
}

bool route_queue_met(const struct route_queue *q,
                     const struct route_node *node)
{
  if (q->bucket_count == 0) return false;
  const struct route_node *n =
      q->buckets[hash_of(node) & (q->bucket_count - 1)];
  for (; n != NULL; n = n->next_met)
    if (equal(node, n) && n->depth <= node->depth) return true;
  return false;
}

static void put(struct route_queue *q, struct route_node *node)
{
  struct route_node **bucket =
      &q->buckets[hash_of(node) & (q->bucket_count - 1)];
  node->next_met = *bucket;
  *bucket = node;
}

static void grow_buckets(struct route_queue *q)
{
  struct route_queue larger = {.bucket_count = q->bucket_count == 0
                                                   ? FIRST_BUCKETS
                                                   : q->bucket_count * 2};
  larger.buckets = calloc(larger.bucket_count, sizeof(*larger.buckets));
  if (larger.buckets == NULL) arena_no_memory();
  for (size_t i = 0; i < q->bucket_count; i++)
    for (struct route_node *n = q->buckets[i]; n != NULL;) {
      struct route_node *next = n->next_met;
      put(&larger, n);
      n = next;
    }
  free(q->buckets);
  q->buckets = larger.buckets;
  q->bucket_count = larger.bucket_count;
}

void route_queue_meet(struct route_queue *q, struct route_node *node)
{
  if (q->met_count >= q->bucket_count) grow_buckets(q);
  q->met_count++;
  put(q, node);
}

/* --- what nodes own ------------------------------------------------------ */

void route_queue_drop(struct route_bench *b, struct route_node *node)
{
  for (uint32_t i = 0; i < ROUTE_MAX_STATES; i++) {
    route_forget(b, node->kept[i]);
    node->kept[i] = NULL;
  }
}

void route_queue_free(struct route_bench *b, struct route_queue *q)
{
  for (size_t i = 0; i < q->all_count; i++) {
    route_queue_drop(b, q->all[i]);
    for (uint32_t k = 0; k < ROUTE_MAX_STATES; k++)
      route_key_free(&b->store, q->all[i]->keys[k]);
    free(q->all[i]);
  }
  free(q->all);
  free(q->heap);
  free(q->buckets);
}
