/* The flash controller: keys, locks, and orders that take time. */
#include <string.h>

#include "chip/flash.h"
#include "chip_fixture.h"
#include "rows.h"

static const struct part_flash part = {
    .program = EXACTLY(52 * PS_PER_US),
    .erase_page = EXACTLY(21 * PS_PER_MS),
    .erase_all = EXACTLY(33 * PS_PER_MS),
    .option_program = EXACTLY(24 * PS_PER_MS),
};

static const uint32_t keys[] = {0x11111111, 0x22222222, 0x33333333};

static struct moment at(ps_t ps)
{
  return (struct moment){ps, ps / PS_PER_US};
}

static void open_flash(struct flash *f, struct trace *trace)
{
  flash_init(f, &part);
  for (unsigned i = 0; i < 3; i++)
    flash_key(f, keys[i], keys, 3, at(0), trace);
  assert_false(f->locked);
}

/* --- keys ---------------------------------------------------------------- */

/* One letter an event: 1 2 3 the keys, x another word, L the lock order, R a
 * reset that locks, K one that keeps the lock. `end` is open, locked or
 * barred; `refused` how often a wrong key was told. */
static const struct key_row {
  const char *name;
  const char *events;
  enum { LOCKED, OPEN, BARRED } end;
  size_t refused;
} key_rows[] = {
    {"it begins locked", "", LOCKED, 0},
    {"all keys in order open it", "123", OPEN, 0},
    {"two of three do not", "12", LOCKED, 0},
    {"a wrong word bars it", "x", BARRED, 1},
    {"a right key at the wrong place is a wrong one", "13", BARRED, 1},
    {"so is the same key twice", "11", BARRED, 1},
    {"barred, the right keys do nothing", "x123", BARRED, 1},
    {"nor are more wrong ones told", "xxx", BARRED, 1},
    {"the lock order lifts no bar", "xL123", BARRED, 1},
    {"a reset that locks does", "xR123", OPEN, 1},
    {"one that keeps the lock does not", "xK123", BARRED, 1},
    {"a reset forgets the keys given so far", "12R3", BARRED, 1},
    {"and begins anew", "12R123", OPEN, 0},
    {"open, more keys are ignored", "1233x", OPEN, 0},
    {"the lock order locks", "123L", LOCKED, 0},
    {"after it all keys are needed again", "123L12", LOCKED, 0},
    {"and open it again", "123L123", OPEN, 0},
    {"a reset locks", "123R", LOCKED, 0},
    {"one that keeps the lock leaves it open", "123K", OPEN, 0},
    {"locking what is locked keeps the keys given", "1L23", OPEN, 0},
};

static void key_event(struct flash *f, char event, struct trace *trace)
{
  switch (event) {
  case 'L': flash_lock(f, at(1), trace); break;
  case 'R': flash_reset(f, true, at(1), trace); break;
  case 'K': flash_reset(f, false, at(1), trace); break;
  case 'x': flash_key(f, 0x44444444, keys, 3, at(1), trace); break;
  default: flash_key(f, keys[event - '1'], keys, 3, at(1), trace);
  }
}

static void key_row(void **state)
{
  const struct key_row *r = *state;
  struct flash f;
  struct trace trace;
  kept_init(&trace);
  flash_init(&f, &part);
  for (const char *e = r->events; *e != '\0'; e++)
    key_event(&f, *e, &trace);
  assert_int_equal(f.locked, r->end != OPEN);
  assert_int_equal(f.barred, r->end == BARRED);
  assert_int_equal(kept_count(&trace, TRACE_FLASH_REFUSED), r->refused);
  if (r->end == BARRED) assert_true(f.refused);
  const struct trace_record *t;
  bool locked = true; /* as the trace tells it */
  for (size_t n = 0; (t = kept_nth(&trace, TRACE_FLASH_LOCK, n)); n++) {
    assert_int_not_equal(t->a, locked);
    locked = t->a != 0;
  }
  assert_int_equal(locked, f.locked);
  for (size_t n = 0; (t = kept_nth(&trace, TRACE_FLASH_REFUSED, n)); n++)
    assert_int_equal(t->a, REFUSAL_WRONG_KEY);
  flash_check(&f);
  trace_free(&trace);
}

/* --- orders -------------------------------------------------------------- */

static const struct order_row {
  const char *name;
  enum flash_op op;
  ps_t lasts;
} orders[] = {
    {"programming a unit takes its time", FLASH_PROGRAM, 52 * PS_PER_US},
    {"erasing a page takes its own", FLASH_ERASE_PAGE, 21 * PS_PER_MS},
    {"erasing all takes its own", FLASH_ERASE_ALL, 33 * PS_PER_MS},
    {"programming an option word too", FLASH_PROGRAM_OPTION, 24 * PS_PER_MS},
};

static void order_row(void **state)
{
  const struct order_row *r = *state;
  struct flash f;
  struct trace trace;
  const ps_t begin = 5 * PS_PER_MS;
  kept_init(&trace);
  open_flash(&f, &trace);
  f.target = 0x04000800;
  assert_false(flash_busy(&f));
  assert_true(flash_begin(&f, r->op, 3, at(begin), &trace));
  assert_true(flash_busy(&f) && f.op == r->op && f.op_word == 3);
  assert_int_equal(f.begun_at, begin);
  assert_int_equal(f.ends_at, begin + r->lasts);
  assert_int_equal(flash_advance(&f, at(begin + r->lasts - 1), &trace),
                   FLASH_IDLE);
  assert_true(flash_busy(&f));
  assert_int_equal(flash_advance(&f, at(begin + r->lasts), &trace), r->op);
  assert_false(flash_busy(&f));
  assert_int_equal(f.ends_at, PS_NEVER);
  assert_int_equal(flash_advance(&f, at(PS_PER_S), &trace), FLASH_IDLE);
  const struct trace_record *t = kept_last(&trace, TRACE_FLASH_BEGIN);
  assert_true(t->a == r->op && t->b == 0x04000800 && t->at == begin);
  t = kept_last(&trace, TRACE_FLASH_END);
  assert_true(t->a == r->op && t->b == 0x04000800);
  assert_int_equal(t->at, begin + r->lasts);
  assert_int_equal(kept_count(&trace, TRACE_FLASH_END), 1);
  assert_false(f.refused);
  trace_free(&trace);
}

/* A refused order changes nothing but the flag. */
static void assert_refused(struct flash *f, enum trace_refusal why,
                           struct trace *trace)
{
  struct flash before = *f;
  f->refused = false;
  assert_false(flash_begin(f, FLASH_ERASE_ALL, 7, at(PS_PER_MS), trace));
  assert_true(f->refused);
  before.refused = true;
  assert_memory_equal(f, &before, sizeof before);
  const struct trace_record *t = kept_last(trace, TRACE_FLASH_REFUSED);
  assert_true(t->a == why && t->b == f->target && t->at == PS_PER_MS);
}

static void a_locked_controller_refuses(void **state)
{
  (void)state;
  struct flash f;
  struct trace trace;
  kept_init(&trace);
  flash_init(&f, &part);
  f.target = 0x04000010;
  assert_refused(&f, REFUSAL_LOCKED, &trace);
  trace_free(&trace);
}

static void a_busy_one_refuses_and_goes_on(void **state)
{
  (void)state;
  struct flash f;
  struct trace trace;
  kept_init(&trace);
  open_flash(&f, &trace);
  f.target = 0x04000010;
  flash_begin(&f, FLASH_ERASE_PAGE, 0, at(0), &trace);
  f.target = 0x04000400;
  assert_refused(&f, REFUSAL_BUSY, &trace);
  assert_int_equal(f.op_at, 0x04000010);
  assert_int_equal(flash_advance(&f, at(21 * PS_PER_MS), &trace),
                   FLASH_ERASE_PAGE);
  trace_free(&trace);
}

static void locked_while_busy_it_says_locked_and_goes_on(void **state)
{
  (void)state;
  struct flash f;
  struct trace trace;
  kept_init(&trace);
  open_flash(&f, &trace);
  flash_begin(&f, FLASH_PROGRAM, 0, at(0), &trace);
  flash_lock(&f, at(1), &trace);
  assert_refused(&f, REFUSAL_LOCKED, &trace);
  assert_int_equal(flash_advance(&f, at(52 * PS_PER_US), &trace),
                   FLASH_PROGRAM);
  trace_free(&trace);
}

static void what_is_written_meanwhile_is_for_the_next_order(void **state)
{
  (void)state;
  struct flash f;
  struct trace trace;
  kept_init(&trace);
  open_flash(&f, &trace);
  f.target = 0x04000010;
  f.data[0] = 0x12345678;
  f.data[3] = 0x9abcdef0;
  f.data[FLASH_MAX_UNIT_WORDS - 1] = 0x0f1e2d3c;
  flash_begin(&f, FLASH_PROGRAM, 0, at(0), &trace);
  f.target = 0x04000020;
  memset(f.data, 0xff, sizeof f.data);
  flash_advance(&f, at(PS_PER_MS), &trace);
  assert_int_equal(f.op_at, 0x04000010);
  assert_int_equal(f.op_data[0], 0x12345678);
  assert_int_equal(f.op_data[3], 0x9abcdef0);
  assert_int_equal(f.op_data[FLASH_MAX_UNIT_WORDS - 1], 0x0f1e2d3c);
  trace_free(&trace);
}

/* --- an order that is cut ------------------------------------------------ */

static const struct cut_row {
  const char *name;
  ps_t cut; /* of an order of 52 us, begun at 0 */
  bool lock, torn;
} cuts[] = {
    {"a reset at its beginning cuts it", 0, true, true},
    {"a reset in its middle cuts it", 30 * PS_PER_US, true, true},
    {"also one that keeps the lock", 30 * PS_PER_US, false, true},
    {"a reset after its end cuts nothing", 52 * PS_PER_US, true, false},
};

static void cut_row(void **state)
{
  const struct cut_row *r = *state;
  struct flash f;
  struct trace trace;
  kept_init(&trace);
  open_flash(&f, &trace);
  f.target = 0x04000ffc;
  flash_begin(&f, FLASH_PROGRAM, 0, at(0), &trace);
  flash_advance(&f, at(r->cut), &trace);
  flash_reset(&f, r->lock, at(r->cut), &trace);
  assert_false(flash_busy(&f));
  assert_int_equal(f.locked, r->lock);
  assert_int_equal(flash_advance(&f, at(PS_PER_S), &trace), FLASH_IDLE);
  assert_int_equal(kept_count(&trace, TRACE_FLASH_TORN), r->torn);
  assert_int_equal(kept_count(&trace, TRACE_FLASH_END), !r->torn);
  const struct trace_record *t = kept_last(&trace, TRACE_FLASH_TORN);
  if (t != NULL)
    assert_true(t->a == FLASH_PROGRAM && t->b == 0x04000ffc &&
                t->at == r->cut);
  flash_check(&f);
  trace_free(&trace);
}

static void a_reset_that_locks_forgets_the_refusal(void **state)
{
  (void)state;
  struct flash f;
  struct trace trace;
  kept_init(&trace);
  flash_init(&f, &part);
  flash_refuse(&f, REFUSAL_ADDRESS, at(0), &trace);
  flash_reset(&f, false, at(1), &trace);
  assert_true(f.refused);
  flash_reset(&f, true, at(2), &trace);
  assert_false(f.refused);
  trace_free(&trace);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(a_locked_controller_refuses),
      cmocka_unit_test(a_busy_one_refuses_and_goes_on),
      cmocka_unit_test(locked_while_busy_it_says_locked_and_goes_on),
      cmocka_unit_test(what_is_written_meanwhile_is_for_the_next_order),
      cmocka_unit_test(a_reset_that_locks_forgets_the_refusal),
  };
  struct CMUnitTest
      tests[ROWS_COUNT(key_rows) + ROWS_COUNT(orders) + ROWS_COUNT(cuts)];
  size_t n = ROWS_ADD(tests, key_row, key_rows);
  n += ROWS_ADD(tests + n, order_row, orders);
  n += ROWS_ADD(tests + n, cut_row, cuts);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
