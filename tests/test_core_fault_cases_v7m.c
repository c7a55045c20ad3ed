/* Faults of ARMv7-M one by one: those of stores that are left behind, of
 * entries and returns, of late floating-point state, of vectors. ARM DDI 0403E
 * B1.5.6 to B1.5.15, B3.2.15 to B3.2.19, from memory. */
#include "bench_core.h"

#define CCR   0xe000ed14u
#define SHPR1 0xe000ed18u /* MemManage, BusFault, UsageFault */
#define SHPR2 0xe000ed1cu /* SVCall at 31:24 */
#define SHPR3 0xe000ed20u /* PendSV at 23:16 */
#define SHCSR 0xe000ed24u
#define CFSR  0xe000ed28u
#define HFSR  0xe000ed2cu

#define ALL_ENABLED 0x00070000u
#define FORCED      0x40000000u

static const uint16_t stay[] = {0xe7fe};         /* b . */
static const uint16_t call[] = {0xdf00, 0xe7fe}; /* svc; b . */
static const uint16_t undefined[] = {0xde00};
static const uint16_t leave[] = {0x4770}; /* bx lr */

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

static unsigned handler_of(const struct bench *b)
{
  return b->core.xpsr & CORE_EXCEPTION;
}

/* --- data ---------------------------------------------------------------- */

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

/* --- entry ----------------------------------------------------------------
 */

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

static void or_a_hardfault_where_that_is_disabled(void **state)
{
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M3, stay, sizeof(stay));
  b->core.r[13] = RAM + 16;
  core_pend(&b->core, &b->bus, EXCEPTION_PENDSV);
  bench_run(b, 10);
  assert_int_equal(handler_of(b), EXCEPTION_HARDFAULT);
  assert_int_equal(get(b, CFSR), 0x1000);
  assert_int_equal(get(b, HFSR), FORCED);
  assert_int_equal(get(b, 0xe000ed04) & 0x10000000, 0x10000000);
  bench_free(b);
}

/* The more urgent of the two is entered, and the other waits; of two that are
 * alike the one that was first. */
static void a_fault_whose_stacking_fails_is_two(void **state)
{
  static const struct {
    uint32_t priorities;
    unsigned entered, pending; /* bit of SHCSR */
  } rows[] = {{0x00000000, EXCEPTION_USAGEFAULT, 1u << 14},
              {0x00400000, EXCEPTION_BUSFAULT, 1u << 12},
              {0x00004000, EXCEPTION_USAGEFAULT, 1u << 14}};
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(rows); i++) {
    struct bench *b = bench_start(CORE_KIND_M3, undefined, sizeof(undefined));
    set(b, SHCSR, ALL_ENABLED);
    set(b, SHPR1, rows[i].priorities);
    b->core.r[13] = RAM + 16;
    bench_run(b, 12);
    assert_int_equal(handler_of(b), rows[i].entered);
    assert_int_equal(get(b, CFSR), 0x00011000);
    assert_int_equal(get(b, SHCSR) & 0x7000, rows[i].pending);
    bench_free(b);
  }
}

static void a_hardfault_that_cannot_stack_locks_up(void **state)
{
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M3, undefined, sizeof(undefined));
  b->core.r[13] = RAM + 16;
  assert_int_equal(bench_run(b, 100), CORE_STOP_LOCKUP);
  assert_int_equal(bench_find(b, TRACE_LOCKUP, 0)->b, 1);
  bench_free(b);
}

static void an_nmi_without_a_vector_locks_up_at_minus_two(void **state)
{
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M3, stay, sizeof(stay));
  b->core.vector_base = FLASH + FLASH_SIZE - 4 * EXCEPTION_NMI;
  core_pend(&b->core, &b->bus, EXCEPTION_NMI);
  assert_int_equal(bench_run(b, 100), CORE_STOP_LOCKUP);
  assert_int_equal(handler_of(b), EXCEPTION_NMI);
  assert_int_equal(bench_find(b, TRACE_LOCKUP, 0)->b, 2);
  bench_free(b);
}

/* An interrupt whose vector lacks bit 0: its first instruction faults, in its
 * handler; more urgent, that is taken on top of it. */
static void an_even_vector_is_a_usagefault_in_its_handler(void **state)
{
  (void)state;
  for (uint32_t urgent = 0; urgent < 2; urgent++) {
    struct bench *b = bench_start(CORE_KIND_M3, stay, sizeof(stay));
    addr_t handler = HANDLERS + 0x40 * EXCEPTION_PENDSV;
    bench_word(b, FLASH + 4 * EXCEPTION_PENDSV, handler);
    set(b, SHCSR, ALL_ENABLED);
    set(b, SHPR3, urgent ? 0x00800000 : 0);
    core_pend(&b->core, &b->bus, EXCEPTION_PENDSV);
    bench_run(b, 60);
    assert_int_equal(handler_of(b),
                     urgent ? EXCEPTION_USAGEFAULT : EXCEPTION_HARDFAULT);
    assert_int_equal(get(b, CFSR), 0x00020000);
    assert_int_equal(get(b, HFSR), urgent ? 0 : FORCED);
    assert_int_equal(bench_peek(b, b->core.r[13] + 24), handler);
    assert_int_equal(bench_peek(b, b->core.r[13] + 28), EXCEPTION_PENDSV);
    bench_free(b);
  }
}

/* --- calls and breakpoints ------------------------------------------------
 */

/* Held back they escalate, with their own address; at HardFault's priority
 * the core locks up. */
static const struct call_row {
  const char *name;
  uint16_t code;
  uint32_t primask, faultmask, basepri;
  unsigned active; /* 0: a thread */
  bool locks_up;
  uint32_t hard; /* HFSR */
} call_rows[] = {
    {"SVC under PRIMASK", 0xdf00, 1, 0, 0, 0, false, FORCED},
    {"SVC under BASEPRI", 0xdf00, 0, 0, 0x40, 0, false, FORCED},
    {"SVC in a handler as urgent", 0xdf00, 0, 0, 0, EXCEPTION_SVCALL, false,
     FORCED},
    {"SVC under FAULTMASK", 0xdf00, 0, 1, 0, 0, true, FORCED},
    {"SVC in the handler of HardFault", 0xdf00, 0, 0, 0, EXCEPTION_HARDFAULT,
     true, FORCED},
    {"SVC in the handler of NMI", 0xdf00, 0, 0, 0, EXCEPTION_NMI, true,
     FORCED},
    {"BKPT without a debugger", 0xbe00, 0, 0, 0, 0, false, 0x80000000},
    {"BKPT under PRIMASK", 0xbe00, 1, 0, 0, 0, false, 0x80000000},
    {"BKPT under FAULTMASK", 0xbe00, 0, 1, 0, 0, true, 0x80000000},
    {"BKPT in the handler of HardFault", 0xbe00, 0, 0, 0, EXCEPTION_HARDFAULT,
     true, 0x80000000},
    {"BKPT in the handler of NMI", 0xbe00, 0, 0, 0, EXCEPTION_NMI, true,
     0x80000000},
};

static void call_row(void **state)
{
  const struct call_row *r = *state;
  struct bench *b = bench_start(CORE_KIND_M4, &r->code, sizeof(r->code));
  set(b, SHCSR, ALL_ENABLED);
  set(b, SHPR2, 0x40000000);
  b->core.primask = r->primask;
  b->core.faultmask = r->faultmask;
  b->core.basepri = r->basepri;
  if (r->active != 0) b->core.active.words[0] = UINT64_C(1) << r->active;
  b->core.xpsr |= r->active;
  bench_run(b, 60);
  assert_int_equal(b->core.mode, r->locks_up ? CORE_LOCKUP : CORE_RUNNING);
  if (!r->locks_up) {
    assert_int_equal(handler_of(b), EXCEPTION_HARDFAULT);
    assert_int_equal(bench_peek(b, STACK - 8), CODE);
  } else {
    assert_int_equal(handler_of(b), r->active);
    assert_int_equal(bench_find(b, TRACE_LOCKUP, 0)->a, CODE);
    assert_int_equal(bench_find(b, TRACE_LOCKUP, 0)->b,
                     r->active == EXCEPTION_NMI ? 2 : 1);
  }
  assert_int_equal(get(b, HFSR), r->hard);
  assert_int_equal(get(b, CFSR), 0);
  bench_free(b);
}

/* Who has the monitor enabled has it only where that is urgent enough. */
static void a_breakpoint_that_the_monitor_may_not_take(void **state)
{
  static const uint16_t code[] = {0xbe00, 0xe7fe};
  (void)state;
  for (uint32_t basepri = 0x40; basepri <= 0x60; basepri += 0x20) {
    struct bench *b = bench_start(CORE_KIND_M4, code, sizeof(code));
    bool taken = basepri > 0x40;
    set(b, 0xe000edfc, 1u << 16); /* DEMCR.MON_EN */
    set(b, SHPR3, 0x40);
    b->core.basepri = basepri;
    bench_run(b, 30);
    assert_int_equal(handler_of(b),
                     taken ? EXCEPTION_MONITOR : EXCEPTION_HARDFAULT);
    assert_int_equal(get(b, HFSR), taken ? 0 : 0x80000000);
    assert_int_equal(bench_peek(b, STACK - 8), CODE);
    bench_free(b);
  }
}

/* --- floating-point state that is stored late -----------------------------
 */

static void late_state_that_cannot_be_stored_is_a_busfault(void **state)
{
  static const uint16_t use[] = {0xee00, 0x6a10, 0x4770}; /* vmov s0, r6 */
  (void)state;
  for (uint32_t enabled = 0; enabled < 2; enabled++) {
    struct bench *b = bench_start(CORE_KIND_M4F, call, sizeof(call));
    addr_t handler = HANDLERS + 0x40 * EXCEPTION_SVCALL;
    bench_put(b, handler, use, sizeof(use));
    b->core.fpu.access = 0x00f00000;
    b->core.control = CORE_FLOATING;
    set(b, SHCSR, enabled ? ALL_ENABLED : 0);
    set(b, SHPR2, 0x80000000);
    bench_run(b, 2);
    assert_int_equal(handler_of(b), EXCEPTION_SVCALL);
    b->core.fpu.lazy = 0x50000000;
    bench_run(b, 60);
    assert_int_equal(handler_of(b),
                     enabled ? EXCEPTION_BUSFAULT : EXCEPTION_HARDFAULT);
    assert_int_equal(get(b, CFSR), 0x2000);
    assert_int_equal(get(b, HFSR), enabled ? 0 : FORCED);
    assert_int_equal(bench_peek(b, b->core.r[13] + 24), handler);
    bench_free(b);
  }
}

/* --- return ---------------------------------------------------------------
 */

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

/* The stack went away under a handler: its return can't be made. The handler
 * of the fault is entered in its place, and could return where it did not. */
static void a_fault_while_unstacking(void **state)
{
  (void)state;
  for (uint32_t enabled = 0; enabled < 2; enabled++) {
    struct bench *b = bench_start(CORE_KIND_M3, call, sizeof(call));
    bench_put(b, HANDLERS + 0x40 * EXCEPTION_SVCALL, leave, sizeof(leave));
    set(b, SHCSR, enabled ? ALL_ENABLED : 0);
    bench_run(b, 2);
    assert_int_equal(handler_of(b), EXCEPTION_SVCALL);
    b->core.r[13] = 0x50000000;
    bench_run(b, 100);
    assert_int_equal(handler_of(b),
                     enabled ? EXCEPTION_BUSFAULT : EXCEPTION_HARDFAULT);
    assert_int_equal(get(b, CFSR), 0x0800);
    assert_int_equal(get(b, HFSR), enabled ? 0 : FORCED);
    assert_int_equal(b->core.r[14], 0xfffffff9);
    assert_int_equal(get(b, SHCSR) & 0x80, 0); /* SVCall is over */
    bench_free(b);
  }
}

static void a_return_to_a_t_of_zero_faults_where_it_returned_to(void **state)
{
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M3, call, sizeof(call));
  bench_put(b, HANDLERS + 0x40 * EXCEPTION_SVCALL, leave, sizeof(leave));
  set(b, SHCSR, ALL_ENABLED);
  bench_run(b, 2);
  bench_word(b, b->core.r[13] + 28, 0);
  bench_run(b, 100);
  assert_int_equal(handler_of(b), EXCEPTION_USAGEFAULT);
  assert_int_equal(get(b, CFSR), 0x00020000);
  assert_int_equal(bench_peek(b, STACK - 8), CODE + 2);
  assert_int_equal(b->core.r[14], 0xfffffff9);
  bench_free(b);
}

/* --- the registers --------------------------------------------------------
 */

/* They gather, and writing ones clears those alone. */
static void status_bits_gather_until_they_are_cleared(void **state)
{
  static const uint16_t code[] = {0x6801, 0xde00}; /* ldr r1, [r0]; udf */
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M3, code, sizeof(code));
  /* the handler of BusFault steps over the load */
  static const uint16_t skip[] = {0x9906, 0x3102, 0x9106, 0x4770};
  bench_put(b, HANDLERS + 0x40 * EXCEPTION_BUSFAULT, skip, sizeof(skip));
  b->core.r[0] = 0x50000000;
  set(b, SHCSR, ALL_ENABLED);
  bench_run(b, 100);
  assert_int_equal(handler_of(b), EXCEPTION_USAGEFAULT);
  assert_int_equal(get(b, CFSR), 0x00018200);
  set(b, CFSR, 0x00010000);
  assert_int_equal(get(b, CFSR), 0x00008200);
  set(b, CFSR, 0);
  assert_int_equal(get(b, CFSR), 0x00008200);
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
      TEST(or_a_hardfault_where_that_is_disabled),
      TEST(a_fault_whose_stacking_fails_is_two),
      TEST(a_hardfault_that_cannot_stack_locks_up),
      TEST(an_nmi_without_a_vector_locks_up_at_minus_two),
      TEST(an_even_vector_is_a_usagefault_in_its_handler),
      TEST(a_breakpoint_that_the_monitor_may_not_take),
      TEST(late_state_that_cannot_be_stored_is_a_busfault),
      TEST(a_fault_while_unstacking),
      TEST(a_return_to_a_t_of_zero_faults_where_it_returned_to),
      TEST(status_bits_gather_until_they_are_cleared),
  };
  struct CMUnitTest tests[ROWS_COUNT(return_rows) + ROWS_COUNT(call_rows)];
  size_t n = ROWS_ADD(tests, return_row, return_rows);
  n += ROWS_ADD(tests + n, call_row, call_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
