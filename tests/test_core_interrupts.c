/* An interrupt anywhere leaves no trace: raised at each cycle of a program, it
 * ends in the state of the undisturbed run. And where core_run is cut does not
 * matter at all: the same state, cycle for cycle.
 *
 * The rule checked is the architecture's own (an exception is transparent to
 * the program it interrupts, ARM DDI 0403E B1.5); no number here is taken from
 * a document. */
#include "bench_core.h"

#define DATA    (RAM + 0x200u)
#define COUNTER (RAM + 0xf00u)
#define END     1500 /* cycles; the programs are in their last loop by then */

/* As GNU as assembles it:
 * movs r4, #5; loop: ldmia.w r6, {r0-r3}; adds r0, r1; mla r2, r0, r4,
 * r2; stmia.w r6, {r0-r3}; cmp r0, r4; ite gt; addgt r7, r7, #1; suble
 * r7, r7, #2; cmp r4, #3; ittte eq; ldreq r1, [r6]; streq r7, [r6, #16];
 * addeq r1, r1, #3; movne r1, #9; cmp r4, #2; it eq; mrseq r9, primask;
 * again: ldrex r3, [r6]; adds r3, #1; strex r8, r3, [r6]; cmp r8, #0; bne
 * again; add.w r11, r6, #4; udiv r10, r0, r4; push {r0-r3, lr}; bl func;
 * pop {r0-r3, lr}; ldrd r2, r3, [r6, #8]; strd r3, r2, [r6, #24]; movs
 * r5, #1; tbb [pc, r5]; table: .byte 2; .byte 3; .short 0; nop; bfi r7,
 * r4, #8, #3; cbz r5, skip; ldr.w r12, [r6, #2]; str.w r12, [r6, #33];
 * skip: umull r1, r2, r0, r3; subs r4, #1; bne.w loop; stay: b stay;
 * func: push {r4, lr}; cmp r0, r1; it lt; poplt {r4, pc}; eors r4, r0; it
 * ne; bne out; nop; out: pop {r4, pc}; */
static const uint16_t program[] = {
    0x2405, 0xe896, 0x000f, 0x1840, 0xfb00, 0x2204, 0xe886, 0x000f, 0x42a0,
    0xbfcc, 0x3701, 0x3f02, 0x2c03, 0xbf03, 0x6831, 0x6137, 0x3103, 0x2109,
    0x2c02, 0xbf08, 0xf3ef, 0x8910, 0xe856, 0x3f00, 0x3301, 0xe846, 0x3800,
    0xf1b8, 0x0f00, 0xd1f7, 0xf106, 0x0b04, 0xfbb0, 0xfaf4, 0xb50f, 0xf000,
    0xf819, 0xe8bd, 0x400f, 0xe9d6, 0x2302, 0xe9c6, 0x3206, 0x2501, 0xe8df,
    0xf005, 0x0302, 0x0000, 0xbf00, 0xf364, 0x270a, 0xb11d, 0xf8d6, 0xc002,
    0xf8c6, 0xc021, 0xfba0, 0x1203, 0x3c01, 0xf47f, 0xafc4, 0xe7fe, 0xb510,
    0x4288, 0xbfb8, 0xbd10, 0x4044, 0xbf18, 0xe000, 0xbf00, 0xbd10};

/* As GNU as assembles it:
 * vldr s0, [r6]; vldr s1, [r6, #4]; vmov.f32 s16, #1.0; movs r4, #4;
 * loop: vmla.f32 s16, s0, s1; vadd.f32 s1, s1, s16; vstr s16, [r6, #8];
 * vcmp.f32 s16, s0; vmrs apsr_nzcv, fpscr; ite gt; vsubgt.f32 s2, s16,
 * s0; vaddle.f32 s2, s16, s0; vpush {s0-s3}; vldmia r6, {s4-s6}; vpop
 * {s0-s3}; subs r4, #1; bne loop; vstmia r6!, {s0-s7}; vmov r7, s16;
 * stay: b stay; */
static const uint16_t float_program[] = {
    0xed96, 0x0a00, 0xedd6, 0x0a01, 0xeeb7, 0x8a00, 0x2404, 0xee00, 0x8a20,
    0xee70, 0x0a88, 0xed86, 0x8a02, 0xeeb4, 0x8a40, 0xeef1, 0xfa10, 0xbfcc,
    0xee38, 0x1a40, 0xee38, 0x1a00, 0xed2d, 0x0a04, 0xec96, 0x2a03, 0xecbd,
    0x0a04, 0x3c01, 0xd1e8, 0xeca6, 0x0a08, 0xee18, 0x7a10, 0xe7fe};

/* As GNU as assembles it:
 * push {r4, lr}; movw r3, #0xf00; movt r3, #0x2000; ldr r0, [r3]; adds
 * r0, #1; str r0, [r3]; mvns r1, r0; mvns r2, r1; movs r3, #0; mov r12,
 * r3; pop {r4, pc}; */
static const uint16_t handler[] = {0xb510, 0xf640, 0x7300, 0xf2c2, 0x0300,
                                   0x6818, 0x3001, 0x6018, 0x43c1, 0x43ca,
                                   0x2300, 0x469c, 0xbd10};

/* As GNU as assembles it:
 * movw r3, #0xf00; movt r3, #0x2000; ldr r0, [r3]; adds r0, #1; str r0,
 * [r3]; vmov s0, r0; vmul.f32 s1, s0, s0; vmov s15, r0; mvns r1, r0; bx
 * lr; */
static const uint16_t float_handler[] = {
    0xf640, 0x7300, 0xf2c2, 0x0300, 0x6818, 0x3001, 0x6018, 0xee00,
    0x0a10, 0xee60, 0x0a00, 0xee07, 0x0a90, 0x43c1, 0x4770};

/* As GNU as assembles it:
 * movs r4, #5; loop: ldmia r6!, {r0-r3}; subs r6, #16; adds r0, r0, r1;
 * muls r2, r0, r2; stmia r6!, {r0-r3}; subs r6, #16; cmp r0, r4; bgt over;
 * adds r7, #1; over: muls r7, r4, r7; push {r0-r4}; bl func; pop {r0-r4};
 * ldr r3, [r6, #8]; strh r3, [r6, #20]; mov r5, sp; mrs r1, primask; dsb;
 * ldmia r6, {r1, r6}; mov r6, r8; subs r4, #1; bne loop; stay: b stay;
 * func: push {r4, lr}; eors r4, r0; cmp r0, r1; blt out; adds r4, #3; out:
 * str r4, [r6, #24]; pop {r4, pc} */
static const uint16_t v6m_program[] = {
    0x2405, 0xce0f, 0x3e10, 0x1840, 0x4342, 0xc60f, 0x3e10, 0x42a0, 0xdc00,
    0x3701, 0x4367, 0xb41f, 0xf000, 0xf80d, 0xbc1f, 0x68b3, 0x82b3, 0x466d,
    0xf3ef, 0x8110, 0xf3bf, 0x8f4f, 0xce42, 0x4646, 0x3c01, 0xd1e6, 0xe7fe,
    0xb510, 0x4044, 0x4288, 0xdb00, 0x3403, 0x61b4, 0xbd10};

/* As GNU as assembles it:
 * push {r4, lr}; ldr r3, =0x20000f00; ldr r0, [r3]; adds r0, #1; str r0,
 * [r3]; mvns r1, r0; mvns r2, r1; movs r3, #0; mov r12, r3; pop {r4, pc} */
static const uint16_t v6m_handler[] = {0xb510, 0x4b04, 0x6818, 0x3001,
                                       0x6018, 0x43c1, 0x43ca, 0x2300,
                                       0x469c, 0xbd10, 0x0f00, 0x2000};

/* `latency`: the most cycles from the request to the first instruction of the
 * handler, memory without wait states: ARM DDI 0484C 3.6.1 for M0+, a copy of
 * Arm's article on interrupt latency for M0, ARM 100165_0201_02 3.9.2 for M3,
 * ARM DDI 0439D 3.9.1 for M4. 0: not published for that. */
static const struct row {
  const char *name;
  enum core_kind kind;
  enum cpu_engine engine;
  const uint16_t *code, *handler;
  size_t code_size, handler_size;
  uint32_t waits, prefetch;
  cycle_t latency;
  int multiplier;
} rows[] = {
#define PROGRAM(code, handler) code, handler, sizeof(code), sizeof(handler)
#define V6M                    PROGRAM(v6m_program, v6m_handler)
    {"M0", CORE_KIND_M0, CPU_ENGINE_UNICORN, V6M, 0, 0, 16, 1},
    {"M0, own engine", CORE_KIND_M0, CPU_ENGINE_OWN, V6M, 0, 0, 16, 1},
    {"M0+, MULS of 32 cycles", CORE_KIND_M0PLUS, CPU_ENGINE_UNICORN, V6M, 0, 0,
     15, 32},
    {"M0+, MULS of 32 cycles, own engine", CORE_KIND_M0PLUS, CPU_ENGINE_OWN,
     V6M, 0, 0, 15, 32},
    {"M0+ with wait states", CORE_KIND_M0PLUS, CPU_ENGINE_UNICORN, V6M, 2, 0,
     0, 32},
    {"M0+ with wait states, both engines", CORE_KIND_M0PLUS, CPU_ENGINE_BOTH,
     V6M, 2, 0, 0, 32},
    {"M3", CORE_KIND_M3, CPU_ENGINE_UNICORN, PROGRAM(program, handler), 0, 0,
     12, 1},
    {"M4", CORE_KIND_M4, CPU_ENGINE_UNICORN, PROGRAM(program, handler), 0, 0,
     12, 1},
    {"M4 with wait states", CORE_KIND_M4, CPU_ENGINE_UNICORN,
     PROGRAM(program, handler), 2, 0, 0, 1},
    {"M4 with a prefetch buffer", CORE_KIND_M4, CPU_ENGINE_UNICORN,
     PROGRAM(program, handler), 2, 2, 0, 1},
    {"M4F", CORE_KIND_M4F, CPU_ENGINE_UNICORN, PROGRAM(float_program, handler),
     0, 0, 0, 1},
    {"M4F with a handler that computes", CORE_KIND_M4F, CPU_ENGINE_UNICORN,
     PROGRAM(float_program, float_handler), 0, 0, 0, 1},
};

static struct bench *prepare(const struct row *r)
{
  struct sim_error err;
  struct bench *b = bench_new(r->kind, r->multiplier);
  assert_int_equal(cpu_open(&b->cpu, r->engine, &b->part, &err), SIM_OK);
  cpu_map(b->cpu, &b->bus);
  b->part.prefetch_words = r->prefetch;
  bench_vectors(b);
  bench_put(b, CODE, r->code, r->code_size);
  bench_put(b, HANDLERS + 0x40 * EXCEPTION_PENDSV, r->handler,
            r->handler_size);
  b->bus.regions[IN_FLASH].wait_states = r->waits;
  b->bus.watches[0] = HANDLERS + 0x40 * EXCEPTION_PENDSV;
  b->bus.watch_count = 1;
  for (unsigned i = 0; i < 16; i++)
    bench_word(b, DATA + 4 * i, 0x3f800000 + 0x10000 * i);
  bench_word(b, COUNTER, 0);
  bench_reset(b);
  b->core.fpu.access = 0x00f00000;
  for (unsigned i = 0; i < 13; i++)
    b->core.r[i] = 0x1000 + i;
  b->core.r[6] = b->core.r[8] = DATA;
  return b;
}

static void rewind_to(struct bench *b, const struct bench *saved)
{
  struct cpu *cpu = b->cpu;
  *b = *saved;
  b->cpu = cpu;
  cpu_invalidate(cpu, RAM, RAM_SIZE);
}

/* What the program sees. */
static void assert_same_to_program(const struct bench *a,
                                   const struct bench *b)
{
  const struct core *x = &a->core, *y = &b->core;
  assert_memory_equal(x->r, y->r, sizeof(x->r));
  assert_int_equal(x->xpsr, y->xpsr);
  assert_memory_equal(x->fpu.s, y->fpu.s, sizeof(x->fpu.s));
  assert_int_equal(x->fpu.status, y->fpu.status);
  assert_int_equal(x->control, y->control);
  assert_memory_equal(a->ram + 0x200, b->ram + 0x200, 0x100);
}

static void assert_same(const struct bench *a, const struct bench *b)
{
  const struct core *x = &a->core, *y = &b->core;
  assert_same_to_program(a, b);
  assert_int_equal(x->cycle, y->cycle);
  assert_int_equal(x->instructions, y->instructions);
  assert_int_equal(x->fetched, y->fetched);
  assert_memory_equal(a->ram, b->ram, sizeof(a->ram));
  assert_int_equal(a->report_count, b->report_count);
}

static void run_to(struct bench *b, cycle_t until)
{
  core_run(&b->core, b->cpu, &b->bus, until);
}

struct copies {
  struct bench *b, *saved, *whole;
};

static struct copies prepare_copies(const struct row *r)
{
  struct copies c = {prepare(r), malloc(sizeof(struct bench)),
                     malloc(sizeof(struct bench))};
  assert_true(c.saved != NULL && c.whole != NULL);
  *c.saved = *c.b;
  run_to(c.b, END);
  *c.whole = *c.b;
  assert_int_equal(c.b->core.xpsr & CORE_EXCEPTION, 0);
  assert_int_equal(bench_count(c.b, TRACE_EXCEPTION), 0);
  return c;
}

static void free_copies(struct copies *c)
{
  free(c->whole);
  free(c->saved);
  bench_free(c->b);
}

static void cut_row(void **state)
{
  struct copies c = prepare_copies(*state);
  for (cycle_t cut = 1; cut < END; cut += 3) {
    rewind_to(c.b, c.saved);
    run_to(c.b, cut);
    run_to(c.b, END);
    assert_same(c.b, c.whole);
  }
  rewind_to(c.b, c.saved);
  for (cycle_t until = 1; until < END; until++)
    run_to(c.b, until);
  run_to(c.b, END);
  assert_same(c.b, c.whole);
  free_copies(&c);
}

static void interrupt_row(void **state)
{
  const struct row *r = *state;
  struct copies c = prepare_copies(r);
  for (cycle_t at = 1; at < 700; at++) {
    rewind_to(c.b, c.saved);
    run_to(c.b, at);
    core_pend(&c.b->core, &c.b->bus, EXCEPTION_PENDSV);
    run_to(c.b, END + 200);
    assert_int_equal(bench_peek(c.b, COUNTER), 1);
    assert_int_equal(bench_count(c.b, TRACE_EXCEPTION_END), 1);
    assert_same_to_program(c.b, c.whole);
    cycle_t latency = bench_find(c.b, TRACE_MARK, 0)->cycle - at;
    if (r->latency != 0 && latency > r->latency)
      fail_msg("requested at cycle %d: %d cycles", (int)at, (int)latency);
  }
  free_copies(&c);
}

int main(void)
{
  struct CMUnitTest tests[2 * ROWS_COUNT(rows)];
  size_t n = ROWS_ADD(tests, cut_row, rows);
  n += ROWS_ADD(tests + n, interrupt_row, rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  return cmocka_run_group_tests_name("rows", tests, NULL, NULL);
}
