/* Faults: what becomes of each, at each priority.
 *
 * ARM DDI 0419E Table B1-6 (faults), Table B1-7 (lockup), B1.5.8 (EXC_RETURN),
 * B1.5.15 (lockup); ARM DDI 0484C Table 3-2 (execute-never), 3.4 (system
 * space takes words).
 */
#include "bench_core.h"
#include "core/nvic.h"

#define SAME 0u /* stacked PC is the instruction itself */

/* An instruction that faults with `r0` in r0 (and in SP, where it says so). */
static const struct row {
  const char *name;
  uint16_t code[2];
  uint32_t r0;
  uint32_t stacked_pc;
  bool not_thumb; /* stacked T is 0 */
} rows[] = {
    {"UDF", {0xde00}, 0, SAME, false},
    {"UDF.W", {0xf7f0, 0xa000}, 0, SAME, false},
    {"0xFFFF FFFF", {0xffff, 0xffff}, 0, SAME, false},
    {"CBZ, which v6-M lacks", {0xb100}, 0, SAME, false},
    {"IT, which v6-M lacks", {0xbf08}, 0, SAME, false},
    {"BKPT with debug disabled", {0xbe00}, 0, SAME, false},
    {"a load that nobody answers", {0x6801}, 0x50000000, SAME, false},
    {"a store that nobody answers", {0x6001}, 0x50000000, SAME, false},
    {"a load from vendor space", {0x6801}, 0xf0000000, SAME, false},
    {"a store to flash", {0x6001}, FLASH + 0x800, SAME, false},
    {"a store to ROM", {0x6001}, ROM, SAME, false},
    {"a store to flash through the alias", {0x6001}, 0x100, SAME, false},
    {"an unaligned word in RAM", {0x6801}, RAM + 2, SAME, false},
    {"an unaligned halfword in RAM", {0x8801}, RAM + 1, SAME, false},
    {"an unaligned word store", {0x6001}, RAM + 1, SAME, false},
    {"an unaligned word of a device", {0x6801}, DEVICE + 2, SAME, false},
    {"an unaligned list", {0xc80e}, RAM + 2, SAME, false},
    {"a byte of the system space", {0x7801}, 0xe000ed00, SAME, false},
    {"a halfword store to it", {0x8001}, 0xe000ed10, SAME, false},
    {"a branch into a device", {0x4700}, DEVICE | 1, DEVICE, false},
    {"a call into system space", {0x4780}, 0xe000e001, 0xe000e000, false},
    {"a branch into nothing", {0x4700}, 0x10000001, 0x10000000, false},
    {"a branch beyond flash",
     {0x4700},
     (FLASH + FLASH_SIZE) | 1,
     FLASH + FLASH_SIZE,
     false},
    {"MOV PC into a device", {0x4687}, DEVICE, DEVICE, false},
    {"BX to an even address", {0x4700}, CODE + 0x20, CODE + 0x20, true},
    {"BLX to an even address", {0x4780}, CODE + 0x20, CODE + 0x20, true},
    {"BX to its own even address", {0x4700}, CODE, CODE, true},
    {"an EXC_RETURN value in thread mode",
     {0x4700},
     0xfffffff9,
     0xfffffff8,
     false},
};

static struct bench *start(const struct row *r)
{
  struct bench *b = bench_start(CORE_KIND_M0, r->code, sizeof(r->code));
  for (unsigned i = 0; i < 13; i++)
    b->core.r[i] = 0x1000 + i;
  b->core.r[0] = r->r0;
  b->core.r[14] = 0x2001;
  return b;
}

/* In thread mode: HardFault with the registers as before the instruction. */
static void fault_row(void **state)
{
  const struct row *r = *state;
  struct bench *b = start(r);
  uint32_t pc = r->stacked_pc == SAME ? CODE : r->stacked_pc;
  bool call = (r->code[0] & 0xff80) == 0x4780;
  assert_int_equal(bench_run(b, 100), CORE_STOP_DEADLINE);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
  uint32_t frame[8];
  for (unsigned i = 0; i < 8; i++)
    frame[i] = bench_peek(b, STACK - 32 + 4 * i);
  assert_int_equal(frame[0], r->r0);
  assert_int_equal(frame[1], 0x1001);
  assert_int_equal(frame[2], 0x1002);
  assert_int_equal(frame[3], 0x1003);
  assert_int_equal(frame[4], 0x100c);
  assert_int_equal(frame[5], call ? CODE + 3 : 0x2001);
  assert_int_equal(frame[6], pc);
  assert_int_equal(frame[7], r->not_thumb ? 0 : CORE_THUMB);
  assert_int_equal(bench_find(b, TRACE_EXCEPTION, 0)->a, EXCEPTION_HARDFAULT);
  assert_int_equal(bench_find(b, TRACE_EXCEPTION, 0)->b, pc);
  bench_free(b);
}

/* Table B1-7: any fault in the handler of HardFault or NMI locks up there. */
static void check_lockup(const struct row *r, unsigned handler,
                         unsigned priority)
{
  static const uint16_t undefined = 0xde00;
  struct bench *b = start(r);
  addr_t at = HANDLERS + 0x40 * handler;
  bench_put(b, at, r->code, sizeof(r->code));
  bench_put(b, CODE, &undefined, sizeof(undefined));
  if (handler == EXCEPTION_NMI) core_pend(&b->core, &b->bus, handler);
  bench_run(b, 1);
  assert_int_equal(b->core.r[15], at);
  if (r->r0 == CODE) b->core.r[0] = at; /* its own address */
  assert_int_equal(bench_run(b, 100), CORE_STOP_LOCKUP);
  assert_int_equal(b->core.r[15], 0xfffffffe);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, handler);
  assert_int_equal(bench_find(b, TRACE_LOCKUP, 0)->b, priority);
  bench_free(b);
}

static void lockup_row(void **state)
{
  const struct row *r = *state;
  /* In handler mode BX gives an EXC_RETURN its meaning: no fault. */
  if (r->r0 == 0xfffffff9) return;
  check_lockup(r, EXCEPTION_HARDFAULT, 1);
  check_lockup(r, EXCEPTION_NMI, 2);
}

/* In an ordinary handler, however urgent: HardFault on top of it. */
static void nested_row(void **state)
{
  const struct row *r = *state;
  static const unsigned handlers[] = {EXCEPTION_SVCALL, EXCEPTION_PENDSV,
                                      EXCEPTION_IRQ0};
  if (r->r0 == 0xfffffff9) return;
  for (size_t i = 0; i < ROWS_COUNT(handlers); i++) {
    struct bench *b = start(r);
    nvic_add(&b->core.active, handlers[i]);
    b->core.xpsr |= handlers[i];
    assert_int_equal(bench_run(b, 100), CORE_STOP_DEADLINE);
    assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
    assert_int_equal(b->core.r[14], 0xfffffff1);
    assert_int_equal(bench_peek(b, STACK - 4) & CORE_EXCEPTION, handlers[i]);
    assert_int_equal(bench_peek(b, STACK - 8),
                     r->stacked_pc == SAME ? CODE : r->stacked_pc);
    bench_free(b);
  }
}

/* Table B1-7: without HardFault's vector the core locks up at -1; one that is
 * zero, or lacks bit 0, faults at its first instruction, which is there, too.
 */
static void vector_row(void **state)
{
  const struct row *r = *state;
  static const uint32_t vectors[] = {0, HANDLERS + 0x40 * 3};
  for (size_t i = 0; i <= ROWS_COUNT(vectors); i++) {
    struct bench *b = start(r);
    if (i < ROWS_COUNT(vectors))
      bench_word(b, FLASH + 4 * EXCEPTION_HARDFAULT, vectors[i]);
    else
      b->core.vector_base = FLASH + FLASH_SIZE - 4 * EXCEPTION_HARDFAULT;
    assert_int_equal(bench_run(b, 100), CORE_STOP_LOCKUP);
    assert_int_equal(b->core.r[15], 0xfffffffe);
    assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
    assert_int_equal(bench_find(b, TRACE_LOCKUP, 0)->b, 1);
    bench_free(b);
  }
}

static void svc_in_those_handlers_locks_up_too(void **state)
{
  static const struct row svc = {"SVC", {0xdf00}, 0, SAME, false};
  (void)state;
  check_lockup(&svc, EXCEPTION_HARDFAULT, 1);
  check_lockup(&svc, EXCEPTION_NMI, 2);
}

/* --- lists that fault half way ------------------------------------------ */

static const struct list_row {
  const char *name;
  uint16_t code;
  uint32_t r0;       /* also SP */
  unsigned accesses; /* of the device and beyond, the faulting one counted */
} list_rows[] = {
    {"ldmia whose third word fails", 0xc80e, DEVICE + DEVICE_OK - 8, 3},
    {"ldmia whose first word fails", 0xc80e, DEVICE + DEVICE_OK, 1},
    {"ldmia with its base in the list", 0xc807, DEVICE + DEVICE_OK - 8, 3},
    {"stmia whose third word fails", 0xc00e, DEVICE + DEVICE_OK - 8, 3},
    {"pop whose second word fails", 0xbc0e, DEVICE + DEVICE_OK - 4, 2},
    {"pop of pc that fails", 0xbd0e, DEVICE + DEVICE_OK - 12, 4},
    {"push that reaches below RAM", 0xb41e, RAM + 8, 1},
};

/* Registers and base as before, nothing stored behind the failing word, no
 * access behind it. */
static void list_row(void **state)
{
  const struct list_row *r = *state;
  struct bench *b = bench_start(CORE_KIND_M0, &r->code, sizeof(r->code));
  for (unsigned i = 0; i < 15; i++)
    b->core.r[i] = 0x1000 + i;
  b->core.r[0] = b->core.r[13] = r->r0;
  bool nested = r->r0 != RAM + 8; /* stacking would fail, too */
  if (nested) {
    b->core.xpsr |= EXCEPTION_HARDFAULT;
    nvic_add(&b->core.active, EXCEPTION_HARDFAULT);
  }
  bench_run(b, 1);
  bench_run(b, 9);
  assert_int_equal(b->core.mode, CORE_LOCKUP);
  assert_int_equal(b->core.r[0], r->r0);
  for (unsigned i = 1; i < 13; i++)
    assert_int_equal(b->core.r[i], 0x1000 + i);
  if (nested) assert_int_equal(b->core.r[13], r->r0);
  assert_int_equal(bench_find(b, TRACE_LOCKUP, 0)->a, CODE);
  assert_int_equal(b->core.instructions, 0);
  assert_int_equal(b->access_count, nested ? r->accesses : r->accesses + 1);
  assert_int_equal(bench_peek(b, RAM), 0);
  bench_free(b);
}

/* --- what comes first --------------------------------------------------- */

/* A store in the last halfword of flash that asks for attention (a reset
 * request, say) comes before the fetch fault behind it. */
static void attention_outranks_the_fetch_fault_behind_it(void **state)
{
  static const uint16_t store = 0x6001; /* str r1, [r0] */
  addr_t last = FLASH + FLASH_SIZE - 2;
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, &store, sizeof(store));
  bench_put(b, last, &store, sizeof(store));
  b->core.r[0] = DEVICE;
  b->core.r[15] = last;
  b->attend_at_access = true;
  assert_int_equal(bench_run(b, 100), CORE_STOP_ATTENTION);
  assert_int_equal(b->core.r[15], last + 2);
  assert_int_equal(b->core.cycle, 2);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, 0);
  assert_int_equal(bench_run(b, 10), CORE_STOP_DEADLINE);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
  assert_int_equal(bench_peek(b, STACK - 8), last + 2);
  bench_free(b);
}

static void a_lowered_deadline_outranks_it_too(void **state)
{
  static const uint16_t store = 0x6001; /* str r1, [r0] */
  addr_t last = FLASH + FLASH_SIZE - 2;
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, &store, sizeof(store));
  bench_put(b, last, &store, sizeof(store));
  b->core.r[0] = DEVICE;
  b->core.r[15] = last;
  b->deadline_at_access = 1;
  assert_int_equal(bench_run(b, 100), CORE_STOP_DEADLINE);
  assert_int_equal(b->core.r[15], last + 2);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, 0);
  bench_free(b);
}

/* An access that fails and asks for attention: the fault is taken, then the
 * attention given, before the handler's first instruction. */
static void a_data_fault_is_taken_before_attention(void **state)
{
  static const uint16_t load = 0x6801; /* ldr r1, [r0] */
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, &load, sizeof(load));
  b->core.r[0] = DEVICE + DEVICE_OK;
  b->attend_at_access = true;
  assert_int_equal(bench_run(b, 100), CORE_STOP_ATTENTION);
  assert_int_equal(b->access_count, 1);
  assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
  assert_int_equal(b->core.r[15], HANDLERS + 0x40 * EXCEPTION_HARDFAULT);
  assert_int_equal(b->core.instructions, 0);
  bench_free(b);
}

/* A 32-bit instruction whose second half is not there. */
static void half_an_instruction_at_the_end_of_flash_faults(void **state)
{
  static const uint16_t half[] = {0x2107, 0xf000}; /* movs r1, #7; bl ... */
  addr_t last = FLASH + FLASH_SIZE - 4;
  (void)state;
  for (addr_t from = last; from <= last + 2; from += 2) {
    struct bench *b = bench_start(CORE_KIND_M0, half, sizeof(half));
    bench_put(b, last, half, sizeof(half));
    b->core.r[15] = from;
    bench_run(b, 30);
    assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
    assert_int_equal(bench_peek(b, STACK - 8), last + 2);
    bench_free(b);
  }
}

static void fetches_never_reach_the_bus(void **state)
{
  static const uint16_t branch = 0x4700; /* bx r0 */
  static const addr_t targets[] = {
      DEVICE,     0x10000000, 0x5ffffffe,        0xa0000000,
      0xe000e000, 0xfffffffe, FLASH + FLASH_SIZE};
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(targets); i++) {
    struct bench *b = bench_start(CORE_KIND_M0, &branch, sizeof(branch));
    b->core.r[0] = targets[i] | 1u;
    bench_run(b, 60);
    assert_int_equal(b->core.xpsr & CORE_EXCEPTION, EXCEPTION_HARDFAULT);
    assert_int_equal(bench_peek(b, STACK - 8), targets[i]);
    assert_int_equal(b->access_count, 0);
    bench_free(b);
  }
}

/* ARM DDI 0484C Table 3-2: memory in a device area is data only. */
static void a_region_in_execute_never_space_is_not_executed(void **state)
{
  static const uint16_t code[] = {0x6802, 0x4700}; /* ldr r2, [r0]; bx r0 */
  static const uint16_t stay = 0xe7fe;             /* b . */
  static const addr_t places[] = {0x50000000, 0xb0000000};
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(places); i++) {
    struct bench *b = bench_new(CORE_KIND_M0, 1);
    bench_vectors(b);
    bench_put(b, CODE, code, sizeof(code));
    b->bus.regions[IN_ROM].at = places[i];
    bench_put(b, places[i], &stay, sizeof(stay));
    bench_reset(b);
    b->core.r[0] = places[i] | 1u;
    b->core.r[15] = CODE + 2;
    bench_run(b, 60);
    assert_int_equal(bench_peek(b, STACK - 8), places[i]);
    b->core.r[0] = places[i];
    b->core.r[15] = CODE;
    bench_run(b, 2);
    assert_int_equal(b->core.r[2], 0xffffe7fe);
    bench_free(b);
  }
}

#define TEST(name) cmocka_unit_test(name)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      TEST(svc_in_those_handlers_locks_up_too),
      TEST(attention_outranks_the_fetch_fault_behind_it),
      TEST(a_lowered_deadline_outranks_it_too),
      TEST(a_data_fault_is_taken_before_attention),
      TEST(half_an_instruction_at_the_end_of_flash_faults),
      TEST(fetches_never_reach_the_bus),
      TEST(a_region_in_execute_never_space_is_not_executed),
  };
  struct CMUnitTest tests[4 * ROWS_COUNT(rows) + ROWS_COUNT(list_rows)];
  size_t n = ROWS_ADD(tests, fault_row, rows);
  n += ROWS_ADD(tests + n, lockup_row, rows);
  n += ROWS_ADD(tests + n, nested_row, rows);
  n += ROWS_ADD(tests + n, vector_row, rows);
  n += ROWS_ADD(tests + n, list_row, list_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
