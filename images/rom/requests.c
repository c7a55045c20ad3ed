/* requests.c -- hello, wipe, put, get, compare, launch (board/protocol.h).
 *
 * Flash changes through its controller: keys, an order, a poll until it is no
 * longer busy, a look at whether it was refused. It is unlocked for one
 * request at a time. What is protected, the controller knows.
 */
#include "requests.h"

#include <stdbool.h>

#include "crc32.h"
#include "part.h"
#include "registers.h"

#define RAM_BASE 0x20000000u

/* Arguments begin behind the head. */
#define ADDRESS 2u
#define SECOND  6u
#define THIRD   10u

__attribute__((noinline)) void pause(void)
{
  for (uint32_t i = 0; i < CLOCK_KHZ / 2000u; i++)
    __asm__ volatile("");
}

static uint32_t number(const uint8_t *at, uint32_t octets)
{
  uint32_t value = 0;
  while (octets-- > 0)
    value = value << 8 | at[octets];
  return value;
}

static void add(struct answer *a, uint32_t value, uint32_t octets)
{
  for (; octets > 0; octets--, value >>= 8)
    a->content[a->length++] = (uint8_t)value;
}

static bool in_bank(uint32_t base, uint32_t at, uint32_t octets)
{
  uint32_t offset = at - base;
  return offset < FLASH_BYTES && octets <= FLASH_BYTES - offset;
}

static bool in_flash(uint32_t at, uint32_t octets)
{
#if FLASH_BANKS == 2
  if (in_bank(FLASH_BASE + FLASH_STRIDE, at, octets)) return true;
#endif
  return in_bank(FLASH_BASE, at, octets);
}

/* --- the flash controller ------------------------------------------------ */

static void unlock(void)
{
  static const uint32_t keys[] = {FLASH_KEYS};
  for (uint32_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
    store(FLASH_KEY, keys[i]);
}

static void lock(void)
{
  store(FLASH_ORDER, ORDER_LOCK);
}

static bool order(uint32_t target, uint32_t what)
{
  store(FLASH_STATE, STATE_REFUSED);
  store(FLASH_TARGET, target);
  store(FLASH_ORDER, what);
  while (load(FLASH_STATE) & STATE_BUSY)
    pause();
  return (load(FLASH_STATE) & STATE_REFUSED) == 0;
}

static bool program(uint32_t at, const uint8_t *data)
{
  for (uint32_t i = 0; i < FLASH_UNIT; i += 4u)
    store(FLASH_DATA + i, number(data + i, 4));
  return order(at, ORDER_PROGRAM);
}

static bool holds(uint32_t at, const uint8_t *data, uint32_t octets)
{
  for (uint32_t i = 0; i < octets; i++)
    if (((const volatile uint8_t *)at)[i] != data[i]) return false;
  return true;
}

/* --- the requests -------------------------------------------------------- */

static uint8_t hello(struct answer *a)
{
  add(a, PROTOCOL_VERSION, 1);
  add(a, FLASH_UNIT, 2);
  add(a, FLASH_PAGE, 2);
  add(a, FLASH_BASE, 4);
  add(a, FLASH_BYTES, 4);
  add(a, PROTOCOL_MOST_DATA, 1);
  return PROTOCOL_DONE;
}

static bool erase(uint32_t at, uint32_t pages)
{
  if (pages == PROTOCOL_ALL_PAGES) return order(FLASH_BASE, ORDER_ERASE_ALL);
  for (; pages > 0; pages--, at += FLASH_PAGE)
    if (!order(at, ORDER_ERASE_PAGE)) return false;
  return true;
}

static uint8_t wipe(const uint8_t *content)
{
  uint32_t at = number(content + ADDRESS, 4);
  uint32_t pages = number(content + SECOND, 2);
  if (pages != PROTOCOL_ALL_PAGES &&
      (at % FLASH_PAGE != 0 || !in_flash(at, pages * FLASH_PAGE)))
    return PROTOCOL_OUTSIDE;
  unlock();
  bool done = erase(at, pages);
  lock();
  return done ? PROTOCOL_DONE : PROTOCOL_REFUSED;
}

static bool program_all(uint32_t at, const uint8_t *data, uint32_t octets)
{
  for (uint32_t i = 0; i < octets; i += FLASH_UNIT)
    if (!program(at + i, data + i)) return false;
  return true;
}

static uint8_t put(const uint8_t *content, uint32_t length)
{
  uint32_t at = number(content + ADDRESS, 4);
  const uint8_t *data = content + SECOND;
  uint32_t octets = length - SECOND;
  if (at % FLASH_UNIT != 0 || octets % FLASH_UNIT != 0 ||
      !in_flash(at, octets))
    return PROTOCOL_OUTSIDE;
  unlock();
  bool done = program_all(at, data, octets);
  lock();
  if (!done) return PROTOCOL_REFUSED;
  return holds(at, data, octets) ? PROTOCOL_DONE : PROTOCOL_DIFFERS;
}

static uint8_t get(const uint8_t *content, struct answer *a)
{
  uint32_t at = number(content + ADDRESS, 4);
  uint32_t octets = content[SECOND];
  if (octets == 0 || octets > PROTOCOL_MOST_DATA || !in_flash(at, octets))
    return PROTOCOL_OUTSIDE;
  for (uint32_t i = 0; i < octets; i++)
    add(a, ((const volatile uint8_t *)at)[i], 1);
  return PROTOCOL_DONE;
}

static uint8_t compare(const uint8_t *content, struct answer *a)
{
  uint32_t at = number(content + ADDRESS, 4);
  uint32_t octets = number(content + SECOND, 4);
  if (octets == 0 || !in_flash(at, octets)) return PROTOCOL_OUTSIDE;
  uint32_t crc = crc32((const uint8_t *)at, octets);
  add(a, crc, 4);
  return crc == number(content + THIRD, 4) ? PROTOCOL_DONE : PROTOCOL_DIFFERS;
}

/* A stack pointer may stand right behind RAM: it moves down first. */
static uint8_t prepare_launch(const uint8_t *content, struct answer *a)
{
  uint32_t at = number(content + ADDRESS, 4);
  if (at % 4u != 0 || !in_flash(at, 8)) return PROTOCOL_OUTSIDE;
  uint32_t stack = load(at), entry = load(at + 4u);
  if (stack % 4u != 0 || stack <= RAM_BASE || stack > RAM_BASE + RAM_BYTES ||
      (entry & 1u) == 0 || !in_flash(entry - 1u, 2))
    return PROTOCOL_DIFFERS;
  a->vectors = at;
  return PROTOCOL_DONE;
}

/* Octets of a whole request; of a put, with the fewest data. */
static uint32_t length_of(uint32_t code)
{
  switch (code) {
  case PROTOCOL_CODE(PROTOCOL_HELLO): return 2;
  case PROTOCOL_CODE(PROTOCOL_WIPE): return 8;
  case PROTOCOL_CODE(PROTOCOL_PUT): return 7;
  case PROTOCOL_CODE(PROTOCOL_GET): return 7;
  case PROTOCOL_CODE(PROTOCOL_COMPARE): return 14;
  case PROTOCOL_CODE(PROTOCOL_LAUNCH): return 6;
  default: return 0;
  }
}

uint8_t carry_out(const uint8_t *content, uint32_t length, struct answer *a)
{
  uint32_t code = content[0], whole = length_of(code);
  bool is_put = code == PROTOCOL_CODE(PROTOCOL_PUT);
  if (whole == 0) return PROTOCOL_UNKNOWN;
  if (is_put ? length < whole : length != whole) return PROTOCOL_MALFORMED;
  switch (code) {
  case PROTOCOL_CODE(PROTOCOL_HELLO): return hello(a);
  case PROTOCOL_CODE(PROTOCOL_WIPE): return wipe(content);
  case PROTOCOL_CODE(PROTOCOL_PUT): return put(content, length);
  case PROTOCOL_CODE(PROTOCOL_GET): return get(content, a);
  case PROTOCOL_CODE(PROTOCOL_COMPARE): return compare(content, a);
  default: return prepare_launch(content, a);
  }
}
