/* The probe: what stands in its way, and what it reaches. */
#include <string.h>

#include "board/probe.h"
#include "register_fixture.h"
#include "rows.h"

static struct part_field key_and_latch[] = {FIELD(0, 1, RW, LATCH, 0),
                                            {.lsb = 16,
                                             .width = 16,
                                             .access = ACCESS_WO,
                                             .role = ROLE_LATCH_KEY,
                                             .keys = {0xb16c},
                                             .key_count = 1}};
static struct part_field data0[] = {FIELD(8, 16, RW, FLASH_DATA, 0)};
static struct part_field data1[] = {FIELD(0, 32, RW, FLASH_DATA, 1)};

static struct part_register registers[] = {
    REGISTER(0x44000000, key_and_latch, 0),
    REGISTER(0x44000004, data0, 0),
    REGISTER(0x44000008, data1, 0),
};

static struct register_bench bench;
static struct probe probe;

static int set_up(void **state)
{
  (void)state;
  register_bench_init(&bench, registers, ROWS_COUNT(registers), 4);
  probe = (struct probe){0};
  return 0;
}

static int tear_down(void **state)
{
  (void)state;
  register_bench_free(&bench);
  return 0;
}

/* --- obstacles ----------------------------------------------------------- */

#define NOTHING 99

/* Lower case: as it is; capitals change it. Power on, Line low, Running,
 * Attached, Debug enable lost again; the port or the memory (M) answers while
 * the line is low. */
static const struct obstacle_row {
  const char *name;
  const char *state;
  uint32_t port, memory; /* enum trace_obstacle, or NOTHING */
} obstacles[] = {
    {"without power nothing answers", "AR", OBSTACLE_NO_POWER,
     OBSTACLE_NO_POWER},
    {"running and attached all is in reach", "PRA", NOTHING, NOTHING},
    {"the memory needs an attached probe", "PR", NOTHING,
     OBSTACLE_NOT_ATTACHED},
    {"a reset that clears debug enable detaches", "PRAD", NOTHING,
     OBSTACLE_NOT_ATTACHED},
    {"while the line is low the port may be dead", "PLA", OBSTACLE_IN_RESET,
     OBSTACLE_IN_RESET},
    {"or answer, without the memory", "PLAN", NOTHING, OBSTACLE_IN_RESET},
    {"or with it", "PLANM", NOTHING, NOTHING},
    {"in the boot sequence the memory is out of reach", "PAN", NOTHING,
     OBSTACLE_IN_RESET},
    {"being in reset outranks being detached", "PN", NOTHING,
     OBSTACLE_IN_RESET},
};

static void obstacle_row(void **state)
{
  const struct obstacle_row *r = *state;
  set_up(NULL);
  struct chip *c = &bench.chip;
  for (const char *s = r->state; *s != '\0'; s++)
    switch (*s) {
    case 'P': c->rail.up = true; break;
    case 'L': chip_pull_line(c, DRIVER_BENCH, true, 0); break;
    case 'R': boot_enter(&c->boot, BOOT_RUNNING, PS_NEVER); break;
    case 'A': probe_attach(&probe, c); break;
    case 'D': core_hold(&c->core, &c->bus, true); break;
    case 'N': bench.part.probe.port_in_reset = true; break;
    case 'M': bench.part.probe.memory_in_reset = true; break;
    }
  enum trace_obstacle why = OBSTACLE_REFUSED;
  assert_int_equal(probe_reaches_port(c, &why), r->port == NOTHING);
  if (r->port != NOTHING) assert_int_equal(why, r->port);
  assert_int_equal(probe_reaches_memory(&probe, c, &why),
                   r->memory == NOTHING);
  if (r->memory != NOTHING) assert_int_equal(why, r->memory);
  tear_down(NULL);
}

/* --- words --------------------------------------------------------------- */

/* The debug port writes RAM and registers; flash and ROM take no plain
 * store (common practice, no source). */
static const struct word_row {
  const char *name;
  addr_t at;
  bool read, written;
} words[] = {
    {"RAM", RAM_AT + 0x3fc, true, true},
    {"behind the RAM there is nothing", RAM_AT + 0x400, false, false},
    {"flash is read only", FLASH_AT, true, false},
    {"a register", 0x44000008, true, true},
    {"an address between registers is nothing", 0x4400000c, false, false},
    {"nothing is seen at 0 without an alias", 0, false, false},
};

static void word_row(void **state)
{
  const struct word_row *r = *state;
  set_up(NULL);
  uint32_t value;
  assert_int_equal(probe_read(&bench.chip, r->at, 0, &value), r->read);
  assert_int_equal(probe_write(&bench.chip, r->at, 0x12345678, 0), r->written);
  if (r->written) {
    assert_true(probe_read(&bench.chip, r->at, 0, &value));
    assert_int_equal(value, 0x12345678);
  }
  tear_down(NULL);
}

static void the_alias_at_0_is_read_through(void **state)
{
  (void)state;
  uint32_t value;
  memcpy(bench.chip.memory.bytes[0] + 4, "\x01\x02\x03\x04", 4);
  bench.chip.bus.alias = 0;
  assert_true(probe_read(&bench.chip, 4, 0, &value));
  assert_int_equal(value, 0x04030201);
  assert_false(probe_write(&bench.chip, 4, 0, 0));
}

/* --- finding a register by its role -------------------------------------- */

static const struct role_row {
  const char *name;
  enum role role;
  uint32_t index, value;
  bool found;
  addr_t at;
  uint32_t word;
} role_rows[] = {
    {"a field comes with the key beside it", ROLE_LATCH, 0, 1, true,
     0x44000000, 0xb16c0001},
    {"also to be cleared", ROLE_LATCH, 0, 0, true, 0x44000000, 0xb16c0000},
    {"a key itself is not doubled", ROLE_LATCH_KEY, 0, 0x1234, true,
     0x44000000, 0x12340000},
    {"a value goes to its bits and no further", ROLE_FLASH_DATA, 0, 0xfffff123,
     true, 0x44000004, 0x00f12300},
    {"the index tells one from the other", ROLE_FLASH_DATA, 1, 0xfffff123,
     true, 0x44000008, 0xfffff123},
    {"an index that is not there is not found", ROLE_FLASH_DATA, 2, 0, false,
     0, 0},
    {"nor a role that the part lacks", ROLE_FLASH_LOCK, 0, 1, false, 0, 0},
};

static void role_row(void **state)
{
  const struct role_row *r = *state;
  struct part part = register_part(registers, ROWS_COUNT(registers), 4);
  addr_t at = 0;
  uint32_t word = 0;
  assert_int_equal(
      probe_role_word(&part, r->role, r->index, r->value, &at, &word),
      r->found);
  assert_int_equal(at, r->at);
  assert_int_equal(word, r->word);
}

static void detaching_lets_a_halted_core_go(void **state)
{
  (void)state;
  struct chip *c = &bench.chip;
  core_hold(&c->core, &c->bus, true);
  bench.chip.bus.alias = 0;
  memcpy(c->memory.bytes[0], "\0\4\0\x20\x01\1\0\4", 8);
  probe_attach(&probe, c);
  c->core.catch_reset = true;
  core_reset(&c->core, &c->bus, 0);
  assert_int_equal(c->core.mode, CORE_HALTED);
  probe_detach(&probe, c, true, PS_PER_US);
  assert_int_equal(c->core.mode, CORE_RUNNING);
  assert_int_equal(c->core.r[15], 0x04000100);
  assert_int_equal(c->core.cycle, 8);
  assert_false(probe.attached || c->core.debug_enabled || c->core.catch_reset);
}

#define SINGLE(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

int main(void)
{
  static const struct CMUnitTest singles[] = {
      SINGLE(the_alias_at_0_is_read_through),
      SINGLE(detaching_lets_a_halted_core_go),
  };
  struct CMUnitTest
      tests[ROWS_COUNT(obstacles) + ROWS_COUNT(words) + ROWS_COUNT(role_rows)];
  size_t n = ROWS_ADD(tests, obstacle_row, obstacles);
  n += ROWS_ADD(tests + n, word_row, words);
  n += ROWS_ADD(tests + n, role_row, role_rows);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("rows", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
