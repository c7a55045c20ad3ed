/* A sweep over points inside flash orders: every kind of thing that the part
 * says a cut may leave is tried at each, and the worst counts. On the cases of
 * traces/ that are about it. */
#include <stdlib.h>

#include "sweep_fixture.h"

static const struct outlook_event cut = {OUTLOOK_POWER, CAUSE_POWER_ON, 0};
static const struct outlook_event pin = {OUTLOOK_CAUSE, CAUSE_PIN,
                                         OUTLOOK_HOLD};

static uint64_t points_with(const struct sweep_records *list,
                            enum answer_class class)
{
  uint64_t points = 0;
  for (size_t i = 0; i < list->count; i++)
    if (list->list[i].answer.class == class)
      points += list->list[i].last - list->list[i].first + 1;
  return points;
}

/* --- which procedure survives -------------------------------------------- */

/* A part survives if it starts a whole image, or its boot ROM, where a host
 * can write it again. */
static const struct survival_row {
  const char *name, *script, *part;
  bool survives;
} survivals[] = {
    {"vectors written last survive every cut", "vectors-last-survives",
     "latched-clearable", true},
    {"vectors written first do not", "vectors-first-torn", "latched-clearable",
     false},
    {"nor do they last, where half a unit may pass the blank check",
     "vectors-last-survives", "latched-banked", false},
};

static void survival_row(void **state)
{
  struct played_bench *bench = *state;
  const struct survival_row *row = bench->row;
  struct sweep s = sweep_of(bench, row->script, SWEEP_CYCLE, cut);
  s.part = played_part(
      bench,
      played_format(bench, FIRSTFETCH_ROOT "/models/%s.json", row->part));
  uint64_t points = sweep_points_of(&s);
  struct sweep_records swept = {0};
  sweep_all(&s, points, &swept);
  uint64_t well =
      points_with(&swept, CLASS_APPLICATION) + points_with(&swept, CLASS_ROM);
  assert_true(points > 500000);
  assert_int_equal(well == points, row->survives);
  assert_true(points_with(&swept, CLASS_APPLICATION) > 0);
  assert_true(points_with(&swept, CLASS_ROM) > 0);
  sweep_records_free(&swept);
}

/* --- every declared kind ------------------------------------------------- */

/* Points inside an order are those that a plain count of the orders' records
 * says: between one that begins and the one that ends it. */
static void inside_an_order_every_declared_kind_is_tried(void **state)
{
  struct played_bench *bench = *state;
  const struct sweep s =
      sweep_of(bench, "vectors-last-survives", SWEEP_WRITE, cut);
  uint64_t points = sweep_points_of(&s);
  struct sweep_records swept = {0};
  sweep_all(&s, points, &swept);
  assert_int_equal(swept.count, points);
  for (size_t i = 0; i < swept.count; i++) {
    const struct sweep_record *r = &swept.list[i];
    bool begins = strncmp(r->what, "flash ", 6) == 0;
    bool erases = strstr(r->what, "erase-page") != NULL;
    const uint8_t *left = r->answer.left;
    assert_int_equal(answer_cut(&r->answer), begins);
    assert_int_equal(left[TORN_OLD] != 0, begins);
    assert_int_equal(left[TORN_PART] != 0, begins);
    assert_int_equal(left[TORN_ONES] != 0, begins);
    assert_int_equal(left[TORN_WEAK] != 0, begins && erases);
    assert_int_equal(left[TORN_NEW] + left[TORN_ZEROS], 0);
    for (unsigned k = 0; k < TORN_COUNT_; k++)
      assert_true(left[k] <= r->answer.class + 1);
  }
  sweep_records_free(&swept);
}

/* --- the big one --------------------------------------------------------- */

/* How many points to ask each alone; the target `endurance` says more. */
static unsigned count_asked(unsigned otherwise)
{
  const char *text = getenv("FIRSTFETCH_POINTS");
  return text == NULL ? otherwise : (unsigned)strtoul(text, NULL, 10);
}

static const struct sweep_record *record_of(const struct sweep_records *list,
                                            uint64_t point)
{
  size_t low = 0, high = list->count;
  while (high - low > 1) {
    size_t half = low + (high - low) / 2;
    if (list->list[half].first <= point)
      low = half;
    else
      high = half;
  }
  return &list->list[low];
}

/* As the file has it, byte for byte, at its own instant. */
static void same_as_alone(const struct sweep *s, uint64_t point,
                          const struct sweep_record *theirs)
{
  struct sweep naive = *s;
  struct sweep_records one = {0}, other = {0};
  struct sweep_record r, cut_out = *theirs;
  struct sim_error err;
  naive.naive = true;
  sweep_good(sweep_ask_one(&naive, point, &r, &err), &err);
  assert_true(theirs->at_first <= r.at_first && r.at_first <= theirs->at_last);
  cut_out.first = cut_out.last = point;
  cut_out.at_first = cut_out.at_last = r.at_first;
  sweep_records_add(&one, &r);
  sweep_records_add(&other, &cut_out);
  char *a = sweep_bytes(&one), *b = sweep_bytes(&other);
  assert_string_equal(a, b);
  free(a);
  free(b);
  sweep_records_free(&one);
  sweep_records_free(&other);
}

static uint64_t drawn(uint64_t *draw)
{
  *draw = *draw * 6364136223846793005u + 1442695040888963407u;
  return *draw >> 20;
}

static void a_two_slot_update_survives_a_cut_at_every_cycle(void **state)
{
  struct played_bench *bench = *state;
  const struct sweep s = sweep_of(bench, "two-slot-update", SWEEP_CYCLE, cut);
  uint64_t points = sweep_points_of(&s), draw = 20251;
  struct sweep_records swept = {0};
  assert_true(points >= 1000000);
  sweep_all(&s, points, &swept);
  uint64_t old = points_with(&swept, CLASS_OLD);
  assert_int_equal(old + points_with(&swept, CLASS_NEW), points);
  assert_true(old >= 1000000 && old < points);
  unsigned count = count_asked(12);
  for (unsigned i = 0; i < count; i++) {
    uint64_t point = drawn(&draw) % points + 1;
    if (i % 3 == 0) point = swept.list[drawn(&draw) % swept.count].first;
    if (i % 3 == 1) point = swept.list[drawn(&draw) % swept.count].last;
    same_as_alone(&s, point, record_of(&swept, point));
  }
  sweep_records_free(&swept);
}

/* RAM survives a reset: the application takes the same delivery once more. */
static void and_a_pin_reset_at_some(void **state)
{
  struct played_bench *bench = *state;
  const struct sweep s = sweep_of(bench, "two-slot-update", SWEEP_CYCLE, pin);
  uint64_t points = sweep_points_of(&s), draw = 5;
  unsigned count = count_asked(6);
  for (unsigned i = 0; i < count; i++) {
    struct sweep_record r;
    struct sim_error err;
    uint64_t point = drawn(&draw) % points + 1;
    sweep_good(sweep_ask_one(&s, point, &r, &err), &err);
    assert_true(r.answer.class == CLASS_OLD || r.answer.class == CLASS_NEW);
    same_as_alone(&s, point, &r);
  }
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(survivals) + 3] = {
      PLAYED_TEST(inside_an_order_every_declared_kind_is_tried),
      PLAYED_TEST(a_two_slot_update_survives_a_cut_at_every_cycle),
      PLAYED_TEST(and_a_pin_reset_at_some)};
  PLAYED_ADD(tests + 3, survival_row, survivals);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
