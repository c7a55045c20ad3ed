#include "update.h"

#include "flash_orders.h"
#include "registers.h"
#include "slot.h"
#include "sum.h"

#define PAGE_BYTES 2048u
#define UNIT_BYTES 16u

static const volatile uint32_t *words_at(uint32_t at)
{
  return (const volatile uint32_t *)at;
}

/* The sum is only looked at where the rest fits: RAM may hold anything. */
__attribute__((noinline)) bool update_delivered(void)
{
  uint32_t length = load(DELIVERY + DELIVERY_LENGTH);
  return load(DELIVERY) == DELIVERY_MAGIC && length >= 8u &&
         length <= DELIVERY_END - DELIVERY - DELIVERY_BYTES &&
         length % UNIT_BYTES == 0 &&
         load(DELIVERY + DELIVERY_SUM) ==
             sum_of(words_at(DELIVERY + DELIVERY_BYTES), length);
}

static __attribute__((noinline)) bool erase_slot(uint32_t to)
{
  for (uint32_t i = 0; i < SLOT_BYTES; i += PAGE_BYTES)
    if (!flash_erase_page(to + i)) return false;
  return true;
}

static __attribute__((noinline)) bool copy_image(uint32_t to, uint32_t length)
{
  const uint32_t *from = (const uint32_t *)(DELIVERY + DELIVERY_BYTES);
  for (uint32_t i = 0; i < length; i += UNIT_BYTES)
    if (!flash_program(to + SLOT_IMAGE + i, from + i / 4u)) return false;
  return true;
}

static __attribute__((noinline)) bool
make_valid(uint32_t to, uint32_t sequence, uint32_t length, uint32_t sum)
{
  const uint32_t unit[4] = {SLOT_MAGIC, sequence, length, sum};
  return sum_of(words_at(to + SLOT_IMAGE), length) == sum &&
         flash_program(to, unit);
}

bool update_take(uint32_t to, uint32_t sequence)
{
  uint32_t length = load(DELIVERY + DELIVERY_LENGTH);
  uint32_t sum = load(DELIVERY + DELIVERY_SUM);
  flash_unlock();
  bool done = erase_slot(to) && copy_image(to, length) &&
              make_valid(to, sequence, length, sum);
  flash_lock();
  store(DELIVERY, 0);
  return done;
}
