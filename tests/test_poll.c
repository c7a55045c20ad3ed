/* When a program is said to wait. */
#include "chip/poll.h"
#include "rows.h"

/* POLL_READS - 1 reads, then the rest: what one more of the same makes known
 * is undone by anything else in between. */
struct access {
  addr_t at, pc;
  uint32_t value;
};

static const struct access same = {0x44020004, 0x0600019a, 0};

static bool again(struct poll *p, const struct access *a, uint32_t times)
{
  bool known = false;
  for (uint32_t i = 0; i < times; i++) {
    assert_false(known);
    known = poll_read(p, a->at, a->pc, a->value);
  }
  return known;
}

static const struct poll_row {
  const char *name;
  uint32_t before; /* reads of `same` */
  struct access other;
  bool known; /* by the read after that, which is of `same` again */
} rows[] = {
    {"one read less is no wait", POLL_READS - 2, {0, 0, 0}, false},
    {"another value ends it",
     POLL_READS - 1,
     {0x44020004, 0x0600019a, 1},
     false},
    {"another register ends it",
     POLL_READS - 1,
     {0x44020008, 0x0600019a, 0},
     false},
    {"another instruction ends it",
     POLL_READS - 1,
     {0x44020004, 0x0600019c, 0},
     false},
};

static void poll_row(void **state)
{
  const struct poll_row *r = *state;
  struct poll p;
  poll_init(&p);
  assert_false(again(&p, &same, r->before));
  if (r->other.at != 0)
    assert_false(poll_read(&p, r->other.at, r->other.pc, r->other.value));
  assert_int_equal(poll_read(&p, same.at, same.pc, same.value), r->known);
  /* and from that read on they count anew, or on */
  uint32_t had = r->other.at != 0 ? 1 : r->before + 1;
  assert_true(again(&p, &same, POLL_READS - had));
}

static void a_wait_is_known_exactly_once(void **state)
{
  (void)state;
  struct poll p;
  poll_init(&p);
  assert_true(again(&p, &same, POLL_READS));
  for (uint32_t i = 0; i < 3 * POLL_READS; i++)
    assert_false(poll_read(&p, same.at, same.pc, same.value));
}

static void after_something_else_it_is_another_wait(void **state)
{
  (void)state;
  struct poll p;
  poll_init(&p);
  assert_true(again(&p, &same, POLL_READS));
  poll_break(&p);
  assert_true(again(&p, &same, POLL_READS));
}

static void a_write_in_the_loop_makes_it_no_wait(void **state)
{
  (void)state;
  struct poll p;
  poll_init(&p);
  for (uint32_t i = 0; i < 10 * POLL_READS; i++) {
    assert_false(poll_read(&p, same.at, same.pc, same.value));
    poll_break(&p);
  }
}

/* `count` registers in turn: how often is it told in ten waits? */
static uint32_t told_of(uint32_t count)
{
  struct poll p;
  poll_init(&p);
  uint32_t told = 0;
  for (uint32_t i = 0; i < 10 * POLL_READS * count; i++)
    told += poll_read(&p, same.at + 4 * (i % count), same.pc, 0);
  return told;
}

static void a_few_registers_in_turn_are_one_wait(void **state)
{
  (void)state;
  for (uint32_t count = 1; count <= POLL_ROUND; count++)
    assert_int_equal(told_of(count), 1);
  assert_int_equal(told_of(POLL_ROUND + 1), 0);
}

static void two_in_turn_are_known_after_as_many_rounds_as_one(void **state)
{
  (void)state;
  struct poll p;
  poll_init(&p);
  for (uint32_t i = 0; i + 1 < 2 * POLL_READS; i++)
    assert_false(poll_read(&p, same.at + 4 * (i % 2), same.pc, 0));
  assert_true(poll_read(&p, same.at + 4, same.pc, 0));
}

static void what_is_dropped_ends_no_wait(void **state)
{
  (void)state;
  struct poll p;
  poll_init(&p);
  assert_true(again(&p, &same, POLL_READS));
  assert_false(poll_read(&p, same.at, same.pc, 1));
  assert_false(poll_read(&p, same.at + 4, same.pc + 8, 0x7e));
  assert_false(again(&p, &same, 3 * POLL_READS));
}

static void zero_is_an_answer_and_an_address_like_any_other(void **state)
{
  (void)state;
  static const struct access zero = {0, 0, 0};
  struct poll p;
  poll_init(&p);
  assert_true(again(&p, &zero, POLL_READS));
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(a_wait_is_known_exactly_once),
      cmocka_unit_test(after_something_else_it_is_another_wait),
      cmocka_unit_test(a_write_in_the_loop_makes_it_no_wait),
      cmocka_unit_test(a_few_registers_in_turn_are_one_wait),
      cmocka_unit_test(two_in_turn_are_known_after_as_many_rounds_as_one),
      cmocka_unit_test(what_is_dropped_ends_no_wait),
      cmocka_unit_test(zero_is_an_answer_and_an_address_like_any_other),
  };
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  ROWS_ADD(tests, poll_row, rows);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
