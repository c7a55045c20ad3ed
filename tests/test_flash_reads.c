/* A program's own reads of flash: what ECC can't correct is a bus error, what
 * it corrects is counted, and busy flash makes it wait or fails. On each
 * engine, and on both architectures. */
#include <string.h>

#include "chip/chip_cells.h"
#include "chip_fixture.h"
#include "register_fixture.h"
#include "rows.h"

#define READ_AT  0x800u /* in flash, what the program reads */
#define CODE_AT  (RAM_AT + 0x100)
#define STACK_AT (RAM_AT + 0x200)
#define BANK_AT  0x04001000u

/* ldr r0, [r1]; adds r2, #1; b .-2: a load, then for ever. */
static const uint16_t code[] = {0x6808, 0x3201, 0xe7fd};

struct reader {
  struct part part;
  struct trace trace;
  struct cpu *cpu;
  struct chip chip;
  ps_t now;
};

static void put_word(uint8_t *to, uint32_t value)
{
  for (unsigned i = 0; i < 4; i++)
    to[i] = (uint8_t)(value >> (8 * i));
}

static const struct engine {
  const char *name;
  enum core_kind kind;
  enum sim_status (*open)(struct cpu **cpu, const struct part_core *part,
                          struct sim_error *err);
  cycle_t wait_states;
} engines[] = {
    {"unicorn, Cortex-M0", CORE_KIND_M0, cpu_open_unicorn, 0},
    {"unicorn, with wait states", CORE_KIND_M0PLUS, cpu_open_unicorn, 1},
    {"unicorn, Cortex-M4", CORE_KIND_M4, cpu_open_unicorn, 0},
    {"the interpreter, Cortex-M0", CORE_KIND_M0, cpu_open_own, 0},
    {"both, in lockstep", CORE_KIND_M0, cpu_open_both, 0},
};

/* Vectors of flash, of which HardFault's is an endless loop, and the program
 * in RAM with r1 at what it reads. */
static void start(struct reader *s, const struct engine *e, addr_t at)
{
  static const uint16_t loop = 0xe7fe; /* b . */
  struct sim_error err;
  memset(s, 0, sizeof(*s));
  s->part = register_part(NULL, 0, 8);
  s->part.core.kind = e->kind;
  s->part.core.fetch_bytes = 4;
  s->part.flash.ecc = true;
  s->part.memory[0].wait_states = (uint32_t)e->wait_states;
  s->part.memory[2] = s->part.memory[0];
  s->part.memory[2].name = "bank";
  s->part.memory[2].at = BANK_AT;
  s->part.memory_count = 3;
  kept_init(&s->trace);
  assert_int_equal(e->open(&s->cpu, &s->part.core, &err), SIM_OK);
  chip_init(&s->chip, &s->part, &s->trace, s->cpu);
  uint8_t *flash = s->chip.memory.bytes[0];
  put_word(flash, STACK_AT);
  put_word(flash + 4, CODE_AT | 1u);
  for (unsigned i = 2; i < 8; i++)
    put_word(flash + 4 * i, FLASH_AT + 0x41);
  memcpy(flash + 0x40, &loop, sizeof(loop));
  memcpy(s->chip.memory.bytes[1] + 0x100, code, sizeof(code));
  s->chip.bus.alias = 0;
  cpu_map(s->cpu, &s->chip.bus);
  s->chip.rail.up = true;
  core_hold(&s->chip.core, &s->chip.bus, false);
  core_reset(&s->chip.core, &s->chip.bus, FLASH_AT);
  s->chip.core.r[1] = at;
}

static void end(struct reader *s)
{
  chip_free(&s->chip);
  trace_free(&s->trace);
  cpu_close(s->cpu);
}

static void run_to(struct reader *s, ps_t until)
{
  struct chip *c = &s->chip;
  while (s->now < until) {
    chip_advance(c, s->now);
    ps_t next = chip_next(c);
    s->now = chip_run(c, s->now, next < until ? next : until);
  }
}

/* As a cut order of each kind would: half of the bits, or one. */
static void flaw(struct reader *s, addr_t at, enum memory_granule is)
{
  static const uint8_t zeros[8];
  struct memory *m = &s->chip.memory;
  uint32_t offset;
  uint32_t region = memory_find(m, at, 8, &offset);
  for (uint32_t i = offset; i < offset + 0x400; i += 8) {
    memory_put(m, region, offset, zeros, 8);
    enum torn kinds[] = {TORN_PART, TORN_WEAK};
    /* places differ: whichever of them leaves such a granule is copied */
    memory_change(m, region, i, zeros, 8, kinds[is == GRANULE_CORRECTED]);
    if (memory_worst(m, region, i, 8) != is) continue;
    memcpy(m->bytes[region] + offset, m->bytes[region] + i, 8);
    m->granules[region][offset / 8] = (uint8_t)is;
    break;
  }
  assert_int_equal(memory_worst(m, region, offset, 8), is);
  chip_guard_flash(&s->chip);
}

static void what_cannot_be_corrected_is_a_bus_error(void **state)
{
  static struct reader s;
  start(&s, *state, FLASH_AT + READ_AT);
  flaw(&s, FLASH_AT + READ_AT, GRANULE_BAD);
  run_to(&s, 100 * PS_PER_US);
  const struct trace_record *t = kept_last(&s.trace, TRACE_ECC);
  assert_true(t != NULL && t->a == GRANULE_BAD && t->b == FLASH_AT + READ_AT);
  assert_int_equal(kept_count(&s.trace, TRACE_ECC), 1);
  assert_int_equal(s.chip.core.r[15], FLASH_AT + 0x40);
  assert_int_equal(s.chip.core.xpsr & 0x1ff, 3); /* HardFault */
  assert_int_equal(s.chip.core.r[2], 0);
  end(&s);
}

static void what_is_corrected_is_read_and_counted(void **state)
{
  static struct reader s;
  start(&s, *state, FLASH_AT + READ_AT);
  flaw(&s, FLASH_AT + READ_AT, GRANULE_CORRECTED);
  run_to(&s, 100 * PS_PER_US);
  assert_int_equal(s.chip.flash.corrected, 1);
  assert_int_equal(kept_count(&s.trace, TRACE_ECC), 1);
  uint32_t value;
  assert_true(bus_peek(&s.chip.bus, FLASH_AT + READ_AT, 4, &value));
  assert_int_equal(s.chip.core.r[0], value);
  assert_true(s.chip.core.r[2] > 10);
  end(&s);
}

static void what_lies_beside_it_is_read_in_peace(void **state)
{
  static struct reader s;
  start(&s, *state, FLASH_AT + READ_AT - 4);
  flaw(&s, FLASH_AT + READ_AT, GRANULE_BAD);
  run_to(&s, 100 * PS_PER_US);
  assert_int_equal(kept_count(&s.trace, TRACE_ECC), 0);
  assert_true(s.chip.core.r[2] > 10);
  end(&s);
}

/* --- busy ---------------------------------------------------------------- */

static const struct moment begin = {0, 0};

/* A unit of ones becomes zeros meanwhile: 50 us, 400 cycles. */
static void program_zeros(struct reader *s, addr_t at)
{
  struct flash *f = &s->chip.flash;
  f->locked = false;
  f->target = at;
  memset(f->data, 0, sizeof(f->data));
  chip_order_flash(&s->chip, FLASH_PROGRAM, begin);
  assert_true(flash_busy(f));
}

static void a_read_of_busy_flash_waits_for_what_it_reads(void **state)
{
  static struct reader s;
  start(&s, *state, FLASH_AT + READ_AT);
  program_zeros(&s, FLASH_AT + READ_AT);
  s.chip.core.r[0] = 7;
  run_to(&s, 49 * PS_PER_US);
  assert_int_equal(s.chip.core.r[2], 0);
  run_to(&s, 100 * PS_PER_US);
  assert_int_equal(s.chip.core.r[0], 0); /* new, not the ones of before */
  assert_true(s.chip.core.r[2] > 10);
  end(&s);
}

static void or_fails(void **state)
{
  static struct reader s;
  start(&s, *state, FLASH_AT + READ_AT);
  s.part.flash.while_busy = WHILE_BUSY_FAULT;
  program_zeros(&s, BANK_AT);
  run_to(&s, 20 * PS_PER_US);
  assert_int_equal(s.chip.core.xpsr & 0x1ff, 3);
  assert_int_equal(s.chip.core.r[2], 0);
  end(&s);
}

static void the_other_bank_does_not_wait(void **state)
{
  static struct reader s;
  start(&s, *state, FLASH_AT + READ_AT);
  s.part.flash.read_while_write = true;
  program_zeros(&s, BANK_AT);
  run_to(&s, 20 * PS_PER_US);
  assert_int_equal(s.chip.core.r[0], UINT32_MAX);
  assert_true(s.chip.core.r[2] > 10);
  end(&s);
}

int main(void)
{
  static void (*const tests[])(void **) = {
      what_cannot_be_corrected_is_a_bus_error,
      what_is_corrected_is_read_and_counted,
      what_lies_beside_it_is_read_in_peace,
      a_read_of_busy_flash_waits_for_what_it_reads,
      or_fails,
      the_other_bank_does_not_wait,
  };
  int failed = 0;
  for (size_t i = 0; i < ROWS_COUNT(tests); i++) {
    struct CMUnitTest rows[ROWS_COUNT(engines)];
    ROWS_ADD(rows, tests[i], engines);
    failed += cmocka_run_group_tests_name("engines", rows, NULL, NULL);
  }
  return failed;
}
