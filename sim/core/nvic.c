#include "core/nvic.h"

#include <string.h>

#define PRIORITY_NMI (-2)

#define V6M_PRIORITY_BITS  2u
#define V7M_PRIORITY_LEAST 3u

#define WORDS (sizeof(((struct exception_set *)0)->words) / sizeof(uint64_t))

bool nvic_is_empty(const struct exception_set *set)
{
  uint64_t any = 0;
  for (unsigned i = 0; i < WORDS; i++)
    any |= set->words[i];
  return any == 0;
}

unsigned nvic_count(const struct exception_set *set)
{
  unsigned count = 0;
  for (unsigned i = 0; i < WORDS; i++)
    for (uint64_t left = set->words[i]; left != 0; left &= left - 1)
      count++;
  return count;
}

void nvic_reset(struct core *c)
{
  static const unsigned always[] = {EXCEPTION_NMI,    EXCEPTION_HARDFAULT,
                                    EXCEPTION_SVCALL, EXCEPTION_MONITOR,
                                    EXCEPTION_PENDSV, EXCEPTION_SYSTICK};
  memset(&c->active, 0, sizeof(c->active));
  memset(&c->pending, 0, sizeof(c->pending));
  memset(&c->enabled, 0, sizeof(c->enabled));
  memset(c->priority, 0, sizeof(c->priority));
  c->priority_group = 0;
  for (unsigned i = 0; i < sizeof(always) / sizeof(always[0]); i++)
    nvic_add(&c->enabled, always[i]);
}

uint8_t nvic_priority_bits(const struct part_core *part)
{
  unsigned bits = part->priority_bits;
  if (part->kind < CORE_KIND_M3)
    bits = V6M_PRIORITY_BITS;
  else if (bits < V7M_PRIORITY_LEAST)
    bits = V7M_PRIORITY_LEAST;
  return (uint8_t)(0xff00u >> bits);
}

bool nvic_can_pend(const struct core *c, unsigned number)
{
  if (number >= EXCEPTION_IRQ0)
    return number - EXCEPTION_IRQ0 < c->part->interrupts;
  return number == EXCEPTION_NMI || number == EXCEPTION_PENDSV ||
         number == EXCEPTION_SYSTICK;
}

/* The bits of a priority that make its group. */
static unsigned group_mask(const struct core *c)
{
  return ~((2u << c->priority_group) - 1) & 0xffu;
}

int nvic_priority_of(const struct core *c, unsigned number)
{
  if (number == EXCEPTION_NMI) return PRIORITY_NMI;
  if (number == EXCEPTION_HARDFAULT) return NVIC_PRIORITY_HARDFAULT;
  return (int)(c->priority[number] & group_mask(c));
}

int nvic_active_priority(const struct core *c)
{
  int least = NVIC_PRIORITY_NONE;
  for (unsigned i = 0; i < WORDS; i++) {
    for (uint64_t left = c->active.words[i]; left != 0; left &= left - 1) {
      unsigned number = 64 * i + (unsigned)__builtin_ctzll(left);
      int priority = nvic_priority_of(c, number);
      if (priority < least) least = priority;
    }
  }
  return least;
}

static int masked(const struct core *c, bool ignore_mask)
{
  int least = nvic_active_priority(c);
  int base = (int)(c->basepri & group_mask(c));
  if (c->basepri != 0 && base < least) least = base;
  if (ignore_mask) return least;
  if (c->primask && least > 0) least = 0;
  if (c->faultmask && least > NVIC_PRIORITY_HARDFAULT)
    least = NVIC_PRIORITY_HARDFAULT;
  return least;
}

int nvic_priority(const struct core *c)
{
  return masked(c, false);
}

/* The whole priority, which orders those that wait. */
static int order_of(const struct core *c, unsigned number)
{
  return number <= EXCEPTION_HARDFAULT ? nvic_priority_of(c, number)
                                       : (int)c->priority[number];
}

/* Held back by C_MASKINTS, which leaves faults, SVCall and NMI alone. */
static bool held_by_debugger(const struct core *c, unsigned number)
{
  return c->debug_mask && c->debug_enabled && (number >= EXCEPTION_PENDSV);
}

static unsigned first_waiting(const struct core *c, bool hold)
{
  unsigned found = 0;
  int best = NVIC_PRIORITY_NONE;
  for (unsigned i = 0; i < WORDS; i++) {
    uint64_t left = c->pending.words[i] & c->enabled.words[i];
    for (; left != 0; left &= left - 1) {
      unsigned number = 64 * i + (unsigned)__builtin_ctzll(left);
      if (order_of(c, number) >= best) continue;
      if (hold && held_by_debugger(c, number)) continue;
      best = order_of(c, number);
      found = number;
    }
  }
  return found;
}

unsigned nvic_most_urgent(const struct core *c)
{
  return first_waiting(c, false);
}

unsigned nvic_next(const struct core *c, bool ignore_mask)
{
  if (nvic_is_empty(&c->pending)) return 0;
  unsigned number = first_waiting(c, true);
  if (number == 0) return 0;
  return nvic_priority_of(c, number) < masked(c, ignore_mask) ? number : 0;
}
