/* nvic.h -- which exception comes next: sets, priorities, masks.
 *
 * A priority is a byte of which the part implements the upper bits; lower is
 * more urgent. Its upper part, the group, decides who preempts; the rest
 * orders exceptions that wait together (v7-M; one group on v6-M).
 *
 * The rule a reader would get wrong: a pending interrupt that is not enabled
 * is pending and nothing else: it is not taken, wakes nobody and is not shown
 * as the next one.
 *
 * Source: ARM DDI 0419E B1.5.4, B3.4; v7-M (BASEPRI, FAULTMASK, PRIGROUP) from
 * memory of ARM DDI 0403E B1.5.4.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_NVIC_H
#define CORE_NVIC_H

#include <stdbool.h>
#include <stdint.h>

#include "core/core.h"

/* More urgent than anything that can be set; less urgent than all. */
#define NVIC_PRIORITY_HARDFAULT (-1)
#define NVIC_PRIORITY_NONE      256

static inline bool nvic_has(const struct exception_set *set, unsigned number)
{
  return (set->words[number / 64] >> (number % 64)) & 1u;
}

static inline void nvic_add(struct exception_set *set, unsigned number)
{
  set->words[number / 64] |= UINT64_C(1) << (number % 64);
}

static inline void nvic_remove(struct exception_set *set, unsigned number)
{
  set->words[number / 64] &= ~(UINT64_C(1) << (number % 64));
}

bool nvic_is_empty(const struct exception_set *set);
unsigned nvic_count(const struct exception_set *set);

/* As after a reset: nothing active or pending, interrupts disabled. */
void nvic_reset(struct core *c);

/* Bits of a priority byte that are there. */
uint8_t nvic_priority_bits(const struct part_core *part);

/* The exception exists on this core and can be made pending from outside or
 * by a program. */
bool nvic_can_pend(const struct core *c, unsigned number);

/* The group priority of one; of the most urgent active one; and of what is
 * executing, with PRIMASK, FAULTMASK and BASEPRI. */
int nvic_priority_of(const struct core *c, unsigned number);
int nvic_active_priority(const struct core *c);
int nvic_priority(const struct core *c);

/* The pending exception that is taken at the next boundary, or 0. With
 * `ignore_mask` as if PRIMASK were clear: what ends a WFI. */
unsigned nvic_next(const struct core *c, bool ignore_mask);

/* The most urgent pending and enabled one, taken or not, or 0. */
unsigned nvic_most_urgent(const struct core *c);

#endif
