/* The rounds of a wait that are not executed one by one: everything is as if
 * they had been. The same program is run to the same cycle on a bus that calls
 * its answers steady and on one that does not, which executes all of them. */
#include "bench_core.h"

#define LONG 60000 /* cycles */

/* The system timer: ARM DDI 0419E, B3.3. */
#define CSR 0xe000e010u
#define RVR 0xe000e014u
#define CVR 0xe000e018u

/* r7 DEVICE, r6 RAM + 0x200, r5 SYST_CSR, r4 0. */
static const struct row {
  const char *name;
  bool passes; /* rounds are passed over */
  bool ticks;  /* SysTick interrupts in the middle of it */
  uint16_t code[16];
} rows[] = {
    {"one read again and again",
     true,
     false,
     {/* ldr r0, [r7]; cmp r0, #0; beq .-4; b . */
      0x6838, 0x2800, 0xd0fc, 0xe7fe}},
    {"two reads in turn",
     true,
     false,
     {/* ldr r0, [r7]; ldr r1, [r7, #4]; orrs r0, r1; cmp r0, #0; beq; b . */
      0x6838, 0x6879, 0x4308, 0x2800, 0xd0fa, 0xe7fe}},
    {"one that saves registers each time",
     true,
     false,
     {/* push {r0, r1}; ldr r0, [r7]; cmp r0, #0; pop {r0, r1}; beq; b . */
      0xb403, 0x6838, 0x2800, 0xbc03, 0xd0fa, 0xe7fe}},
    {"one that an interrupt visits",
     true,
     true,
     {0x6838, 0x2800, 0xd0fc, 0xe7fe}},
    {"one that counts in a register",
     false,
     false,
     {/* ldr r0, [r7]; adds r4, #1; cmp r0, #0; beq .-6; b . */
      0x6838, 0x3401, 0x2800, 0xd0fb, 0xe7fe}},
    {"one that counts in RAM",
     false,
     false,
     {/* ldr r1, [r6]; adds r1, #1; str r1, [r6]; movs r1, #0; ldr r0, [r7];
         cmp r0, #0; beq .-12; b . */
      0x6831, 0x3101, 0x6031, 0x2100, 0x6838, 0x2800, 0xd0f8, 0xe7fe}},
    {"one that looks at the time",
     false,
     false,
     {/* ldr r2, [r5, #8]; ldr r0, [r7]; movs r2, #0; cmp r0, #0; beq; b . */
      0x68aa, 0x6838, 0x2200, 0x2800, 0xd0fa, 0xe7fe}},
    {"one that writes to a device",
     false,
     false,
     {/* str r4, [r7, #4]; ldr r0, [r7]; cmp r0, #0; beq .-6; b . */
      0x607c, 0x6838, 0x2800, 0xd0fb, 0xe7fe}},
};

/* Cores on which each row is tried. */
static const struct kind {
  enum core_kind kind;
  uint32_t waits, prefetch;
} kinds[] = {
    {CORE_KIND_M0, 0, 0},     {CORE_KIND_M0PLUS, 0, 0},
    {CORE_KIND_M0PLUS, 2, 0}, {CORE_KIND_M0PLUS, 2, 2},
    {CORE_KIND_M3, 0, 0},     {CORE_KIND_M4, 3, 2},
};

/* The engine of this build of the test. */
static enum sim_status (*const opened)(struct cpu **, const struct part_core *,
                                       struct sim_error *) = BENCH_OPEN;

static struct bench *prepare(const struct row *r, const struct kind *k,
                             bool steady)
{
  struct bench *b = bench_new(k->kind, 1);
  b->part.prefetch_words = k->prefetch;
  bench_vectors(b);
  bench_put(b, CODE, r->code, sizeof(r->code));
  bench_word(b, HANDLERS + 0x40 * EXCEPTION_SYSTICK,
             0x47703401); /* adds r4, #1; bx lr */
  b->bus.regions[IN_FLASH].wait_states = k->waits;
  b->device_steady = steady;
  bench_reset(b);
  b->core.r[7] = DEVICE;
  b->core.r[6] = RAM + 0x200;
  b->core.r[5] = CSR;
  if (r->ticks) {
    core_scs_write(&b->core, &b->bus, RVR, 20000, false);
    core_scs_write(&b->core, &b->bus, CVR, 1, false);
    core_scs_write(&b->core, &b->bus, CSR, 7, false);
  }
  return b;
}

static void assert_same(const struct bench *a, const struct bench *b)
{
  const struct core *x = &a->core, *y = &b->core;
  assert_memory_equal(x->r, y->r, sizeof(x->r));
  assert_int_equal(x->xpsr, y->xpsr);
  assert_int_equal(x->cycle, y->cycle);
  assert_int_equal(x->instructions, y->instructions);
  assert_int_equal(x->fetched, y->fetched);
  assert_int_equal(x->fetch_ready, y->fetch_ready);
  assert_memory_equal(a->ram, b->ram, sizeof(a->ram));
  assert_int_equal(a->report_count, b->report_count);
  for (unsigned i = 0; i < a->report_count; i++)
    assert_int_equal(a->reports[i].cycle, b->reports[i].cycle);
}

/* To ends one cycle apart, so that every place in a round is one. */
static void wait_row(void **state)
{
  const struct row *r = *state;
  bool v7m = opened == cpu_open_unicorn;
  for (size_t k = 0; k < ROWS_COUNT(kinds); k++) {
    if (kinds[k].kind >= CORE_KIND_M3 && !v7m) continue;
    struct bench *steady = prepare(r, &kinds[k], true);
    struct bench *executed = prepare(r, &kinds[k], false);
    for (cycle_t end = LONG; end < LONG + 40; end++) {
      core_run(&steady->core, steady->cpu, &steady->bus, end);
      core_run(&executed->core, executed->cpu, &executed->bus, end);
      assert_same(steady, executed);
    }
    core_run(&steady->core, steady->cpu, &steady->bus, 2 * LONG);
    core_run(&executed->core, executed->cpu, &executed->bus, 2 * LONG);
    assert_same(steady, executed);
    assert_true(executed->access_count > 5000);
    if (r->passes)
      assert_in_range(steady->access_count, 1, 1000);
    else
      assert_int_equal(steady->access_count, executed->access_count);
    bench_free(steady);
    bench_free(executed);
  }
}

/* The answer is another one from some access on: it is seen at that cycle. */
static void what_ends_a_wait_is_seen(void **state)
{
  (void)state;
  struct bench *b[2] = {prepare(&rows[0], &kinds[0], true),
                        prepare(&rows[0], &kinds[0], false)};
  for (size_t i = 0; i < 2; i++) {
    core_run(&b[i]->core, b[i]->cpu, &b[i]->bus, LONG);
    b[i]->device_value = 1;
    core_run(&b[i]->core, b[i]->cpu, &b[i]->bus, LONG + 20);
    assert_int_equal(b[i]->core.r[15], CODE + 6);
  }
  assert_same(b[0], b[1]);
  bench_free(b[0]);
  bench_free(b[1]);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(rows) + 1] = {
      cmocka_unit_test(what_ends_a_wait_is_seen)};
  ROWS_ADD(tests + 1, wait_row, rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
