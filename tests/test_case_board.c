/* The board of a case as it is read. */
#include "played.h"

static const struct case_script *read_board(struct played_bench *b,
                                            const char *board)
{
  return played_case(
      b,
      played_text_file(
          b, "a.json",
          played_format(b,
                        "{ \"case\": \"c\", \"part\": \"p\", \"board\": %s, "
                        "\"never\": [ \"lockup\", { \"never\": \"rom runs\", "
                        "\"beyond\": \"200 cycles\" }, { \"never\": \"pin "
                        "driven\", \"pin\": \"P4\", \"by\": \"anything\" } ], "
                        "\"steps\": [ { \"run\": \"1ms\" } ] }",
                        board)));
}

static void a_net_with_all_that_it_may_have(void **state)
{
  struct played_bench *b = *state;
  const struct case_script *s = read_board(
      b,
      "{ \"probe\": { \"reset_line\": false }, \"nets\": [ { \"net\": \"n\", "
      "\"pins\": [ \"P1\", \"P2\" ], \"series\": \"100ohm\", \"to\": "
      "\"supply\", \"through\": \"1kohm\", \"pull_up\": \"10kohm\", "
      "\"pull_down\": \"47kohm\", \"led\": { \"to\": \"ground\", \"drop\": "
      "\"2.1V\", \"through\": \"330ohm\" }, \"drivers\": [ { \"driver\": "
      "\"chip\", \"kind\": \"open-drain\", \"resistance\": \"25ohm\", "
      "\"level\": \"low\" } ] } ] }");
  const struct case_net *n = &s->nets[0];
  assert_true(s->no_reset_line);
  assert_int_equal(n->series_mohm, 100000);
  assert_true(n->fixed && n->to == NET_SUPPLY);
  assert_int_equal(n->through_mohm, 1000000);
  assert_int_equal(n->pull_up_mohm, 10000000);
  assert_int_equal(n->pull_down_mohm, 47000000);
  assert_true(n->has_led && n->led.to == NET_GROUND);
  assert_int_equal(n->led.drop_uv, 2100000);
  assert_int_equal(n->led.through_mohm, 330000);
  assert_int_equal(n->driver_count, 1);
  assert_string_equal(n->drivers[0].name, "chip");
  assert_true(n->drivers[0].open_drain);
  assert_int_equal(n->drivers[0].resistance_mohm, 25000);
  assert_int_equal(n->drivers[0].level, DRIVE_LOW);
}

static void what_is_left_out_is_not_there(void **state)
{
  struct played_bench *b = *state;
  const struct case_script *s = read_board(
      b,
      "{ \"nets\": [ { \"net\": \"n\", \"pins\": [ \"P1\" ], \"drivers\": [ { "
      "\"driver\": \"chip\" } ] } ] }");
  const struct case_net *n = &s->nets[0];
  assert_false(s->no_reset_line || n->fixed || n->has_led);
  assert_int_equal(n->series_mohm | n->pull_up_mohm | n->pull_down_mohm, 0);
  assert_false(n->drivers[0].open_drain);
  assert_int_equal(n->drivers[0].resistance_mohm, 40000);
  assert_int_equal(n->drivers[0].level, DRIVE_RELEASE);
}

static void nevers_with_details(void **state)
{
  struct played_bench *b = *state;
  const struct case_script *s = read_board(b, "{}");
  assert_int_equal(s->never_count, 3);
  assert_int_equal(s->never[0].kind, NEVER_LOCKUP);
  assert_int_equal(s->never[1].kind, NEVER_ROM_RUNS);
  assert_true(s->never[1].beyond.asked && s->never[1].beyond.in_cycles);
  assert_int_equal(s->never[1].beyond.value, 200);
  assert_int_equal(s->never[2].kind, NEVER_PIN_DRIVEN);
  assert_string_equal(s->never[2].pin, "P4");
  assert_true(s->never[2].by_anything);
}

int main(void)
{
  static const struct CMUnitTest tests[] = {
      PLAYED_TEST(a_net_with_all_that_it_may_have),
      PLAYED_TEST(what_is_left_out_is_not_there),
      PLAYED_TEST(nevers_with_details),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
