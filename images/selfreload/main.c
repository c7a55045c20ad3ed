/* main.c -- an application that has the option words of latched reloaded.
 *
 * It is launched once while the latch still says blank, by a debugger for
 * instance: prepare orders an option reload, which resets the part and makes
 * the blank check again. The part then starts from flash by itself, sees that
 * the reset was a reload and goes on to main. So main is reached alone only
 * if the check found an image.
 *
 * The flag of the reload outlives pin resets; power that really goes away
 * clears it, and the next start reloads once more.
 */
#include "registers.h"

#define LED P5

int main(void);
void prepare(void);

static __attribute__((noinline)) void order_reload(void)
{
  store(LATCHED_FLASH_KEY, LATCHED_FLASH_KEY_1);
  store(LATCHED_FLASH_KEY, LATCHED_FLASH_KEY_2);
  store(LATCHED_FLASH_ORDER, LATCHED_FLASH_ORDER_RELOAD);
  for (;;)
    continue;
}

void prepare(void)
{
  if ((load(LATCHED_CAUSE) & LATCHED_CAUSE_RELOAD) == 0) order_reload();
}

int main(void)
{
  set_bits(PINS_OUT, LED);
  set_bits(PINS_MODE, LED);
  for (;;)
    continue;
}
