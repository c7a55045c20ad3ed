/* Registers that nothing describes: what they read, how polls are let go,
 * and what sticks. The rules are those of sim/chip/learn.h; the numbers of
 * reads are counted by hand from them. */
#include "learn_program.h"

enum {
  STATUS = 0x40001000, /* a register; what it holds is said by each test */
  OTHER = 0x40001004,  /* in the same block */
  FAR = 0x40009000     /* in another one */
};

/* Instructions. */
enum { POLL = 0x100, AGAIN = 0x200, ELSEWHERE = 0x300 };

#define MOST 2000u /* more than all answers */

/* The read that tells that a loop was left. */
static uint32_t look(struct program *p)
{
  return read_word(p, STATUS, AGAIN);
}

/* --- reading and writing ------------------------------------------------- */

static void it_reads_as_after_a_reset_then_as_written(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  assert_true(learn_add(&p->learn, STATUS, 0x1234));
  assert_int_equal(read_word(p, STATUS, POLL), 0x1234);
  write_word(p, STATUS, ELSEWHERE, 0xabcd0000);
  assert_int_equal(read_word(p, STATUS, POLL), 0xabcd0000);
  program_free(p);
}

static void a_write_of_bytes_leaves_the_others(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  write_word(p, STATUS, ELSEWHERE, 0x11223344);
  struct learn_access a = {STATUS + 1, ELSEWHERE, 0xff00, p->step};
  learn_write(&p->learn, &a, 0x5500, (struct moment){0, 0}, &p->trace);
  assert_int_equal(read_word(p, STATUS, POLL), 0x11225544);
  program_free(p);
}

static void a_reset_brings_back_values_and_keeps_knowledge(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  write_word(p, STATUS, ELSEWHERE, 0x10);
  assert_int_equal(poll_word(p, STATUS, POLL, 2, 2, MOST), 9);
  assert_int_equal(look(p), 0x12);
  learn_reset(&p->learn, true);
  assert_int_equal(look(p), 0);
  size_t tried = trials(p);
  assert_int_equal(poll_word(p, STATUS, POLL, 2, 2, MOST), 2);
  assert_int_equal(trials(p), tried);
  assert_int_equal(kept_count(&p->trace, TRACE_ANSWERED), 1);
  program_free(p);
}

static void a_reset_of_the_core_alone_leaves_registers(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  write_word(p, STATUS, ELSEWHERE, 0x10);
  learn_reset(&p->learn, false);
  assert_int_equal(look(p), 0x10);
  program_free(p);
}

static void there_is_room_for_so_many(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  for (uint32_t i = 0; i < LEARN_REGISTERS; i++)
    assert_true(learn_add(&p->learn, FAR + 4 * (i * 7 % LEARN_REGISTERS), i));
  assert_false(learn_add(&p->learn, STATUS, 0));
  assert_false(learn_has(&p->learn, STATUS));
  for (uint32_t i = 0; i < LEARN_REGISTERS; i++)
    assert_int_equal(read_word(p, FAR + 4 * (i * 7 % LEARN_REGISTERS), 2 * i),
                     i);
  program_free(p);
}

/* --- what is tried ------------------------------------------------------- */

/* The first read that shows an answer is the eighth. */
static void every_bit_is_found_alone(void **state)
{
  (void)state;
  for (uint32_t bit = 0; bit < 32; bit++)
    for (uint32_t from = 0; from < 2; from++) {
      struct program *p = program_new(NULL, 0);
      uint32_t mask = 1u << bit, before = from ? UINT32_MAX : 0;
      write_word(p, STATUS, ELSEWHERE, before);
      uint32_t wanted = ~before & mask;
      assert_int_equal(poll_word(p, STATUS, POLL, mask, wanted, MOST),
                       LEARN_READS + bit);
      assert_int_equal(look(p), before ^ mask);
      assert_int_equal(trials(p), bit + 1);
      assert_int_equal(lessons(p), 1);
      assert_int_equal(kept_last(&p->trace, TRACE_LEARNED)->a, STATUS);
      assert_int_equal(kept_last(&p->trace, TRACE_LEARNED)->b, mask);
      assert_int_equal(kept_last(&p->trace, TRACE_LEARNED_AS)->a, wanted);
      assert_int_equal(kept_last(&p->trace, TRACE_LEARNED_AS)->b, POLL);
      program_free(p);
    }
}

static void any_two_bits_are_found_and_no_other(void **state)
{
  (void)state;
  for (uint32_t high = 1; high < 32; high++)
    for (uint32_t low = 0; low < high; low++) {
      struct program *p = program_new(NULL, 0);
      uint32_t mask = 1u << high | 1u << low;
      assert_int_not_equal(poll_word(p, STATUS, POLL, mask, mask, MOST), 0);
      assert_int_equal(look(p), mask);
      program_free(p);
    }
}

static const struct pattern_row {
  const char *name;
  uint32_t before, mask, wanted, after;
} pattern_rows[] = {
    {"a field that goes from 1 to 2", 0x10, 0x30, 0x20, 0x20},
    {"four bits side by side", 0, 0xf000, 0xf000, 0xf000},
    {"all ones where nothing less does", 0, 0x01010101, 0x01010101,
     UINT32_MAX},
    {"zero where nothing less does", 0x01010101, 0x01010101, 0, 0},
    {"the complement where nothing less does", 0x00ff00ff, UINT32_MAX,
     0xff00ff00, 0xff00ff00},
};

static void pattern_row(void **state)
{
  const struct pattern_row *row = *state;
  struct program *p = program_new(NULL, 0);
  write_word(p, STATUS, ELSEWHERE, row->before);
  assert_int_not_equal(
      poll_word(p, STATUS, POLL, row->mask, row->wanted, MOST), 0);
  assert_int_equal(look(p), row->after);
  program_free(p);
}

/* 32 bits, 31 pairs side by side and 465 apart, 30 + 29 runs, 3 words. */
static void answers_differ_and_stay_in_their_lanes(void **state)
{
  (void)state;
  uint32_t mask, count = 0, some = 0;
  while (learn_candidate(count, 0x00010080, 0x00ffff00, &mask)) {
    assert_int_equal(mask & ~0x00ffff00u, 0);
    some += mask != 0;
    count++;
  }
  assert_int_equal(count, 590);
  assert_int_equal(some, 16 + 15 + 14 + 13 + 105 + 3);
  assert_false(learn_candidate(UINT32_MAX, 0, UINT32_MAX, &mask));
}

static void a_poll_of_a_byte_tries_its_bits_alone(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  uint32_t reads = 1;
  while ((read_lanes(p, STATUS + 2, POLL, 0x00ff0000) & 0x00400000) == 0)
    reads++;
  assert_int_equal(reads, LEARN_READS + 6);
  assert_int_equal(look(p), 0x00400000);
  program_free(p);
}

/* --- what is left alone -------------------------------------------------- */

static void an_answer_that_was_wrong_is_taken_back(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  poll_word(p, STATUS, POLL, 1u << 20, 1u << 20, MOST);
  assert_int_equal(look(p), 1u << 20);
  program_free(p);
}

static void a_look_that_is_no_poll_gets_no_answers(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  for (uint32_t i = 1; i < LEARN_READS; i++)
    read_word(p, STATUS, POLL);
  for (uint32_t i = 0; i < 100; i++)
    read_word(p, STATUS, 0x1000 + 2 * i);
  assert_int_equal(trials(p), 0);
  program_free(p);
}

static void a_round_with_much_else_in_it_is_work(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  for (uint32_t i = 0; i < 1000; i++) {
    read_word(p, STATUS, POLL);
    for (uint32_t k = 0; k <= LEARN_OTHERS; k++)
      read_word(p, FAR + 4 * k, 0x1000 + 2 * k);
  }
  assert_int_equal(trials(p), 0);
  program_free(p);
}

/* A register that is sent to byte by byte, ready all the time. */
static void a_program_that_writes_is_not_disturbed(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  poll_word(p, STATUS, POLL, 0x80, 0x80, MOST);
  size_t tried = trials(p);
  for (uint32_t i = 0; i < 1000; i++) {
    write_word(p, OTHER, ELSEWHERE, i);
    assert_int_equal(poll_word(p, STATUS, POLL, 0x80, 0x80, MOST), 1);
  }
  assert_int_equal(trials(p), tried);
  assert_int_equal(kept_count(&p->trace, TRACE_WITHDRAWN), 0);
  program_free(p);
}

/* --- what sticks --------------------------------------------------------- */

static void a_bit_learned_as_one_stays_one(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  poll_word(p, STATUS, POLL, 2, 2, MOST);
  write_word(p, STATUS, ELSEWHERE, 0x100);
  assert_int_equal(look(p), 0x102);
  program_free(p);
}

static void a_bit_learned_as_zero_is_zero_until_the_next_write(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  write_word(p, STATUS, ELSEWHERE, 9);
  poll_word(p, STATUS, POLL, 8, 0, MOST);
  assert_int_equal(look(p), 1);
  assert_int_equal(read_word(p, STATUS, ELSEWHERE), 1);
  write_word(p, STATUS, ELSEWHERE, 9);
  assert_int_equal(look(p), 9);
  program_free(p);
}

static void a_bit_can_be_learned_both_ways(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  poll_word(p, STATUS, POLL, 4, 4, MOST);
  assert_int_equal(look(p), 4);
  poll_word(p, STATUS, ELSEWHERE, 4, 0, MOST);
  assert_int_equal(look(p), 0);
  size_t tried = trials(p);
  for (uint32_t i = 0; i < 20; i++) {
    assert_in_range(poll_word(p, STATUS, POLL, 4, 4, MOST), 1, 3);
    look(p);
    assert_in_range(poll_word(p, STATUS, ELSEWHERE, 4, 0, MOST), 1, 3);
    look(p);
  }
  assert_int_equal(trials(p), tried);
  program_free(p);
}

static void leaving_is_told_by_time_where_nothing_is_touched(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  uint32_t reads = poll_word(p, STATUS, POLL, 1, 1, MOST);
  assert_int_equal(reads, LEARN_READS);
  struct moment now = {0, 0};
  uint64_t patience = 3 * LEARN_PATIENCE + LEARN_SLACK;
  learn_settle(&p->learn, p->step + patience, false, now, &p->trace);
  assert_int_equal(lessons(p), 0);
  learn_settle(&p->learn, p->step + patience + 1, false, now, &p->trace);
  assert_int_equal(lessons(p), 1);
  program_free(p);
}

static void leaving_is_told_by_sleep(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  poll_word(p, STATUS, POLL, 1, 1, MOST);
  learn_settle(&p->learn, p->step + 1, true, (struct moment){0, 0}, &p->trace);
  assert_int_equal(lessons(p), 1);
  program_free(p);
}

static void a_reset_in_the_middle_teaches_nothing(void **state)
{
  (void)state;
  struct program *p = program_new(NULL, 0);
  poll_word(p, STATUS, POLL, 1, 1, MOST);
  learn_reset(&p->learn, true);
  look(p);
  assert_int_equal(lessons(p), 0);
  program_free(p);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(it_reads_as_after_a_reset_then_as_written),
      cmocka_unit_test(a_write_of_bytes_leaves_the_others),
      cmocka_unit_test(a_reset_brings_back_values_and_keeps_knowledge),
      cmocka_unit_test(a_reset_of_the_core_alone_leaves_registers),
      cmocka_unit_test(there_is_room_for_so_many),
      cmocka_unit_test(every_bit_is_found_alone),
      cmocka_unit_test(any_two_bits_are_found_and_no_other),
      cmocka_unit_test(answers_differ_and_stay_in_their_lanes),
      cmocka_unit_test(a_poll_of_a_byte_tries_its_bits_alone),
      cmocka_unit_test(an_answer_that_was_wrong_is_taken_back),
      cmocka_unit_test(a_look_that_is_no_poll_gets_no_answers),
      cmocka_unit_test(a_round_with_much_else_in_it_is_work),
      cmocka_unit_test(a_program_that_writes_is_not_disturbed),
      cmocka_unit_test(a_bit_learned_as_one_stays_one),
      cmocka_unit_test(a_bit_learned_as_zero_is_zero_until_the_next_write),
      cmocka_unit_test(a_bit_can_be_learned_both_ways),
      cmocka_unit_test(leaving_is_told_by_time_where_nothing_is_touched),
      cmocka_unit_test(leaving_is_told_by_sleep),
      cmocka_unit_test(a_reset_in_the_middle_teaches_nothing),
  };
  struct CMUnitTest tests[ROWS_COUNT(pattern_rows)];
  ROWS_ADD(tests, pattern_row, pattern_rows);
  int failed = cmocka_run_group_tests_name("patterns", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("learn", singles, NULL, NULL);
}
