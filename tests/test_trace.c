/* The trace: folds are fed once, in order; limits stop a run, not the
 * folds. */
#include <string.h>

#include "base/trace.h"
#include "rows.h"

#define BIT(kind) TRACE_BIT(kind)
#define ALL       TRACE_ALL

/* What the folds of a test were fed: "A1 B1 ": listener, then `a`. */
struct log {
  char text[512];
};

struct listener {
  struct log *log;
  char name;
  /* When fed a record whose `a` is `on`, add `count` more: a = first, first
   * + 1 ... */
  struct trace *trace;
  uint32_t on, first, count;
};

static void note(void *context, const struct trace_record *r)
{
  struct listener *l = context;
  char piece[16];
  snprintf(piece, sizeof piece, "%c%u ", l->name, r->a);
  strncat(l->log->text, piece, sizeof l->log->text - 1 - strlen(l->log->text));
  if (!l->trace || r->a != l->on) return;
  for (uint32_t i = 0; i < l->count; i++) {
    struct moment now = {r->at, r->cycle};
    trace_add(l->trace, now, r->kind, l->first + i, 0);
  }
}

static void add(struct trace *t, unsigned kind, uint32_t a)
{
  trace_add(t, (struct moment){10, 2}, kind, a, 0);
}

static void listeners_are_fed_in_the_order_they_were_added(void **state)
{
  (void)state;
  struct trace t;
  struct log log = {""};
  struct listener a = {.log = &log, .name = 'A'};
  struct listener b = {.log = &log, .name = 'B'};
  trace_init(&t, 100);
  trace_listen(&t, ALL, note, &b);
  trace_listen(&t, ALL, note, &a);
  add(&t, 0, 1);
  add(&t, 127, 2);
  assert_string_equal(log.text, "B1 A1 B2 A2 ");
  trace_free(&t);
}

static void listener_sees_only_the_kinds_of_its_mask(void **state)
{
  (void)state;
  struct trace t;
  struct log log = {""};
  struct listener a = {.log = &log, .name = 'A'};
  struct listener b = {.log = &log, .name = 'B'};
  trace_init(&t, 100);
  trace_listen(&t, BIT(0) | BIT(127), note, &a);
  trace_listen(&t, BIT(1), note, &b);
  for (unsigned kind = 0; kind < TRACE_MAX_KINDS; kind++) {
    add(&t, kind, kind);
  }
  assert_string_equal(log.text, "A0 B1 A127 ");
  trace_free(&t);
}

static void all_see_a_record_before_what_a_fold_adds_to_it(void **state)
{
  (void)state;
  struct trace t;
  struct log log = {""};
  struct listener a = {&log, 'A', &t, 1, 7, 1};
  struct listener b = {.log = &log, .name = 'B'};
  trace_init(&t, 100);
  trace_listen(&t, ALL, note, &a);
  trace_listen(&t, ALL, note, &b);
  add(&t, 3, 1);
  add(&t, 3, 2);
  assert_string_equal(log.text, "A1 B1 A7 B7 A2 B2 ");
  assert_int_equal(t.added, 3);
  trace_free(&t);
}

static void what_folds_add_keeps_the_order_of_adding(void **state)
{
  (void)state;
  struct trace t;
  struct log log = {""};
  struct listener a = {&log, 'A', &t, 1, 10, 2};  /* 1 -> 10, 11 */
  struct listener b = {&log, 'B', &t, 10, 20, 2}; /* 10 -> 20, 21 */
  trace_init(&t, 100);
  trace_keep(&t, ALL, 100);
  trace_listen(&t, ALL, note, &a);
  trace_listen(&t, ALL, note, &b);
  add(&t, 3, 1);
  assert_string_equal(log.text, "A1 B1 A10 B10 A11 B11 A20 B20 A21 B21 ");
  static const uint32_t order[] = {1, 10, 11, 20, 21};
  assert_int_equal(t.kept_count, 5);
  for (size_t i = 0; i < 5; i++) {
    assert_int_equal(t.kept[i].a, order[i]);
  }
  trace_free(&t);
}

static void every_field_of_a_record_arrives(void **state)
{
  (void)state;
  struct trace t;
  trace_init(&t, 100);
  trace_keep(&t, BIT(127), 1);
  trace_add(&t, (struct moment){INT64_MAX, INT64_MIN}, 127, UINT32_MAX, 5);
  const struct trace_record *r = t.kept;
  assert_true(r->at == INT64_MAX && r->cycle == INT64_MIN);
  assert_true(r->a == UINT32_MAX && r->b == 5 && r->kind == 127);
  trace_free(&t);
}

static void kept_records_are_those_of_the_mask_in_order(void **state)
{
  (void)state;
  struct trace t;
  trace_init(&t, 1000000);
  trace_keep(&t, BIT(1), 100000);
  for (uint32_t i = 0; i < 10000; i++) {
    add(&t, i % 2, i);
  }
  assert_int_equal(t.kept_count, 5000);
  for (uint32_t i = 0; i < 5000; i++) {
    assert_int_equal(t.kept[i].a, 2 * i + 1);
  }
  assert_false(t.full);
  trace_free(&t);
}

static void nothing_is_kept_unless_asked(void **state)
{
  (void)state;
  struct trace t;
  struct log log = {""};
  struct listener a = {.log = &log, .name = 'A'};
  trace_init(&t, 100);
  trace_listen(&t, ALL, note, &a);
  add(&t, 0, 1);
  assert_int_equal(t.kept_count, 0);
  assert_false(t.full);
  trace_free(&t);
}

static void wanted_is_what_anybody_wants(void **state)
{
  (void)state;
  struct trace t;
  struct log log = {""};
  struct listener a = {.log = &log, .name = 'A'};
  trace_init(&t, 100);
  assert_false(trace_wants(&t, 0));
  trace_listen(&t, BIT(4), note, &a);
  trace_keep(&t, BIT(127), 10);
  assert_true(trace_wants(&t, 4));
  assert_true(trace_wants(&t, 127));
  assert_false(trace_wants(&t, 5));
  trace_free(&t);
  assert_false(trace_wants(&t, 4));
}

/* --- limits -------------------------------------------------------------- */

/* `adds` records of kind 0, which is wanted or not, kept or not. */
static const struct limit_row {
  const char *name;
  int keep;
  uint64_t added_limit;
  size_t kept_limit;
  uint32_t adds;
  size_t kept;
  int full;
} limit_rows[] = {
    {"as many as are kept is not full", 1, 100, 3, 3, 3, 0},
    {"one more is full and is not kept", 1, 100, 3, 4, 3, 1},
    {"far more stays full", 1, 100, 3, 50, 3, 1},
    {"room doubles up to a limit that is no power of two", 1, 9999, 777, 778,
     777, 1},
    {"a store of none is full at once", 1, 100, 0, 1, 0, 1},
    {"as many as may be added is not full", 0, 5, 0, 5, 0, 0},
    {"one more is full", 0, 5, 0, 6, 0, 1},
};

static void limit_row(void **state)
{
  const struct limit_row *r = *state;
  struct trace t;
  struct log log = {""};
  struct listener a = {.log = &log, .name = 'A'};
  trace_init(&t, r->added_limit);
  if (r->keep) trace_keep(&t, BIT(0), r->kept_limit);
  trace_listen(&t, BIT(0), note, &a);
  for (uint32_t i = 1; i < r->adds; i++) {
    add(&t, 0, 0);
  }
  log.text[0] = '\0';
  add(&t, 0, 1);
  assert_int_equal(t.full, r->full);
  assert_int_equal(t.kept_count, r->kept);
  assert_true(t.kept_room <= r->kept_limit);
  assert_int_equal(t.added, r->adds);
  assert_string_equal(log.text, "A1 "); /* the last still reached the fold */
  trace_free(&t);
}

static void records_nobody_wants_count_as_added(void **state)
{
  (void)state;
  struct trace t;
  trace_init(&t, 2);
  for (int i = 0; i < 3; i++) {
    assert_false(t.full);
    add(&t, 9, 0);
  }
  assert_true(t.full);
  assert_int_equal(t.added, 3);
  trace_free(&t);
}

/* --- misuse is our bug: it stops the program ----------------------------- */

static void derive_for_ever(void)
{
  struct trace t;
  struct log log = {""};
  struct listener a = {&log, 'A', &t, 1, 1, 1};
  trace_init(&t, 100);
  trace_listen(&t, ALL, note, &a);
  add(&t, 0, 1);
}

static void listen_too_often(void)
{
  struct trace t;
  struct listener a = {.name = 'A'};
  trace_init(&t, 100);
  for (int i = 0; i <= TRACE_MAX_FOLDS; i++) {
    trace_listen(&t, ALL, note, &a);
  }
}

static void add_unknown_kind(void)
{
  struct trace t;
  trace_init(&t, 100);
  add(&t, TRACE_MAX_KINDS, 0);
}

static const struct misuse_row misuses[] = {
    {"a fold that feeds itself for ever stops the program", derive_for_ever},
    {"a listener too many stops the program", listen_too_often},
    {"a kind beyond the mask stops the program", add_unknown_kind},
};

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(listeners_are_fed_in_the_order_they_were_added),
      cmocka_unit_test(listener_sees_only_the_kinds_of_its_mask),
      cmocka_unit_test(all_see_a_record_before_what_a_fold_adds_to_it),
      cmocka_unit_test(what_folds_add_keeps_the_order_of_adding),
      cmocka_unit_test(every_field_of_a_record_arrives),
      cmocka_unit_test(kept_records_are_those_of_the_mask_in_order),
      cmocka_unit_test(nothing_is_kept_unless_asked),
      cmocka_unit_test(wanted_is_what_anybody_wants),
      cmocka_unit_test(records_nobody_wants_count_as_added),
  };
  struct CMUnitTest tests[ROWS_COUNT(limit_rows) + ROWS_COUNT(misuses)];
  size_t n = ROWS_ADD(tests, limit_row, limit_rows);
  n += ROWS_ADD(tests + n, misuse_row, misuses);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("singles", singles, NULL, NULL);
  return failed + cmocka_run_group_tests_name("rows", tests, NULL, NULL);
}
