/* Flash orders as a program gives them: what is refused and why, and which
 * cells change. */
#include <string.h>

#include "register_fixture.h"
#include "rows.h"

enum {
  KEY = 0x44000000,
  ORDER = 0x44000004,
  STATE = 0x44000008,
  TARGET = 0x4400000c,
  DATA = 0x44000010, /* two words */
  CELL = 0x44000400
};

/* Bits of ORDER and STATE. */
enum { PROGRAM = 1, ERASE_PAGE = 2, ERASE_ALL = 4, RELOAD = 8, LOCK = 16 };
enum { BUSY = 1, REFUSED = 2, LOCKED = 4 };

static struct part_field key[] = {{.width = 32,
                                   .access = ACCESS_WO,
                                   .role = ROLE_FLASH_UNLOCK,
                                   .keys = {0x13579bdf},
                                   .key_count = 1}};
static struct part_field order[] = {
    FIELD(0, 1, W1S, FLASH_PROGRAM, 0), FIELD(1, 1, W1S, FLASH_ERASE_PAGE, 0),
    FIELD(2, 1, W1S, FLASH_ERASE_ALL, 0), FIELD(3, 1, W1S, OPTIONS_RELOAD, 0),
    FIELD(4, 1, W1S, FLASH_LOCK, 0)};
static struct part_field state_[] = {FIELD(0, 1, RO, FLASH_BUSY, 0),
                                     FIELD(1, 1, W1C, FLASH_REFUSED, 0),
                                     FIELD(2, 1, RO, FLASH_LOCK, 0)};
static struct part_field target[] = {FIELD(0, 32, RW, FLASH_TARGET, 0)};
static struct part_field data0[] = {FIELD(0, 32, RW, FLASH_DATA, 0)};
static struct part_field data1[] = {FIELD(0, 32, RW, FLASH_DATA, 1)};
static struct part_field cell[] = {FIELD(0, 32, RO, OPTIONS_CELL, 0)};

static struct part_register registers[] = {
    REGISTER(KEY, key, 0),
    REGISTER(ORDER, order, 0),
    REGISTER(STATE, state_, 0),
    REGISTER(TARGET, target, FLASH_AT + 0x400),
    REGISTER(DATA, data0, 0x600df00d),
    REGISTER(DATA + 4, data1, 0),
    REGISTER(CELL, cell, 0),
};

static struct register_bench bench;

static void begin(uint32_t unit, bool unlock)
{
  register_bench_init(&bench, registers, ROWS_COUNT(registers), unit);
  if (unlock) write_word(&bench, KEY, 0x13579bdf);
}

static void give(addr_t at, uint32_t bits)
{
  write_word(&bench, TARGET, at);
  write_word(&bench, ORDER, bits);
}

static void wait_until_free(void)
{
  bench.cycle += PS_PER_S / CYCLE_PS;
  assert_int_equal(read_word(&bench, STATE) & BUSY, 0);
}

static uint32_t flash_word(addr_t at)
{
  uint32_t value;
  assert_true(bus_peek(&bench.chip.bus, at, 4, &value));
  return value;
}

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
    {"a unit of one byte ends with the region", 1, 'o', 0x04000fff, PROGRAM,
     TAKEN},
    {"locked it is refused", 4, 'l', 0x04000000, PROGRAM, REFUSAL_LOCKED},
    {"busy too", 4, 'b', 0x04000000, PROGRAM, REFUSAL_BUSY},
    {"an address inside a unit is refused", 4, 'o', 0x04000002, PROGRAM,
     REFUSAL_ALIGNMENT},
    {"a word inside a unit of 16 bytes too", 16, 'o', 0x04000008, PROGRAM,
     REFUSAL_ALIGNMENT},
    {"behind the flash nothing is programmed", 4, 'o', 0x04001000, PROGRAM,
     REFUSAL_ADDRESS},
    {"RAM is not programmed", 4, 'o', RAM_AT, PROGRAM, REFUSAL_ADDRESS},
    {"nor a register that is no option cell", 4, 'o', TARGET, PROGRAM,
     REFUSAL_ADDRESS},
    {"an option cell is", 4, 'o', CELL, PROGRAM, TAKEN},
    {"locked it is not", 4, 'l', CELL, PROGRAM, REFUSAL_LOCKED},
    {"a page is erased by any address in it", 4, 'o', 0x04000402, ERASE_PAGE,
     TAKEN},
    {"RAM has no page", 4, 'o', RAM_AT, ERASE_PAGE, REFUSAL_ADDRESS},
    {"an option cell neither", 4, 'o', CELL, ERASE_PAGE, REFUSAL_ADDRESS},
    {"all is erased whatever the target", 4, 'o', RAM_AT, ERASE_ALL, TAKEN},
    {"locked nothing is erased", 4, 'l', 0x04000000, ERASE_ALL,
     REFUSAL_LOCKED},
    {"a reload of the options needs the keys too", 4, 'l', 0, RELOAD,
     REFUSAL_LOCKED},
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

/* --- cells --------------------------------------------------------------- */

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
      cmocka_unit_test(what_is_programmed_is_refused_until_it_is_erased),
      cmocka_unit_test(an_option_cell_changes_after_its_time_and_acts_later),
      cmocka_unit_test(what_a_check_would_say_now_follows_the_first_word),
      cmocka_unit_test(a_reset_puts_the_reset_values_of_settings_in_force),
      cmocka_unit_test(the_lock_bit_locks_and_a_zero_does_not),
      cmocka_unit_test(a_reload_is_asked_for_where_the_part_has_one),
  };
  struct CMUnitTest
      tests[ROWS_COUNT(orders) + ROWS_COUNT(units) + ROWS_COUNT(erases)];
  size_t n = ROWS_ADD(tests, order_row, orders);
  n += ROWS_ADD(tests + n, unit_row, units);
  n += ROWS_ADD(tests + n, erase_row, erases);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
