/* Sleep at the chip's level: time goes on at no cost, the system timer and
 * an interrupt end it at the right instant (ARM DDI 0419E B1.5.17, B3.3). */
#include <string.h>

#include "register_fixture.h"
#include "rows.h"

#define SECONDS 20

struct sleeper {
  struct part part;
  struct trace trace;
  struct cpu *cpu;
  struct chip chip;
};

/* wfi; b .-2 at 0x100, a handler of SysTick at 0x120. */
static const uint16_t program[] = {0xbf30, 0xe7fd};
static const uint16_t handler[] = {0x3601, 0x4770}; /* adds r6, #1; bx lr */

static void put_word(uint8_t *to, uint32_t value)
{
  for (unsigned i = 0; i < 4; i++)
    to[i] = (uint8_t)(value >> (8 * i));
}

static void fill(struct chip *c)
{
  uint8_t *flash = c->memory.bytes[0];
  put_word(flash, RAM_AT + 0x200);
  put_word(flash + 4, FLASH_AT + 0x101);
  put_word(flash + 4 * EXCEPTION_SYSTICK, FLASH_AT + 0x121);
  memcpy(flash + 0x100, program, sizeof(program));
  memcpy(flash + 0x120, handler, sizeof(handler));
}

static void start(struct sleeper *s, enum core_kind kind)
{
  struct sim_error err;
  s->part = register_part(NULL, 0, 4);
  s->part.core.kind = kind;
  s->part.core.fetch_bytes = 4;
  kept_init(&s->trace);
  assert_int_equal(cpu_open_unicorn(&s->cpu, &s->part.core, &err), SIM_OK);
  chip_init(&s->chip, &s->part, &s->trace, s->cpu);
  fill(&s->chip);
  s->chip.bus.alias = 0;
  cpu_map(s->cpu, &s->chip.bus);
  s->chip.rail.up = true;
  core_hold(&s->chip.core, &s->chip.bus, false);
  core_reset(&s->chip.core, &s->chip.bus, FLASH_AT);
}

static void end(struct sleeper *s)
{
  chip_free(&s->chip);
  trace_free(&s->trace);
  cpu_close(s->cpu);
}

/* What the engine of a run does, without a supply. */
static unsigned pass(struct chip *c, ps_t until)
{
  unsigned turns = 0;
  for (ps_t now = 0; now < until; turns++) {
    chip_advance(c, now);
    ps_t next = chip_next(c);
    now = chip_run(c, now, next < until ? next : until);
  }
  return turns;
}

static void a_tick_a_second_wakes_it(void **state)
{
  static const enum core_kind kinds[] = {CORE_KIND_M0, CORE_KIND_M4};
  static struct sleeper s;
  (void)state;
  for (size_t i = 0; i < ROWS_COUNT(kinds); i++) {
    memset(&s, 0, sizeof(s));
    start(&s, kinds[i]);
    struct core *c = &s.chip.core;
    uint32_t second = (uint32_t)s.part.clock.sources[0].frequency.typ;
    core_scs_write(c, &s.chip.bus, 0xe000e014, second - 1, false);
    core_scs_write(c, &s.chip.bus, 0xe000e010, 7, false);
    unsigned turns = pass(&s.chip, SECONDS * PS_PER_S + PS_PER_MS);
    assert_int_equal(c->r[6], SECONDS);
    assert_true(c->instructions <= 4 * SECONDS + 2);
    assert_true(turns <= 3 * SECONDS + 4);
    for (size_t n = 0; n < SECONDS; n++)
      assert_int_equal(kept_nth(&s.trace, TRACE_EXCEPTION, n)->at,
                       (ps_t)(n + 1) * PS_PER_S);
    end(&s);
  }
}

static void without_a_timer_it_sleeps_for_ever(void **state)
{
  static struct sleeper s;
  (void)state;
  memset(&s, 0, sizeof(s));
  start(&s, CORE_KIND_M3);
  assert_true(pass(&s.chip, SECONDS * PS_PER_S) <= 3);
  assert_int_equal(s.chip.core.mode, CORE_SLEEPING);
  assert_int_equal(chip_next(&s.chip), PS_NEVER);
  end(&s);
}

int main(void)
{
  static const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_tick_a_second_wakes_it),
      cmocka_unit_test(without_a_timer_it_sleeps_for_ever),
  };
  return cmocka_run_group_tests_name("sleep", tests, NULL, NULL);
}
