/* Where core_run is interrupted must not matter: the same program, cut at
 * every cycle, ends in the same state with the same accesses and reports.
 *
 * The program loops, calls, reads and writes a device singly and in lists,
 * takes SVC and PendSV, masks, sleeps with an event stored, writes SP, and
 * calls code in RAM. */
#include "bench_core.h"

#define END 700 /* cycles; it is in its last loop by then */

static const uint16_t program[] = {
    0x4f12, 0x4e13,         /* ldr r7, =DEVICE; ldr r6, =RAM + 0x200 */
    0x2505,                 /* movs r5, #5 */
    0x6838, 0x1824, 0x6034, /* loop: ldr r0, [r7]; adds r4, r0; str r4, [r6] */
    0xf000, 0xf819,         /* bl func */
    0x3d01, 0xd1f8,         /* subs r5, #1; bne loop */
    0xcf07, 0x3f0c,         /* ldmia r7!, {r0-r2}; subs r7, #12 */
    0xc607, 0xc70e,         /* stmia r6!, {r0-r2}; stmia r7!, {r1-r3} */
    0x230c, 0x4363,         /* movs r3, #12; muls r3, r4, r3 */
    0xdf00,                 /* svc #0 */
    0xb672, 0x480b, 0x490c, /* cpsid i; ldr r0, =ICSR; ldr r1, =PENDSVSET */
    0x6001, 0x3403, 0xb662, /* str r1, [r0]; adds r4, #3; cpsie i */
    0xf3ef, 0x8210,         /* mrs r2, primask */
    0x46b5, 0x44a5,         /* mov sp, r6; add sp, r4 */
    0xbf40, 0xbf20,         /* sev; wfe */
    0x4b08, 0x4798,         /* ldr r3, =RAM + 0x301; blx r3 */
    0xd1ff, 0xe7fe,         /* bne .+2; b . */
    0xb510, 0x0864, 0xd200, /* func: push {r4, lr}; lsrs r4, #1; bcs odd */
    0x3401, 0xbd10,         /* adds r4, #1; odd: pop {r4, pc} */
    0x0000, 0x4400, 0x0200, 0x2000, 0xed04,
    0xe000, 0x0000, 0x1000, 0x0301, 0x2000};

static const uint16_t in_ram[] = {0x3407, 0xbf00, 0x4770}; /* adds; nop; bx */
static const uint16_t handler[] = {0xb510, 0x3601, 0xbd10};

static const struct row {
  const char *name;
  enum core_kind kind;
  uint32_t waits; /* of flash */
  cycle_t stall;  /* of the device and of entering a region */
} rows[] = {
    {"M0", CORE_KIND_M0, 0, 0},
    {"M0+", CORE_KIND_M0PLUS, 0, 0},
    {"M0 with wait states", CORE_KIND_M0, 2, 0},
    {"M0+ with stalls", CORE_KIND_M0PLUS, 0, 5},
    {"M0+ with both", CORE_KIND_M0PLUS, 1, 3},
};

static struct bench *prepare(const struct row *r)
{
  struct bench *b = bench_new(r->kind, 1);
  bench_vectors(b);
  bench_put(b, CODE, program, sizeof(program));
  bench_put(b, HANDLERS + 0x40 * EXCEPTION_SVCALL, handler, sizeof(handler));
  bench_put(b, HANDLERS + 0x40 * EXCEPTION_PENDSV, handler, sizeof(handler));
  bench_put(b, RAM + 0x300, in_ram, sizeof(in_ram));
  b->bus.regions[IN_FLASH].wait_states = r->waits;
  b->device_stall = b->enter_stall = r->stall;
  b->device_value = 0x1234567;
  b->bus.watches[0] = CODE + 6;
  b->bus.watches[1] = RAM + 0x302;
  b->bus.watch_count = 2;
  bench_reset(b);
  return b;
}

/* Field by field: padding may differ. */
static void assert_same_logs(const struct bench *a, const struct bench *b)
{
  assert_int_equal(a->access_count, b->access_count);
  for (unsigned i = 0; i < a->access_count; i++) {
    const struct bus_access *x = &a->accesses[i], *y = &b->accesses[i];
    assert_true(x->at == y->at && x->value == y->value);
    assert_true(x->pc == y->pc && x->stamp == y->stamp);
    assert_true(x->size == y->size && x->write == y->write);
  }
  assert_int_equal(a->report_count, b->report_count);
  for (unsigned i = 0; i < a->report_count; i++) {
    const struct bench_report *x = &a->reports[i], *y = &b->reports[i];
    assert_true(x->cycle == y->cycle && x->kind == y->kind);
    assert_true(x->a == y->a && x->b == y->b);
  }
}

static void assert_same(const struct bench *a, const struct bench *b)
{
  const struct core *x = &a->core, *y = &b->core;
  assert_memory_equal(x->r, y->r, sizeof(x->r));
  assert_int_equal(x->xpsr, y->xpsr);
  assert_int_equal(x->primask, y->primask);
  assert_int_equal(x->msp, y->msp);
  assert_int_equal(x->cycle, y->cycle);
  assert_int_equal(x->instructions, y->instructions);
  assert_int_equal(x->counted, y->counted);
  assert_int_equal(x->region, y->region);
  assert_int_equal(x->fetched, y->fetched);
  assert_int_equal(x->event, y->event);
  assert_memory_equal(&x->active, &y->active, sizeof(x->active));
  assert_memory_equal(&x->pending, &y->pending, sizeof(x->pending));
  assert_memory_equal(a->ram, b->ram, sizeof(a->ram));
  assert_same_logs(a, b);
}

/* Run to END with a stop at `cut` and every `step` cycles from there. */
static void run_cut(struct bench *b, cycle_t cut, cycle_t step)
{
  for (cycle_t until = cut; until < END; until += step) {
    enum core_stop stop = core_run(&b->core, b->cpu, &b->bus, until);
    assert_int_equal(stop, CORE_STOP_DEADLINE);
    assert_true(b->core.cycle >= until);
  }
  core_run(&b->core, b->cpu, &b->bus, END);
}

/* Everything but the engine back to how it was. */
static void rewind_to(struct bench *b, const struct bench *saved)
{
  struct cpu *cpu = b->cpu;
  *b = *saved;
  b->cpu = cpu;
  cpu_invalidate(cpu, RAM, RAM_SIZE);
}

static void deadline_row(void **state)
{
  struct bench *b = prepare(*state);
  struct bench *saved = malloc(sizeof(*saved));
  struct bench *whole = malloc(sizeof(*whole));
  assert_true(saved != NULL && whole != NULL);
  *saved = *b;
  run_cut(b, END, END);
  assert_int_equal(b->core.r[15], CODE + 64);
  assert_int_equal(bench_count(b, TRACE_EXCEPTION), 2);
  assert_int_equal(b->access_count, 11);
  *whole = *b;
  for (cycle_t cut = 1; cut < END; cut++) {
    rewind_to(b, saved);
    run_cut(b, cut, END);
    assert_same(b, whole);
  }
  rewind_to(b, saved);
  run_cut(b, 1, 1);
  assert_same(b, whole);
  free(whole);
  free(saved);
  bench_free(b);
}

/* An instruction may begin at the cycle before the deadline, not at it. */
static void a_deadline_is_exact_at_instruction_entry(void **state)
{
  static const uint16_t code[] = {0xbf00, 0x6801, 0xbf00, 0xe7fe};
  static const struct {
    cycle_t until, cycle;
    uint64_t instructions;
  } steps[] = {{0, 0, 0}, {1, 1, 1}, {2, 3, 2}, {3, 3, 2}, {4, 4, 3}};
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(steps); i++) {
    struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
    b->core.r[0] = RAM;
    core_run(&b->core, b->cpu, &b->bus, steps[i].until);
    assert_int_equal(b->core.cycle, steps[i].cycle);
    assert_int_equal(b->core.instructions, steps[i].instructions);
    bench_free(b);
  }
}

/* The chip lowers the deadline inside an access; what follows the access
 * within its instruction still happens. */
static void a_deadline_lowered_by_an_access_holds(void **state)
{
  static const uint16_t code[] = {0xc80e, 0x2401, 0x2402, 0xe7fe}; /* ldmia */
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
  b->core.r[0] = DEVICE;
  b->deadline_at_access = 5;
  assert_int_equal(bench_run(b, 100), CORE_STOP_DEADLINE);
  assert_int_equal(b->access_count, 3);
  assert_int_equal(b->core.r[4], 1);
  assert_int_equal(b->core.cycle, 5);
  bench_free(b);
}

static void attention_ends_a_run_before_it_begins(void **state)
{
  static const uint16_t code[] = {0xe7fe};
  (void)state;
  struct bench *b = bench_start(CORE_KIND_M0, code, sizeof(code));
  core_attend(&b->core);
  assert_int_equal(bench_run(b, 10), CORE_STOP_ATTENTION);
  assert_int_equal(b->core.cycle, 0);
  assert_int_equal(bench_run(b, 10), CORE_STOP_DEADLINE);
  bench_free(b);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(a_deadline_is_exact_at_instruction_entry),
      cmocka_unit_test(a_deadline_lowered_by_an_access_holds),
      cmocka_unit_test(attention_ends_a_run_before_it_begins),
  };
  struct CMUnitTest tests[ROWS_COUNT(rows)];
  ROWS_ADD(tests, deadline_row, rows);
  int failed = cmocka_run_group_tests_name("cuts", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("exact", singles, NULL, NULL);
}
