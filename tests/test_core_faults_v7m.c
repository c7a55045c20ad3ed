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

/* --- in handlers --------------------------------------------------------- */

#define SHPR1 0xe000ed18u /* MemManage, BusFault, UsageFault */
#define SHPR3 0xe000ed20u /* PendSV at 23:16 */

/* Handler mode, as after an entry. */
static void in_handler(struct bench *b, unsigned number)
{
  b->core.active.words[0] |= UINT64_C(1) << number;
  b->core.xpsr |= number;
}

/* There it is a return. */
static bool is_return(const struct row *r)
{
  return r->r0 >= CORE_EXC_RETURN;
}

static void check_nested(struct bench *b, const struct row *r, unsigned below,
                         unsigned taken)
{
  assert_int_equal(bench_run(b, 100), CORE_STOP_DEADLINE);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, taken);
  assert_int_equal(b->core.r[14], 0xfffffff1);
  uint32_t psr = bench_peek(b, STACK - 4);
  assert_int_equal(psr & CORE_EXCEPTION, below);
  assert_int_equal(psr & CORE_THUMB, r->not_thumb ? 0 : CORE_THUMB);
  assert_int_equal(bench_peek(b, STACK - 8),
                   r->stacked_pc != 0 ? r->stacked_pc : CODE);
  assert_int_equal(get(b, CFSR), r->cfsr);
  assert_int_equal(get(b, HFSR), taken == EXCEPTION_HARDFAULT ? FORCED : 0);
}

/* More urgent than the handler it comes in: taken on top of that. */
static void nested_row(void **state)
{
  const struct row *r = *state;
  if (is_return(r)) return;
  struct bench *b = start(r, ALL_ENABLED);
  set(b, SHPR3, 0x00800000);
  in_handler(b, EXCEPTION_PENDSV);
  check_nested(b, r, EXCEPTION_PENDSV, r->exception);
  bench_free(b);
}

/* In a handler as urgent, and in its own: HardFault. */
static void equal_row(void **state)
{
  const struct row *r = *state;
  const unsigned handlers[] = {EXCEPTION_SVCALL, r->exception};
  if (is_return(r)) return;
  for (size_t i = 0; i < ROWS_COUNT(handlers); i++) {
    struct bench *b = start(r, ALL_ENABLED);
    in_handler(b, handlers[i]);
    check_nested(b, r, handlers[i], EXCEPTION_HARDFAULT);
    bench_free(b);
  }
}

/* BASEPRI holds back what is as urgent or less: that becomes a HardFault. */
static void basepri_row(void **state)
{
  const struct row *r = *state;
  for (uint32_t basepri = 0x20; basepri <= 0x60; basepri += 0x20) {
    struct bench *b = start(r, ALL_ENABLED);
    bool held_back = basepri <= 0x40;
    set(b, SHPR1, 0x00404040);
    b->core.basepri = basepri;
    assert_int_equal(bench_run(b, 100), CORE_STOP_DEADLINE);
    assert_int_equal(b->core.xpsr & CORE_EXCEPTION,
                     held_back ? EXCEPTION_HARDFAULT : r->exception);
    assert_int_equal(get(b, CFSR), r->cfsr);
    assert_int_equal(get(b, HFSR), held_back ? FORCED : 0);
    bench_free(b);
  }
}

/* A vector without bit 0: the handler's first instruction is INVSTATE, which
 * is no more urgent than it; HardFault's own: lockup. */
static void even_vector_row(void **state)
{
  const struct row *r = *state;
  for (int both = 0; both < 2; both++) {
    struct bench *b = start(r, ALL_ENABLED);
    addr_t handler = HANDLERS + 0x40 * r->exception;
    bench_word(b, FLASH + 4 * r->exception, handler);
    if (both) bench_word(b, FLASH + 4 * EXCEPTION_HARDFAULT, 0);
    bench_run(b, 100);
    assert_int_equal(b->core.mode, both ? CORE_LOCKUP : CORE_RUNNING);
    assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
    assert_int_equal(get(b, CFSR), r->cfsr | 0x00020000);
    assert_int_equal(get(b, HFSR), FORCED);
    assert_int_equal(bench_peek(b, b->core.r[13] + 24), handler);
    if (both) assert_int_equal(bench_find(b, TRACE_LOCKUP, 0)->b, 1);
    bench_free(b);
  }
}

int main(void)
{
  struct CMUnitTest tests[8 * ROWS_COUNT(rows)];
  size_t n = ROWS_ADD(tests, enabled_row, rows);
  n += ROWS_ADD(tests + n, escalated_row, rows);
  n += ROWS_ADD(tests + n, locked_row, rows);
  n += ROWS_ADD(tests + n, vector_row, rows);
  n += ROWS_ADD(tests + n, nested_row, rows);
  n += ROWS_ADD(tests + n, equal_row, rows);
  n += ROWS_ADD(tests + n, basepri_row, rows);
  n += ROWS_ADD(tests + n, even_vector_row, rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  return cmocka_run_group_tests_name("rows", tests, NULL, NULL);
}
