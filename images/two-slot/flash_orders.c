#include "flash_orders.h"

#include "registers.h"

/* Not inlined into what stays in flash, and too far away for a plain call. */
#define IN_RAM __attribute__((section(".ram_code"), noinline, long_call))

IN_RAM static bool give(uint32_t at, uint32_t order)
{
  store(CLEARABLE_FLASH_TARGET, at);
  store(CLEARABLE_FLASH_ORDER, order);
  uint32_t state;
  do {
    state = load(CLEARABLE_FLASH_STATE);
  } while ((state & CLEARABLE_FLASH_BUSY) != 0);
  return (state & CLEARABLE_FLASH_REFUSED) == 0;
}

void flash_unlock(void)
{
  store(CLEARABLE_FLASH_KEY, CLEARABLE_FLASH_KEY_1);
  store(CLEARABLE_FLASH_KEY, CLEARABLE_FLASH_KEY_2);
}

void flash_lock(void)
{
  store(CLEARABLE_FLASH_ORDER, CLEARABLE_FLASH_LOCK);
}

bool flash_erase_page(uint32_t at)
{
  return give(at, CLEARABLE_FLASH_ERASE_PAGE);
}

bool flash_program(uint32_t at, const uint32_t words[4])
{
  for (uint32_t i = 0; i < 4u; i++)
    store(CLEARABLE_FLASH_DATA + 4u * i, words[i]);
  return give(at, CLEARABLE_FLASH_PROGRAM);
}
