/* A serial port by itself: what it sends, hears and loses.
 *
 * The shape of a character is test_character's business; that a receiver with
 * one buffer loses what comes while it is full, and that a flag tells of it,
 * is common practice, no source.
 */
#include "chip/serial.h"
#include "chip_fixture.h"
#include "rows.h"

#define BIT 8680555 /* ps: 115200 baud */

struct line {
  struct trace trace;
  struct serial serial;
  struct character_out far; /* the other end's */
  bool silent;              /* its line is held low */
  ps_t now;
};

static int set_up(void **state)
{
  static struct line line;
  line = (struct line){.now = 0};
  kept_init(&line.trace);
  serial_init(&line.serial, 1);
  character_out_init(&line.far);
  serial_switch(&line.serial, true);
  *state = &line;
  return 0;
}

static int tear_down(void **state)
{
  struct line *line = *state;
  trace_free(&line->trace);
  return 0;
}

static struct moment moment(const struct line *l)
{
  return (struct moment){l->now, 0};
}

static void settle(struct line *l)
{
  bool high = !l->silent && character_level(&l->far);
  while (serial_advance(&l->serial, high, BIT, moment(l), &l->trace))
    continue;
}

/* Let `lasts` pass. */
static void pass(struct line *l, ps_t lasts)
{
  ps_t until = l->now + lasts;
  settle(l);
  for (;;) {
    ps_t next = serial_next(&l->serial);
    if (l->far.next < next) next = l->far.next;
    if (next > until) break;
    l->now = next;
    character_out_advance(&l->far, next);
    settle(l);
  }
  l->now = until;
  settle(l);
}

static void say(struct line *l, uint8_t byte, ps_t bit)
{
  character_send(&l->far, byte, bit, l->now);
  pass(l, 11 * bit);
}

static void what_comes_waits_until_it_is_read(void **state)
{
  struct line *l = *state;
  pass(l, BIT);
  say(l, 0xc2, BIT);
  assert_true(l->serial.received);
  const struct trace_record *r = kept_last(&l->trace, TRACE_RECEIVED);
  assert_non_null(r);
  assert_int_equal(r->a, 0xc2);
  assert_int_equal(r->b, 1);
  assert_int_equal(serial_take(&l->serial), 0xc2);
  assert_false(l->serial.received);
  assert_int_equal(serial_take(&l->serial), 0);
}

static void what_comes_too_early_is_lost_and_told(void **state)
{
  struct line *l = *state;
  pass(l, BIT);
  say(l, 0x11, BIT);
  say(l, 0x22, BIT);
  assert_true(l->serial.overrun);
  assert_int_equal(kept_last(&l->trace, TRACE_SERIAL_LOST)->a, LOSS_OVERRUN);
  assert_int_equal(serial_take(&l->serial), 0x11);
  say(l, 0x33, BIT);
  assert_int_equal(serial_take(&l->serial), 0x33);
}

static void another_baud_rate_breaks_characters(void **state)
{
  struct line *l = *state;
  pass(l, BIT);
  say(l, 0x00, BIT * 2);
  assert_true(l->serial.broken);
  assert_false(l->serial.received);
  assert_int_equal(kept_last(&l->trace, TRACE_SERIAL_LOST)->a, LOSS_BROKEN);
}

static void a_line_held_low_is_one_break(void **state)
{
  struct line *l = *state;
  pass(l, BIT);
  l->silent = true;
  pass(l, 100 * BIT);
  assert_int_equal(kept_count(&l->trace, TRACE_SERIAL_LOST), 1);
  l->silent = false;
  pass(l, BIT);
  say(l, 0x5c, BIT);
  assert_int_equal(serial_take(&l->serial), 0x5c);
}

static void one_byte_is_shifted_while_another_waits(void **state)
{
  struct line *l = *state;
  serial_put(&l->serial, 0x01, moment(l), &l->trace);
  assert_true(l->serial.holds);
  settle(l);
  assert_false(l->serial.holds);
  assert_false(serial_drained(&l->serial));
  serial_put(&l->serial, 0x02, moment(l), &l->trace);
  pass(l, 10 * BIT - 1);
  assert_true(l->serial.holds);
  pass(l, 1);
  assert_false(l->serial.holds);
  pass(l, 10 * BIT - 1);
  assert_false(serial_drained(&l->serial));
  pass(l, 1);
  assert_true(serial_drained(&l->serial));
  assert_int_equal(serial_next(&l->serial), PS_NEVER);
}

static void with_a_divider_of_zero_nothing_is_shifted(void **state)
{
  struct line *l = *state;
  serial_put(&l->serial, 0x01, moment(l), &l->trace);
  assert_true(serial_advance(&l->serial, true, 0, moment(l), &l->trace));
  assert_true(serial_drained(&l->serial));
  assert_int_equal(serial_next(&l->serial), PS_NEVER);
}

static void switched_off_it_hears_and_says_nothing(void **state)
{
  struct line *l = *state;
  pass(l, BIT);
  serial_put(&l->serial, 0x01, moment(l), &l->trace);
  settle(l);
  serial_switch(&l->serial, false);
  assert_true(serial_drained(&l->serial));
  say(l, 0x44, BIT);
  assert_false(l->serial.received);
  serial_put(&l->serial, 0x02, moment(l), &l->trace);
  assert_true(serial_drained(&l->serial));
}

/* A character that is half over when it is switched on is not mistaken for
 * one that begins: the line must be high first. */
static void it_begins_to_listen_where_the_line_is_high(void **state)
{
  struct line *l = *state;
  serial_switch(&l->serial, false);
  pass(l, BIT);
  character_send(&l->far, 0x00, BIT, l->now);
  pass(l, 3 * BIT);
  serial_switch(&l->serial, true);
  pass(l, 20 * BIT);
  assert_int_equal(kept_count(&l->trace, TRACE_SERIAL_LOST), 0);
  assert_false(l->serial.received);
}

#define SINGLE(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      SINGLE(what_comes_waits_until_it_is_read),
      SINGLE(what_comes_too_early_is_lost_and_told),
      SINGLE(another_baud_rate_breaks_characters),
      SINGLE(a_line_held_low_is_one_break),
      SINGLE(one_byte_is_shifted_while_another_waits),
      SINGLE(with_a_divider_of_zero_nothing_is_shifted),
      SINGLE(switched_off_it_hears_and_says_nothing),
      SINGLE(it_begins_to_listen_where_the_line_is_high),
  };
  return cmocka_run_group_tests(singles, NULL, NULL);
}
