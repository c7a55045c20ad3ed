/* flash_fixture.h -- a chip with the registers of a flash controller, and
 * orders given through them.
 */
#ifndef TESTS_FLASH_FIXTURE_H
#define TESTS_FLASH_FIXTURE_H

#include "register_fixture.h"
#include "rows.h"

enum {
  KEY = 0x44000000,
  ORDER = 0x44000004,
  STATE = 0x44000008,
  TARGET = 0x4400000c,
  DATA = 0x44000010, /* two words */
  CELL = 0x44000400
};

/* Bits of ORDER and STATE. */
enum { PROGRAM = 1, ERASE_PAGE = 2, ERASE_ALL = 4, RELOAD = 8, LOCK = 16 };
enum { BUSY = 1, REFUSED = 2, LOCKED = 4 };

static struct part_field key[] = {{.width = 32,
                                   .access = ACCESS_WO,
                                   .role = ROLE_FLASH_UNLOCK,
                                   .keys = {0x13579bdf},
                                   .key_count = 1}};
static struct part_field order[] = {
    FIELD(0, 1, W1S, FLASH_PROGRAM, 0), FIELD(1, 1, W1S, FLASH_ERASE_PAGE, 0),
    FIELD(2, 1, W1S, FLASH_ERASE_ALL, 0), FIELD(3, 1, W1S, OPTIONS_RELOAD, 0),
    FIELD(4, 1, W1S, FLASH_LOCK, 0)};
static struct part_field state_[] = {FIELD(0, 1, RO, FLASH_BUSY, 0),
                                     FIELD(1, 1, W1C, FLASH_REFUSED, 0),
                                     FIELD(2, 1, RO, FLASH_LOCK, 0)};
static struct part_field target[] = {FIELD(0, 32, RW, FLASH_TARGET, 0)};
static struct part_field data0[] = {FIELD(0, 32, RW, FLASH_DATA, 0)};
static struct part_field data1[] = {FIELD(0, 32, RW, FLASH_DATA, 1)};
static struct part_field cell[] = {FIELD(0, 32, RO, OPTIONS_CELL, 0)};

static struct part_register registers[] = {
    REGISTER(KEY, key, 0),
    REGISTER(ORDER, order, 0),
    REGISTER(STATE, state_, 0),
    REGISTER(TARGET, target, FLASH_AT + 0x400),
    REGISTER(DATA, data0, 0x600df00d),
    REGISTER(DATA + 4, data1, 0),
    REGISTER(CELL, cell, 0),
};

/* The chip of the test that runs. */
static struct register_bench bench;

static inline void begin(uint32_t unit, bool unlock)
{
  register_bench_init(&bench, registers, ROWS_COUNT(registers), unit);
  if (unlock) write_word(&bench, KEY, 0x13579bdf);
}

static inline void give(addr_t at, uint32_t bits)
{
  write_word(&bench, TARGET, at);
  write_word(&bench, ORDER, bits);
}

static inline void wait_until_free(void)
{
  bench.cycle += PS_PER_S / CYCLE_PS;
  assert_int_equal(read_word(&bench, STATE) & BUSY, 0);
}

static inline uint32_t flash_word(addr_t at)
{
  uint32_t value;
  assert_true(bus_peek(&bench.chip.bus, at, 4, &value));
  return value;
}

#endif
