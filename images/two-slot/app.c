/* app.c -- the application of a slot: a logger that sleeps between samples,
 * and takes an update when one has been delivered.
 *
 * Built twice, for slot A with the first numbers and for slot B with the next:
 * OWN_SLOT and OTHER_SLOT come from build.sh. It wakes once in 4096 clocks by
 * SysTick, which stays masked: a pending interrupt ends WFI all the same (ARM
 * DDI 0419E, A6.7.76 and B1.5.20, from memory).
 */
#include "registers.h"
#include "slot.h"
#include "update.h"

#define LED P5

/* The architecture's own: ARM DDI 0419E B3.3 and B3.2.4. */
#define SYSTICK_CONTROL      0xE000E010u
#define SYSTICK_RELOAD       0xE000E014u
#define SYSTICK_ON           7u /* enable, interrupt, core clock */
#define INTERRUPT_STATE      0xE000ED04u
#define INTERRUPT_CLEAR_TICK (1u << 25)

/* Tenths of a degree for each reading of an invented sensor, a line with a
 * bend: what a logger has in flash besides code. */
#define POINT(n) (int16_t)((n) < 96 ? (n)*5 - 600 : (n)*7 - 792)
#define FOUR(n)  POINT(n), POINT((n) + 1), POINT((n) + 2), POINT((n) + 3)
#define ROW(n)   FOUR(n), FOUR((n) + 4), FOUR((n) + 8), FOUR((n) + 12)

static const int16_t tenths[256] = {ROW(0),   ROW(16),  ROW(32),  ROW(48),
                                    ROW(64),  ROW(80),  ROW(96),  ROW(112),
                                    ROW(128), ROW(144), ROW(160), ROW(176),
                                    ROW(192), ROW(208), ROW(224), ROW(240)};

static volatile int16_t kept[64];
static uint32_t reading = 90;
static uint32_t taken;

int main(void);

static __attribute__((noinline)) void sample(void)
{
  reading = (reading * 5u + 3u) & 255u;
  kept[taken++ % 64u] = tenths[reading];
  store(PINS_OUT, load(PINS_OUT) ^ LED);
}

static __attribute__((noinline)) void sleep_until_tick(void)
{
  __asm__ volatile("wfi");
  store(INTERRUPT_STATE, INTERRUPT_CLEAR_TICK);
}

static void restart(void)
{
  store(AIRCR, AIRCR_KEY | AIRCR_RESET_REQUEST);
  for (;;)
    continue;
}

int main(void)
{
  __asm__ volatile("cpsid i");
  set_bits(PINS_MODE, LED);
  store(SYSTICK_RELOAD, 4095u);
  store(SYSTICK_CONTROL, SYSTICK_ON);
  for (;;) {
    sample();
    if (update_delivered() &&
        update_take(OTHER_SLOT, load(OWN_SLOT + SLOT_SEQUENCE) + 1u))
      restart();
    sleep_until_tick();
  }
}
