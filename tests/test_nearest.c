/* What a misspelt word was meant to be.
 *
 * Distances marked "1966" are the definition in V. I. Levenshtein, "Binary
 * codes capable of correcting deletions, insertions, and reversals", 1966;
 * "1964": neighbours swapped are one mistake, F. J. Damerau, "A technique for
 * computer detection and correction of spelling errors", 1964 (both from
 * memory). */
#include <string.h>

#include "base/nearest.h"
#include "rows.h"

static const struct distance_row {
  const char *name;
  const char *a, *b;
  unsigned distance;
} distance_rows[] = {
    {"nothing to nothing", "", "", 0},
    {"equal words", "models", "models", 0},
    {"1966: each missing character counts", "", "part", 4},
    {"1966: insertion", "mdels", "models", 1},
    {"1966: deletion", "modells", "models", 1},
    {"1966: reversal (another character)", "models", "modems", 1},
    {"1964: neighbours swapped", "mdoels", "models", 1},
    {"1966: insertions and a reversal", "kitten", "sitting", 3},
    {"swapped neighbours stay together: three mistakes, not two", "ca", "abc",
     3},
    {"case counts", "Part", "part", 1},
};

static void distance_row(void **state)
{
  const struct distance_row *row = *state;
  assert_int_equal(nearest_distance(row->a, row->b), row->distance);
  assert_int_equal(nearest_distance(row->b, row->a), row->distance);
}

static const struct word_row {
  const char *name;
  const char *word, *nearest;
} word_rows[] = {
    {"one mistake", "imge", "image"},
    {"one mistake in a short word", "jso", "json"},
    {"two mistakes in six characters", "mdlels", "models"},
    {"two mistakes in five are too many", "imxxe", NULL},
    {"the first of two that are as near", "xart", "part"},
    {"nothing like it", "frobnicate", NULL},
    {"an empty word", "", NULL},
    {"a word that is there", "base", "base"},
};

static void word_row(void **state)
{
  static const char *const words[] = {"part", "wart",   "image", "base",
                                      "json", "models", "trace"};
  const struct word_row *row = *state;
  const char *nearest = nearest_word(row->word, words, ROWS_COUNT(words));
  if (row->nearest) {
    assert_non_null(nearest);
    assert_string_equal(nearest, row->nearest);
  } else {
    assert_null(nearest);
  }
}

static void a_very_long_word_is_near_to_nothing(void **state)
{
  (void)state;
  char word[100000];
  memset(word, 'a', sizeof word - 1);
  word[sizeof word - 1] = '\0';
  const char *const words[] = {word, "aaaa"};
  assert_null(nearest_word(word, words, 2));
}

int main(void)
{
  struct CMUnitTest
      tests[ROWS_COUNT(distance_rows) + ROWS_COUNT(word_rows) + 1] = {
          cmocka_unit_test(a_very_long_word_is_near_to_nothing)};
  size_t n = 1;
  n += ROWS_ADD(tests + n, distance_row, distance_rows);
  ROWS_ADD(tests + n, word_row, word_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
