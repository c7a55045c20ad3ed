/* main.c -- an application that asks for the boot ROM: it jumps there.
 *
 * No reset happens: the alias at 0 still shows flash, and whatever the
 * application has set up stays as it was.
 */
#include <stdint.h>

#include "registers.h"

int main(void);

/* Arguments are in r0 and r1 (the procedure call standard, AAPCS32). Naked,
 * because nothing may use the stack between the two instructions. */
static __attribute__((naked, noreturn, noinline)) void
enter(uint32_t stack __attribute__((unused)),
      uint32_t entry __attribute__((unused)))
{
  __asm__ volatile("msr msp, r0\n\t"
                   "bx r1");
}

int main(void)
{
  enter(load(ROM_BASE), load(ROM_BASE + 4u));
}
