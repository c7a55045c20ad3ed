/* Exceptions of ARMv7-M: latencies, tail-chaining, late arrival, priorities,
 * masks, threads, the extended frame, bit-band.
 *
 * [M3] ARM 100165_0201_02 3.9.2 (12, 12, 6); [M4] ARM DDI 0439D 3.9.1 (12, 10,
 * 6; with floating-point context and no lazy stacking 29 and 27); the rest
 * ARM DDI 0403E B1.4, B1.5, B3.4, from memory. */
#include "bench_core.h"

#define HANDLER(n) (HANDLERS + 0x40u * (n))

#define ISER  0xe000e100u
#define IPR   0xe000e400u
#define ICSR  0xe000ed04u
#define AIRCR 0xe000ed0cu
#define CCR   0xe000ed14u
#define SHPR3 0xe000ed20u
#define STIR  0xe000ef00u
#define FPCCR 0xe000ef34u
#define FPCAR 0xe000ef38u

static const uint16_t stay[] = {0xe7fe};         /* b . */
static const uint16_t call[] = {0xdf00, 0xe7fe}; /* svc; b . */
static const uint16_t leave[] = {0x4770};        /* bx lr */
static const uint16_t count_and_leave[] = {0x3601, 0x4770};

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

static struct bench *start(enum core_kind kind, const uint16_t *code,
                           size_t bytes)
{
  struct bench *b = bench_start(kind, code, bytes);
  b->core.fpu.access = 0x00f00000;
  return b;
}

static void pend(struct bench *b, unsigned number)
{
  core_pend(&b->core, &b->bus, number);
}

/* Interrupts 0 to 7 enabled, with these priorities. */
static void enable(struct bench *b, uint32_t priorities)
{
  set(b, ISER, 0xff);
  set(b, IPR, priorities);
}

/* --- cycles --------------------------------------------------------------
 */

static const struct latency_row {
  const char *name;
  enum core_kind kind;
  uint32_t control; /* FPCA */
  uint32_t context; /* FPCCR */
  cycle_t entry, leave;
} latency_rows[] = {
    {"M3", CORE_KIND_M3, 0, 0, 12, 12},
    {"M4", CORE_KIND_M4, 0, 0, 12, 10},
    {"M4F without context", CORE_KIND_M4F, 0, 0xc0000000, 12, 10},
    {"M4F with context, stacked at once", CORE_KIND_M4F, CORE_FLOATING,
     0x80000000, 29, 27},
    {"M4F with context, stacked late", CORE_KIND_M4F, CORE_FLOATING,
     0xc0000000, 12, 10},
};

static void latency_row(void **state)
{
  const struct latency_row *r = *state;
  struct bench *b = start(r->kind, stay, sizeof(stay));
  bench_put(b, HANDLER(EXCEPTION_PENDSV), leave, sizeof(leave));
  b->bus.watches[0] = HANDLER(EXCEPTION_PENDSV);
  b->bus.watches[1] = CODE;
  b->bus.watch_count = 2;
  b->core.control = r->control;
  if (r->kind == CORE_KIND_M4F) set(b, FPCCR, r->context);
  pend(b, EXCEPTION_PENDSV);
  bench_run(b, 80);
  assert_int_equal(bench_find(b, TRACE_MARK, 0)->a, 0);
  assert_int_equal(bench_find(b, TRACE_MARK, 0)->cycle, r->entry);
  assert_int_equal(bench_find(b, TRACE_MARK, 1)->a, 1);
  assert_int_equal(bench_find(b, TRACE_MARK, 1)->cycle, r->entry + r->leave);
  assert_int_equal(b->core.control, r->control);
  bench_free(b);
}

static void tail_chaining_takes_6_cycles_and_one_frame(void **state)
{
  static const enum core_kind kinds[] = {CORE_KIND_M3, CORE_KIND_M4};
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(kinds); i++) {
    struct bench *b = start(kinds[i], stay, sizeof(stay));
    bench_put(b, HANDLER(16), leave, sizeof(leave));
    bench_put(b, HANDLER(17), leave, sizeof(leave));
    b->bus.watches[0] = HANDLER(16);
    b->bus.watches[1] = HANDLER(17);
    b->bus.watch_count = 2;
    enable(b, 0);
    pend(b, 17);
    pend(b, 16);
    bench_run(b, 19);
    assert_int_equal(bench_find(b, TRACE_MARK, 0)->cycle, 12);
    assert_int_equal(bench_find(b, TRACE_MARK, 1)->cycle, 12 + 6);
    assert_int_equal(bench_find(b, TRACE_EXCEPTION, 1)->b, CODE);
    bench_run(b, 40);
    assert_int_equal(handler_of(b), 0);
    assert_int_equal(b->core.r[13], STACK);
    assert_int_equal(bench_count(b, TRACE_EXCEPTION_END), 2);
    bench_free(b);
  }
}

static void one_that_is_more_urgent_arrives_late(void **state)
{
  (void)state;
  struct bench *b = start(CORE_KIND_M3, stay, sizeof(stay));
  bench_put(b, HANDLER(16), count_and_leave, sizeof(count_and_leave));
  bench_put(b, HANDLER(17), count_and_leave, sizeof(count_and_leave));
  enable(b, 0x0020); /* 17 is more urgent */
  pend(b, 16);
  bench_run(b, 1);
  assert_int_equal(handler_of(b), 16);
  pend(b, 17);
  bench_run(b, 1);
  assert_int_equal(handler_of(b), 17);
  assert_int_equal(b->core.r[13], STACK - 32); /* one frame */
  assert_int_equal(b->core.r[6], 0);
  bench_run(b, 60);
  assert_int_equal(handler_of(b), 0);
  assert_int_equal(b->core.r[6], 2);
  assert_int_equal(b->core.r[13], STACK);
  bench_free(b);
}

/* --- priorities and masks ------------------------------------------------
 */

/* In the handler of interrupt 0, priority 0x60 with three bits. */
static const struct priority_row {
  const char *name;
  uint32_t group; /* PRIGROUP */
  uint32_t priority;
  bool preempts;
} priority_rows[] = {
    {"a more urgent one preempts", 0, 0x40, true},
    {"an equal one waits", 0, 0x60, false},
    {"a less urgent one waits", 0, 0x80, false},
    {"one of the same group waits", 6, 0x40, false},
    {"one of a more urgent group preempts", 5, 0x20, true},
    {"with one group nobody preempts", 7, 0x00, false},
};

static void priority_row(void **state)
{
  const struct priority_row *r = *state;
  struct bench *b = start(CORE_KIND_M4, stay, sizeof(stay));
  set(b, AIRCR, 0x05fa0000 | r->group << 8);
  enable(b, 0x60 | r->priority << 8);
  pend(b, 16);
  bench_run(b, 14);
  assert_int_equal(handler_of(b), 16);
  pend(b, 17);
  bench_run(b, 1);
  assert_int_equal(handler_of(b), r->preempts ? 17 : 16);
  bench_free(b);
}

static void a_subpriority_orders_those_that_wait(void **state)
{
  (void)state;
  struct bench *b = start(CORE_KIND_M4, stay, sizeof(stay));
  set(b, AIRCR, 0x05fa0700);
  enable(b, 0x4060);
  pend(b, 16);
  pend(b, 17);
  bench_run(b, 1);
  assert_int_equal(handler_of(b), 17);
  bench_free(b);
}

static const struct mask_row {
  const char *name;
  uint32_t primask, faultmask, basepri;
  unsigned number;
  bool taken;
} mask_rows[] = {
    {"BASEPRI lets a more urgent one in", 0, 0, 0x60, 16, true},
    {"BASEPRI holds an equal one back", 0, 0, 0x40, 16, false},
    {"BASEPRI 0 holds nobody back", 0, 0, 0, 16, true},
    {"PRIMASK holds interrupts back", 1, 0, 0, 16, false},
    {"FAULTMASK holds interrupts back", 0, 1, 0, 16, false},
    {"FAULTMASK lets NMI in", 0, 1, 0, EXCEPTION_NMI, true},
};

static void mask_row(void **state)
{
  const struct mask_row *r = *state;
  struct bench *b = start(CORE_KIND_M3, stay, sizeof(stay));
  enable(b, 0x40);
  b->core.primask = r->primask;
  b->core.faultmask = r->faultmask;
  b->core.basepri = r->basepri;
  pend(b, r->number);
  bench_run(b, 1);
  assert_int_equal(handler_of(b), r->taken ? r->number : 0);
  bench_free(b);
}

static void a_return_clears_faultmask_but_not_from_nmi(void **state)
{
  (void)state;
  for (unsigned nmi = 0; nmi < 2; nmi++) {
    struct bench *b = start(CORE_KIND_M3, stay, sizeof(stay));
    unsigned number = nmi ? EXCEPTION_NMI : EXCEPTION_PENDSV;
    bench_put(b, HANDLER(number), leave, sizeof(leave));
    pend(b, number);
    bench_run(b, 1);
    b->core.faultmask = 1;
    bench_run(b, 30);
    assert_int_equal(handler_of(b), 0);
    assert_int_equal(b->core.faultmask, nmi);
    bench_free(b);
  }
}

static void all_240_interrupts_are_there(void **state)
{
  (void)state;
  struct bench *b = start(CORE_KIND_M3, stay, sizeof(stay));
  b->part.interrupts = 240;
  b->core.vector_base = RAM + 0x800;
  bench_word(b, RAM + 0x800 + 4 * 255, HANDLER(255 & 31) | 1u);
  set(b, 0xe000e11c, 0xffffffff);
  assert_int_equal(get(b, 0xe000e11c), 0x0000ffff);
  assert_int_equal(get(b, 0xe000e004), 7);
  set(b, 0xe000e4ec, 0xffffffff);
  assert_int_equal(get(b, 0xe000e4ec), 0xe0e0e0e0);
  set(b, STIR, 239);
  assert_int_equal(get(b, 0xe000e21c), 0x8000);
  bench_run(b, 1);
  assert_int_equal(handler_of(b), 255);
  assert_int_equal(get(b, 0xe000e31c), 0x8000);
  assert_int_equal(get(b, ICSR) & 0x1ff, 255);
  bench_free(b);
}

/* --- threads and frames --------------------------------------------------
 */

static void stkalign_decides_about_the_frame(void **state)
{
  (void)state;
  for (uint32_t on = 0; on < 2; on++) {
    struct bench *b = start(CORE_KIND_M3, call, sizeof(call));
    bench_put(b, HANDLER(EXCEPTION_SVCALL), leave, sizeof(leave));
    set(b, CCR, on << 9);
    b->core.r[13] = STACK - 4;
    bench_run(b, 2);
    assert_int_equal(b->core.r[13], STACK - (on ? 40 : 36));
    assert_int_equal(bench_peek(b, b->core.r[13] + 28),
                     CORE_THUMB | (on ? 0x200u : 0));
    bench_run(b, 40);
    assert_int_equal(b->core.r[13], STACK - 4);
    bench_free(b);
  }
}

static void a_nested_return_to_thread_needs_nonbasethrdena(void **state)
{
  (void)state;
  for (uint32_t on = 0; on < 2; on++) {
    struct bench *b = start(CORE_KIND_M3, call, sizeof(call));
    bench_put(b, HANDLER(EXCEPTION_NMI), leave, sizeof(leave));
    set(b, CCR, 0x200 | on);
    bench_run(b, 20);
    assert_int_equal(handler_of(b), EXCEPTION_SVCALL);
    pend(b, EXCEPTION_NMI);
    bench_run(b, 1);
    b->core.r[14] = 0xfffffff9;
    bench_word(b, b->core.r[13] + 28, CORE_THUMB);
    bench_run(b, 40);
    assert_int_equal(handler_of(b), on ? 0 : EXCEPTION_HARDFAULT);
    bench_free(b);
  }
}

static void unprivileged_code_faults_in_the_nvic_but_for_stir(void **state)
{
  static const uint16_t store[] = {0x6001, 0xbf00, 0xe7fe};
  (void)state;
  for (uint32_t allowed = 0; allowed < 2; allowed++) {
    struct bench *b = start(CORE_KIND_M3, store, sizeof(store));
    enable(b, 0);
    set(b, CCR, 0x200 | allowed << 1);
    b->core.control = CORE_UNPRIVILEGED;
    b->core.r[0] = STIR;
    b->core.r[1] = 3;
    bench_run(b, 20);
    assert_int_equal(handler_of(b), allowed ? 19 : EXCEPTION_HARDFAULT);
    bench_free(b);
  }
}

static void an_extended_frame_is_as_drawn(void **state)
{
  (void)state;
  for (uint32_t lazy = 0; lazy < 2; lazy++) {
    struct bench *b = start(CORE_KIND_M4F, call, sizeof(call));
    set(b, FPCCR, lazy ? 0xc0000000 : 0x80000000);
    for (unsigned i = 0; i < 32; i++)
      b->core.fpu.s[i] = 0x40000000 + i;
    b->core.fpu.status = 0x80000000;
    b->core.control = CORE_FLOATING;
    bench_run(b, 2);
    uint32_t frame = STACK - 0x68;
    assert_int_equal(b->core.r[13], frame);
    assert_int_equal(b->core.r[14], 0xffffffe9);
    assert_int_equal(b->core.control, 0);
    assert_int_equal(bench_peek(b, frame + 0x18), CODE + 2);
    assert_int_equal(get(b, FPCCR) & 1, lazy);
    if (lazy) assert_int_equal(get(b, FPCAR), frame + 0x20);
    for (unsigned i = 0; i < 16; i++)
      assert_int_equal(bench_peek(b, frame + 0x20 + 4 * i),
                       lazy ? 0 : 0x40000000 + i);
    assert_int_equal(bench_peek(b, frame + 0x60), lazy ? 0 : 0x80000000);
    bench_free(b);
  }
}

/* The first floating-point instruction of a handler stores what is owed. */
static void lazy_state_is_stored_by_the_first_use(void **state)
{
  /* vmov s0, r6; bx lr */
  static const uint16_t use[] = {0xee00, 0x6a10, 0x4770};
  (void)state;
  struct bench *b = start(CORE_KIND_M4F, call, sizeof(call));
  bench_put(b, HANDLER(EXCEPTION_SVCALL), use, sizeof(use));
  for (unsigned i = 0; i < 32; i++)
    b->core.fpu.s[i] = 0x40000000 + i;
  b->core.control = CORE_FLOATING;
  bench_run(b, 2);
  bench_run(b, 18); /* 17 to store, 1 to move */
  assert_int_equal(b->core.fpu.s[0], 0);
  for (unsigned i = 0; i < 16; i++)
    assert_int_equal(bench_peek(b, STACK - 0x48 + 4 * i), 0x40000000 + i);
  assert_int_equal(get(b, FPCCR) & 1, 0);
  bench_run(b, 60);
  assert_int_equal(handler_of(b), 0);
  assert_int_equal(b->core.fpu.s[0], 0x40000000);
  assert_int_equal(b->core.control, CORE_FLOATING);
  bench_free(b);
}

static void without_access_floating_point_is_a_fault(void **state)
{
  static const uint16_t add[] = {0xee30, 0x0a20}; /* vadd.f32 s0, s0, s1 */
  (void)state;
  for (uint32_t access = 0; access < 4; access++) {
    struct bench *b = bench_start(CORE_KIND_M4F, add, sizeof(add));
    set(b, 0xe000ed88, access * 5 << 20);
    b->core.control = CORE_UNPRIVILEGED;
    bench_run(b, 1);
    assert_int_equal(handler_of(b), access == 3 ? 0 : EXCEPTION_HARDFAULT);
    if (access != 3) assert_int_equal(get(b, 0xe000ed28), 0x00080000);
    bench_free(b);
  }
}

/* --- bit-band ------------------------------------------------------------
 */

static void a_bit_of_ram_has_a_word_of_its_own(void **state)
{
  /* str r1, [r0]; ldr r2, [r0]; ldr r3, [r4] */
  static const uint16_t code[] = {0x6001, 0x6802, 0x6823, 0xe7fe};
  (void)state;
  for (uint32_t bit = 0; bit < 32; bit++) {
    struct bench *b = bench_new(CORE_KIND_M3, 1);
    b->part.bit_band = true;
    bench_vectors(b);
    bench_put(b, CODE, code, sizeof(code));
    bench_reset(b);
    bench_word(b, RAM + 0x104, bit & 1 ? 0xffffffff : 0);
    b->core.r[0] = 0x22000000 + 0x104 * 32 + bit * 4;
    b->core.r[1] = bit & 1 ? 0xfffffffe : 1; /* bit 0 counts */
    b->core.r[4] = RAM + 0x104;
    bench_run(b, 12);
    uint32_t mask = UINT32_C(1) << bit;
    assert_int_equal(b->core.r[2], !(bit & 1));
    assert_int_equal(b->core.r[3], bit & 1 ? ~mask : mask);
    assert_int_equal(b->access_count, 0);
    bench_free(b);
  }
}

static void a_bit_of_a_device_is_read_and_written_back(void **state)
{
  static const uint16_t code[] = {0x6001, 0xe7fe}; /* str r1, [r0] */
  (void)state;
  struct bench *b = bench_new(CORE_KIND_M4, 1);
  b->part.bit_band = true;
  bench_vectors(b);
  bench_put(b, CODE, code, sizeof(code));
  bench_reset(b);
  b->core.r[0] = 0x42000000 + 0x10 * 32 + 5 * 4;
  b->core.r[1] = 1;
  bench_run(b, 1);
  assert_int_equal(b->access_count, 1); /* nobody is at 0x40000010 */
  assert_int_equal(b->accesses[0].at, 0x40000010);
  assert_false(b->accesses[0].write);
  bench_free(b);
}

static void without_the_option_there_is_no_bit_band(void **state)
{
  static const uint16_t code[] = {0x6801, 0xe7fe}; /* ldr r1, [r0] */
  (void)state;
  struct bench *b = start(CORE_KIND_M3, code, sizeof(code));
  b->core.r[0] = 0x22000000;
  bench_run(b, 10);
  assert_int_equal(handler_of(b), EXCEPTION_HARDFAULT);
  bench_free(b);
}

#define TEST(name) cmocka_unit_test(name)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      TEST(tail_chaining_takes_6_cycles_and_one_frame),
      TEST(one_that_is_more_urgent_arrives_late),
      TEST(a_subpriority_orders_those_that_wait),
      TEST(a_return_clears_faultmask_but_not_from_nmi),
      TEST(all_240_interrupts_are_there),
      TEST(stkalign_decides_about_the_frame),
      TEST(a_nested_return_to_thread_needs_nonbasethrdena),
      TEST(unprivileged_code_faults_in_the_nvic_but_for_stir),
      TEST(an_extended_frame_is_as_drawn),
      TEST(lazy_state_is_stored_by_the_first_use),
      TEST(without_access_floating_point_is_a_fault),
      TEST(a_bit_of_ram_has_a_word_of_its_own),
      TEST(a_bit_of_a_device_is_read_and_written_back),
      TEST(without_the_option_there_is_no_bit_band),
  };
  struct CMUnitTest tests[ROWS_COUNT(latency_rows) +
                          ROWS_COUNT(priority_rows) + ROWS_COUNT(mask_rows)];
  size_t n = ROWS_ADD(tests, latency_row, latency_rows);
  n += ROWS_ADD(tests + n, priority_row, priority_rows);
  n += ROWS_ADD(tests + n, mask_row, mask_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
