/* main.c -- a logger that sleeps deeply between samples, and has taken no
 * sample yet: nothing wakes it here.
 *
 * SLEEPDEEP before WFI: ARM DDI 0419E B3.2.7. Where the clocks of the debug
 * port stop with those of the core, a probe finds nobody.
 */
#include "registers.h"

#define SYSTEM_CONTROL 0xE000ED10u /* SCR */
#define SLEEP_DEEP     (1u << 2)

int main(void);
int main(void)
{
  set_bits(SYSTEM_CONTROL, SLEEP_DEEP);
  for (;;)
    __asm__ volatile("wfi");
}
