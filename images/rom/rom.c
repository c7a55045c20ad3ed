/* rom.c -- the boot ROM of the invented parts.
 *
 * What it does, in this order. Cycles are counted from the first fetch, on a
 * Cortex-M0 without wait states (ARM DDI 0432C Table 3-1) whose fast clock is
 * ready 96 cycles after it was switched on, 12 us at 8 MHz. Elsewhere they
 * differ, the order does not.
 *
 *   cycle
 *      15  the fast clock, 24 MHz, is switched on and polled until ready
 *     124  it is selected: from here a cycle takes 42 ns
 *     144  serial is on: P9 becomes an output and idles high
 *     166  P4 becomes an output, low
 *     177  P7 becomes an output, high
 *     200  waits for the host: polls SERIAL.STATE, for ever
 *
 * Whoever talks first is served (session.c), as board/protocol.h has it.
 *
 * A launch is a jump: stack pointer and entry are those of the image, and
 * nothing else is put back. The fast clock runs, the serial port and the pins
 * above are still driven, the boot ROM may still be what is seen at address 0,
 * and a vector base register, if there is one, still says 0.
 *
 * Of RAM, until somebody talks only the two words below 0x20001000 are
 * written.
 *
 * Each step keeps its own symbol, so that a report can say how far the ROM
 * got.
 */
#include "enter.h"
#include "registers.h"
#include "session.h"

static __attribute__((noinline)) void start_fast_clock(void)
{
  set_bits(CLOCK, CLOCK_FAST_ON);
  while ((load(CLOCK) & CLOCK_FAST_READY) == 0)
    continue;
  store(CLOCK, (load(CLOCK) & ~CLOCK_SELECT) | CLOCK_SELECT_FAST);
}

/* The level first, then the mode: no pin is driven to the wrong side. What an
 * application that jumped here had set on other pins stays. */
static __attribute__((noinline)) void drive_pins(void)
{
  clear_bits(PINS_OUT, P4);
  set_bits(PINS_MODE, P4);
  set_bits(PINS_OUT, P7);
  set_bits(PINS_MODE, P7);
}

void launch(uint32_t vectors)
{
  enter(load(vectors), load(vectors + 4u));
}

void rom_entry(void);
void rom_entry(void)
{
  start_fast_clock();
  open_serial();
  drive_pins();
  serve_host();
}
