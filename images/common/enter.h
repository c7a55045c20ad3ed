/* enter.h -- leave this program for another one, without a reset.
 */
#ifndef IMAGES_ENTER_H
#define IMAGES_ENTER_H

#include <stdint.h>

/* Arguments are in r0 and r1 (the procedure call standard, AAPCS32). Naked,
 * because nothing may use the stack between the two instructions. */
static __attribute__((naked, noreturn, noinline)) void
enter(uint32_t stack __attribute__((unused)),
      uint32_t entry __attribute__((unused)))
{
  __asm__ volatile("msr msp, r0\n\t"
                   "bx r1");
}

#endif
