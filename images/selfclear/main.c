/* main.c -- an application that sets the blank latch of latched-clearable.
 *
 * It is launched once while the latch still says blank, by a debugger for
 * instance: prepare writes the latch and asks for a system reset. The part
 * then starts from flash by itself, sees that the reset was a software one and
 * goes on to main. So main is reached alone only if the latch was set.
 *
 * The latch is written at every start: a software reset that something else
 * had asked for before the launch must not hide that it is still blank.
 */
#include "registers.h"

#define LED P5

int main(void);
void prepare(void);

/* The request need not act at once: ARM DDI 0419E B1.5.16. */
static __attribute__((noinline)) void request_reset(void)
{
  store(AIRCR, AIRCR_KEY | AIRCR_RESET_REQUEST);
  __asm__ volatile("dsb" ::: "memory");
  for (;;)
    continue;
}

void prepare(void)
{
  store(CLEARABLE_LATCH, CLEARABLE_LATCH_KEY | CLEARABLE_LATCH_PROGRAMMED);
  if ((load(CLEARABLE_CAUSE) & CLEARABLE_CAUSE_SOFTWARE) == 0) {
    request_reset();
  }
}

int main(void)
{
  set_bits(PINS_OUT, LED);
  set_bits(PINS_MODE, LED);
  for (;;)
    continue;
}
