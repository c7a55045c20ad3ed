/* loader.c -- the loader at the base of flash: starts the valid slot with the
 * higher sequence.
 *
 * The higher one is checked first, and the other only if it is not valid. A
 * read of cells that the flash's ECC can't correct may be a fault: the slot
 * that was being checked is noted in RAM, and after a software reset it counts
 * as not valid. Without a valid slot the boot ROM is entered: a host can mend
 * it.
 */
#include <stdbool.h>

#include "enter.h"
#include "registers.h"
#include "slot.h"
#include "sum.h"

int main(void);
void hard_fault(void);
void prepare(void);

static uint32_t other(uint32_t slot)
{
  return slot == SLOT_A ? SLOT_B : SLOT_A;
}

/* The slot is noted before it is read: a fault comes back here. */
static bool is_noted(uint32_t slot)
{
  return load(NOTE) == (NOTE_MAGIC ^ slot);
}

static __attribute__((noinline)) bool is_valid(uint32_t slot)
{
  if (is_noted(slot)) return false;
  store(NOTE + NOTE_SLOT, slot);
  uint32_t length = load(slot + SLOT_LENGTH);
  return load(slot) == SLOT_MAGIC && length >= 8u &&
         length <= SLOT_BYTES - SLOT_IMAGE && length % 16u == 0 &&
         load(slot + SLOT_SUM) ==
             sum_of((const volatile uint32_t *)(slot + SLOT_IMAGE), length);
}

/* Erased or torn numbers are as good as any: the check comes behind. */
static __attribute__((noinline)) uint32_t higher(void)
{
  if (is_noted(SLOT_A)) return SLOT_B;
  store(NOTE + NOTE_SLOT, SLOT_B);
  if (is_noted(SLOT_B)) return SLOT_A;
  uint32_t b = load(SLOT_B + SLOT_SEQUENCE);
  store(NOTE + NOTE_SLOT, SLOT_A);
  uint32_t a = load(SLOT_A + SLOT_SEQUENCE);
  return b != UINT32_MAX && b > a ? SLOT_B : SLOT_A;
}

static __attribute__((noreturn)) void start_slot(uint32_t slot)
{
  store(NOTE, 0);
  store(VECTOR_BASE, slot + SLOT_IMAGE);
  __asm__ volatile("dsb" ::: "memory");
  enter(load(slot + SLOT_IMAGE), load(slot + SLOT_IMAGE + 4u));
}

/* Both noted one after the other would begin again and again: then the note
 * says so, and none is valid. */
void hard_fault(void)
{
  uint32_t slot = load(NOTE + NOTE_SLOT);
  store(NOTE, is_noted(other(slot)) ? 0 : NOTE_MAGIC ^ slot);
  if (load(NOTE) == 0) enter(load(ROM_BASE), load(ROM_BASE + 4u));
  store(AIRCR, AIRCR_KEY | AIRCR_RESET_REQUEST);
  for (;;)
    continue;
}

/* Everything is done before main, so that `main` is the application's. */
void prepare(void)
{
  uint32_t slot = higher();
  if (is_valid(slot)) start_slot(slot);
  if (is_valid(other(slot))) start_slot(other(slot));
  store(NOTE, 0);
  enter(load(ROM_BASE), load(ROM_BASE + 4u));
}

int main(void)
{
  for (;;)
    continue;
}
