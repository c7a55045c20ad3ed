/* main.c -- an application that asks for the boot ROM: it jumps there.
 *
 * No reset happens: the alias at 0 still shows flash, and whatever the
 * application has set up stays as it was.
 */
#include "enter.h"
#include "registers.h"

int main(void);

int main(void)
{
  enter(load(ROM_BASE), load(ROM_BASE + 4u));
}
