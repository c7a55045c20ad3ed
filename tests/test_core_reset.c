/* Reset: ARM DDI 0419E B1.5.5 (TakeReset), B1.5.16, C1.4, C1.6, and what
 * follows from them for erased, blank and odd vectors. */
#include "bench_core.h"

#define UNTOUCHED 0xa5a5a5a5u
#define THUMB     CORE_THUMB

/* Vectors, what is at CODE, and what the core makes of it. `stacked_*` is the
 * frame of the HardFault that is taken, if `mode` is running. */
static const struct row {
  const char *name;
  uint32_t sp, pc, hardfault;
  uint16_t opcode; /* at CODE */
  enum core_mode mode;
  uint32_t r15;
  uint32_t handler; /* exception number at the end */
  uint32_t stacked_pc, stacked_t;
} rows[] = {
    {"erased vectors: lockup at 0xFFFFFFFE", 0xffffffff, 0xffffffff,
     0xffffffff, 0xffff, CORE_LOCKUP, 0xfffffffe, EXCEPTION_HARDFAULT, 0, 0},
    {"zero vectors: T is 0 twice, lockup", 0, 0, 0, 0, CORE_LOCKUP, 0xfffffffe,
     EXCEPTION_HARDFAULT, 0, 0},
    {"an even reset vector: HardFault, stacked T is 0", STACK, CODE,
     HANDLERS | 1, 0xbf00, CORE_RUNNING, HANDLERS, EXCEPTION_HARDFAULT, CODE,
     0},
    {"an even HardFault vector after that: lockup", STACK, CODE, HANDLERS,
     0xbf00, CORE_LOCKUP, 0xfffffffe, EXCEPTION_HARDFAULT, CODE, 0},
    {"an odd vector to erased code: HardFault there", STACK, CODE | 1,
     HANDLERS | 1, 0xffff, CORE_RUNNING, HANDLERS, EXCEPTION_HARDFAULT, CODE,
     THUMB},
    {"a reset vector into a device: HardFault there", STACK, DEVICE | 1,
     HANDLERS | 1, 0xbf00, CORE_RUNNING, HANDLERS, EXCEPTION_HARDFAULT, DEVICE,
     THUMB},
    {"a reset vector into nothing: HardFault there", STACK, 0x10000001,
     HANDLERS | 1, 0xbf00, CORE_RUNNING, HANDLERS, EXCEPTION_HARDFAULT,
     0x10000000, THUMB},
    {"a good vector runs", STACK, CODE | 1, HANDLERS | 1, 0xe7fe, CORE_RUNNING,
     CODE, 0, 0, 0},
    {"a stack in nowhere: HardFault can't stack, lockup", 0x10000000, CODE,
     HANDLERS | 1, 0xbf00, CORE_LOCKUP, 0xfffffffe, EXCEPTION_HARDFAULT, 0, 0},
};

static struct bench *vectors_of(const struct row *r)
{
  static const uint16_t stay = 0xe7fe; /* B . */
  struct bench *b = bench_new(CORE_KIND_M0, 1);
  if (r->sp == 0) memset(b->flash, 0, sizeof(b->flash));
  bench_word(b, FLASH, r->sp);
  bench_word(b, FLASH + 4, r->pc);
  bench_word(b, FLASH + 12, r->hardfault);
  bench_put(b, CODE, &r->opcode, sizeof(r->opcode));
  if (r->hardfault != 0 && r->hardfault != 0xffffffff)
    bench_put(b, HANDLERS, &stay, sizeof(stay));
  bench_reset(b);
  return b;
}

static void vector_row(void **state)
{
  const struct row *r = *state;
  struct bench *b = vectors_of(r);
  enum core_stop stop = bench_run(b, 100);
  bool runs = r->mode == CORE_RUNNING;
  assert_int_equal(stop, runs ? CORE_STOP_DEADLINE : CORE_STOP_LOCKUP);
  assert_int_equal(b->core.mode, r->mode);
  assert_int_equal(b->core.r[15], r->r15);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, r->handler);
  assert_int_equal(bench_count(b, TRACE_LOCKUP), runs ? 0 : 1);
  if (r->stacked_pc != 0) {
    assert_int_equal(bench_peek(b, STACK - 8), r->stacked_pc);
    assert_int_equal(bench_peek(b, STACK - 4) & THUMB, r->stacked_t);
  }
  bench_free(b);
}

/* ARM DDI 0419E B1.5.15 and Table B1-7. */
static void a_locked_up_core_says_so(void **state)
{
  uint32_t dhcsr;
  (void)state;
  struct bench *b = vectors_of(&rows[0]);
  bench_run(b, 100);
  assert_true(core_scs_read(&b->core, 0xe000edf0, true, &dhcsr));
  assert_int_equal(dhcsr & 0x000e0000, 0x00080000); /* S_LOCKUP alone */
  const struct bench_report *lockup = bench_find(b, TRACE_LOCKUP, 0);
  assert_int_equal(lockup->a, 0xfffffffe);
  assert_int_equal(lockup->b, 1);
  assert_int_equal(b->core.instructions, 0);
  bench_free(b);
}

/* B1.5.5: MSP = word 0 AND 0xFFFFFFFC; PC = word 1 without bit 0; IPSR,
 * PRIMASK, CONTROL 0. LR and the rest are UNKNOWN: zero here. */
static void registers_after_reset(void **state)
{
  /* ICSR, SCR, SHPR2, SHPR3, SHCSR */
  static const addr_t zero[] = {0xe000ed04, 0xe000ed10, 0xe000ed1c, 0xe000ed20,
                                0xe000ed24};
  uint32_t value;
  (void)state;
  struct bench *b = bench_new(CORE_KIND_M0PLUS, 1);
  bench_vectors(b);
  bench_word(b, FLASH, STACK | 3u);
  memset(b->core.r, 0xa5, sizeof(b->core.r));
  b->core.xpsr = b->core.primask = b->core.control = UNTOUCHED;
  b->core.event = true;
  core_scs_write(&b->core, &b->bus, 0xe000ed10, 0x16, false);
  core_scs_write(&b->core, &b->bus, 0xe000ed20, 0xffffffff, false);
  core_scs_write(&b->core, &b->bus, 0xe000ed24, 0x8000, true);
  bench_reset(b);
  for (unsigned i = 0; i < 15; i++)
    assert_int_equal(b->core.r[i], i == 13 ? STACK : 0);
  assert_int_equal(b->core.r[15], CODE);
  assert_int_equal(b->core.xpsr, CORE_THUMB);
  assert_int_equal(b->core.primask, 0);
  assert_int_equal(b->core.control, 0);
  assert_false(b->core.event);
  for (size_t i = 0; i < ROWS_COUNT(zero); i++) {
    assert_true(core_scs_read(&b->core, zero[i], true, &value));
    assert_int_equal(value, 0);
  }
  assert_int_equal(b->core.vector_base, FLASH);
  const struct bench_report *vectors = bench_find(b, TRACE_VECTORS, 0);
  assert_int_equal(vectors->a, STACK | 3u);
  assert_int_equal(vectors->b, CODE | 1u);
  bench_free(b);
}

/* Table B1-7: bus error on a reset vector is lockup at -1. */
static void a_vector_that_cannot_be_read_locks_up(void **state)
{
  static const addr_t bases[] = {0x10000000, DEVICE, 0xe000ed00,
                                 RAM + RAM_SIZE - 4};
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(bases); i++) {
    struct bench *b = bench_new(CORE_KIND_M0, 1);
    bench_map(b);
    core_hold(&b->core, &b->bus, false);
    core_reset(&b->core, &b->bus, bases[i]);
    assert_int_equal(b->core.mode, CORE_LOCKUP);
    assert_int_equal(b->core.r[15], 0xfffffffe);
    assert_int_equal(bench_find(b, TRACE_LOCKUP, 0)->b, 1);
    assert_int_equal(bench_run(b, 10), CORE_STOP_LOCKUP);
    bench_free(b);
  }
}

/* C1.6.6: VC_CORERESET with C_DEBUGEN halts a Local reset before its first
 * instruction and sets DFSR.VCATCH. */
static void vector_catch_halts_with_nothing_executed(void **state)
{
  static const uint16_t code[] = {0x2001, 0x2002}; /* movs r0, #1; #2 */
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
  core_scs_write(&b->core, &b->bus, 0xe000edf0, 0xa05f0001, true);
  core_scs_write(&b->core, &b->bus, 0xe000edfc, 0x00000001, true);
  bench_reset(b);
  assert_int_equal(b->core.mode, CORE_HALTED);
  assert_int_equal(bench_run(b, 50), CORE_STOP_HALTED);
  assert_int_equal(b->core.instructions, 0);
  assert_int_equal(b->core.cycle, 0);
  assert_int_equal(b->core.r[15], CODE);
  assert_int_equal(b->core.debug_fault_status, 8);
  core_go(&b->core, &b->bus);
  assert_int_equal(bench_run(b, 2), CORE_STOP_DEADLINE);
  assert_int_equal(b->core.r[0], 2);
  assert_int_equal(b->core.instructions, 2);
  bench_free(b);
}

static void vector_catch_needs_debug_enabled(void **state)
{
  static const uint16_t code[] = {0xe7fe}; /* b . */
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
  core_scs_write(&b->core, &b->bus, 0xe000edfc, 0x00000001, true);
  bench_reset(b);
  assert_int_equal(b->core.mode, CORE_RUNNING);
  bench_free(b);
}

/* C1.6: C_DEBUGEN and VC_* survive a Local reset and not a power-on reset;
 * C_HALT is 0 after any reset. */
static void debug_state_outlives_a_local_reset_only(void **state)
{
  static const uint16_t code[] = {0xe7fe};
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
  b->core.debug_enabled = b->core.catch_hardfault = true;
  b->core.debug_fault_status = 5;
  b->core.debug_step = b->core.debug_mask = true;
  core_halt(&b->core, &b->bus);
  bench_reset(b);
  assert_int_equal(b->core.mode, CORE_RUNNING);
  assert_true(b->core.debug_enabled && b->core.catch_hardfault);
  assert_int_equal(b->core.debug_fault_status, 5);
  assert_false(b->core.debug_step || b->core.debug_mask); /* from memory */
  core_hold(&b->core, &b->bus, true);
  assert_false(b->core.debug_enabled || b->core.catch_hardfault);
  assert_int_equal(b->core.debug_fault_status, 0);
  bench_free(b);
}

/* B1.5.16: the request acts after the DSB here, at the boundary behind the
 * store; the key is 0x05FA (B3.2.6). */
static void reset_request_stops_at_the_next_boundary(void **state)
{
  /* ldr r0, =0xe000ed0c; ldr r1, key; str r1, [r0]; movs r2, #1; b . */
  static const uint16_t code[] = {0x4802, 0x4903, 0x6001, 0x2201, 0xe7fe,
                                  0xbf00, 0xed0c, 0xe000, 0x0004, 0x05fa};
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
  assert_int_equal(bench_run(b, 100), CORE_STOP_ATTENTION);
  assert_true(b->core.reset_requested);
  assert_int_equal(b->core.r[15], CODE + 6);
  assert_int_equal(b->core.r[2], 0);
  assert_int_equal(b->core.cycle, 6);
  bench_reset(b);
  assert_false(b->core.reset_requested);
  bench_word(b, CODE + 16, 0x05fb0004);
  bench_reset(b);
  assert_int_equal(bench_run(b, 100), CORE_STOP_DEADLINE);
  assert_false(b->core.reset_requested);
  bench_free(b);
}

static void counters_go_on_through_reset_and_power(void **state)
{
  static const uint16_t code[] = {0xbf00, 0xbf00, 0xe7fe};
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
  bench_run(b, 2);
  core_power_off(&b->core, &b->bus);
  assert_int_equal(b->core.mode, CORE_OFF);
  assert_int_equal(bench_run(b, 2), CORE_STOP_RESET);
  core_idle(&b->core, 40);
  bench_reset(b);
  bench_run(b, 2);
  core_hold(&b->core, &b->bus, false);
  assert_int_equal(bench_run(b, 2), CORE_STOP_RESET);
  assert_int_equal(b->core.instructions, 4);
  assert_int_equal(b->core.cycle, 42);
  assert_int_equal(bench_count(b, TRACE_RAN), 2);
  assert_int_equal(bench_find(b, TRACE_RAN, 0)->a, IN_FLASH);
  assert_int_equal(bench_find(b, TRACE_RAN, 0)->b, 2);
  assert_int_equal(bench_find(b, TRACE_RAN, 1)->b, 2);
  bench_free(b);
}

static void every_change_of_mode_is_reported(void **state)
{
  static const uint16_t code[] = {0xe7fe};
  static const enum core_mode modes[] = {CORE_HELD, CORE_RUNNING, CORE_HALTED,
                                         CORE_RUNNING, CORE_OFF};
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
  b->core.debug_enabled = true;
  core_halt(&b->core, &b->bus);
  core_halt(&b->core, &b->bus);
  core_go(&b->core, &b->bus);
  core_power_off(&b->core, &b->bus);
  assert_int_equal(bench_count(b, TRACE_MODE), ROWS_COUNT(modes));
  for (unsigned i = 0; i < ROWS_COUNT(modes); i++)
    assert_int_equal(bench_find(b, TRACE_MODE, i)->a, modes[i]);
  bench_free(b);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(a_locked_up_core_says_so),
      cmocka_unit_test(registers_after_reset),
      cmocka_unit_test(a_vector_that_cannot_be_read_locks_up),
      cmocka_unit_test(vector_catch_halts_with_nothing_executed),
      cmocka_unit_test(vector_catch_needs_debug_enabled),
      cmocka_unit_test(debug_state_outlives_a_local_reset_only),
      cmocka_unit_test(reset_request_stops_at_the_next_boundary),
      cmocka_unit_test(counters_go_on_through_reset_and_power),
      cmocka_unit_test(every_change_of_mode_is_reported),
  };
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  ROWS_ADD(tests, vector_row, rows);
  int failed = cmocka_run_group_tests_name("vectors", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("reset", singles, NULL, NULL);
}
