/* main.c -- the application: a battery-fitted cold-chain logger.
 *
 * Takes a box temperature, keeps the last 256 in RAM with the lowest and the
 * highest, counts those above the limit, and toggles the status LED on P5
 * once a sample. The sensor is invented: a walk that begins at -18.5 degrees,
 * the same after every start.
 *
 * A sample is due every 3200 rounds of a delay loop: 16000 cycles on a
 * Cortex-M0 without wait states, 2 ms at 8 MHz. A real logger would sleep for
 * minutes; here a trace of a few milliseconds is to hold several samples.
 *
 * Built several times: logger at the base of flash, logger-with-lines the
 * same with DWARF, logger-at-offset at 0x04002000, logger-headed behind a
 * header that a boot ROM checks, logger-headed-wrong with a wrong CRC there.
 */
#include <stdint.h>

#include "registers.h"

#define LED            P5
#define SAMPLES_KEPT   256u
#define PAUSE_ROUNDS   3200u
#define WARM_TENTHS    (-150) /* goods must stay below -15.0 degrees */
#define BOX_MIN_TENTHS (-220)
#define BOX_MAX_TENTHS (-140)

/* Written by every sample and not zero at the start: they live in .data. */
static int32_t box_tenths = -185;
static uint32_t noise = 2718281828u;
static int16_t lowest_tenths = INT16_MAX;
static int16_t highest_tenths = INT16_MIN;

/* Read out through the debug port only, so the compiler must not see that
 * nothing here reads it. */
static volatile int16_t kept[SAMPLES_KEPT];
static uint32_t samples_taken;
static uint32_t samples_warm;

int main(void);

/* Multiplier and increment of the example generator in ISO/IEC 9899:2011,
 * 7.22.2.2 (from memory). Its upper bits are the better ones. */
static uint32_t next_noise(void)
{
  noise = noise * 1103515245u + 12345u;
  return noise >> 28;
}

static __attribute__((noinline)) int16_t read_temperature(void)
{
  uint32_t drawn = next_noise();
  int32_t step = (int32_t)(drawn >> 2) - (int32_t)(drawn & 3u);
  if (box_tenths > BOX_MAX_TENTHS) step = -2;
  if (box_tenths < BOX_MIN_TENTHS) step = 2;
  box_tenths += step;
  return (int16_t)box_tenths;
}

static __attribute__((noinline)) void keep_sample(int16_t tenths)
{
  kept[samples_taken % SAMPLES_KEPT] = tenths;
  samples_taken++;
  if (tenths < lowest_tenths) lowest_tenths = tenths;
  if (tenths > highest_tenths) highest_tenths = tenths;
  if (tenths > WARM_TENTHS) samples_warm++;
}

static void toggle_led(void)
{
  store(PINS_OUT, load(PINS_OUT) ^ LED);
}

/* The empty statement has an effect as far as the compiler knows. */
static __attribute__((noinline)) void pause(void)
{
  for (uint32_t left = PAUSE_ROUNDS; left != 0; left--)
    __asm__ volatile("");
}

int main(void)
{
  set_bits(PINS_MODE, LED);
  for (;;) {
    keep_sample(read_temperature());
    toggle_led();
    pause();
  }
}
