/* main.c -- a logger that sleeps between samples, as deep as its part can.
 *
 * It takes no sample here: it sets SLEEPDEEP and the timer of
 * latched-clearable, and sleeps. That sleep ends with a reset; the start after
 * it sees the flag, clears it, and goes on in woken.
 */
#include "registers.h"

#define LED         P5
#define SLEEP_TICKS 320u /* 10 ms */

int main(void);
void woken(void);

__attribute__((noinline)) void woken(void)
{
  store(CLEARABLE_CAUSE, CLEARABLE_CAUSE_CLEAR);
  set_bits(PINS_OUT, LED);
  set_bits(PINS_MODE, LED);
  for (;;)
    continue;
}

int main(void)
{
  if ((load(CLEARABLE_CAUSE) & CLEARABLE_CAUSE_DEEP_SLEEP) != 0) woken();
  store(CLEARABLE_WAKE,
        CLEARABLE_WAKE_TIMER | SLEEP_TICKS << CLEARABLE_WAKE_TICKS);
  store(SYSTEM_CONTROL, SLEEPDEEP);
  for (;;)
    __asm__ volatile("wfi");
}
