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
 *     139  serial is on: P9 becomes an output and idles high
 *     161  P4 becomes an output, low
 *     172  P7 becomes an output, high
 *     179  waits for the host: polls SERIAL.STATE, for ever
 *
 * A byte that arrives is read and dropped: the request protocol is not in
 * this image yet. Of RAM, only the two words below 0x20001000 are written.
 *
 * Each step keeps its own symbol, so that a report can say how far the ROM
 * got.
 */
#include "registers.h"

static __attribute__((noinline)) void start_fast_clock(void)
{
  set_bits(CLOCK, CLOCK_FAST_ON);
  while ((load(CLOCK) & CLOCK_FAST_READY) == 0)
    continue;
  store(CLOCK, (load(CLOCK) & ~CLOCK_SELECT) | CLOCK_SELECT_FAST);
}

static __attribute__((noinline)) void open_serial(void)
{
  set_bits(SERIAL_SETUP, SERIAL_ON);
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

static __attribute__((noinline)) void wait_for_host(void)
{
  for (;;) {
    while ((load(SERIAL_STATE) & SERIAL_RECEIVED) == 0)
      continue;
    (void)load(SERIAL_DATA);
  }
}

void rom_entry(void);
void rom_entry(void)
{
  start_fast_clock();
  open_serial();
  drive_pins();
  wait_for_host();
}
