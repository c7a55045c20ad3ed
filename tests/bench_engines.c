/* Our own interpreter against the Unicorn engine with its hook, both through
 * the interface that the product uses.
 *
 * Three kernels run on the two in turn, the passes interleaved, the best of
 * each counts. Printed: nanoseconds an instruction and their ratio, as
 * "times as fast as Unicorn"; the aims are 2 for the mix, 0.5 for the loop,
 * 60 for code that runs once, for which every pass opens its engine afresh
 * (not counted). It prints times of the host: no two runs are equal, and it
 * never fails.
 */
#include <inttypes.h>
#include <time.h>

#include "bench_core.h"

#define PASSES     25
#define COLD       10000u
#define WIDE_FLASH 0x8000u

/* Registers at the start; r6 counts the rounds. All end in BKPT. */
static const struct kernel {
  const char *name;
  bool cold; /* the code is made up, and runs once */
  uint16_t code[24];
  uint32_t r[8];
} kernels[] = {
    /* loop: ldr r0, [r5]; adds r0, #1; str r0, [r5]; ldrb r1, [r5, #4]
     *       strb r1, [r5, #5]; ldrh r2, [r5, #6]; strh r2, [r5, #8]
     *       push {r0-r2}; pop {r0-r2}; ldr r3, [sp, #4]; str r3, [sp, #8]
     *       ldmia r5!, {r0-r2}; subs r5, #12; stmia r5!, {r0-r2}; subs r5, #12
     *       ldr r4, [r7, #8]; subs r6, #1; bne loop; bkpt #0 */
    {"loads and stores",
     false,
     {0x6828, 0x3001, 0x6028, 0x7929, 0x7169, 0x88ea, 0x812a, 0xb407, 0xbc07,
      0x9b01, 0x9302, 0xcd07, 0x3d0c, 0xc507, 0x3d0c, 0x68bc, 0x3e01, 0xd1ed,
      0xbe00},
     {[5] = RAM + 0x100, [6] = 10000, [7] = FLASH}},
    /* loop: adds r0, r0, r1; eors r1, r0; lsls r2, r0, #3; subs r3, r2, r1
     *       lsrs r4, r3, #7; orrs r4, r2; muls r5, r4; subs r6, #1
     *       bne loop; bkpt #0 */
    {"arithmetic loop",
     false,
     {0x1840, 0x4041, 0x00c2, 0x1a53, 0x09dc, 0x4314, 0x4365, 0x3e01, 0xd1f6,
      0xbe00},
     {[1] = 1, [5] = 3, [6] = 20000}},
    {"10,000 once", true, {0}, {[5] = RAM + 0x100, [7] = FLASH}},
};

static int64_t host_ns(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return t.tv_sec * INT64_C(1000000000) + t.tv_nsec;
}

/* Arithmetic on r0 to r4, loads and stores about r5 and SP, no branch: the
 * same each time. */
static uint16_t straight(uint32_t *seed)
{
  static const uint16_t shapes[] = {
      0x1800, 0x1a00, 0x4040, 0x4300, 0x0080, 0x08c0, 0x3000, 0x3800,
      0x6828, 0x6028, 0x9000, 0x9800, 0x7828, 0x7028, 0x2000, 0x4140};
  static const uint16_t fields[] = {
      0x00db, 0x00db, 0x001b, 0x001b, 0x031b, 0x031b, 0x03ff, 0x03ff,
      0x07c3, 0x07c3, 0x033f, 0x033f, 0x07c3, 0x07c3, 0x03ff, 0x001b};
  *seed = *seed * 1664525u + 1013904223u;
  unsigned shape = *seed >> 28;
  return (uint16_t)(shapes[shape] | (*seed >> 8 & fields[shape]));
}

struct side {
  const char *name;
  enum sim_status (*open)(struct cpu **cpu, const struct part_core *part,
                          struct sim_error *err);
  struct bench *bench;
  uint8_t *flash;
  int64_t best;
};

static void fill(struct bench *b, const struct kernel *k)
{
  uint32_t seed = 1;
  if (!k->cold) {
    bench_put(b, CODE, k->code, sizeof(k->code));
    return;
  }
  for (addr_t at = CODE; at < CODE + 2 * COLD; at += 2) {
    uint16_t opcode = straight(&seed);
    bench_put(b, at, &opcode, sizeof(opcode));
  }
  static const uint16_t halt = 0xbe00;
  bench_put(b, CODE + 2 * COLD, &halt, sizeof(halt));
}

static void open_side(struct side *s, const struct kernel *k)
{
  struct sim_error err;
  struct bench *b = bench_new(CORE_KIND_M0PLUS, 1);
  s->bench = b;
  s->flash = calloc(1, WIDE_FLASH);
  b->bus.regions[IN_FLASH].bytes = s->flash;
  b->bus.regions[IN_FLASH].size = WIDE_FLASH;
  assert_int_equal(s->open(&b->cpu, &b->part, &err), SIM_OK);
  cpu_map(b->cpu, &b->bus);
  bench_word(b, FLASH, STACK);
  bench_word(b, FLASH + 4, CODE | 1u);
  fill(b, k);
  bench_reset(b);
  b->core.debug_enabled = true; /* BKPT halts */
}

static void close_side(struct side *s)
{
  bench_free(s->bench);
  free(s->flash);
}

/* One pass; the instructions it took. */
static uint64_t pass(struct side *s, const struct kernel *k)
{
  struct core *c = &s->bench->core;
  uint64_t before = c->instructions;
  memcpy(c->r, k->r, sizeof(k->r));
  c->r[13] = STACK;
  c->r[15] = CODE;
  core_go(c, &s->bench->bus);
  int64_t begin = host_ns();
  enum core_stop stop =
      core_run(c, s->bench->cpu, &s->bench->bus, CYCLE_NEVER);
  int64_t took = host_ns() - begin;
  assert_int_equal(stop, CORE_STOP_HALTED);
  if (took < s->best) s->best = took;
  return c->instructions - before;
}

/* Thousandths as text with two decimals, without floating point. */
static void print_thousandths(int64_t value)
{
  printf(" %6" PRId64 ".%02" PRId64, value / 1000, value % 1000 / 10);
}

/* Both did the same work. */
static void must_agree(const struct side *a, const struct side *b)
{
  const struct core *x = &a->bench->core, *y = &b->bench->core;
  assert_memory_equal(x->r, y->r, sizeof(x->r));
  assert_int_equal(x->cycle, y->cycle);
  assert_memory_equal(a->bench->ram, b->bench->ram, RAM_SIZE);
}

static void compare(const struct kernel *k)
{
  struct side sides[] = {{"own", cpu_open_own, NULL, NULL, INT64_MAX},
                         {"unicorn", cpu_open_unicorn, NULL, NULL, INT64_MAX}};
  uint64_t count = 0;
  for (int n = 0; n < PASSES; n++) {
    bool first = n == 0 || k->cold, last = n == PASSES - 1 || k->cold;
    for (size_t i = 0; i < ROWS_COUNT(sides); i++) {
      if (first) open_side(&sides[i], k);
      count = pass(&sides[i], k);
    }
    must_agree(&sides[0], &sides[1]);
    for (size_t i = 0; last && i < ROWS_COUNT(sides); i++)
      close_side(&sides[i]);
  }
  printf("%-18s %9" PRIu64, k->name, count);
  for (size_t i = 0; i < ROWS_COUNT(sides); i++)
    print_thousandths(sides[i].best * 1000 / (int64_t)count);
  print_thousandths(sides[1].best * 1000 / sides[0].best);
  printf("\n");
}

int main(void)
{
  printf("%-18s %9s %9s %9s %9s\n", "kernel", "instr.", "own ns", "unicorn ns",
         "times");
  for (size_t i = 0; i < ROWS_COUNT(kernels); i++)
    compare(&kernels[i]);
  return 0;
}
