/* main.c -- a logger on a board that was short of pins: its lamps are on P14
 * and P15, which belong to the debug port until a program takes them.
 */
#include "registers.h"

#define LAMPS (1u << 14 | 1u << 15)

int main(void);
int main(void)
{
  clear_bits(PINS_OUT, LAMPS);
  set_bits(PINS_MODE, LAMPS);
  for (;;)
    continue;
}
