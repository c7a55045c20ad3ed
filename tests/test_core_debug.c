/* The debug registers of ARM DDI 0419E C1.6, through the debug port. */
#include "bench_core.h"

#define DFSR  0xe000ed30u
#define DHCSR 0xe000edf0u
#define DCRSR 0xe000edf4u
#define DCRDR 0xe000edf8u
#define DEMCR 0xe000edfcu

static const uint16_t count[] = {0x3501, 0x3601, 0xe7fc}; /* adds; adds; b */

static struct bench *start(const uint16_t *code, size_t bytes)
{
  return bench_start(CORE_KIND_M0, code, bytes);
}

static uint32_t get(struct bench *b, addr_t at)
{
  uint32_t value;
  assert_true(core_scs_read(&b->core, at, true, &value));
  return value;
}

static void set(struct bench *b, addr_t at, uint32_t value)
{
  assert_true(core_scs_write(&b->core, &b->bus, at, value, true));
}

/* What a write to DHCSR of a running core does (Table C1-13). */
static const struct dhcsr_row {
  const char *name;
  uint32_t write;
  uint32_t control; /* bits 3:0 read back */
  enum core_mode mode;
} dhcsr_rows[] = {
    {"the key is 0xA05F", 0xa05e0003, 0x0, CORE_RUNNING},
    {"C_DEBUGEN alone lets it run", 0xa05f0001, 0x1, CORE_RUNNING},
    {"C_HALT needs C_DEBUGEN", 0xa05f0002, 0x0, CORE_RUNNING},
    {"C_HALT halts", 0xa05f0003, 0x3, CORE_HALTED},
    {"C_MASKINTS is kept", 0xa05f0009, 0x9, CORE_RUNNING},
};

static void dhcsr_row(void **state)
{
  const struct dhcsr_row *r = *state;
  struct bench *b = start(count, sizeof(count));
  set(b, DHCSR, r->write);
  assert_int_equal(b->core.mode, r->mode);
  assert_int_equal(get(b, DHCSR) & 0xf, r->control);
  bench_free(b);
}

static void sticky_bits_are_cleared_by_reading(void **state)
{
  (void)state;
  struct bench *b = start(count, sizeof(count));
  assert_int_equal(get(b, DHCSR) & 0x03000000, 0x02000000); /* S_RESET_ST */
  assert_int_equal(get(b, DHCSR) & 0x03000000, 0);
  bench_run(b, 1);
  assert_int_equal(get(b, DHCSR) & 0x03000000, 0x01000000); /* S_RETIRE_ST */
  assert_int_equal(get(b, DHCSR) & 0x03000000, 0);
  bench_free(b);
}

static void halting_and_going_on(void **state)
{
  (void)state;
  struct bench *b = start(count, sizeof(count));
  set(b, DHCSR, 0xa05f0003);
  assert_int_equal(get(b, DHCSR) & 0x000f0000, 0x00030000);
  assert_int_equal(get(b, DFSR), 1); /* HALTED */
  assert_int_equal(bench_run(b, 9), CORE_STOP_HALTED);
  set(b, DFSR, 1);
  assert_int_equal(get(b, DFSR), 0);
  set(b, DHCSR, 0xa05f0001);
  assert_int_equal(bench_run(b, 5), CORE_STOP_DEADLINE);
  assert_int_equal(b->core.r[5], 1);
  set(b, DHCSR, 0xa05f0003);
  set(b, DHCSR, 0xa05f0000); /* debug off: it runs */
  assert_int_equal(b->core.mode, CORE_RUNNING);
  bench_free(b);
}

static void a_step_is_one_instruction_or_one_entry(void **state)
{
  static const uint16_t code[] = {0x3501, 0xdf00, 0xe7fe}; /* adds; svc; b . */
  static const addr_t pcs[] = {CODE + 2, HANDLERS + 0x40 * EXCEPTION_SVCALL,
                               HANDLERS + 0x40 * EXCEPTION_SVCALL,
                               HANDLERS + 0x40 * EXCEPTION_NMI};
  (void)state;
  struct bench *b = start(code, sizeof(code));
  set(b, DHCSR, 0xa05f0003);
  for (size_t i = 0; i < ROWS_COUNT(pcs); i++) {
    if (i == 3) core_pend(&b->core, &b->bus, EXCEPTION_NMI);
    set(b, DHCSR, 0xa05f0005);
    assert_int_equal(bench_run(b, 100), CORE_STOP_HALTED);
    assert_int_equal(b->core.r[15], pcs[i]);
  }
  assert_int_equal(b->core.instructions, 3);
  bench_free(b);
}

/* The stall of a region that is entered is no instruction. */
static void a_step_outlasts_a_stall(void **state)
{
  (void)state;
  struct bench *b = start(count, sizeof(count));
  b->enter_stall = 7;
  set(b, DHCSR, 0xa05f0003);
  set(b, DHCSR, 0xa05f0005);
  assert_int_equal(bench_run(b, 100), CORE_STOP_HALTED);
  assert_int_equal(b->core.instructions, 1);
  assert_int_equal(b->core.cycle, 8);
  bench_free(b);
}

static void maskints_holds_interrupts_and_pendsv_back(void **state)
{
  (void)state;
  struct bench *b = start(count, sizeof(count));
  set(b, DHCSR, 0xa05f0009);
  core_pend(&b->core, &b->bus, EXCEPTION_PENDSV);
  core_pend(&b->core, &b->bus, EXCEPTION_IRQ0);
  bench_run(b, 20);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, 0);
  core_pend(&b->core, &b->bus, EXCEPTION_NMI);
  bench_run(b, 20);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_NMI);
  bench_free(b);
}

static void bkpt_halts_with_debug_enabled(void **state)
{
  static const uint16_t code[] = {0x3501, 0xbeab}; /* adds r5, #1; bkpt */
  (void)state;
  struct bench *b = start(code, sizeof(code));
  set(b, DHCSR, 0xa05f0001);
  assert_int_equal(bench_run(b, 100), CORE_STOP_HALTED);
  assert_int_equal(b->core.r[15], CODE + 2);
  assert_int_equal(b->core.instructions, 1);
  assert_int_equal(get(b, DFSR), 2); /* BKPT */
  bench_free(b);
}

static void hardfault_catch_halts_before_the_handler(void **state)
{
  static const uint16_t code[] = {0xde00};
  (void)state;
  for (int enabled = 0; enabled < 2; enabled++) {
    struct bench *b = start(code, sizeof(code));
    set(b, DHCSR, enabled ? 0xa05f0001 : 0xa05f0000);
    set(b, DEMCR, 0x00000400); /* VC_HARDERR */
    assert_int_equal(bench_run(b, 60),
                     enabled ? CORE_STOP_HALTED : CORE_STOP_DEADLINE);
    assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
    assert_int_equal(get(b, DFSR), enabled ? 8 : 0);
    assert_int_equal(b->core.instructions == 0, enabled);
    bench_free(b);
  }
}

static void a_locked_up_core_can_be_halted(void **state)
{
  (void)state;
  struct bench *b = bench_new(CORE_KIND_M0, 1); /* erased */
  bench_reset(b);
  bench_run(b, 10);
  assert_int_equal(b->core.mode, CORE_LOCKUP);
  set(b, DHCSR, 0xa05f0003);
  assert_int_equal(b->core.mode, CORE_HALTED);
  assert_int_equal(get(b, DHCSR) & 0x000e0000, 0x00020000); /* no S_LOCKUP */
  assert_int_equal(core_register(&b->core, 15), 0xfffffffe);
  set(b, DHCSR, 0xa05f0001);
  assert_int_equal(bench_run(b, 10), CORE_STOP_LOCKUP);
  bench_free(b);
}

/* C1.6.4: the register number at 4:0, write at 16; 20 is CONTROL and
 * PRIMASK. */
static void registers_go_through_dcrsr(void **state)
{
  (void)state;
  struct bench *b = start(count, sizeof(count));
  set(b, DCRDR, 0x11);
  set(b, DCRSR, 0x10000 | 3); /* running: ignored */
  assert_int_equal(b->core.r[3], 0);
  set(b, DHCSR, 0xa05f0003);
  for (uint32_t n = 0; n < 13; n++) {
    set(b, DCRDR, 0x100 + n);
    set(b, DCRSR, 0x10000 | n);
  }
  for (uint32_t n = 0; n < 13; n++) {
    set(b, DCRSR, n);
    assert_int_equal(get(b, DCRDR), 0x100 + n);
    assert_int_equal(b->core.r[n], 0x100 + n);
  }
  set(b, DCRDR, RAM + 0x402);
  set(b, DCRSR, 0x10000 | 18); /* PSP */
  set(b, DCRDR, 0x02000001);
  set(b, DCRSR, 0x10000 | 20);
  assert_int_equal(b->core.primask, 1);
  assert_int_equal(b->core.r[13], RAM + 0x400);
  set(b, DCRSR, 17); /* MSP */
  assert_int_equal(get(b, DCRDR), STACK);
  set(b, DCRSR, 20);
  assert_int_equal(get(b, DCRDR), 0x02000001);
  set(b, DCRDR, 0xf1000000);
  set(b, DCRSR, 0x10000 | 16);
  assert_int_equal(b->core.xpsr, 0xf1000000);
  set(b, DCRDR, CODE + 3);
  set(b, DCRSR, 0x10000 | 15);
  assert_int_equal(b->core.r[15], CODE + 2);
  bench_free(b);
}

/* VECTCLRACTIVE, B3.2.6, in Debug state only. With HardFault active the next
 * fault would lock up. */
static void active_exceptions_can_be_cleared(void **state)
{
  static const uint16_t code[] = {0xde00};
  (void)state;
  struct bench *b = start(code, sizeof(code));
  bench_run(b, 40);
  set(b, 0xe000ed0c, 0x05fa0002);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
  set(b, DHCSR, 0xa05f0003);
  set(b, 0xe000ed0c, 0x05fa0002);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, 0);
  core_set_register(&b->core, 15, CODE);
  set(b, DHCSR, 0xa05f0001);
  assert_int_equal(bench_run(b, 40), CORE_STOP_DEADLINE);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
  bench_free(b);
}

static void demcr_and_shcsr_keep_their_bits(void **state)
{
  (void)state;
  struct bench *b = start(count, sizeof(count));
  set(b, DEMCR, 0xffffffff);
  assert_int_equal(get(b, DEMCR), 0x01000401);
  set(b, 0xe000ed24, 0xffffffff);
  assert_int_equal(get(b, 0xe000ed24), 0x8000);
  bench_run(b, 1);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_SVCALL);
  bench_free(b);
}

#define TEST(name) cmocka_unit_test(name)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      TEST(sticky_bits_are_cleared_by_reading),
      TEST(halting_and_going_on),
      TEST(a_step_is_one_instruction_or_one_entry),
      TEST(a_step_outlasts_a_stall),
      TEST(maskints_holds_interrupts_and_pendsv_back),
      TEST(bkpt_halts_with_debug_enabled),
      TEST(hardfault_catch_halts_before_the_handler),
      TEST(a_locked_up_core_can_be_halted),
      TEST(registers_go_through_dcrsr),
      TEST(active_exceptions_can_be_cleared),
      TEST(demcr_and_shcsr_keep_their_bits),
  };
  struct CMUnitTest tests[ROWS_COUNT(dhcsr_rows)];
  ROWS_ADD(tests, dhcsr_row, dhcsr_rows);
  int failed = cmocka_run_group_tests_name("dhcsr", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("debug", singles, NULL, NULL);
}
