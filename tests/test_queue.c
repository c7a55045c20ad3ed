/* The event queue: order, ties, and being plain data. */
#include <string.h>

#include "base/queue.h"
#include "rows.h"

/* Entries go in from left to right; `what` is the position in that order.
 * They must leave in the order of `leave`. */
static const struct row {
  const char *name;
  size_t count;
  ps_t at[6];
  uint32_t leave[6];
} rows[] = {
    {"the soonest leaves first", 3, {30, 10, 20}, {1, 2, 0}},
    {"at one instant the first added leaves first",
     4,
     {5, 5, 5, 5},
     {0, 1, 2, 3}},
    {"ties keep their order around other instants",
     6,
     {9, 5, 9, 1, 5, 9},
     {3, 1, 4, 0, 2, 5}},
    {"an instant before the script began comes before zero",
     2,
     {0, -1},
     {1, 0}},
    {"the last instant there is comes last",
     3,
     {PS_NEVER - 1, 0, PS_NEVER - 1},
     {1, 0, 2}},
};

static void order_row(void **state)
{
  const struct row *r = *state;
  struct queue q;
  queue_init(&q);
  for (uint32_t i = 0; i < r->count; i++) {
    queue_add(&q, r->at[i], i, 100 + i);
  }
  for (size_t i = 0; i < r->count; i++) {
    ps_t due = queue_next_at(&q);
    struct queue_entry e = queue_take(&q);
    assert_int_equal(e.what, r->leave[i]);
    assert_int_equal(e.a, 100 + r->leave[i]);
    assert_int_equal(e.order, r->leave[i]);
    assert_true(e.at == due && e.at == r->at[e.what]);
  }
  assert_true(queue_next_at(&q) == PS_NEVER);
}

/* The reference: of all that are in, the least (at, order), found by
 * looking at each. */
static size_t least(const struct queue_entry *in, size_t count)
{
  size_t best = 0;
  for (size_t i = 1; i < count; i++) {
    bool sooner = in[i].at < in[best].at;
    bool tied = in[i].at == in[best].at && in[i].order < in[best].order;
    if (sooner || tied) best = i;
  }
  return best;
}

static void any_mix_of_adding_and_taking_is_in_order(void **state)
{
  (void)state;
  struct queue q;
  struct queue_entry model[QUEUE_ROOM];
  size_t count = 0;
  uint64_t order = 0;
  uint32_t random = 1;
  queue_init(&q);
  for (int step = 0; step < 20000; step++) {
    random = random * 1664525u + 1013904223u;
    bool add = count == 0 || (count < QUEUE_ROOM && (random >> 16) % 5 < 3);
    if (add) {
      ps_t at = (random >> 8) % 16;
      queue_add(&q, at, random, 0);
      model[count++] = (struct queue_entry){at, order++, random, 0};
    } else {
      size_t next = least(model, count);
      assert_true(queue_next_at(&q) == model[next].at);
      struct queue_entry e = queue_take(&q);
      assert_memory_equal(&e, &model[next], sizeof e);
      model[next] = model[--count];
    }
  }
}

static void a_snapshot_is_a_struct_copy(void **state)
{
  (void)state;
  struct queue q, snapshot;
  queue_init(&q);
  queue_add(&q, 20, 2, 0);
  queue_add(&q, 10, 1, 0);
  snapshot = q;
  queue_take(&q);
  queue_add(&q, 5, 9, 0);
  assert_int_equal(queue_take(&snapshot).what, 1);
  assert_int_equal(queue_take(&snapshot).what, 2);
  assert_true(queue_next_at(&snapshot) == PS_NEVER);
}

static void what_has_left_leaves_no_trace_in_the_bytes(void **state)
{
  (void)state;
  struct queue q, empty;
  memset(&q, 0xA5, sizeof q);
  memset(&empty, 0, sizeof empty);
  queue_init(&q);
  queue_add(&q, 10, 1, 7);
  queue_add(&q, 20, 2, 8);
  queue_take(&q);
  queue_take(&q);
  empty.added = 2;
  assert_memory_equal(&q, &empty, sizeof q);
}

static void takes_as_many_as_there_is_room_for(void **state)
{
  (void)state;
  struct queue q;
  queue_init(&q);
  for (uint32_t i = 0; i < QUEUE_ROOM; i++) {
    queue_add(&q, QUEUE_ROOM - i, i, 0);
  }
  for (uint32_t i = QUEUE_ROOM; i-- > 0;) {
    assert_int_equal(queue_take(&q).what, i);
  }
}

/* --- misuse is our bug: it stops the program ----------------------------- */

static void add_beyond_the_room(void)
{
  struct queue q;
  queue_init(&q);
  for (uint32_t i = 0; i <= QUEUE_ROOM; i++) {
    queue_add(&q, i, i, 0);
  }
}

static void take_from_empty(void)
{
  struct queue q;
  queue_init(&q);
  queue_take(&q);
}

static void add_at_never(void)
{
  struct queue q;
  queue_init(&q);
  queue_add(&q, PS_NEVER, 0, 0);
}

static const struct misuse_row misuses[] = {
    {"one more than there is room for stops the program", add_beyond_the_room},
    {"taking from an empty queue stops the program", take_from_empty},
    {"an event that is never due stops the program", add_at_never},
};

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(any_mix_of_adding_and_taking_is_in_order),
      cmocka_unit_test(a_snapshot_is_a_struct_copy),
      cmocka_unit_test(what_has_left_leaves_no_trace_in_the_bytes),
      cmocka_unit_test(takes_as_many_as_there_is_room_for),
  };
  struct CMUnitTest tests[ROWS_COUNT(rows) + ROWS_COUNT(misuses)];
  size_t n = ROWS_ADD(tests, order_row, rows);
  n += ROWS_ADD(tests + n, misuse_row, misuses);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
