/* The chip's side of the bus: who answers where, what is told, and what a
 * busy flash costs. */
#include "register_fixture.h"
#include "rows.h"

enum { KEPT = 0x44000000, STATE = 0x44000004, ORDER = 0x44000008 };

static struct part_field kept[] = {FIELD(0, 32, RW, NONE, 0)};
static struct part_field state_[] = {FIELD(0, 1, RO, FLASH_BUSY, 0)};
static struct part_field order[] = {FIELD(0, 1, W1S, FLASH_ERASE_PAGE, 0)};

static struct part_register registers[] = {
    REGISTER(KEPT, kept, 0x12345678),
    REGISTER(STATE, state_, 0),
    REGISTER(ORDER, order, 0),
};

static struct register_bench bench;

static int set_up(void **state)
{
  (void)state;
  register_bench_init(&bench, registers, ROWS_COUNT(registers), 4);
  return 0;
}

static int tear_down(void **state)
{
  (void)state;
  register_bench_free(&bench);
  return 0;
}

/* --- who answers --------------------------------------------------------- */

/* The device space is 0x40000000 to 0x5FFFFFFF: ARM DDI 0419E, Table B3-1. */
static const struct answer_row {
  const char *name;
  addr_t at;
  bool fault;
  uint32_t value;
} answers[] = {
    {"a described register answers", KEPT, false, 0x12345678},
    {"the first device address reads 0", 0x40000000, false, 0},
    {"the last does", 0x5ffffffc, false, 0},
    {"beside a register too", KEPT + 0x0c, false, 0},
    {"below the devices nobody answers", 0x3ffffffc, true, 0},
    {"nor above them", 0x60000000, true, 0},
    {"nor at address 0 without an alias", 0x00000000, true, 0},
    {"nor behind the RAM", RAM_AT + 0x400, true, 0},
    {"nor at the top", 0xfffffffc, true, 0},
};

static void answer_row(void **state)
{
  const struct answer_row *r = *state;
  set_up(NULL);
  for (int write = 0; write < 2; write++) {
    struct bus_answer a = register_access(&bench, r->at, 4, write, 0);
    assert_int_equal(a.fault, r->fault);
    if (write == 0) assert_int_equal(a.value, r->value);
    assert_int_equal(a.stall, 0);
  }
  bool unknown = !r->fault && r->at != KEPT;
  assert_int_equal(kept_count(&bench.trace, TRACE_UNMODELLED), unknown);
  tear_down(NULL);
}

/* --- registers that nothing describes ------------------------------------ */

static void an_unknown_address_is_told_once_in_a_row(void **state)
{
  (void)state;
  bench.part.unknown = UNKNOWN_ZERO;
  for (int i = 0; i < 5; i++)
    read_word(&bench, 0x40001000);
  assert_int_equal(kept_count(&bench.trace, TRACE_UNMODELLED), 1);
  read_word(&bench, 0x40001004);
  read_word(&bench, 0x40001000);
  assert_int_equal(kept_count(&bench.trace, TRACE_UNMODELLED), 3);
  const struct trace_record *t = kept_last(&bench.trace, TRACE_UNMODELLED);
  assert_true(t->a == 0x40001000 && t->b == 0x04000100);
}

static void one_that_is_learned_is_told_when_touched_first(void **state)
{
  (void)state;
  for (int i = 0; i < 5; i++) {
    read_word(&bench, 0x40001000);
    read_word(&bench, 0x40001004);
  }
  assert_int_equal(kept_count(&bench.trace, TRACE_UNMODELLED), 2);
}

static void it_reads_as_written_in_the_lanes_written(void **state)
{
  (void)state;
  write_word(&bench, 0x40001000, 0x11223344);
  register_access(&bench, 0x40001002, 2, true, 0xbeef);
  assert_int_equal(register_access(&bench, 0x40001003, 1, false, 0).value,
                   0xbe);
  assert_int_equal(read_word(&bench, 0x40001000), 0xbeef3344);
  const struct trace_record *t = kept_last(&bench.trace, TRACE_REGISTER);
  assert_true(t->a == 0x40001002 && t->b == 0xbeef);
}

static void a_reset_of_peripherals_resets_it(void **state)
{
  (void)state;
  write_word(&bench, 0x40001000, 0x11223344);
  learn_reset(&bench.chip.learn, true);
  assert_int_equal(read_word(&bench, 0x40001000), 0);
}

static void a_described_register_is_never_learned(void **state)
{
  (void)state;
  for (uint32_t i = 0; i < 4 * POLL_READS; i++)
    assert_int_equal(read_word(&bench, STATE), 0);
  assert_int_equal(kept_count(&bench.trace, TRACE_TRIAL), 0);
}

static void zero_takes_no_writes_and_waits(void **state)
{
  (void)state;
  bench.part.unknown = UNKNOWN_ZERO;
  write_word(&bench, 0x40001000, 0x11223344);
  for (int i = 0; i < POLL_READS; i++)
    assert_int_equal(read_word(&bench, 0x40001000), 0);
  assert_int_equal(kept_count(&bench.trace, TRACE_REGISTER), 0);
  assert_int_equal(kept_count(&bench.trace, TRACE_WAITING), 1);
}

static void fault_is_a_bus_error(void **state)
{
  (void)state;
  bench.part.unknown = UNKNOWN_FAULT;
  for (int write = 0; write < 2; write++)
    assert_true(register_access(&bench, 0x40001000, 4, write, 0).fault);
  assert_int_equal(kept_count(&bench.trace, TRACE_UNMODELLED), 1);
  assert_false(register_access(&bench, KEPT, 4, false, 0).fault);
}

/* A file of names may place registers where devices are not expected. */
static void a_register_of_the_svd_file_is_a_device(void **state)
{
  (void)state;
  static struct svd_register named[] = {{"FAR.AWAY", 0xd0000002, 1, 0x5a, 0}};
  static const struct svd svd = {"x.svd", "X", named, 1};
  assert_true(register_access(&bench, 0xd0000000, 4, false, 0).fault);
  bench.chip.svd = &svd;
  assert_int_equal(read_word(&bench, 0xd0000000), 0x005a0000);
  assert_true(register_access(&bench, 0xd0000004, 4, false, 0).fault);
}

/* --- what is told -------------------------------------------------------- */

static void a_write_of_a_register_is_told_as_it_was_made(void **state)
{
  (void)state;
  bench.cycle = 8;
  register_access(&bench, KEPT + 2, 2, true, 0xbeef);
  const struct trace_record *t = kept_last(&bench.trace, TRACE_REGISTER);
  assert_true(t->a == KEPT + 2 && t->b == 0xbeef);
  assert_true(t->cycle == 8 && t->at == PS_PER_US);
  assert_int_equal(read_word(&bench, KEPT), 0xbeef5678);
}

static void a_program_that_polls_is_told_to_wait_once(void **state)
{
  (void)state;
  for (int i = 0; i < POLL_READS - 1; i++)
    read_word(&bench, STATE);
  assert_int_equal(kept_count(&bench.trace, TRACE_WAITING), 0);
  for (int i = 0; i < POLL_READS; i++)
    read_word(&bench, STATE);
  assert_int_equal(kept_count(&bench.trace, TRACE_WAITING), 1);
  const struct trace_record *t = kept_last(&bench.trace, TRACE_WAITING);
  assert_true(t->a == STATE && t->b == 0x04000100);
}

static void one_that_writes_in_between_does_not_wait(void **state)
{
  (void)state;
  for (int i = 0; i < 4 * POLL_READS; i++) {
    read_word(&bench, STATE);
    write_word(&bench, KEPT, 0);
  }
  assert_int_equal(kept_count(&bench.trace, TRACE_WAITING), 0);
}

static void the_debug_port_is_no_program(void **state)
{
  (void)state;
  uint32_t value;
  for (int i = 0; i < 4 * POLL_READS; i++)
    assert_true(chip_register_read(&bench.chip, STATE, 0, &value));
  assert_int_equal(kept_count(&bench.trace, TRACE_WAITING), 0);
  assert_true(chip_register_write(&bench.chip, KEPT, 5, 0));
  assert_int_equal(read_word(&bench, KEPT), 5);
  assert_false(chip_register_read(&bench.chip, 0x40001000, 0, &value));
  assert_false(chip_register_write(&bench.chip, KEPT + 2, 0, 0));
}

/* --- a busy flash -------------------------------------------------------- */

/* Erasing a page takes 20 ms, 160000 cycles of 8 MHz. */
static const struct stall_row {
  const char *name;
  unsigned runs_from; /* region: 0 flash, 1 RAM */
  cycle_t enters;     /* flash, after the order */
  bool attends;       /* the core comes back at once, and chip_run waits */
  cycle_t at_entry;
} stalls[] = {
    {"from flash the core comes back and waits", 0, 0, true, 160000},
    {"from RAM it does not, but a way back does", 1, 100, false, 159900},
    {"one cycle before the end", 1, 159999, false, 1},
    {"at the end no more", 1, 160000, false, 0},
    {"nor later", 1, 500000, false, 0},
};

static void stall_row(void **state)
{
  const struct stall_row *r = *state;
  set_up(NULL);
  struct chip *c = &bench.chip;
  const cycle_t begun = 24;
  c->flash.locked = false;
  c->flash.target = FLASH_AT;
  c->core.region = r->runs_from;
  bench.cycle = begun;
  assert_int_equal(register_access(&bench, ORDER, 4, true, 1).stall, 0);
  assert_int_equal(c->core.attention, r->attends);
  assert_int_equal(c->bus.enter(c, 0, FLASH_AT, begun + r->enters),
                   r->at_entry);
  assert_int_equal(c->bus.enter(c, 1, RAM_AT, begun), 0);
  tear_down(NULL);
}

#define SINGLE(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      SINGLE(an_unknown_address_is_told_once_in_a_row),
      SINGLE(one_that_is_learned_is_told_when_touched_first),
      SINGLE(it_reads_as_written_in_the_lanes_written),
      SINGLE(a_reset_of_peripherals_resets_it),
      SINGLE(a_described_register_is_never_learned),
      SINGLE(zero_takes_no_writes_and_waits),
      SINGLE(fault_is_a_bus_error),
      SINGLE(a_register_of_the_svd_file_is_a_device),
      SINGLE(a_write_of_a_register_is_told_as_it_was_made),
      SINGLE(a_program_that_polls_is_told_to_wait_once),
      SINGLE(one_that_writes_in_between_does_not_wait),
      SINGLE(the_debug_port_is_no_program),
  };
  struct CMUnitTest tests[ROWS_COUNT(answers) + ROWS_COUNT(stalls)];
  size_t n = ROWS_ADD(tests, answer_row, answers);
  n += ROWS_ADD(tests + n, stall_row, stalls);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
