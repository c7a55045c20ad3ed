/* rom.c -- the boot ROM of models/rom-first.json: it runs after every reset,
 * and checks what is in flash by itself.
 *
 *   1  reads the header at the base of flash (header.h)
 *   2  computes the CRC of the image behind it, on the clock of after reset
 *   3  if it is right: makes the image's vectors the vector base, takes stack
 *      pointer and entry from them, and leaves; no pin was driven
 *   4  if not: opens the serial port (P9 is driven), waits for the host and
 *      serves it (../rom/session.c), still on the clock of after reset
 *
 * A launch goes the way of 3, to whatever vectors the host names.
 *
 * Each step keeps its own symbol, so that a report can say how far the ROM
 * got.
 */
#include <stdbool.h>

#include "crc32.h"
#include "enter.h"
#include "header.h"
#include "registers.h"
#include "session.h"

#define IMAGE (FLASH_BASE + HEADER_BYTES)

/* A stack pointer and an entry are the least; the rest fits the flash. */
static bool is_length(uint32_t length)
{
  return length >= 8u && length % 4u == 0 &&
         length <= ROM_FIRST_FLASH_BYTES - HEADER_BYTES;
}

static __attribute__((noinline)) uint32_t crc_of_image(uint32_t length)
{
  return crc32((const uint8_t *)IMAGE, length);
}

static __attribute__((noinline)) bool image_is_right(void)
{
  uint32_t length = load(FLASH_BASE + HEADER_LENGTH);
  return load(FLASH_BASE) == HEADER_MAGIC && is_length(length) &&
         load(FLASH_BASE + HEADER_CRC) == crc_of_image(length);
}

/* The barrier: the image's first exception finds the new base. */
static __attribute__((noinline, noreturn)) void start_image(uint32_t vectors)
{
  store(VECTOR_BASE, vectors);
  __asm__ volatile("dsb" ::: "memory");
  enter(load(vectors), load(vectors + 4u));
}

void launch(uint32_t vectors)
{
  start_image(vectors);
}

void rom_entry(void);
void rom_entry(void)
{
  if (image_is_right()) start_image(IMAGE);
  open_serial();
  serve_host();
}
