/* main.c -- an application that counts on interrupts: after three ticks of
 * SysTick it drives P5 high.
 *
 * It relies on what a reset gives: interrupts unmasked, exceptions taken from
 * its own vector table, no handler active. Started otherwise it waits for
 * ever. SysTick: ARM DDI 0419E B3.3.
 */
#include "registers.h"

#define SYSTEM_TICK         0xE000E010u
#define SYSTEM_TICK_RELOAD  (SYSTEM_TICK + 4u)
#define SYSTEM_TICK_COUNTER (SYSTEM_TICK + 8u)
#define COUNTS_CORE_CLOCK   7u /* and interrupts */
#define PERIOD              800u
#define ENOUGH              3u

static volatile uint32_t ticks;

void system_tick(void);
void system_tick(void)
{
  ticks = ticks + 1u;
}

static __attribute__((noinline)) void ticked(void)
{
  set_bits(PINS_OUT, P5);
  set_bits(PINS_MODE, P5);
}

int main(void);
int main(void)
{
  store(SYSTEM_TICK_RELOAD, PERIOD - 1u);
  store(SYSTEM_TICK_COUNTER, 0);
  store(SYSTEM_TICK, COUNTS_CORE_CLOCK);
  while (ticks < ENOUGH)
    __asm__ volatile("wfi");
  ticked();
  for (;;)
    __asm__ volatile("wfi");
}
