/* registers.h -- the register map that the images use: that of the invented
 * parts in models/.
 *
 * The rule a reader would get wrong: PINS, SERIAL and CLOCK are the same on
 * every part, so rom and logger run on all of them; CAUSE and FLASHCTL are
 * not. What is only true of one part carries its name, LATCHED_, CLEARABLE_
 * (latched-clearable) or ROM_FIRST_, and images that use it belong to that
 * part.
 *
 *   0x04000000  flash, at least 48 KiB
 *   0x06000000  boot ROM, 8 KiB
 *   0x20000000  RAM, at least 6 KiB
 *   0x44000000  FLASHCTL: unlock, orders, latch, option cells
 *   0x44001000  RESETS: causes of the last resets, clock
 *   0x44002000  WATCHDOG, of latched-clearable
 *   0x44010000  PINS: one bit a pin
 *   0x44020000  SERIAL: transmit on P9, receive on P10
 *   0x44021000  SERIAL_2, where there is one: P11 and P13
 */
#ifndef IMAGES_REGISTERS_H
#define IMAGES_REGISTERS_H

#include <stdint.h>

#define FLASH_BASE 0x04000000u

/* Boot ROM: its first two words are its stack pointer and its entry. */
#define ROM_BASE 0x06000000u

/* RESETS, on every part. */
#define CLOCK             0x44001004u
#define CLOCK_FAST_ON     (1u << 0)
#define CLOCK_FAST_READY  (1u << 1) /* read only */
#define CLOCK_SELECT      (3u << 4) /* which source drives the core */
#define CLOCK_SELECT_FAST (1u << 4)

/* PINS, on every part: bit n is pin Pn. */
#define PINS_MODE 0x44010000u /* 1: output */
#define PINS_OUT  0x44010004u /* level of an output */
#define P4        (1u << 4)
#define P5        (1u << 5)
#define P6        (1u << 6)
#define P7        (1u << 7)

/* SERIAL, on every part. */
#define SERIAL          0x44020000u
#define SERIAL_2        0x44021000u
#define SERIAL_SETUP    0x00u     /* from SERIAL */
#define SERIAL_ON       (1u << 0) /* P9 is driven, high while idle */
#define SERIAL_STATE    0x04u
#define SERIAL_RECEIVED (1u << 0) /* a byte is in DATA; reading it clears */
#define SERIAL_SPACE    (1u << 1) /* DATA takes a byte */
#define SERIAL_DRAINED  (1u << 2) /* the last stop bit has left */
#define SERIAL_OVERRUN  (1u << 3) /* a byte was lost; cleared by writing 1 */
#define SERIAL_BROKEN   (1u << 4) /* a stop bit was low; the same */
#define SERIAL_DATA     0x08u
#define SERIAL_RATE     0x0Cu /* core clock cycles a bit */

/* models/latched.json */
#define LATCHED_FLASH_KEY          0x44000000u /* both keys, in this order */
#define LATCHED_FLASH_KEY_1        0x5EC0DE01u
#define LATCHED_FLASH_KEY_2        0x1D0FF5E7u
#define LATCHED_FLASH_ORDER        0x44000004u
#define LATCHED_FLASH_ORDER_RELOAD (1u << 8) /* then a reset */
#define LATCHED_CAUSE              0x44001000u
#define LATCHED_CAUSE_RELOAD       (1u << 2)

/* models/latched-clearable.json */
#define CLEARABLE_FLASH_KEY        0x44000000u /* both keys, in this order */
#define CLEARABLE_FLASH_KEY_1      0x7E41B0C9u
#define CLEARABLE_FLASH_KEY_2      0x93D6285Fu
#define CLEARABLE_FLASH_STATE      0x44000004u
#define CLEARABLE_FLASH_BUSY       (1u << 0)
#define CLEARABLE_FLASH_REFUSED    (1u << 8)
#define CLEARABLE_FLASH_ORDER      0x44000008u
#define CLEARABLE_FLASH_PROGRAM    (1u << 0)
#define CLEARABLE_FLASH_ERASE_PAGE (1u << 4)
#define CLEARABLE_FLASH_LOCK       (1u << 16)
#define CLEARABLE_FLASH_TARGET     0x4400000Cu
#define CLEARABLE_FLASH_DATA       0x44000010u /* four words */
#define CLEARABLE_LATCH            0x44000020u /* key and bit in one write */
#define CLEARABLE_LATCH_KEY        (0xB16Cu << 16)
#define CLEARABLE_LATCH_PROGRAMMED (1u << 0)
#define CLEARABLE_CAUSE            0x44001010u
#define CLEARABLE_CAUSE_CLEAR      (1u << 0)
#define CLEARABLE_CAUSE_WATCHDOG   (1u << 11)
#define CLEARABLE_CAUSE_SOFTWARE   (1u << 12)
#define CLEARABLE_CAUSE_DEEP_SLEEP (1u << 14)
#define CLEARABLE_WAKE             0x44001014u /* timer, and ticks of it */
#define CLEARABLE_WAKE_TIMER       (1u << 0)
#define CLEARABLE_WAKE_TICKS       8u /* where they begin */
#define CLEARABLE_WATCHDOG_START   0x44002000u
#define CLEARABLE_WATCHDOG_KEY     0x3D57A9E1u
#define CLEARABLE_WATCHDOG_KICK    0x44002004u
#define CLEARABLE_WATCHDOG_FOOD    0x6B21F07Cu
#define CLEARABLE_WATCHDOG_RELOAD  0x44002008u
#define CLEARABLE_FLASH_KEY        0x44000000u /* both keys, in this order */
#define CLEARABLE_FLASH_KEY_1      0x7E41B0C9u
#define CLEARABLE_FLASH_KEY_2      0x93D6285Fu
#define CLEARABLE_FLASH_STATE      0x44000004u
#define CLEARABLE_FLASH_BUSY       (1u << 0)
#define CLEARABLE_FLASH_ORDER      0x44000008u
#define CLEARABLE_FLASH_ERASE_PAGE (1u << 4)
#define CLEARABLE_FLASH_TARGET     0x4400000Cu
#define CLEARABLE_FLASH_LAST_PAGE  0x04017800u

/* models/rom-first.json */
#define ROM_FIRST_FLASH_BYTES (80u << 10)

/* The architecture's own: ARM DDI 0419E B3.2.5 and B3.2.6. */
#define VECTOR_BASE         0xE000ED08u /* VTOR */
#define AIRCR               0xE000ED0Cu
#define AIRCR_KEY           (0x05FAu << 16)
#define AIRCR_RESET_REQUEST (1u << 2)   /* SYSRESETREQ */
#define SYSTEM_CONTROL      0xE000ED10u /* SCR */
#define SLEEPDEEP           (1u << 2)

static inline uint32_t load(uint32_t at)
{
  return *(const volatile uint32_t *)at;
}

static inline void store(uint32_t at, uint32_t value)
{
  *(volatile uint32_t *)at = value;
}

static inline void set_bits(uint32_t at, uint32_t bits)
{
  store(at, load(at) | bits);
}

static inline void clear_bits(uint32_t at, uint32_t bits)
{
  store(at, load(at) & ~bits);
}

#endif
