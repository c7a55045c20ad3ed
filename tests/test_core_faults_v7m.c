/* Faults of ARMv7-M: each from a thread and from a handler, enabled, disabled
 * and with nowhere to go. ARM DDI 0403E B1.5.14, B1.5.15, B3.2.15 to B3.2.19,
 * from memory. */
#include "bench_core.h"

#define SHCSR 0xe000ed24u
#define CFSR  0xe000ed28u
#define HFSR  0xe000ed2cu
#define BFAR  0xe000ed38u
#define CCR   0xe000ed14u

#define ALL_ENABLED 0x00070000u
#define FORCED      0x40000000u

enum { MEM = EXCEPTION_MEMMANAGE, BUS, USAGE };

/* An instruction that faults with `r0` in r0; r1 is 0, r2 5. */
static const struct row {
  const char *name;
  uint16_t code[2];
  uint32_t r0;
  unsigned exception;
  uint32_t cfsr;
  uint32_t ccr;        /* besides STKALIGN */
  uint32_t stacked_pc; /* 0: the instruction */
  bool not_thumb;
} rows[] = {
    {"UDF", {0xde00}, 0, USAGE, 0x00010000, 0, 0, false},
    {"UDF.W", {0xf7f0, 0xa000}, 0, USAGE, 0x00010000, 0, 0, false},
    {"a coprocessor", {0xee00, 0x0010}, 0, USAGE, 0x00080000, 0, 0, false},
    {"0xFFFF FFFF", {0xffff, 0xffff}, 0, USAGE, 0x00080000, 0, 0, false},
    {"BX to an even address",
     {0x4700},
     CODE + 0x20,
     USAGE,
     0x00020000,
     0,
     CODE + 0x20,
     true},
    {"an unaligned word that is trapped",
     {0x6801},
     RAM + 2,
     USAGE,
     0x01000000,
     0x8,
     0,
     false},
    {"an unaligned list", {0xc806}, RAM + 2, USAGE, 0x01000000, 0, 0, false},
    {"an unaligned LDRD",
     {0xe9d0, 0x1200},
     RAM + 2,
     USAGE,
     0x01000000,
     0,
     0,
     false},
    {"an unaligned LDREX",
     {0xe850, 0x1f00},
     RAM + 2,
     USAGE,
     0x01000000,
     0,
     0,
     false},
    {"an unaligned word of a device",
     {0x6801},
     DEVICE + 2,
     USAGE,
     0x01000000,
     0,
     0,
     false},
    {"UDIV by zero that is trapped",
     {0xfbb2, 0xf2f1},
     0,
     USAGE,
     0x02000000,
     0x10,
     0,
     false},
    {"SDIV by zero that is trapped",
     {0xfb92, 0xf2f1},
     0,
     USAGE,
     0x02000000,
     0x10,
     0,
     false},
    {"a load that nobody answers",
     {0x6801},
     0x50000000,
     BUS,
     0x00008200,
     0,
     0,
     false},
    {"a list that nobody answers",
     {0xc806},
     0x50000000,
     BUS,
     0x00008200,
     0,
     0,
     false},
    {"a STRD that nobody answers",
     {0xe9c0, 0x1200},
     0x50000000,
     BUS,
     0x00008200,
     0,
     0,
     false},
    {"a store to flash",
     {0x6001},
     FLASH + 0x800,
     BUS,
     0x00008200,
     0,
     0,
     false},
    {"a LDREX that nobody answers",
     {0xe850, 0x1f00},
     0x50000000,
     BUS,
     0x00008200,
     0,
     0,
     false},
    {"a branch into nothing",
     {0x4700},
     0x10000001,
     BUS,
     0x00000100,
     0,
     0x10000000,
     false},
    {"a branch into a device",
     {0x4700},
     DEVICE | 1,
     MEM,
     0x00000001,
     0,
     DEVICE,
     false},
    {"a branch into system space",
     {0x4700},
     0xe000e001,
     MEM,
     0x00000001,
     0,
     0xe000e000,
     false},
    {"an EXC_RETURN value in a thread",
     {0x4700},
     0xfffffff9,
     MEM,
     0x00000001,
     0,
     0xfffffff8,
     false},
};

static uint32_t get(struct bench *b, addr_t at)
{
  uint32_t value;
  assert_true(core_scs_read(&b->core, at, false, &value));
  return value;
}

static void set(struct bench *b, addr_t at, uint32_t value)
{
  assert_true(core_scs_write(&b->core, &b->bus, at, value, false));
}

static struct bench *start(const struct row *r, uint32_t enabled)
{
  struct bench *b = bench_start(CORE_KIND_M4, r->code, sizeof(r->code));
  for (unsigned i = 0; i < 13; i++)
    b->core.r[i] = 0x1000 + i;
  b->core.r[0] = r->r0;
  b->core.r[1] = 0;
  b->core.r[2] = 5;
  b->core.r[14] = 0x2001;
  set(b, SHCSR, enabled);
  set(b, CCR, 0x200 | r->ccr);
  return b;
}

static void check_frame(struct bench *b, const struct row *r)
{
  assert_int_equal(bench_peek(b, STACK - 32), r->r0);
  assert_int_equal(bench_peek(b, STACK - 28), 0);
  assert_int_equal(bench_peek(b, STACK - 24), 5);
  assert_int_equal(bench_peek(b, STACK - 16), 0x100c);
  assert_int_equal(bench_peek(b, STACK - 8),
                   r->stacked_pc != 0 ? r->stacked_pc : CODE);
  assert_int_equal(bench_peek(b, STACK - 4), r->not_thumb ? 0 : CORE_THUMB);
}

static void enabled_row(void **state)
{
  const struct row *r = *state;
  struct bench *b = start(r, ALL_ENABLED);
  assert_int_equal(bench_run(b, 100), CORE_STOP_DEADLINE);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, r->exception);
  check_frame(b, r);
  assert_int_equal(get(b, CFSR), r->cfsr);
  assert_int_equal(get(b, HFSR), 0);
  if (r->cfsr & 0x8000) assert_int_equal(get(b, BFAR), r->r0);
  set(b, CFSR, r->cfsr);
  assert_int_equal(get(b, CFSR), 0);
  bench_free(b);
}

/* Disabled, or masked by PRIMASK: it escalates. */
static void escalated_row(void **state)
{
  const struct row *r = *state;
  for (uint32_t masked = 0; masked < 2; masked++) {
    struct bench *b = start(r, masked ? ALL_ENABLED : 0);
    b->core.primask = masked;
    assert_int_equal(bench_run(b, 100), CORE_STOP_DEADLINE);
    assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
    check_frame(b, r);
    assert_int_equal(get(b, CFSR), r->cfsr);
    assert_int_equal(get(b, HFSR), FORCED);
    bench_free(b);
  }
}

/* With FAULTMASK, and in the handlers of HardFault and NMI: lockup. */
static void locked_row(void **state)
{
  const struct row *r = *state;
  for (unsigned number = 0; number <= EXCEPTION_HARDFAULT; number++) {
    if (number == EXCEPTION_RESET) continue;
    struct bench *b = start(r, ALL_ENABLED);
    if (number == 0)
      b->core.faultmask = 1;
    else
      b->core.active.words[0] = UINT64_C(1) << number;
    b->core.xpsr |= number;
    bool returns = (r->r0 & 0xfffffff0) == 0xfffffff0;
    if (number == 0 || !returns) {
      assert_int_equal(bench_run(b, 100), CORE_STOP_LOCKUP);
      const struct bench_report *lockup = bench_find(b, TRACE_LOCKUP, 0);
      assert_int_equal(lockup->b, number == EXCEPTION_NMI ? 2 : 1);
      assert_int_equal(b->core.r[15], CORE_LOCKUP_PC);
      assert_int_equal(get(b, CFSR), r->cfsr);
    }
    bench_free(b);
  }
}

/* A fault whose vector can't be read, and HardFault's own. */
static void vector_row(void **state)
{
  const struct row *r = *state;
  for (int second = 0; second < 2; second++) {
    struct bench *b = start(r, ALL_ENABLED);
    b->core.vector_base =
        FLASH + FLASH_SIZE - 4 * (second ? 2u : EXCEPTION_HARDFAULT + 1);
    bench_word(b, FLASH + FLASH_SIZE - 4, (HANDLERS + 0x80) | 1u);
    bench_run(b, 100);
    assert_int_equal(b->core.mode, second ? CORE_LOCKUP : CORE_RUNNING);
    assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
    assert_int_equal(get(b, HFSR), 0x2);
    bench_free(b);
  }
}

/* --- one by one ----------------------------------------------------------
 */

/* A buffered store goes on; the error comes behind it. */
static void a_buffered_store_faults_late(void **state)
{
  static const uint16_t code[] = {0x6001, 0x2307, 0x2408, 0xe7fe};
  (void)state;
  for (uint32_t buffered = 0; buffered < 2; buffered++) {
    struct bench *b = bench_start(CORE_KIND_M3, code, sizeof(code));
    b->core.r[0] = 0x50000000;
    set(b, SHCSR, ALL_ENABLED);
    set(b, 0xe000e008, buffered ? 0 : 2); /* DISDEFWBUF */
    bench_run(b, 40);
    assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_BUSFAULT);
    assert_int_equal(get(b, CFSR), buffered ? 0x400 : 0x8200);
    assert_int_equal(bench_peek(b, STACK - 8), buffered ? CODE + 2 : CODE);
    bench_free(b);
  }
}

static void without_traps_unaligned_and_division_work(void **state)
{
  /* ldr r3, [r0]; udiv r4, r2, r1 */
  static const uint16_t code[] = {0x6803, 0xfbb2, 0xf4f1, 0xe7fe};
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M3, code, sizeof(code));
  bench_word(b, RAM + 0x100, 0x44332211);
  bench_word(b, RAM + 0x104, 0x88776655);
  b->core.r[0] = RAM + 0x101;
  b->core.r[2] = b->core.r[4] = 9;
  bench_run(b, 30);
  assert_int_equal(b->core.r[3], 0x55443322);
  assert_int_equal(b->core.r[4], 0);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, 0);
  bench_free(b);
}

static void bus_errors_can_be_ignored_in_a_handler_of_hardfault(void **state)
{
  static const uint16_t code[] = {0x6801, 0xe7fe};
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M3, code, sizeof(code));
  b->core.active.words[0] = UINT64_C(1) << EXCEPTION_HARDFAULT;
  b->core.xpsr |= EXCEPTION_HARDFAULT;
  b->core.r[0] = 0x50000000;
  set(b, CCR, 0x300);
  assert_int_equal(bench_run(b, 20), CORE_STOP_DEADLINE);
  assert_int_equal(b->core.mode, CORE_RUNNING);
  assert_int_equal(get(b, CFSR), 0x8200);
  bench_free(b);
}

static void a_fault_while_stacking_is_a_busfault(void **state)
{
  static const uint16_t code[] = {0xe7fe};
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M3, code, sizeof(code));
  set(b, SHCSR, ALL_ENABLED);
  set(b, 0xe000ed20, 0x00800000); /* PendSV: less urgent */
  b->core.r[13] = RAM + 16;
  core_pend(&b->core, &b->bus, EXCEPTION_PENDSV);
  bench_run(b, 10);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_BUSFAULT);
  assert_int_equal(get(b, CFSR), 0x1000);
  assert_int_equal(get(b, 0xe000ed04) & 0x10000000, 0x10000000);
  bench_free(b);
}

/* What EXC_RETURN can be wrong about: B1.5.8. */
static const struct return_row {
  const char *name;
  uint32_t value, xpsr;
} return_rows[] = {
    {"a return to handler mode, where none is below", 0xfffffff1, CORE_THUMB},
    {"a return with a reserved value", 0xfffffff5, CORE_THUMB},
    {"a return with a zero among its ones", 0xffffff79, CORE_THUMB},
    {"a return to an extended frame without floating point", 0xffffffe9,
     CORE_THUMB},
    {"a return to a thread with a handler's xPSR", 0xfffffff9,
     CORE_THUMB | 14},
};

static void return_row(void **state)
{
  static const uint16_t call[] = {0xdf00, 0xe7fe}, leave[] = {0x4770};
  const struct return_row *r = *state;
  struct bench *b = bench_start(CORE_KIND_M3, call, sizeof(call));
  bench_put(b, HANDLERS + 0x40 * EXCEPTION_SVCALL, leave, sizeof(leave));
  set(b, SHCSR, ALL_ENABLED);
  bench_run(b, 2);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_SVCALL);
  uint32_t sp = b->core.r[13];
  bench_word(b, sp + 28, r->xpsr);
  b->core.r[14] = r->value;
  bench_run(b, 100);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_USAGEFAULT);
  assert_int_equal(get(b, CFSR), 0x00040000);
  assert_int_equal(b->core.r[13], sp); /* the frame is still there */
  assert_int_equal(b->core.r[14], r->value);
  assert_int_equal(get(b, SHCSR) & 0x80, 0); /* SVCall is over */
  bench_free(b);
}

#define TEST(name) cmocka_unit_test(name)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      TEST(a_buffered_store_faults_late),
      TEST(without_traps_unaligned_and_division_work),
      TEST(bus_errors_can_be_ignored_in_a_handler_of_hardfault),
      TEST(a_fault_while_stacking_is_a_busfault),
  };
  struct CMUnitTest tests[4 * ROWS_COUNT(rows) + ROWS_COUNT(return_rows)];
  size_t n = ROWS_ADD(tests, enabled_row, rows);
  n += ROWS_ADD(tests + n, escalated_row, rows);
  n += ROWS_ADD(tests + n, locked_row, rows);
  n += ROWS_ADD(tests + n, vector_row, rows);
  n += ROWS_ADD(tests + n, return_row, return_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
