/* Board review: which pins the boot ROM drives, found by running it, and what
 * they meet at the worst of the part's tolerances. Times and pins are those of
 * images/rom/rom.c; currents by Ohm's law with the strongest driver that the
 * part's file allows, 25 ohm on latched. */
#include "played.h"
#include "run/review.h"

static const struct review *make(struct played_bench *b, const char *part,
                                 const char *nets)
{
  const char *text = played_format(
      b,
      "{ \"case\": \"c\", \"part\": \"p\", \"board\": { \"supply\": { "
      "\"source\": \"3.3V\" }, \"nets\": [ %s ] }, \"steps\": [ { \"run\": "
      "\"1us\" } ] }",
      nets);
  const char *path = played_text_file(b, "a.json", text);
  const char *model =
      played_format(b, "%s/models/%s.json", FIRSTFETCH_ROOT, part);
  struct review *review = arena_get(&b->arena, sizeof *review);
  struct sim_error err = {0};
  char message[1200];
  if (review_make(&b->arena, played_case(b, path), played_part(b, model),
                  review, &err) != SIM_OK)
    fail_msg("%s", sim_error_text(&err, message, sizeof message));
  return review;
}

static const struct review_pin *pin_of(const struct review *r,
                                       const char *name)
{
  for (uint32_t i = 0; i < r->pin_count; i++)
    if (strcmp(r->pins[i].pin, name) == 0) return &r->pins[i];
  return NULL;
}

static const struct net_row {
  const char *name, *nets, *pin;
  int64_t current_na, series_mohm;
} nets[] = {
    {"on no net nothing flows", "", "P7", 0, 0},
    /* 3.3 V in 25 ohm; 3.3 V / 20 mA = 165 ohm */
    {"high against ground",
     "{ \"net\": \"n\", \"pins\": [ \"P7\" ], \"to\": \"ground\" }", "P7",
     132000000, 140000},
    /* 3.3 V in 125 ohm */
    {"100 ohm in series are not enough",
     "{ \"net\": \"n\", \"pins\": [ \"P7\" ], \"to\": \"ground\", \"series\": "
     "\"100ohm\" }",
     "P7", 26400000, 40000},
    {"140 ohm are",
     "{ \"net\": \"n\", \"pins\": [ \"P7\" ], \"to\": \"ground\", \"series\": "
     "\"140ohm\" }",
     "P7", 20000000, 0},
    {"low agrees with ground",
     "{ \"net\": \"n\", \"pins\": [ \"P4\" ], \"to\": \"ground\" }", "P4", 0,
     0},
    /* 3.3 V in 65 ohm; 165 - 65 */
    {"a chip that lets go may drive against it",
     "{ \"net\": \"n\", \"pins\": [ \"P4\" ], \"drivers\": [ { \"driver\": "
     "\"chip\", \"resistance\": \"40ohm\" } ] }",
     "P4", 50769231, 100000},
    {"an open drain that lets go does not",
     "{ \"net\": \"n\", \"pins\": [ \"P4\" ], \"drivers\": [ { \"driver\": "
     "\"chip\", \"kind\": \"open-drain\" } ] }",
     "P4", 0, 0},
    /* (3.3 - 1.8) V in 355 ohm */
    {"a lamp lights",
     "{ \"net\": \"n\", \"pins\": [ \"P7\" ], \"led\": { \"to\": \"ground\", "
     "\"through\": \"330ohm\" } }",
     "P7", 4225352, 0},
    /* P7 high at 25 ohm against P4 low at 35 ohm: 3.3 V in 60 ohm */
    {"two pins that the ROM drives apart",
     "{ \"net\": \"n\", \"pins\": [ \"P4\", \"P7\" ] }", "P7", 55000000,
     105000},
};

static void net_row(void **state)
{
  struct played_bench *b = *state;
  const struct net_row *r = b->row;
  const struct review *review = make(b, "latched", r->nets);
  const struct review_pin *pin = pin_of(review, r->pin);
  assert_non_null(pin);
  assert_int_equal(pin->current_na, r->current_na);
  /* rounded up to a milliohm */
  assert_in_range(pin->series_mohm, r->series_mohm, r->series_mohm + 1);
  assert_int_equal(review->driver_mohm, 25000);
  assert_int_equal(review->limit_na, 20000000);
}

/* P9 high 16 us after the first instruction, then P4 low, P7 high. */
static void pins_come_with_level_time_and_cause(void **state)
{
  struct played_bench *b = *state;
  const struct review *r = make(b, "latched", "");
  assert_true(r->rom_ran && !r->forced);
  assert_string_equal(r->rule, "latch-blank");
  assert_int_equal(r->pin_count, 3);
  static const char *const names[] = {"P9", "P4", "P7"};
  static const char *const symbols[] = {"open_serial", "drive_pins",
                                        "drive_pins"};
  for (int i = 0; i < 3; i++) {
    assert_string_equal(r->pins[i].pin, names[i]);
    assert_int_equal(r->pins[i].first_high, i != 1);
    assert_true(r->pins[i].high != r->pins[i].low);
    assert_int_equal(
        strncmp(r->pins[i].symbol, symbols[i], strlen(symbols[i])), 0);
  }
  assert_in_range(r->pins[0].after, 15 * PS_PER_US, 17 * PS_PER_US);
  assert_int_equal(r->harmful, 0);
}

/* A blank strapped part starts erased flash; its ROM is started all the same.
 */
static void a_rom_that_a_blank_part_does_not_start_is_forced(void **state)
{
  struct played_bench *b = *state;
  const struct review *r = make(b, "strapped", "");
  assert_true(r->rom_ran && r->forced);
  assert_int_equal(r->pin_count, 4); /* it has two serial ports */
}

static void a_sum_is_held_against_the_total(void **state)
{
  struct played_bench *b = *state;
  const struct review *r =
      make(b, "latched",
           "{ \"net\": \"n\", \"pins\": [ \"P7\" ], \"to\": \"ground\" }, "
           "{ \"net\": \"m\", \"pins\": [ \"P9\" ], \"to\": \"ground\" }");
  assert_int_equal(r->harmful, 2);
  assert_int_equal(r->sum_na, 264000000);
  assert_int_equal(r->total_limit_na, 100000000);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      PLAYED_TEST(pins_come_with_level_time_and_cause),
      PLAYED_TEST(a_rom_that_a_blank_part_does_not_start_is_forced),
      PLAYED_TEST(a_sum_is_held_against_the_total),
  };
  struct CMUnitTest tests[ROWS_COUNT(nets)];
  PLAYED_ADD(tests, net_row, nets);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
