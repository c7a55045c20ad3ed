/* Characters on a line, bit by bit.
 *
 * The shape (start bit low, eight bits with the lowest first, stop bit high,
 * idle high) is common practice, no source. The tolerance follows by
 * arithmetic: the tenth sample is 9.5 bits of the listener behind the edge
 * and must fall within the sender's stop bit, so between 9 and 10 of its own
 * (or beyond, where the line stays idle).
 */
#include "base/character.h"
#include "chip_fixture.h"
#include "rows.h"

#define BIT 8680000 /* ps */

/* Level of a line on which one character was begun at 0. */
static bool level_at(uint8_t byte, ps_t at)
{
  struct character_out out;
  character_out_init(&out);
  character_send(&out, byte, BIT, 0);
  while (out.next <= at)
    character_out_advance(&out, out.next);
  return character_level(&out);
}

static void the_line_is_as_practice_has_it(void **state)
{
  (void)state;
  static const char shape[] = "0100101101"; /* 0x69, the lowest bit first */
  for (unsigned cell = 0; cell < 10; cell++) {
    ps_t at = (ps_t)cell * BIT;
    assert_int_equal(level_at(0x69, at), shape[cell] == '1');
    assert_int_equal(level_at(0x69, at + BIT - 1), shape[cell] == '1');
  }
  assert_true(level_at(0x69, 10 * BIT));
  assert_true(level_at(0x69, 100 * BIT));
}

static void cells_that_are_alike_are_one_event(void **state)
{
  (void)state;
  struct character_out out;
  character_out_init(&out);
  character_send(&out, 0x00, BIT, 500);
  assert_int_equal(out.next, 500 + 9 * BIT);
  assert_false(character_out_advance(&out, 500 + 9 * BIT - 1));
  assert_true(character_out_advance(&out, 500 + 9 * BIT));
  assert_true(character_level(&out));
  assert_true(out.busy);
  assert_int_equal(out.next, 500 + 10 * BIT);
  assert_true(character_out_advance(&out, 500 + 10 * BIT));
  assert_false(out.busy);
  assert_int_equal(out.next, PS_NEVER);
}

/* What a listener with bits of `bit` makes of one character, then silence. */
static enum character_news hear_one(uint8_t byte, ps_t bit, uint8_t *heard)
{
  struct character_out out;
  struct character_in in;
  enum character_news news = CHARACTER_NONE;
  character_out_init(&out);
  character_in_init(&in);
  character_hear(&in, true, bit, 0);
  character_send(&out, byte, BIT, 1000);
  character_hear(&in, false, bit, 1000);
  while (news == CHARACTER_NONE && (out.busy || in.busy)) {
    ps_t now = out.next < in.next ? out.next : in.next;
    character_out_advance(&out, now);
    news = character_hear(&in, character_level(&out), bit, now);
  }
  *heard = character_byte(&in);
  return news;
}

static void every_byte_is_heard_as_it_was_sent(void **state)
{
  (void)state;
  for (unsigned byte = 0; byte < 256; byte++) {
    uint8_t heard;
    assert_int_equal(hear_one((uint8_t)byte, BIT, &heard), CHARACTER_BYTE);
    assert_int_equal(heard, byte);
  }
}

/* Bits of the listener, in thousandths of the sender's. The last data bit's
 * sample, 8.5 of its own, must lie between 8 and 9 of the sender's: 0.9411...
 * to 1.0588...; the stop bit's, 9.5, from 9 on: 0.9473... */
static const struct tolerance_row {
  const char *name;
  int thousandths;
  bool whole;
} tolerance_rows[] = {
    {"5 % fast is heard", 950, true},
    {"5.5 % fast is not: 9.5 bits fall into the last data bit", 945, false},
    {"5 % slow is heard", 1050, true},
    {"5.8 % slow is heard, for 8.5 bits are still below 9", 1058, true},
    {"6 % slow is not: the last data bit reads as the stop bit", 1060, false},
};

static void tolerance_row(void **state)
{
  const struct tolerance_row *r = *state;
  uint8_t heard;
  ps_t bit = (ps_t)BIT * r->thousandths / 1000;
  enum character_news news = hear_one(0x00, bit, &heard);
  assert_int_equal(news == CHARACTER_BYTE && heard == 0x00, r->whole);
}

static void a_line_that_is_low_from_the_start_says_nothing(void **state)
{
  (void)state;
  struct character_in in;
  character_in_init(&in);
  for (ps_t now = 0; now < 100 * BIT; now += BIT / 2)
    assert_int_equal(character_hear(&in, false, BIT, now), CHARACTER_NONE);
  assert_false(in.busy);
}

/* A break: broken once, then nothing until the line was high. */
static void a_break_is_one_broken_character(void **state)
{
  (void)state;
  struct character_in in;
  unsigned broken = 0;
  character_in_init(&in);
  character_hear(&in, true, BIT, 0);
  for (ps_t now = BIT; now < 100 * BIT; now += BIT / 2)
    broken += character_hear(&in, false, BIT, now) == CHARACTER_BROKEN;
  assert_int_equal(broken, 1);
  character_hear(&in, true, BIT, 100 * BIT);
  character_hear(&in, false, BIT, 101 * BIT);
  assert_true(in.busy);
}

static void a_start_bit_that_is_high_at_its_middle_is_none(void **state)
{
  (void)state;
  struct character_in in;
  character_in_init(&in);
  character_hear(&in, true, BIT, 0);
  character_hear(&in, false, BIT, 10);
  assert_int_equal(character_hear(&in, true, BIT, 10 + BIT / 2),
                   CHARACTER_NONE);
  assert_false(in.busy);
  assert_true(in.listening);
}

static void without_a_bit_time_nothing_begins(void **state)
{
  (void)state;
  struct character_in in;
  character_in_init(&in);
  character_hear(&in, true, 0, 0);
  character_hear(&in, false, 0, 10);
  assert_false(in.busy);
}

static void send_while_busy(void)
{
  struct character_out out;
  character_out_init(&out);
  character_send(&out, 1, BIT, 0);
  character_send(&out, 2, BIT, 0);
}

static const struct misuse_row misuse_rows[] = {
    {"two characters at once are a mistake of ours", send_while_busy}};

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(the_line_is_as_practice_has_it),
      cmocka_unit_test(cells_that_are_alike_are_one_event),
      cmocka_unit_test(every_byte_is_heard_as_it_was_sent),
      cmocka_unit_test(a_line_that_is_low_from_the_start_says_nothing),
      cmocka_unit_test(a_break_is_one_broken_character),
      cmocka_unit_test(a_start_bit_that_is_high_at_its_middle_is_none),
      cmocka_unit_test(without_a_bit_time_nothing_begins),
  };
  struct CMUnitTest
      tests[ROWS_COUNT(tolerance_rows) + ROWS_COUNT(misuse_rows)];
  size_t count = ROWS_ADD(tests, tolerance_row, tolerance_rows);
  ROWS_ADD(tests + count, misuse_row, misuse_rows);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
