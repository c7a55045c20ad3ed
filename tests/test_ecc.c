/* One wrong bit of 72 is corrected, any two are found: exhaustively over a
 * word. That is what SEC-DED means (M. Y. Hsiao, IBM Journal of Research and
 * Development 14, 1970; from memory). */
#include "base/ecc.h"
#include "rows.h"

/* Words with few ones, with many, and with neither. */
static const struct word_row {
  const char *name;
  uint64_t data;
} words[] = {
    {"all zeros", 0},
    {"all ones", UINT64_MAX},
    {"one bit", 1},
    {"a stack pointer and a vector", UINT64_C(0x0400019120001800)},
    {"no pattern", UINT64_C(0x8d3c5a7196e0f42b)},
};

/* Bit 0..63 of the data, 64..71 of the check bits. */
static void flip(unsigned bit, uint64_t *data, uint8_t *check)
{
  if (bit < 64)
    *data ^= UINT64_C(1) << bit;
  else
    *check = (uint8_t)(*check ^ (1u << (bit - 64)));
}

static void one_is_corrected_and_two_are_found(void **state)
{
  const struct word_row *r = *state;
  const uint8_t good = ecc_check(r->data);
  unsigned pairs = 0;
  for (unsigned a = 0; a < 72; a++) {
    uint64_t data = r->data;
    uint8_t check = good;
    assert_int_equal(ecc_decode(&data, &check), ECC_CLEAN);
    flip(a, &data, &check);
    assert_int_equal(ecc_decode(&data, &check), ECC_CORRECTED);
    assert_true(data == r->data && check == good);
    for (unsigned b = 0; b < a; b++, pairs++) {
      flip(a, &data, &check);
      flip(b, &data, &check);
      const uint64_t wrong = data;
      assert_int_equal(ecc_decode(&data, &check), ECC_BAD);
      assert_true(data == wrong);
      flip(a, &data, &check);
      flip(b, &data, &check);
    }
  }
  assert_int_equal(pairs, 72 * 71 / 2);
}

/* The columns, seen from outside: a linear code's check of one bit. Odd
 * weights, all different, and no check bit's own. */
static void every_column_is_odd_and_its_own(void **state)
{
  (void)state;
  bool taken[256] = {false};
  for (unsigned i = 0; i < 64; i++) {
    uint8_t column = ecc_check(UINT64_C(1) << i);
    unsigned weight = (unsigned)__builtin_popcount(column);
    assert_true(weight == 3 || weight == 5);
    assert_false(taken[column]);
    taken[column] = true;
  }
}

/* As flash.h's readers are told: erased cells are no code word. */
static void all_ones_are_not_what_erased_cells_hold(void **state)
{
  (void)state;
  assert_int_equal(ecc_check(UINT64_MAX), 0);
  assert_int_equal(ecc_check(0), 0);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(every_column_is_odd_and_its_own),
      cmocka_unit_test(all_ones_are_not_what_erased_cells_hold),
  };
  struct CMUnitTest tests[ROWS_COUNT(words)];
  ROWS_ADD(tests, one_is_corrected_and_two_are_found, words);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
