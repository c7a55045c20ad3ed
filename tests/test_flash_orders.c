/* Flash orders as a program gives them: what is refused, and why. */
#include "flash_fixture.h"

/* --- refusals ------------------------------------------------------------ */

#define TAKEN 99u

static const struct order_row {
  const char *name;
  uint32_t unit;
  char state; /* o open, l locked, b busy */
  addr_t at;
  uint32_t bits;
  uint32_t why; /* TAKEN: not refused */
} orders[] = {
    {"an erased unit is programmed", 4, 'o', 0x04000000, PROGRAM, TAKEN},
    {"the last unit is", 4, 'o', 0x04000ffc, PROGRAM, TAKEN},
    {"of 16 bytes too", 16, 'o', 0x04000ff0, PROGRAM, TAKEN},
    {"locked it is refused", 4, 'l', 0x04000000, PROGRAM, REFUSAL_LOCKED},
    {"busy too", 4, 'b', 0x04000000, PROGRAM, REFUSAL_BUSY},
    {"an address inside a unit is refused", 4, 'o', 0x04000002, PROGRAM,
     REFUSAL_ALIGNMENT},
    {"so is a word inside one", 16, 'o', 0x04000008, PROGRAM,
     REFUSAL_ALIGNMENT},
    {"so is one behind the flash", 4, 'o', 0x04001000, PROGRAM,
     REFUSAL_ADDRESS},
    {"RAM is not programmed", 4, 'o', RAM_AT, PROGRAM, REFUSAL_ADDRESS},
    {"nor a register that is no option cell", 4, 'o', TARGET, PROGRAM,
     REFUSAL_ADDRESS},
    {"an option cell is", 4, 'o', CELL, PROGRAM, TAKEN},
    {"locked it is not", 4, 'l', CELL, PROGRAM, REFUSAL_LOCKED},
    {"any address in a page erases it", 4, 'o', 0x04000402, ERASE_PAGE, TAKEN},
    {"RAM has no page", 4, 'o', RAM_AT, ERASE_PAGE, REFUSAL_ADDRESS},
    {"an option cell neither", 4, 'o', CELL, ERASE_PAGE, REFUSAL_ADDRESS},
    {"all is erased whatever the target", 4, 'o', RAM_AT, ERASE_ALL, TAKEN},
    {"locked, none is erased", 4, 'l', 0x04000000, ERASE_ALL, REFUSAL_LOCKED},
    {"a reload needs the keys too", 4, 'l', 0, RELOAD, REFUSAL_LOCKED},
};

static void order_row(void **state)
{
  const struct order_row *r = *state;
  begin(r->unit, r->state != 'l');
  if (r->state == 'b') give(FLASH_AT + 0x800, ERASE_PAGE);
  give(r->at, r->bits);
  bool taken = r->why == TAKEN;
  uint32_t expected = taken ? BUSY : REFUSED;
  if (r->state == 'b') expected |= BUSY;
  if (r->state == 'l') expected |= LOCKED;
  assert_int_equal(read_word(&bench, STATE), expected);
  assert_int_equal(read_word(&bench, ORDER) & ~(uint32_t)LOCK, 0);
  const struct trace_record *t = kept_last(&bench.trace, TRACE_FLASH_REFUSED);
  assert_int_equal(t == NULL, taken);
  if (t != NULL) assert_true(t->a == r->why && t->b == r->at);
  write_word(&bench, STATE, REFUSED);
  assert_int_equal(read_word(&bench, STATE) & REFUSED, 0);
  assert_true(memory_erased(&bench.chip.memory, 0, 0, 4096));
  register_bench_free(&bench);
}

/* --- settings, locks, requests ------------------------------------------- */

static void a_reset_puts_the_reset_values_of_settings_in_force(void **state)
{
  (void)state;
  begin(4, true);
  write_word(&bench, TARGET, FLASH_AT + 0x800);
  write_word(&bench, DATA, 0x12345678);
  registers_reset(&bench.chip);
  assert_int_equal(read_word(&bench, TARGET), FLASH_AT + 0x400);
  write_word(&bench, ORDER, PROGRAM);
  wait_until_free();
  assert_int_equal(flash_word(FLASH_AT + 0x400), 0x600df00d);
  assert_int_equal(flash_word(FLASH_AT + 0x800), 0xffffffff);
  register_bench_free(&bench);
}

static void the_lock_bit_locks_and_a_zero_does_not(void **state)
{
  (void)state;
  begin(4, true);
  write_word(&bench, ORDER, 0);
  assert_int_equal(read_word(&bench, STATE) & LOCKED, 0);
  write_word(&bench, ORDER, LOCK);
  assert_int_equal(read_word(&bench, STATE) & LOCKED, LOCKED);
  register_bench_free(&bench);
}

static void a_reload_is_asked_for_where_the_part_has_one(void **state)
{
  (void)state;
  begin(4, true);
  write_word(&bench, ORDER, RELOAD);
  assert_int_equal(bench.chip.reset.pending, 0);
  bench.part.resets[CAUSE_OPTION_RELOAD].present = true;
  write_word(&bench, ORDER, RELOAD);
  assert_int_equal(bench.chip.reset.pending, 1u << CAUSE_OPTION_RELOAD);
  register_bench_free(&bench);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(a_reset_puts_the_reset_values_of_settings_in_force),
      cmocka_unit_test(the_lock_bit_locks_and_a_zero_does_not),
      cmocka_unit_test(a_reload_is_asked_for_where_the_part_has_one),
  };
  struct CMUnitTest tests[ROWS_COUNT(orders)];
  ROWS_ADD(tests, order_row, orders);
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
