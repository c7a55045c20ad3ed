/* Flash orders carried out: which cells change, and when. */
#include <string.h>

#include "flash_fixture.h"

static void what_is_programmed_is_refused_until_it_is_erased(void **state)
{
  (void)state;
  begin(4, true);
  write_word(&bench, DATA, 0xfffffffe);
  give(FLASH_AT + 0x7fc, PROGRAM);
  wait_until_free();
  assert_int_equal(flash_word(FLASH_AT + 0x7fc), 0xfffffffe);
  give(FLASH_AT + 0x7fc, PROGRAM);
  assert_int_equal(kept_last(&bench.trace, TRACE_FLASH_REFUSED)->a,
                   REFUSAL_NOT_ERASED);
  give(FLASH_AT + 0x400, ERASE_PAGE);
  wait_until_free();
  write_word(&bench, DATA, 0x0badcafe);
  give(FLASH_AT + 0x7fc, PROGRAM);
  wait_until_free();
  assert_int_equal(flash_word(FLASH_AT + 0x7fc), 0x0badcafe);
  register_bench_free(&bench);
}

static void the_very_last_byte_is_programmed_alone(void **state)
{
  (void)state;
  begin(1, true);
  write_word(&bench, DATA, 0x11223344);
  give(FLASH_AT + 0xfff, PROGRAM);
  wait_until_free();
  assert_int_equal(flash_word(FLASH_AT + 0xffc), 0x44ffffff);
  register_bench_free(&bench);
}

/* A unit takes its data words in ascending order, the lowest byte first; one
 * smaller than a word takes the low end of the first. */
static const struct unit_row {
  const char *name;
  uint32_t unit;
  uint32_t first, second; /* what the two words at the unit read then */
} units[] = {
    {"a unit of one byte", 1, 0xffffff88, 0xffffffff},
    {"a unit of two", 2, 0xffff7788, 0xffffffff},
    {"a unit of a word", 4, 0x55667788, 0xffffffff},
    {"a unit of two words", 8, 0x55667788, 0x11223344},
    {"data that no register has are 0", 256, 0x55667788, 0x11223344},
};

static void unit_row(void **state)
{
  const struct unit_row *r = *state;
  begin(r->unit, true);
  write_word(&bench, DATA, 0x55667788);
  write_word(&bench, DATA + 4, 0x11223344);
  give(FLASH_AT + 0x200, PROGRAM);
  write_word(&bench, DATA, 0); /* too late for this order */
  wait_until_free();
  assert_int_equal(flash_word(FLASH_AT + 0x200), r->first);
  assert_int_equal(flash_word(FLASH_AT + 0x204), r->second);
  assert_int_equal(flash_word(FLASH_AT + 0x2fc),
                   r->unit == 256 ? 0 : 0xffffffff);
  assert_int_equal(flash_word(FLASH_AT + 0x300), 0xffffffff);
  assert_int_equal(flash_word(FLASH_AT + 0x1fc), 0xffffffff);
  register_bench_free(&bench);
}

static const struct erase_row {
  const char *name;
  uint32_t bits;
  addr_t at;
  uint32_t first, last; /* byte that is erased, of a flash full of zeros */
} erases[] = {
    {"the first page alone", ERASE_PAGE, FLASH_AT + 0x3ff, 0, 0x3ff},
    {"the last page alone", ERASE_PAGE, FLASH_AT + 0xc00, 0xc00, 0xfff},
    {"everything", ERASE_ALL, 0, 0, 0xfff},
};

static void erase_row(void **state)
{
  const struct erase_row *r = *state;
  begin(4, true);
  uint8_t *cells = bench.chip.memory.bytes[0];
  memset(cells, 0, 4096);
  give(r->at, r->bits);
  assert_int_equal(cells[r->first], 0); /* not before its end */
  wait_until_free();
  for (uint32_t i = 0; i < 4096; i++)
    assert_int_equal(cells[i], i >= r->first && i <= r->last ? 0xff : 0);
  register_bench_free(&bench);
}

static void an_option_cell_changes_after_its_time_and_acts_later(void **state)
{
  (void)state;
  begin(4, true);
  options_load(&bench.chip.options, (struct moment){0, 0}, &bench.trace);
  assert_int_equal(read_word(&bench, CELL), 0x3c);
  write_word(&bench, DATA, 0x0000005a);
  give(CELL, PROGRAM);
  bench.cycle = 25 * PS_PER_MS / CYCLE_PS - 1;
  assert_int_equal(read_word(&bench, CELL), 0x3c);
  bench.cycle++;
  assert_int_equal(read_word(&bench, CELL), 0x5a);
  assert_int_equal(options_field(&bench.chip.options, 0, 0), 0x3c);
  register_bench_free(&bench);
}

/* The blank check of this part reads the first word. */
static void what_a_check_would_say_now_follows_the_first_word(void **state)
{
  (void)state;
  begin(4, true);
  give(FLASH_AT + 4, PROGRAM);
  wait_until_free();
  assert_int_equal(kept_count(&bench.trace, TRACE_FRESH), 0);
  give(FLASH_AT, PROGRAM);
  wait_until_free();
  assert_int_equal(kept_last(&bench.trace, TRACE_FRESH)->a, 1);
  assert_int_equal(kept_count(&bench.trace, TRACE_LATCH), 0);
  give(FLASH_AT, ERASE_PAGE);
  wait_until_free();
  assert_int_equal(kept_last(&bench.trace, TRACE_FRESH)->a, 0);
  assert_int_equal(kept_count(&bench.trace, TRACE_FRESH), 2);
  register_bench_free(&bench);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(what_is_programmed_is_refused_until_it_is_erased),
      cmocka_unit_test(the_very_last_byte_is_programmed_alone),
      cmocka_unit_test(an_option_cell_changes_after_its_time_and_acts_later),
      cmocka_unit_test(what_a_check_would_say_now_follows_the_first_word),
  };
  struct CMUnitTest tests[ROWS_COUNT(units) + ROWS_COUNT(erases)];
  size_t n = ROWS_ADD(tests, unit_row, units);
  n += ROWS_ADD(tests + n, erase_row, erases);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
