/* main.c -- a logger that feeds a watchdog, and an erase that it forgot.
 *
 * The watchdog of latched-clearable counts 32 ticks of its slow clock, 1 ms,
 * and is fed once a sample, twice as often. After four samples the log is full
 * and its page is erased, which takes 23 ms: the core waits for the flash, and
 * the watchdog does not. The start after that sees the flag of the watchdog
 * and leaves the log alone.
 */
#include "registers.h"

#define LED          P5
#define TICKS        32u
#define SAMPLES      4u
#define PAUSE_ROUNDS 800u

int main(void);
void bitten(void);
void erase_log(void);

static void feed(void)
{
  store(CLEARABLE_WATCHDOG_KICK, CLEARABLE_WATCHDOG_FOOD);
}

static __attribute__((noinline)) void pause(void)
{
  for (uint32_t left = PAUSE_ROUNDS; left != 0; left--)
    __asm__ volatile("");
}

static __attribute__((noinline)) void sample(void)
{
  store(PINS_OUT, load(PINS_OUT) ^ LED);
  pause();
  feed();
}

__attribute__((noinline)) void erase_log(void)
{
  store(CLEARABLE_FLASH_KEY, CLEARABLE_FLASH_KEY_1);
  store(CLEARABLE_FLASH_KEY, CLEARABLE_FLASH_KEY_2);
  store(CLEARABLE_FLASH_TARGET, CLEARABLE_FLASH_LAST_PAGE);
  store(CLEARABLE_FLASH_ORDER, CLEARABLE_FLASH_ERASE_PAGE);
  while ((load(CLEARABLE_FLASH_STATE) & CLEARABLE_FLASH_BUSY) != 0)
    feed();
}

/* The log is as it was: a person must look. */
__attribute__((noinline)) void bitten(void)
{
  store(CLEARABLE_CAUSE, CLEARABLE_CAUSE_CLEAR);
  for (;;)
    sample();
}

int main(void)
{
  set_bits(PINS_MODE, LED);
  store(CLEARABLE_WATCHDOG_RELOAD, TICKS - 1u);
  store(CLEARABLE_WATCHDOG_START, CLEARABLE_WATCHDOG_KEY);
  feed();
  if ((load(CLEARABLE_CAUSE) & CLEARABLE_CAUSE_WATCHDOG) != 0) bitten();
  for (uint32_t taken = 0; taken < SAMPLES; taken++)
    sample();
  erase_log();
  for (;;)
    sample();
}
