/* main.c -- a program for a part that nobody has described.
 *
 * What start-up code does on parts of every maker, on registers invented
 * here: an oscillator that becomes ready, a source that takes over, a
 * calibration that ends by itself, an oscillator that stops, a status of
 * several bits. After each loop the register is read again, as careful code
 * does; a wrong answer leads to `unfit`. Then it blinks.
 *
 * No part file knows these registers: they are to be found out. Which bits
 * they are is said here and in tests/test_stranger.c, nowhere else.
 *
 *   0x40200000  CLOCKS: one word each for control, selection, calibration
 *   0x40210000  SUPPLY: status
 *   0x40300000  OUTPUTS: direction, level
 *   0x40220000  PORT: status, data; a byte from outside is awaited there
 *
 * Built four times: at 0, at 0x10000000, over two flashes, and as
 * stranger-listens, which ends by waiting at PORT.
 */
#include <stdint.h>

#include "registers.h"

#define CLOCKS_CONTROL     0x40200000u
#define FIRST_ON           (1u << 3)
#define FIRST_READY        (1u << 12)
#define SECOND_ON          (1u << 16)
#define SECOND_READY       (1u << 30)
#define CLOCKS_SELECTION   0x40200004u
#define SELECT             (3u << 8) /* the source that is asked for */
#define SELECT_SECOND      (2u << 8)
#define SELECTED           (3u << 20) /* the one in use */
#define SELECTED_SECOND    (2u << 20)
#define CLOCKS_CALIBRATION 0x40200008u
#define CALIBRATE          (1u << 5) /* 0 again at its end */
#define TRIM               (0x2au << 8)

#define SUPPLY_STATUS 0x40210000u
#define SUPPLY_RIGHT  (1u << 7 | 1u << 18)

#define OUTPUTS_DIRECTION 0x40300000u
#define OUTPUTS_LEVEL     0x40300004u
#define LAMP              (1u << 6)

#define PORT_STATUS   0x40220000u
#define PORT_RECEIVED (1u << 4)
#define PORT_DATA     0x40220004u

#define BLINKS 5u

int main(void);
void unfit(void);
void main_loop(void);

/* A watched place: something was not as it must be. */
__attribute__((noinline)) void unfit(void)
{
  for (;;)
    __asm__ volatile("");
}

static void start_first(void)
{
  set_bits(CLOCKS_CONTROL, FIRST_ON);
  while ((load(CLOCKS_CONTROL) & FIRST_READY) == 0)
    continue;
  if (load(CLOCKS_CONTROL) != (FIRST_ON | FIRST_READY)) unfit();
}

/* What was asked for must be read back unchanged. */
static void select_second(void)
{
  set_bits(CLOCKS_CONTROL, SECOND_ON);
  while ((load(CLOCKS_CONTROL) & SECOND_READY) == 0)
    continue;
  store(CLOCKS_SELECTION, SELECT_SECOND);
  while ((load(CLOCKS_SELECTION) & SELECTED) != SELECTED_SECOND)
    continue;
  if ((load(CLOCKS_SELECTION) & SELECT) != SELECT_SECOND) unfit();
}

static void calibrate(void)
{
  for (uint32_t rounds = 2; rounds != 0; rounds--) {
    store(CLOCKS_CALIBRATION, TRIM | CALIBRATE);
    while ((load(CLOCKS_CALIBRATION) & CALIBRATE) != 0)
      continue;
    if (load(CLOCKS_CALIBRATION) != TRIM) unfit();
  }
}

static void stop_first(void)
{
  clear_bits(CLOCKS_CONTROL, FIRST_ON);
  while ((load(CLOCKS_CONTROL) & FIRST_READY) != 0)
    continue;
  if ((load(CLOCKS_CONTROL) & SECOND_READY) == 0) unfit();
}

static void await_supply(void)
{
  while ((load(SUPPLY_STATUS) & SUPPLY_RIGHT) != SUPPLY_RIGHT)
    continue;
  if (load(SUPPLY_STATUS) != SUPPLY_RIGHT) unfit();
}

/* In the second flash, where there is one. */
static __attribute__((noinline, section(".text.second"))) void blink(void)
{
  store(OUTPUTS_DIRECTION, LAMP);
  for (uint32_t left = BLINKS; left != 0; left--)
    store(OUTPUTS_LEVEL, load(OUTPUTS_LEVEL) ^ LAMP);
}

#ifdef LISTENS
/* Bytes come from outside; nothing here asks for them. */
static uint32_t sum;

__attribute__((noinline)) void main_loop(void)
{
  for (;;) {
    while ((load(PORT_STATUS) & PORT_RECEIVED) == 0)
      continue;
    sum += load(PORT_DATA);
  }
}
#else
/* Asleep for good. */
__attribute__((noinline)) void main_loop(void)
{
  for (;;)
    __asm__ volatile("wfi");
}
#endif

int main(void)
{
  start_first();
  select_second();
  calibrate();
  stop_first();
  await_supply();
  blink();
  main_loop();
  return 0;
}
