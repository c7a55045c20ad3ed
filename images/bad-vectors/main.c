/* main.c -- shows where an image with an even reset vector ends up.
 *
 * P6 high: the HardFault handler ran, as it should. P5 high: main ran, which
 * needs a core that ignores the missing Thumb bit.
 */
#include "registers.h"

int main(void);
void hard_fault(void);

static _Noreturn void hold_high(uint32_t pin)
{
  set_bits(PINS_OUT, pin);
  set_bits(PINS_MODE, pin);
  for (;;)
    continue;
}

void hard_fault(void)
{
  hold_high(P6);
}

int main(void)
{
  hold_high(P5);
}
