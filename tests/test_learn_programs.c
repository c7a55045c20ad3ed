/* What programs do with registers that nothing describes: pieces of firmware
 * as they are written everywhere (common practice, no source), and which of
 * them are let go, which are left waiting. */
#include "learn_program.h"

enum {
  STATUS = 0x40001000,
  DATA = 0x40001004,    /* beside STATUS */
  LAMP = 0x40009000,    /* in another block */
  COUNTER = 0x40005000, /* counts by itself on a real part */
};

enum { POLL = 0x100, AGAIN = 0x200, WORK = 0x300, SHOW = 0x400 };

#define MOST 2000u

#define READY    (1u << 3)
#define RECEIVED (1u << 5)

static const struct trace_record *last(const struct program *p,
                                       enum trace_kind kind)
{
  return kept_last(&p->trace, kind);
}

/* --- let go -------------------------------------------------------------- */

/* One function polls for every flag of a status register. */
static void a_helper_that_polls_for_several_flags(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  static const uint32_t flags[] = {1u << 7, 1u << 1, 1u << 30};
  for (size_t i = 0; i < ROWS_COUNT(flags); i++) {
    assert_true(poll_word(p, STATUS, POLL, flags[i], flags[i], MOST) > 0);
    write_word(p, LAMP, WORK, (uint32_t)i);
  }
  assert_int_equal(read_word(p, STATUS, AGAIN), 0x40000082);
  assert_int_equal(lessons(p), 3);
  program_free(p);
}

static void a_loop_that_gives_up_soon(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  assert_true(poll_word(p, STATUS, POLL, 1u << 31, 1u << 31, 40) > 0);
  program_free(p);
}

/* do { order; } while (it was not done); */
static void an_order_that_is_given_until_it_is_taken(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  uint32_t rounds = 0;
  do {
    write_word(p, DATA, WORK, 0x5a);
    rounds++;
  } while ((read_word(p, STATUS, POLL) & READY) == 0 && rounds < MOST);
  assert_int_equal(rounds, LEARN_WORKING + 3);
  program_free(p);
}

static void a_loop_that_kicks_a_watchdog(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  uint32_t rounds = 0;
  while ((read_word(p, STATUS, POLL) & READY) == 0 && rounds < MOST) {
    write_word(p, LAMP, WORK, 1);
    rounds++;
  }
  read_word(p, DATA, AGAIN);
  write_word(p, LAMP, SHOW, 0);
  assert_in_range(rounds, LEARN_WORKING, LEARN_WORKING + 40);
  assert_int_equal(last(p, TRACE_LEARNED)->b, READY);
  program_free(p);
}

/* from = COUNTER; while (COUNTER - from < 100); */
static void a_delay_by_a_counter(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  for (uint32_t i = 0; i < 8; i++) {
    uint32_t from = read_word(p, COUNTER, WORK), rounds = 0;
    while (read_word(p, COUNTER, POLL) - from < 100 && rounds < MOST)
      rounds++;
    assert_true(rounds < MOST);
    write_word(p, LAMP, SHOW, i);
  }
  program_free(p);
}

/* A level is awaited, then the other one, again and again. */
static void edges_of_an_input(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  for (uint32_t i = 0; i < 50; i++) {
    assert_true(poll_word(p, STATUS, POLL, 1, 1, MOST) > 0);
    assert_true(poll_word(p, STATUS, AGAIN, 1, 0, MOST) > 0);
  }
  assert_int_equal(trials(p), 2);
  program_free(p);
}

/* while (!(A & x) && !(A & y)); compilers read A twice. */
static void a_loop_that_reads_twice(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  uint32_t rounds = 0;
  while ((read_word(p, STATUS, POLL) & 1u << 9) == 0 &&
         (read_word(p, STATUS, AGAIN) & 1u << 4) == 0 && rounds < MOST)
    rounds++;
  write_word(p, LAMP, SHOW, 1);
  assert_int_equal(last(p, TRACE_LEARNED)->b, 1u << 4);
  program_free(p);
}

/* A conversion is started, awaited and fetched; for ever. */
static void orders_that_are_answered_for_ever(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  for (uint32_t i = 0; i < 3 * LEARN_PASSES; i++) {
    write_word(p, STATUS, WORK, 1);
    assert_true(poll_word(p, STATUS, POLL, READY, READY, MOST) > 0);
    read_word(p, DATA, AGAIN);
  }
  assert_int_equal(kept_count(&p->trace, TRACE_WAITING), 0);
  program_free(p);
}

static void more_polls_than_are_remembered(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  for (uint32_t i = 0; i < 3 * LEARN_POLLS; i++)
    assert_true(poll_word(p, LAMP + 0x400 * i, 2 * i, 4, 4, MOST) > 0);
  write_word(p, STATUS, WORK, 1);
  assert_int_equal(lessons(p), 3 * LEARN_POLLS);
  program_free(p);
}

/* --- left waiting -------------------------------------------------------- */

/* Bits that no answer has together. */
#define HOPELESS 0x10204080u

static void what_nothing_lets_go_waits(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  learn_add(&p->learn, STATUS, 0x01020304);
  assert_int_equal(poll_word(p, STATUS, POLL, UINT32_MAX, HOPELESS, 2 * MOST),
                   0);
  assert_int_equal(trials(p), 590);
  assert_int_equal(kept_count(&p->trace, TRACE_WAITING), 1);
  assert_int_equal(last(p, TRACE_WAITING)->a, STATUS);
  assert_int_equal(last(p, TRACE_WAITING)->b, POLL);
  assert_int_equal(last(p, TRACE_WAITING_FOR)->a, 0);
  assert_int_equal(read_word(p, STATUS, AGAIN), 0x01020304);
  assert_int_equal(lessons(p), 0);
  program_free(p);
}

static void a_write_to_its_block_lets_it_be_tried_again(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  for (uint32_t i = 0; i < 3 * LEARN_ROUNDS; i++) {
    poll_word(p, STATUS, POLL, UINT32_MAX, HOPELESS, MOST);
    write_word(p, DATA, WORK, i);
  }
  assert_int_equal(trials(p) % (590 - 1), 0);
  assert_int_equal(trials(p) / (590 - 1), LEARN_ROUNDS);
  assert_int_equal(kept_count(&p->trace, TRACE_WAITING), 3 * LEARN_ROUNDS);
  write_word(p, LAMP, WORK, 0);
  program_free(p);
}

static void a_program_that_works_is_not_called_waiting(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  for (uint32_t i = 0; i < 2 * MOST; i++) {
    write_word(p, DATA, WORK, i);
    read_word(p, STATUS, POLL);
  }
  assert_true(trials(p) > 0);
  assert_int_equal(kept_count(&p->trace, TRACE_WAITING), 0);
  assert_int_equal(lessons(p), 0);
  program_free(p);
}

/* Bytes are taken for ever, and nothing was asked for. */
static void receive(struct program *p, uint32_t rounds)
{
  for (uint32_t i = 0; i < rounds; i++)
    if (read_word(p, STATUS, POLL) & RECEIVED) read_word(p, DATA, AGAIN);
}

static void what_comes_from_outside_is_withdrawn(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  receive(p, MOST);
  assert_int_equal(trials(p), 6);
  assert_int_equal(last(p, TRACE_LEARNED)->b, RECEIVED);
  assert_int_equal(kept_count(&p->trace, TRACE_WITHDRAWN), 1);
  assert_int_equal(last(p, TRACE_WITHDRAWN)->a, STATUS);
  assert_int_equal(last(p, TRACE_WITHDRAWN)->b, RECEIVED);
  assert_int_equal(kept_count(&p->trace, TRACE_WAITING), 1);
  assert_int_equal(last(p, TRACE_WAITING)->a, STATUS);
  assert_int_equal(last(p, TRACE_WAITING_FOR)->a, RECEIVED);
  assert_int_equal(last(p, TRACE_WAITING_FOR)->b, RECEIVED);
  assert_int_equal(read_word(p, STATUS, WORK), 0);
  program_free(p);
}

static void what_was_withdrawn_stays_so_after_a_reset(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  receive(p, MOST);
  size_t tried = trials(p);
  learn_reset(&p->learn, true);
  receive(p, LEARN_WAIT - 1);
  assert_int_equal(kept_count(&p->trace, TRACE_WAITING), 1);
  receive(p, 1);
  assert_int_equal(kept_count(&p->trace, TRACE_WAITING), 2);
  assert_int_equal(last(p, TRACE_WAITING_FOR)->a, RECEIVED);
  assert_int_equal(trials(p), tried);
  program_free(p);
}

/* --- what the description says ------------------------------------------- */

static void an_answer_for_always_is_there_at_once_and_for_good(void **state)
{
  (void)state;
  static const struct part_answer answers[] = {
      {STATUS, 0x0f, 0x05, ANSWER_ALWAYS}, {STATUS, 0x80, 0, ANSWER_ALWAYS}};
  struct program *p = program_new(answers, 2);
  assert_int_equal(read_word(p, STATUS, POLL), 0x05);
  write_word(p, STATUS, WORK, 0xfff);
  assert_int_equal(read_word(p, STATUS, POLL), 0xf75);
  poll_word(p, STATUS, POLL, 0x80, 0x80, MOST);
  poll_word(p, STATUS, AGAIN, 0x8f, 0x8a, MOST);
  for (size_t i = 0; i < trials(p); i++)
    assert_int_equal(kept_nth(&p->trace, TRACE_TRIAL, i)->b & 0x8f, 0);
  program_free(p);
}

static void an_answer_to_a_poll_comes_with_its_second_look(void **state)
{
  (void)state;
  static const struct part_answer answers[] = {
      {STATUS, 0x300, 0x300, ANSWER_POLLED}};
  struct program *p = program_new(answers, 1);
  assert_int_equal(poll_word(p, STATUS, POLL, 0x300, 0x300, MOST), 2);
  assert_int_equal(read_word(p, STATUS, AGAIN), 0x300);
  assert_int_equal(trials(p), 0);
  assert_int_equal(lessons(p), 0);
  assert_int_equal(last(p, TRACE_ANSWERED)->b, 0x300);
  program_free(p);
}

static void a_known_answer_that_does_not_help_is_taken_back(void **state)
{
  (void)state;
  static const struct part_answer answers[] = {{STATUS, 2, 2, ANSWER_POLLED}};
  struct program *p = program_new(answers, 1);
  assert_true(poll_word(p, STATUS, POLL, READY, READY, MOST) > 0);
  assert_int_equal(read_word(p, STATUS, AGAIN), READY);
  program_free(p);
}

static const struct outside_row {
  const char *name;
  struct part_answer answer;
} outside_rows[] = {
    {"what takes something outside is not tried",
     {STATUS, RECEIVED, RECEIVED, ANSWER_OUTSIDE}},
    {"nor where it is not known which bits", {STATUS, 0, 0, ANSWER_OUTSIDE}},
};

static void outside_row(void **state)
{
  const struct outside_row *row = *state;
  struct program *p = program_new(&row->answer, 1);
  receive(p, MOST);
  assert_int_equal(trials(p), 0);
  assert_int_equal(kept_count(&p->trace, TRACE_WAITING), 1);
  assert_int_equal(last(p, TRACE_WAITING)->at, 3 * LEARN_WAIT);
  assert_int_equal(last(p, TRACE_WAITING_FOR)->a, row->answer.mask);
  program_free(p);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(a_helper_that_polls_for_several_flags),
      cmocka_unit_test(a_loop_that_gives_up_soon),
      cmocka_unit_test(an_order_that_is_given_until_it_is_taken),
      cmocka_unit_test(a_loop_that_kicks_a_watchdog),
      cmocka_unit_test(a_delay_by_a_counter),
      cmocka_unit_test(edges_of_an_input),
      cmocka_unit_test(a_loop_that_reads_twice),
      cmocka_unit_test(orders_that_are_answered_for_ever),
      cmocka_unit_test(more_polls_than_are_remembered),
      cmocka_unit_test(what_nothing_lets_go_waits),
      cmocka_unit_test(a_write_to_its_block_lets_it_be_tried_again),
      cmocka_unit_test(a_program_that_works_is_not_called_waiting),
      cmocka_unit_test(what_comes_from_outside_is_withdrawn),
      cmocka_unit_test(what_was_withdrawn_stays_so_after_a_reset),
      cmocka_unit_test(an_answer_for_always_is_there_at_once_and_for_good),
      cmocka_unit_test(an_answer_to_a_poll_comes_with_its_second_look),
      cmocka_unit_test(a_known_answer_that_does_not_help_is_taken_back),
  };
  struct CMUnitTest tests[ROWS_COUNT(outside_rows)];
  ROWS_ADD(tests, outside_row, outside_rows);
  int failed = cmocka_run_group_tests_name("outside", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("programs", singles, NULL, NULL);
}
