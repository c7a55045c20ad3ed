/* bench_core.h -- a core on a tiny bus, for the tests of sim/core.
 *
 *   0x04000000 flash, 8 KiB     0x20000000 RAM, 4 KiB
 *   0x06000000 boot ROM, 2 KiB  0x44000000 a device, 4 KiB
 *
 * The device answers reads with `device_value`, stalls `device_stall` cycles,
 * and reports a bus error from offset 0x800 on, as does every other address.
 * Accesses and reports are logged. The vectors of a started bench are in
 * flash; handlers and code are put there as halfwords.
 */
#ifndef TESTS_BENCH_CORE_H
#define TESTS_BENCH_CORE_H

#include <stdlib.h>
#include <string.h>

#include "core/bus.h"
#include "core/core.h"
#include "core/cpu.h"
#include "describe/trace_kinds.h"
#include "rows.h"

#define FLASH      0x04000000u
#define ROM        0x06000000u
#define RAM        0x20000000u
#define DEVICE     0x44000000u
#define FLASH_SIZE 0x2000u
#define ROM_SIZE   0x800u
#define RAM_SIZE   0x1000u
#define DEVICE_OK  0x800u /* bytes that answer */

enum { IN_FLASH, IN_ROM, IN_RAM, REGIONS };

#define CODE     (FLASH + 0x100u) /* where a started bench begins */
#define STACK    (RAM + 0x800u)
#define HANDLERS (FLASH + 0x1000u) /* handler of exception n: + 0x40 n */

#define BENCH_LOG 512

/* The engine of a bench; a test can be built for another one. */
#ifndef BENCH_OPEN
#define BENCH_OPEN cpu_open_unicorn
#endif

struct bench_report {
  cycle_t cycle;
  unsigned kind;
  uint32_t a, b;
};

struct bench {
  struct part_core part;
  struct bus bus;
  struct core core;
  struct cpu *cpu;
  uint8_t flash[FLASH_SIZE], rom[ROM_SIZE], ram[RAM_SIZE];
  uint32_t device_value;
  cycle_t device_stall, enter_stall;
  bool device_steady; /* it says so of its answers */
  bool attend_at_access;
  cycle_t deadline_at_access; /* if not 0 */
  struct bus_access accesses[BENCH_LOG];
  unsigned access_count;
  struct bench_report reports[BENCH_LOG];
  unsigned report_count;
  unsigned enters; /* calls of bus->enter */
};

static inline struct bus_answer bench_access(void *chip,
                                             const struct bus_access *a)
{
  struct bench *b = chip;
  struct bus_answer answer = {.value = b->device_value,
                              .stall = b->device_stall,
                              .steady = b->device_steady && !a->write};
  if (b->access_count < BENCH_LOG) b->accesses[b->access_count] = *a;
  b->access_count++;
  answer.fault = a->at - DEVICE >= DEVICE_OK;
  if (b->attend_at_access) core_attend(&b->core);
  if (b->deadline_at_access != 0) b->core.deadline = b->deadline_at_access;
  return answer;
}

static inline cycle_t bench_enter(void *chip, unsigned region, addr_t pc,
                                  cycle_t cycle)
{
  struct bench *b = chip;
  (void)region;
  (void)pc;
  (void)cycle;
  b->enters++;
  return b->enter_stall;
}

static inline void bench_report(void *chip, cycle_t cycle, unsigned kind,
                                uint32_t a, uint32_t b)
{
  struct bench *bench = chip;
  if (bench->report_count < BENCH_LOG)
    bench->reports[bench->report_count] =
        (struct bench_report){cycle, kind, a, b};
  bench->report_count++;
}

static inline void bench_put(struct bench *b, addr_t at, const void *bytes,
                             size_t size)
{
  uint32_t offset;
  unsigned region = bus_find(&b->bus, at, &offset);
  assert_int_not_equal(region, BUS_NO_REGION);
  if (size == 0) return;
  memcpy(b->bus.regions[region].bytes + offset, bytes, size);
  if (b->cpu != NULL) cpu_invalidate(b->cpu, at, (uint32_t)size);
}

static inline void bench_word(struct bench *b, addr_t at, uint32_t value)
{
  bench_put(b, at, &value, sizeof(value)); /* little-endian host */
}

static inline uint32_t bench_peek(const struct bench *b, addr_t at)
{
  uint32_t value = 0;
  assert_true(bus_peek(&b->bus, at, 4, &value));
  return value;
}

/* A bench off power: memories erased, nothing mapped yet. */
static inline struct bench *bench_new(enum core_kind kind, int multiplier)
{
  struct bench *b = calloc(1, sizeof(*b));
  assert_non_null(b);
  b->part = (struct part_core){
      .kind = kind,
      .multiplier = {.min = multiplier, .typ = multiplier, .max = multiplier},
      .interrupts = 8,
      .vector_base = kind == CORE_KIND_M0PLUS,
      .fetch_bytes = 4};
  memset(b->flash, 0xff, sizeof(b->flash));
  memset(b->rom, 0xff, sizeof(b->rom));
  b->bus = (struct bus){
      .regions = {{"flash", FLASH, FLASH_SIZE, b->flash, false, false, 0},
                  {"rom", ROM, ROM_SIZE, b->rom, false, true, 0},
                  {"ram", RAM, RAM_SIZE, b->ram, true, false, 0}},
      .region_count = REGIONS,
      .alias = IN_FLASH,
      .chip = b,
      .access = bench_access,
      .enter = bench_enter,
      .report = bench_report};
  core_init(&b->core, &b->part);
  return b;
}

static inline void bench_map(struct bench *b)
{
  struct sim_error err;
  if (b->cpu == NULL)
    assert_int_equal(BENCH_OPEN(&b->cpu, &b->part, &err), SIM_OK);
  cpu_map(b->cpu, &b->bus);
}

static inline void bench_free(struct bench *b)
{
  cpu_close(b->cpu);
  free(b);
}

/* Vectors in flash: stack, CODE, and a handler `B .` for each exception. */
static inline void bench_vectors(struct bench *b)
{
  static const uint16_t stay = 0xe7fe; /* B . */
  bench_word(b, FLASH, STACK);
  bench_word(b, FLASH + 4, CODE | 1u);
  for (unsigned n = EXCEPTION_NMI; n < EXCEPTION_COUNT; n++) {
    bench_word(b, FLASH + 4 * n, (HANDLERS + 0x40 * n) | 1u);
    bench_put(b, HANDLERS + 0x40 * n, &stay, sizeof(stay));
  }
}

static inline void bench_reset(struct bench *b)
{
  bench_map(b);
  core_hold(&b->core, &b->bus, false);
  core_reset(&b->core, &b->bus, FLASH);
}

/* Vectors, this code behind them, out of reset. */
static inline struct bench *bench_start(enum core_kind kind,
                                        const uint16_t *code, size_t bytes)
{
  struct bench *b = bench_new(kind, 1);
  bench_vectors(b);
  bench_put(b, CODE, code, bytes);
  bench_reset(b);
  return b;
}

static inline enum core_stop bench_run(struct bench *b, cycle_t cycles)
{
  return core_run(&b->core, b->cpu, &b->bus, b->core.cycle + cycles);
}

/* The n-th report of a kind, or NULL. */
static inline const struct bench_report *bench_find(const struct bench *b,
                                                    unsigned kind, unsigned n)
{
  for (unsigned i = 0; i < b->report_count && i < BENCH_LOG; i++) {
    if (b->reports[i].kind == kind && n-- == 0) return &b->reports[i];
  }
  return NULL;
}

static inline unsigned bench_count(const struct bench *b, unsigned kind)
{
  unsigned n = 0;
  while (bench_find(b, kind, n) != NULL)
    n++;
  return n;
}

#endif
