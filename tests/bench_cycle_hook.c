/* What the hook before each instruction costs.
 *
 * Four kernels run in turn on the instruction engine of the product and on
 * the bare library behind it, without a hook, with the same memory map; the
 * passes are interleaved and the best of each counts. Printed: nanoseconds an
 * instruction, their ratio, and what the hook adds (the poll includes the
 * cycle-stamping of its register reads). The aim is at most 4 ns.
 *
 * Of the product only sim/core/unicorn.c calls the library; this does to have
 * something to compare with. It prints times of the host: no two runs are
 * equal, and it never fails.
 */
#include <inttypes.h>
#include <time.h>

#include <unicorn/unicorn.h>

#include "bench_core.h"

#define PASSES 99
#define NEVER  (UINT64_C(1) << 32)

/* r0 to r7 at the start; r6 counts the outer rounds. All end in BKPT. */
static const struct kernel {
  const char *name;
  uint16_t code[16];
  uint32_t r[8];
} kernels[] = {
    /* outer: movs r0, r7; movs r1, #255
     * next:  ldrb r4, [r0]; adds r0, #1; eors r2, r4; movs r5, #8
     * bit:   lsrs r2, r2, #1; bcc skip; eors r2, r3
     * skip:  subs r5, #1; bne bit; subs r1, #1; bne next
     *        subs r6, #1; bne outer; bkpt #0 */
    {"CRC-32, bit by bit",
     {0x0038, 0x21ff, 0x7804, 0x3001, 0x4062, 0x2508, 0x0852, 0xd300, 0x405a,
      0x3d01, 0xd1fa, 0x3901, 0xd1f4, 0x3e01, 0xd1f0, 0xbe00},
     {[2] = 0xffffffff, [3] = 0xedb88320, [6] = 15, [7] = RAM}},
    /* outer: movs r0, r7; adds r2, r0, #4; movs r1, #60
     * next:  ldr r4, [r0]; str r4, [r2]; adds r0, #4; adds r2, #4
     *        subs r1, #1; bne next; subs r6, #1; bne outer; bkpt #0 */
    {"copy, word by word",
     {0x0038, 0x1d02, 0x213c, 0x6804, 0x6014, 0x3004, 0x3204, 0x3901, 0xd1f9,
      0x3e01, 0xd1f4, 0xbe00},
     {[6] = 200, [7] = RAM}},
    /* outer: movs r0, r7; movs r2, r0; adds r2, #128; movs r1, #8
     * next:  ldmia r0!, {r3-r5}; stmia r2!, {r3-r5}
     *        subs r1, #1; bne next; subs r6, #1; bne outer; bkpt #0 */
    {"copy, by lists",
     {0x0038, 0x0002, 0x3280, 0x2108, 0xc838, 0xc238, 0x3901, 0xd1fb, 0x3e01,
      0xd1f5, 0xbe00},
     {[6] = 1000, [7] = RAM}},
    /* outer: movs r1, #200
     * poll:  ldr r4, [r3]; tst r4, r2; bne done; subs r1, #1; bne poll
     *        subs r6, #1; bne outer
     * done:  bkpt #0 */
    {"poll of a register",
     {0x21c8, 0x681c, 0x4214, 0xd103, 0x3901, 0xd1fa, 0x3e01, 0xd1f7, 0xbe00},
     {[2] = 1, [3] = DEVICE, [6] = 80}},
};

static int64_t host_ns(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return t.tv_sec * INT64_C(1000000000) + t.tv_nsec;
}

/* --- with the hook ------------------------------------------------------ */

static struct bus_answer answer_zero(void *chip, const struct bus_access *a)
{
  (void)chip;
  (void)a;
  return (struct bus_answer){0};
}

static struct bench *prepare(const struct kernel *k)
{
  struct bench *b = bench_new(CORE_KIND_M0PLUS, 1);
  bench_vectors(b);
  bench_put(b, CODE, k->code, sizeof(k->code));
  b->bus.access = answer_zero;
  bench_reset(b);
  b->core.debug_enabled = true; /* BKPT halts */
  return b;
}

static int64_t run_hooked(struct bench *b, const struct kernel *k)
{
  memcpy(b->core.r, k->r, sizeof(k->r));
  b->core.r[15] = CODE;
  core_go(&b->core, &b->bus);
  int64_t begin = host_ns();
  core_run(&b->core, b->cpu, &b->bus, CYCLE_NEVER);
  return host_ns() - begin;
}

/* --- the bare library --------------------------------------------------- */

static uint64_t read_zero(uc_engine *uc, uint64_t offset, unsigned size,
                          void *user)
{
  (void)uc;
  (void)offset;
  (void)size;
  (void)user;
  return 0;
}

static void write_nothing(uc_engine *uc, uint64_t offset, unsigned size,
                          uint64_t value, void *user)
{
  (void)uc;
  (void)offset;
  (void)size;
  (void)value;
  (void)user;
}

static void map_device(uc_engine *uc, uint64_t from, uint64_t to)
{
  uc_mmio_map(uc, from, (size_t)(to - from), read_zero, NULL, write_nothing,
              NULL);
}

/* The same map as the product's: device memory wherever there is nothing. */
static uc_engine *open_bare(struct bench *b)
{
  uc_engine *uc = NULL;
  uint32_t code = UC_PROT_READ | UC_PROT_EXEC;
  uc_open(UC_ARCH_ARM, UC_MODE_THUMB, &uc);
  uc_ctl_set_cpu_model(uc, UC_CPU_ARM_CORTEX_M0);
  uc_mem_map_ptr(uc, 0, FLASH_SIZE, code, b->flash);
  map_device(uc, FLASH_SIZE, FLASH);
  uc_mem_map_ptr(uc, FLASH, FLASH_SIZE, code, b->flash);
  map_device(uc, FLASH + FLASH_SIZE, ROM);
  uc_mem_map_ptr(uc, ROM, ROM_SIZE, code, b->rom);
  map_device(uc, ROM + ROM_SIZE, RAM);
  uc_mem_map_ptr(uc, RAM, RAM_SIZE, UC_PROT_ALL, b->ram);
  map_device(uc, RAM + RAM_SIZE, NEVER);
  return uc;
}

static int64_t run_bare(uc_engine *uc, const struct kernel *k)
{
  for (int i = 0; i < 8; i++)
    uc_reg_write(uc, UC_ARM_REG_R0 + i, &k->r[i]);
  int64_t begin = host_ns();
  uc_emu_start(uc, CODE | 1u, NEVER, 0, 0); /* ends at the BKPT */
  return host_ns() - begin;
}

/* --- the two side by side ----------------------------------------------- */

static void least(int64_t *best, int64_t value)
{
  if (value < *best) *best = value;
}

/* Thousandths of a unit as text with two decimals, without floating point. */
static void print_thousandths(int64_t value)
{
  printf(" %5" PRId64 ".%02" PRId64, value / 1000, value % 1000 / 10);
}

static void compare(const struct kernel *k)
{
  struct bench *b = prepare(k);
  uc_engine *uc = open_bare(b);
  int64_t hooked = INT64_MAX, bare = INT64_MAX;
  uint64_t before = 0;
  for (int pass = 0; pass < PASSES; pass++) {
    before = b->core.instructions;
    least(&hooked, run_hooked(b, k));
    least(&bare, run_bare(uc, k));
  }
  int64_t count = (int64_t)(b->core.instructions - before);
  printf("%-20s %9" PRId64, k->name, count);
  print_thousandths(bare * 1000 / count);
  print_thousandths(hooked * 1000 / count);
  print_thousandths(hooked * 1000 / bare);
  print_thousandths((hooked > bare ? hooked - bare : 0) * 1000 / count);
  printf("\n");
  uc_close(uc);
  bench_free(b);
}

int main(void)
{
  printf("%-20s %9s %8s %8s %8s %8s\n", "kernel", "instr.", "bare ns",
         "hook ns", "ratio", "added");
  for (size_t i = 0; i < ROWS_COUNT(kernels); i++)
    compare(&kernels[i]);
  return 0;
}
