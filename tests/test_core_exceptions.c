/* Entering, nesting and leaving exception handlers: ARM DDI 0419E B1.5.6 to
 * B1.5.8 (frame, EXC_RETURN), B1.5.4 (priorities), B1.5.15 (lockup), and sleep
 * (B1.5.17 to B1.5.19). Entry cycles: ARM DDI 0484C 3.6.1 (M0+ 15); M0 16 from
 * a second-hand copy of Arm's article on interrupt latency. */
#include "bench_core.h"

#define HANDLER(n) (HANDLERS + 0x40u * (n))

static const uint16_t stay[] = {0xe7fe};                 /* b . */
static const uint16_t call[] = {0xdf00, 0x3701, 0xe7fe}; /* svc; adds r7, #1 */
static const uint16_t count_and_bx[] = {0x3601,
                                        0x4770}; /* adds r6, #1; bx lr */
/* push {r4, lr}; adds r6, #1; pop {r4, pc} */
static const uint16_t count_and_pop[] = {0xb510, 0x3601, 0xbd10};

static struct bench *start(enum core_kind kind, const uint16_t *code,
                           size_t bytes)
{
  struct bench *b = bench_start(kind, code, bytes);
  for (unsigned i = 0; i < 13; i++)
    b->core.r[i] = 0x1000 + i;
  b->core.r[14] = 0x2001;
  return b;
}

static uint32_t read_word(struct bench *b, addr_t at)
{
  uint32_t value = 0;
  assert_true(core_scs_read(&b->core, at, true, &value));
  return value;
}

static unsigned handler_of(const struct bench *b)
{
  return b->core.xpsr & CORE_EXCEPTION;
}

/* --- the frame ---------------------------------------------------------- */

static const struct frame_row {
  const char *name;
  uint32_t sp;
  uint32_t frame; /* where it goes: (SP - 0x20) with bit 2 clear */
  uint32_t bit9;  /* of the stacked xPSR: the old SP[2] */
} frame_rows[] = {
    {"an aligned stack", STACK, STACK - 0x20, 0},
    {"a stack aligned to four", STACK - 4, STACK - 0x28, 0x200},
};

static void frame_row(void **state)
{
  const struct frame_row *r = *state;
  static const uint32_t words[] = {0x1000, 0x1001, 0x1002,  0x1003,
                                   0x100c, 0x2001, CODE + 2};
  struct bench *b = start(CORE_KIND_M0, call, sizeof(call));
  bench_put(b, HANDLER(EXCEPTION_SVCALL), count_and_pop,
            sizeof(count_and_pop));
  b->core.r[13] = r->sp;
  b->core.xpsr |= 0xa0000000;
  bench_run(b, 2);
  assert_int_equal(handler_of(b), EXCEPTION_SVCALL);
  assert_int_equal(b->core.r[13], r->frame);
  for (unsigned i = 0; i < 7; i++)
    assert_int_equal(bench_peek(b, r->frame + 4 * i), words[i]);
  assert_int_equal(bench_peek(b, r->frame + 28), 0xa1000000 | r->bit9);
  assert_int_equal(b->core.r[14], 0xfffffff9);
  assert_int_equal(b->core.xpsr, 0xa1000000 | EXCEPTION_SVCALL);
  bench_run(b, 100);
  assert_int_equal(b->core.r[13], r->sp);
  assert_int_equal(b->core.r[6], 0x1007);
  assert_int_equal(b->core.r[7], 0x1008);
  assert_int_equal(b->core.r[14], 0x2001);
  assert_int_equal(handler_of(b), 0);
  bench_free(b);
}

static void entry_takes_16_cycles_on_m0_and_15_on_m0plus(void **state)
{
  (void)state;
  for (int plus = 0; plus < 2; plus++) {
    enum core_kind kind = plus ? CORE_KIND_M0PLUS : CORE_KIND_M0;
    struct bench *b = start(kind, stay, sizeof(stay));
    b->bus.watches[0] = HANDLER(EXCEPTION_PENDSV);
    b->bus.watch_count = 1;
    core_pend(&b->core, &b->bus, EXCEPTION_PENDSV);
    bench_run(b, 30);
    assert_int_equal(bench_find(b, TRACE_MARK, 0)->cycle, plus ? 15 : 16);
    bench_free(b);
  }
}

/* No document gives the cycles of a return; the assumption of core/cycles.h
 * is 9 on top of the branch, and 1 for SVC on top of the entry. */
static void a_call_and_its_return_take_what_is_assumed(void **state)
{
  (void)state;
  struct bench *b = start(CORE_KIND_M0, call, sizeof(call));
  bench_put(b, HANDLER(EXCEPTION_SVCALL), count_and_bx, sizeof(count_and_bx));
  b->bus.watches[0] = CODE + 2;
  b->bus.watch_count = 1;
  bench_run(b, 60);
  assert_int_equal(bench_find(b, TRACE_MARK, 0)->cycle, 1 + 16 + 1 + 3 + 9);
  bench_free(b);
}

/* From memory: exception entry and return set the event register. */
static void an_exception_leaves_an_event_behind(void **state)
{
  static const uint16_t code[] = {0xbf20, 0xbf20, 0xe7fe}; /* wfe; wfe */
  static const uint16_t take_event[] = {0xbf20, 0x4770};   /* wfe; bx lr */
  (void)state;
  struct bench *b = start(CORE_KIND_M0, code, sizeof(code));
  bench_put(b, HANDLER(EXCEPTION_NMI), take_event, sizeof(take_event));
  core_pend(&b->core, &b->bus, EXCEPTION_NMI);
  assert_int_equal(bench_run(b, 100), CORE_STOP_SLEEP);
  assert_int_equal(handler_of(b), 0);
  assert_int_equal(b->core.r[15], CODE + 4);
  bench_free(b);
}

/* A return from thread code on the process stack: B1.5.8, Table B1-5. */
static void process_stack_is_returned_to(void **state)
{
  /* msr psp, r0; movs r1, #2; msr control, r1; isb; svc; mov r2, sp; b . */
  static const uint16_t code[] = {0xf380, 0x8809, 0x2102, 0xf381, 0x8814,
                                  0xf3bf, 0x8f6f, 0xdf00, 0x466a, 0xe7fe};
  (void)state;
  struct bench *b = start(CORE_KIND_M0, code, sizeof(code));
  bench_put(b, HANDLER(EXCEPTION_SVCALL), count_and_bx, sizeof(count_and_bx));
  b->bus.watches[0] = HANDLER(EXCEPTION_SVCALL);
  b->bus.watch_count = 1;
  b->core.r[0] = RAM + 0x407;
  bench_run(b, 20);
  assert_int_equal(handler_of(b), EXCEPTION_SVCALL);
  assert_int_equal(b->core.r[14], 0xfffffffd);
  assert_int_equal(b->core.r[13], STACK);
  assert_int_equal(b->core.psp, RAM + 0x3e0);
  assert_int_equal(b->core.control, 0);
  bench_run(b, 60);
  assert_int_equal(b->core.r[2], RAM + 0x404);
  assert_int_equal(b->core.control, 2);
  assert_int_equal(b->core.msp, STACK);
  bench_free(b);
}

/* --- priorities --------------------------------------------------------- */

static void nested_handlers_return_in_order(void **state)
{
  static const unsigned order[] = {EXCEPTION_SVCALL, EXCEPTION_NMI};
  (void)state;
  struct bench *b = start(CORE_KIND_M0, call, sizeof(call));
  bench_put(b, HANDLER(EXCEPTION_SVCALL), count_and_pop,
            sizeof(count_and_pop));
  bench_put(b, HANDLER(EXCEPTION_NMI), count_and_bx, sizeof(count_and_bx));
  bench_run(b, 2);
  core_pend(&b->core, &b->bus, EXCEPTION_NMI);
  bench_run(b, 1);
  assert_int_equal(handler_of(b), EXCEPTION_NMI);
  assert_int_equal(b->core.r[14], 0xfffffff1);
  bench_run(b, 100);
  assert_int_equal(b->core.r[6], 0x1008); /* each added one */
  assert_int_equal(handler_of(b), 0);
  for (unsigned i = 0; i < 2; i++)
    assert_int_equal(bench_find(b, TRACE_EXCEPTION, i)->a, order[i]);
  for (unsigned i = 0; i < 2; i++)
    assert_int_equal(bench_find(b, TRACE_EXCEPTION_END, i)->a, order[1 - i]);
  bench_free(b);
}

/* Who preempts a handler of SVCall with priority 1? SHPR3 gives PendSV's. */
static const struct priority_row {
  const char *name;
  uint32_t shpr3;
  bool preempts;
} priority_rows[] = {
    {"a more urgent PendSV preempts SVCall", 0x00000000, true},
    {"an equal one waits", 0x00400000, false},
    {"a less urgent one waits", 0x00c00000, false},
};

static void priority_row(void **state)
{
  const struct priority_row *r = *state;
  struct bench *b = start(CORE_KIND_M0, call, sizeof(call));
  bench_put(b, HANDLER(EXCEPTION_SVCALL), count_and_bx, sizeof(count_and_bx));
  core_scs_write(&b->core, &b->bus, 0xe000ed1c, 0x40000000, false);
  core_scs_write(&b->core, &b->bus, 0xe000ed20, r->shpr3, false);
  bench_run(b, 2);
  assert_int_equal(handler_of(b), EXCEPTION_SVCALL);
  core_scs_write(&b->core, &b->bus, 0xe000ed04, 0x10000000, false);
  bench_run(b, 1);
  assert_int_equal(handler_of(b),
                   r->preempts ? EXCEPTION_PENDSV : EXCEPTION_SVCALL);
  bench_run(b, 100);
  assert_int_equal(handler_of(b), EXCEPTION_PENDSV);
  assert_int_equal(bench_count(b, TRACE_EXCEPTION_END), !r->preempts);
  bench_free(b);
}

static void primask_holds_pendsv_back_and_not_nmi(void **state)
{
  (void)state;
  struct bench *b = start(CORE_KIND_M0, stay, sizeof(stay));
  bench_put(b, HANDLER(EXCEPTION_NMI), count_and_bx, sizeof(count_and_bx));
  b->core.primask = 1;
  core_pend(&b->core, &b->bus, EXCEPTION_PENDSV);
  bench_run(b, 20);
  assert_int_equal(handler_of(b), 0);
  core_pend(&b->core, &b->bus, EXCEPTION_NMI);
  bench_run(b, 1);
  assert_int_equal(handler_of(b), EXCEPTION_NMI);
  bench_run(b, 40);
  assert_int_equal(handler_of(b), 0);
  b->core.primask = 0;
  bench_run(b, 1);
  assert_int_equal(handler_of(b), EXCEPTION_PENDSV);
  bench_free(b);
}

/* The program itself: pend behind CPSID, taken right behind CPSIE. */
static void cpsie_lets_it_in_before_the_next_instruction(void **state)
{
  /* cpsid i; ldr r0, icsr; ldr r1, bit; str r1, [r0]; adds r5, #1; cpsie i;
   * adds r5, #2; b . */
  static const uint16_t code[] = {0xb672, 0x4803, 0x4903, 0x6001,
                                  0x3501, 0xb662, 0x3502, 0xe7fe,
                                  0xed04, 0xe000, 0x0000, 0x1000};
  (void)state;
  struct bench *b = start(CORE_KIND_M0, code, sizeof(code));
  bench_run(b, 60);
  assert_int_equal(handler_of(b), EXCEPTION_PENDSV);
  assert_int_equal(b->core.r[5], 0x1006);
  assert_int_equal(bench_find(b, TRACE_EXCEPTION, 0)->b, CODE + 12);
  assert_int_equal(bench_find(b, TRACE_EXCEPTION, 0)->cycle, 9);
  bench_free(b);
}

/* Without a mask a store to ICSR is followed by the entry at once. */
static void a_pending_store_is_taken_at_the_next_boundary(void **state)
{
  /* ldr r0, icsr; ldr r1, bit; str r1, [r0]; adds r5, #1; b . */
  static const uint16_t code[] = {0x4802, 0x4903, 0x6001, 0x3501, 0xe7fe,
                                  0x46c0, 0xed04, 0xe000, 0x0000, 0x1000};
  (void)state;
  struct bench *b = start(CORE_KIND_M0, code, sizeof(code));
  bench_run(b, 60);
  assert_int_equal(handler_of(b), EXCEPTION_PENDSV);
  assert_int_equal(b->core.r[5], 0x1005);
  assert_int_equal(bench_find(b, TRACE_EXCEPTION, 0)->b, CODE + 6);
  bench_free(b);
}

static void svc_under_primask_is_a_hardfault(void **state)
{
  (void)state;
  struct bench *b = start(CORE_KIND_M0, call, sizeof(call));
  b->core.primask = 1;
  bench_run(b, 30);
  assert_int_equal(handler_of(b), EXCEPTION_HARDFAULT);
  bench_free(b);
}

static void nmi_ends_a_lockup_at_minus_one_and_returns_to_it(void **state)
{
  static const uint16_t undefined[] = {0xde00};
  (void)state;
  struct bench *b = start(CORE_KIND_M0, undefined, sizeof(undefined));
  bench_put(b, HANDLER(EXCEPTION_HARDFAULT), undefined, sizeof(undefined));
  bench_put(b, HANDLER(EXCEPTION_NMI), count_and_bx, sizeof(count_and_bx));
  assert_int_equal(bench_run(b, 100), CORE_STOP_LOCKUP);
  core_pend(&b->core, &b->bus, EXCEPTION_PENDSV);
  assert_int_equal(b->core.mode, CORE_LOCKUP);
  core_pend(&b->core, &b->bus, EXCEPTION_NMI);
  assert_int_equal(b->core.mode, CORE_RUNNING);
  bench_run(b, 1);
  assert_int_equal(handler_of(b), EXCEPTION_NMI);
  assert_int_equal(bench_peek(b, b->core.r[13] + 24), 0xfffffffe);
  assert_int_equal(bench_run(b, 100), CORE_STOP_LOCKUP);
  assert_int_equal(b->core.r[6], 0x1007);
  assert_int_equal(handler_of(b), EXCEPTION_HARDFAULT);
  bench_free(b);
}

static void nothing_ends_a_lockup_at_minus_two(void **state)
{
  static const uint16_t undefined[] = {0xde00};
  (void)state;
  struct bench *b = start(CORE_KIND_M0, stay, sizeof(stay));
  bench_put(b, HANDLER(EXCEPTION_NMI), undefined, sizeof(undefined));
  core_pend(&b->core, &b->bus, EXCEPTION_NMI);
  assert_int_equal(bench_run(b, 100), CORE_STOP_LOCKUP);
  core_pend(&b->core, &b->bus, EXCEPTION_NMI);
  assert_int_equal(b->core.mode, CORE_LOCKUP);
  bench_free(b);
}

/* Stacking fails: HardFault is taken and the other stays pending; the frame's
 * room is gone from the stack. */
static void a_fault_while_stacking_is_a_hardfault(void **state)
{
  (void)state;
  struct bench *b = start(CORE_KIND_M0, stay, sizeof(stay));
  b->core.r[13] = RAM + 16;
  core_pend(&b->core, &b->bus, EXCEPTION_PENDSV);
  bench_run(b, 30);
  assert_int_equal(handler_of(b), EXCEPTION_HARDFAULT);
  assert_int_equal(b->core.r[13], RAM - 16);
  assert_true(read_word(b, 0xe000ed04) & 0x10000000); /* PENDSVSET */
  bench_free(b);
  b = start(CORE_KIND_M0, call, sizeof(call));
  b->core.r[13] = RAM + 16;
  bench_run(b, 30);
  assert_int_equal(handler_of(b), EXCEPTION_HARDFAULT);
  assert_true(read_word(b, 0xe000ed24) & 0x8000); /* SVCALLPENDED */
  bench_free(b);
}

/* Neither flash nor the private bus is a stack, and the chip is not asked
 * about the latter. */
static void a_stack_in_no_ram_is_the_same(void **state)
{
  static const uint32_t stacks[] = {FLASH + 0x800, 0xe000f000, 0xe0001020};
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(stacks); i++) {
    struct bench *b = start(CORE_KIND_M0, stay, sizeof(stay));
    b->core.r[13] = stacks[i];
    core_pend(&b->core, &b->bus, EXCEPTION_PENDSV);
    bench_run(b, 30);
    assert_int_equal(handler_of(b), EXCEPTION_HARDFAULT);
    assert_int_equal(b->access_count, 0);
    assert_int_equal(bench_peek(b, FLASH + 0x7fc), 0xffffffff);
    bench_free(b);
  }
}

/* The frame can't be read on return: HardFault with the stacks as they are
 * (ARM DDI 0419E leaves it to the implementation; ARM DDI 0484C: a fault while
 * unstacking from NMI to HardFault locks up at HardFault priority). */
static void a_fault_while_unstacking_is_a_hardfault(void **state)
{
  (void)state;
  for (int process = 0; process < 2; process++) {
    struct bench *b = start(CORE_KIND_M0, call, sizeof(call));
    bench_put(b, HANDLER(EXCEPTION_SVCALL), count_and_bx,
              sizeof(count_and_bx));
    bench_run(b, 2);
    uint32_t link = process ? 0xfffffffd : 0xfffffff9;
    uint32_t main_stack = process ? b->core.r[13] : 0x10000000;
    b->core.r[13] = main_stack;
    b->core.psp = 0x10000000;
    b->core.r[14] = link;
    bench_run(b, 50);
    assert_int_equal(handler_of(b), EXCEPTION_HARDFAULT);
    assert_int_equal(b->core.r[13], main_stack);
    assert_int_equal(b->core.psp, 0x10000000);
    assert_int_equal(b->core.r[14], link);
    bench_free(b);
  }
}

static void nmi_that_cannot_return_to_hardfault_locks_up(void **state)
{
  static const uint16_t undefined[] = {0xde00};
  (void)state;
  struct bench *b = start(CORE_KIND_M0, undefined, sizeof(undefined));
  bench_put(b, HANDLER(EXCEPTION_NMI), count_and_bx, sizeof(count_and_bx));
  bench_run(b, 30);
  core_pend(&b->core, &b->bus, EXCEPTION_NMI);
  bench_run(b, 1);
  assert_int_equal(handler_of(b), EXCEPTION_NMI);
  b->core.r[13] = 0x10000000;
  assert_int_equal(bench_run(b, 50), CORE_STOP_LOCKUP);
  assert_int_equal(bench_find(b, TRACE_LOCKUP, 0)->b, 1);
  bench_free(b);
}

static void nothing_becomes_pending_in_reset(void **state)
{
  (void)state;
  struct bench *b = start(CORE_KIND_M0, stay, sizeof(stay));
  core_hold(&b->core, &b->bus, false);
  core_pend(&b->core, &b->bus, EXCEPTION_NMI);
  core_reset(&b->core, &b->bus, FLASH);
  bench_run(b, 30);
  assert_int_equal(handler_of(b), 0);
  bench_free(b);
}

static void a_vector_that_cannot_be_read_is_a_hardfault(void **state)
{
  (void)state;
  struct bench *b = start(CORE_KIND_M0, stay, sizeof(stay));
  b->core.vector_base = FLASH + FLASH_SIZE - 16;
  bench_word(b, b->core.vector_base + 12, HANDLERS | 1u);
  core_pend(&b->core, &b->bus, EXCEPTION_PENDSV);
  bench_run(b, 1);
  assert_int_equal(handler_of(b), EXCEPTION_HARDFAULT);
  assert_int_equal(b->core.r[15], HANDLERS);
  bench_free(b);
}

/* --- returns that make no sense ----------------------------------------- */

/* In a handler of SVCall that was entered from thread mode. */
static const struct return_row {
  const char *name;
  uint32_t value;
  uint32_t xpsr; /* stacked */
  unsigned ends; /* 0: refused before anything is popped */
} return_rows[] = {
    {"to handler mode, where none is below", 0xfffffff1, CORE_THUMB | 3, 0},
    {"a reserved value", 0xfffffff5, CORE_THUMB, 0},
    {"a value with a zero among its ones", 0xffffff79, CORE_THUMB, 0},
    {"to thread mode with a handler's xPSR", 0xfffffff9, CORE_THUMB | 14, 1},
    {"to a T of zero", 0xfffffff9, 0, 1},
};

static void return_row(void **state)
{
  const struct return_row *r = *state;
  struct bench *b = start(CORE_KIND_M0, call, sizeof(call));
  bench_put(b, HANDLER(EXCEPTION_SVCALL), count_and_bx, sizeof(count_and_bx));
  bench_run(b, 2);
  bench_word(b, b->core.r[13] + 28, r->xpsr);
  b->core.r[14] = r->value;
  bench_run(b, 100);
  assert_int_equal(handler_of(b), EXCEPTION_HARDFAULT);
  assert_int_equal(bench_count(b, TRACE_EXCEPTION_END), r->ends);
  bench_free(b);
}

/* ARM DDI 0419E B1.5.8: only BX and POP return. */
static void other_ways_into_pc_do_not_return(void **state)
{
  static const uint16_t ways[] = {0x46f7, 0x47f0}; /* mov pc, lr; blx lr */
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(ways); i++) {
    struct bench *b = start(CORE_KIND_M0, call, sizeof(call));
    bench_put(b, HANDLER(EXCEPTION_SVCALL), &ways[i], sizeof(ways[i]));
    bench_run(b, 60);
    assert_int_equal(handler_of(b), EXCEPTION_HARDFAULT);
    assert_int_equal(bench_count(b, TRACE_EXCEPTION_END), 0);
    bench_free(b);
  }
}

/* A deadline between the branch and the return must not part them. */
static void a_return_is_one_with_its_branch(void **state)
{
  (void)state;
  for (cycle_t at = 1; at < 60; at++) {
    struct bench *b = start(CORE_KIND_M0, call, sizeof(call));
    bench_put(b, HANDLER(EXCEPTION_SVCALL), count_and_bx,
              sizeof(count_and_bx));
    bench_run(b, at);
    assert_true(b->core.r[15] < 0xf0000000);
    bench_run(b, 60);
    assert_int_equal(b->core.r[7], 0x1008);
    assert_int_equal(bench_count(b, TRACE_EXCEPTION), 1);
    bench_free(b);
  }
}

#define TEST(name) cmocka_unit_test(name)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      TEST(entry_takes_16_cycles_on_m0_and_15_on_m0plus),
      TEST(a_call_and_its_return_take_what_is_assumed),
      TEST(an_exception_leaves_an_event_behind),
      TEST(process_stack_is_returned_to),
      TEST(nested_handlers_return_in_order),
      TEST(primask_holds_pendsv_back_and_not_nmi),
      TEST(cpsie_lets_it_in_before_the_next_instruction),
      TEST(a_pending_store_is_taken_at_the_next_boundary),
      TEST(svc_under_primask_is_a_hardfault),
      TEST(nmi_ends_a_lockup_at_minus_one_and_returns_to_it),
      TEST(nothing_ends_a_lockup_at_minus_two),
      TEST(a_fault_while_stacking_is_a_hardfault),
      TEST(a_stack_in_no_ram_is_the_same),
      TEST(a_fault_while_unstacking_is_a_hardfault),
      TEST(nmi_that_cannot_return_to_hardfault_locks_up),
      TEST(nothing_becomes_pending_in_reset),
      TEST(a_vector_that_cannot_be_read_is_a_hardfault),
      TEST(other_ways_into_pc_do_not_return),
      TEST(a_return_is_one_with_its_branch),
  };
  struct CMUnitTest tests[ROWS_COUNT(frame_rows) + ROWS_COUNT(priority_rows) +
                          ROWS_COUNT(return_rows)];
  size_t n = ROWS_ADD(tests, frame_row, frame_rows);
  n += ROWS_ADD(tests + n, priority_row, priority_rows);
  n += ROWS_ADD(tests + n, return_row, return_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
