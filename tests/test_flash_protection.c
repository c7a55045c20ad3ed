/* What option fields keep from being changed or read, and what is out of
 * reach while the flash is busy. */
#include "chip/chip_cells.h"
#include "flash_fixture.h"

/* Bits of the one option word: 0 protects the second page, 1 locks readout;
 * bank 1 is a second flash. */
enum { PROTECT = 1, LOCKED_OUT = 2 };
#define BANK_AT 0x04001000u

#define WHEN(bit)                                                             \
  {                                                                           \
    {                                                                         \
      .kind = TERM_OPTION, .field = (bit), .value = 1                         \
    }                                                                         \
  }

static void begin_protected(uint32_t options)
{
  bench.part = register_part(registers, ROWS_COUNT(registers), 4);
  bench.part.memory[2] = bench.part.memory[0];
  bench.part.memory[2].name = "bank";
  bench.part.memory[2].at = BANK_AT;
  bench.part.memory_count = 3;
  bench.part.options.words[0] = (struct part_option_word){
      .name = "guard",
      .fields = {{.name = "page", .lsb = 0, .width = 1},
                 {.name = "readout", .lsb = 1, .width = 1},
                 {.name = "other", .lsb = 8, .width = 8}},
      .field_count = 3};
  bench.part.protection =
      (struct part_protection){.pages = {{.memory = 0,
                                          .offset = 0x400,
                                          .bytes = 0x400,
                                          .terms = WHEN(0),
                                          .term_count = 1}},
                               .page_count = 1,
                               .readout = WHEN(1),
                               .readout_count = 1,
                               .denies_debug = true,
                               .denies_starts = true};
  bench.cpu = (struct cpu){.ops = &idle_cpu_ops};
  bench.cycle = 0;
  kept_init(&bench.trace);
  chip_init(&bench.chip, &bench.part, &bench.trace, &bench.cpu);
  const struct moment m = {0, 0};
  options_program(&bench.chip.options, 0, options, m, &bench.trace);
  options_load(&bench.chip.options, m, &bench.trace);
  write_word(&bench, KEY, 0x13579bdf);
}

static ps_t at_now(void)
{
  return (ps_t)bench.cycle * CYCLE_PS;
}

/* --- orders -------------------------------------------------------------- */

static struct part_field bank_order[] = {
    FIELD(0, 1, W1S, FLASH_ERASE_BANK, 0)};

static const struct order_row {
  const char *name;
  uint32_t options;
  bool debug; /* given by the debug port, else by a program */
  addr_t at;
  enum flash_op op;
  bool refused;
} orders[] = {
    {"a protected page can't be programmed", PROTECT, false, FLASH_AT + 0x400,
     FLASH_PROGRAM, true},
    {"to its last unit", PROTECT, false, FLASH_AT + 0x7fc, FLASH_PROGRAM,
     true},
    {"nor erased", PROTECT, false, FLASH_AT + 0x7fc, FLASH_ERASE_PAGE, true},
    {"nor with its bank", PROTECT, false, FLASH_AT, FLASH_ERASE_BANK, true},
    {"nor with all", PROTECT, false, FLASH_AT, FLASH_ERASE_ALL, true},
    {"the page before can", PROTECT, false, FLASH_AT + 0x3fc, FLASH_PROGRAM,
     false},
    {"and the page behind", PROTECT, false, FLASH_AT + 0x800, FLASH_ERASE_PAGE,
     false},
    {"and another bank", PROTECT, false, BANK_AT, FLASH_ERASE_BANK, false},
    {"without the option it can", 0, false, FLASH_AT + 0x400, FLASH_PROGRAM,
     false},
    {"the debug port meets the same", PROTECT, true, FLASH_AT + 0x400,
     FLASH_PROGRAM, true},
    {"locked out, it can't program", LOCKED_OUT, true, FLASH_AT, FLASH_PROGRAM,
     true},
    {"nor erase a page", LOCKED_OUT, true, FLASH_AT, FLASH_ERASE_PAGE, true},
    {"nor a bank", LOCKED_OUT, true, FLASH_AT, FLASH_ERASE_BANK, true},
    {"but all", LOCKED_OUT, true, FLASH_AT, FLASH_ERASE_ALL, false},
    {"a program is not locked out", LOCKED_OUT, false, FLASH_AT, FLASH_PROGRAM,
     false},
};

static void order_row(void **state)
{
  static const uint32_t bits[] = {[FLASH_PROGRAM] = PROGRAM,
                                  [FLASH_ERASE_PAGE] = ERASE_PAGE,
                                  [FLASH_ERASE_BANK] = ERASE_PAGE,
                                  [FLASH_ERASE_ALL] = ERASE_ALL};
  const struct order_row *r = *state;
  begin_protected(r->options);
  struct part_field role = order[1];
  if (r->op == FLASH_ERASE_BANK) order[1].role = bank_order[0].role;
  write_word(&bench, TARGET, r->at);
  if (r->debug)
    chip_register_write(&bench.chip, ORDER, bits[r->op], at_now());
  else
    write_word(&bench, ORDER, bits[r->op]);
  order[1] = role;
  const struct trace_record *t = kept_last(&bench.trace, TRACE_FLASH_REFUSED);
  assert_int_equal(t != NULL, r->refused);
  if (t != NULL) assert_int_equal(t->a, REFUSAL_PROTECTED);
  assert_int_equal(bench.chip.flash.op, r->refused ? FLASH_IDLE : r->op);
  register_bench_free(&bench);
}

static void erasing_a_bank_leaves_the_other(void **state)
{
  (void)state;
  const uint8_t bytes[4] = {1, 2, 3, 4};
  begin_protected(0);
  chip_preset(&bench.chip, 0, 0xffc, bytes, 4, 0);
  chip_preset(&bench.chip, 2, 0, bytes, 4, 0);
  bench.chip.flash.target = BANK_AT + 0x800;
  chip_order_flash(&bench.chip, FLASH_ERASE_BANK, (struct moment){0, 0});
  wait_until_free();
  assert_int_equal(flash_word(FLASH_AT + 0xffc), 0x04030201);
  assert_int_equal(flash_word(BANK_AT), UINT32_MAX);
  register_bench_free(&bench);
}

/* --- the readout lock ---------------------------------------------------- */

static void locked_flash_is_not_read_by_the_debug_port(void **state)
{
  (void)state;
  uint32_t value;
  begin_protected(LOCKED_OUT);
  assert_false(chip_memory_read(&bench.chip, FLASH_AT, 0, &value));
  assert_true(chip_memory_read(&bench.chip, RAM_AT, 0, &value));
  bench.part.protection.denies_debug = false;
  assert_true(chip_memory_read(&bench.chip, FLASH_AT, 0, &value));
  register_bench_free(&bench);
  begin_protected(0);
  assert_true(chip_memory_read(&bench.chip, FLASH_AT, 0, &value));
  register_bench_free(&bench);
}

static const struct start_row {
  const char *name;
  uint32_t options;
  addr_t vectors;
  bool denies, zeros;
} starts[] = {
    {"locked flash reads as zeros to a start from RAM", LOCKED_OUT, RAM_AT,
     true, true},
    {"not to its own", LOCKED_OUT, FLASH_AT, true, false},
    {"nor where the part does not say so", LOCKED_OUT, RAM_AT, false, false},
    {"nor unlocked", 0, RAM_AT, true, false},
};

static void start_row(void **state)
{
  const struct start_row *r = *state;
  begin_protected(r->options);
  bench.part.protection.denies_starts = r->denies;
  bench.chip.vectors = r->vectors;
  chip_show_flash(&bench.chip);
  assert_int_equal(flash_word(FLASH_AT), r->zeros ? 0 : UINT32_MAX);
  assert_int_equal(flash_word(BANK_AT), r->zeros ? 0 : UINT32_MAX);
  bench.chip.vectors = FLASH_AT;
  chip_show_flash(&bench.chip);
  assert_int_equal(flash_word(FLASH_AT), UINT32_MAX);
  register_bench_free(&bench);
}

static void write_cell(uint32_t value)
{
  write_word(&bench, DATA, value);
  give(CELL, PROGRAM);
}

static void lifting_it_erases_all_flash_first(void **state)
{
  (void)state;
  const uint8_t bytes[4] = {1, 2, 3, 4};
  begin_protected(LOCKED_OUT | PROTECT);
  chip_preset(&bench.chip, 0, 0x400, bytes, 4, 0);
  write_cell(LOCKED_OUT | PROTECT | 0x500); /* another field */
  assert_int_equal(bench.chip.flash.op, FLASH_PROGRAM_OPTION);
  wait_until_free();
  assert_int_equal(flash_word(FLASH_AT + 0x400), 0x04030201);
  write_cell(0);
  assert_int_equal(bench.chip.flash.op, FLASH_UNLOCK_OPTION);
  assert_int_equal(bench.chip.flash.ends_at - bench.chip.flash.begun_at,
                   55 * PS_PER_MS); /* 30 ms and 25 ms */
  wait_until_free();
  assert_int_equal(flash_word(FLASH_AT + 0x400), UINT32_MAX);
  assert_int_equal(bench.chip.options.cells[0], 0);
  register_bench_free(&bench);
}

static void cut_short_the_lock_is_still_there(void **state)
{
  (void)state;
  begin_protected(LOCKED_OUT);
  write_cell(0);
  chip_cut_flash(&bench.chip, false, (struct moment){PS_PER_MS, 8000});
  assert_int_equal(bench.chip.options.cells[0], LOCKED_OUT);
  register_bench_free(&bench);
}

/* --- busy ---------------------------------------------------------------- */

static const struct busy_row {
  const char *name;
  bool read_while_write;
  addr_t at; /* that an order acts on */
  uint32_t bits, region;
  bool busy;
} busys[] = {
    {"all flash is busy", false, BANK_AT, PROGRAM, 0, true},
    {"or only the bank that is changed", true, BANK_AT, PROGRAM, 0, false},
    {"which is", true, BANK_AT, PROGRAM, 2, true},
    {"an erase of a page is one bank's too", true, BANK_AT, ERASE_PAGE, 0,
     false},
    {"an erase of all is not", true, BANK_AT, ERASE_ALL, 0, true},
    {"RAM never is", false, BANK_AT, ERASE_ALL, 1, false},
};

static void busy_row(void **state)
{
  const struct busy_row *r = *state;
  begin_protected(0);
  bench.part.flash.read_while_write = r->read_while_write;
  give(r->at, r->bits);
  assert_int_equal(chip_flash_busy(&bench.chip, r->region), r->busy);
  wait_until_free();
  assert_false(chip_flash_busy(&bench.chip, r->region));
  register_bench_free(&bench);
}

/* 50 us of programming are 400 cycles of 125 ns. */
static void a_program_in_busy_flash_waits_or_has_a_fault(void **state)
{
  (void)state;
  for (unsigned fault = 0; fault < 2; fault++) {
    begin_protected(0);
    bench.part.flash.while_busy = fault ? WHILE_BUSY_FAULT : WHILE_BUSY_STALL;
    bench.chip.core.region = 0;
    write_word(&bench, TARGET, BANK_AT);
    const struct bus_answer a =
        register_access(&bench, ORDER, 4, true, PROGRAM);
    assert_int_equal(a.fault, fault);
    assert_int_equal(a.stall, 0);
    assert_int_equal(bench.chip.core.attention, !fault);
    if (fault) {
      register_bench_free(&bench);
      continue;
    }
    /* nothing executes, up to the end or to whatever comes first */
    cycle_t begun = bench.chip.core.cycle = bench.cycle;
    bench.chip.core.mode = CORE_RUNNING;
    ps_t now = clock_time(&bench.chip.clock, begun);
    chip_run(&bench.chip, now, now + 10 * PS_PER_US);
    assert_int_equal(bench.chip.core.cycle - begun, 80);
    chip_run(&bench.chip, now, PS_PER_S);
    assert_in_range(bench.chip.core.cycle - begun, 399, 400);
    register_bench_free(&bench);
  }
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(erasing_a_bank_leaves_the_other),
      cmocka_unit_test(locked_flash_is_not_read_by_the_debug_port),
      cmocka_unit_test(lifting_it_erases_all_flash_first),
      cmocka_unit_test(cut_short_the_lock_is_still_there),
      cmocka_unit_test(a_program_in_busy_flash_waits_or_has_a_fault),
  };
  struct CMUnitTest
      tests[ROWS_COUNT(orders) + ROWS_COUNT(starts) + ROWS_COUNT(busys)];
  size_t n = ROWS_ADD(tests, order_row, orders);
  n += ROWS_ADD(tests + n, start_row, starts);
  n += ROWS_ADD(tests + n, busy_row, busys);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
