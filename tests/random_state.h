/* random_state.h -- random parts, memories and states of a core.
 *
 * A bench of bench_core.h with two more regions: `near` ends where the device
 * begins and can't be executed from; `next` begins where flash ends. The
 * device stalls, faults, asks for attention, lowers the deadline or makes
 * exceptions pending, as the address has it.
 *
 * The same dice, the same states, on any machine.
 */
#ifndef TESTS_RANDOM_STATE_H
#define TESTS_RANDOM_STATE_H

#include <stdbool.h>
#include <stdint.h>

#include "bench_core.h"

#define NEAR      (DEVICE - 0x400u)
#define NEAR_SIZE 0x400u
#define NEXT      (FLASH + FLASH_SIZE)
#define NEXT_SIZE 0x400u

enum { IN_NEAR = REGIONS, IN_NEXT, RANDOM_REGIONS };

struct dice {
  uint64_t state; /* not 0 */
  bool tame;      /* the last world has code that rarely faults */
};

#define RANDOM_REQUESTS 3u

struct random_state {
  struct core core;
  bool alone;   /* the engine, without what core.c does around it */
  bool stretch; /* more than one instruction, from flash */
  cycle_t until;
  struct {
    cycle_t at; /* in ascending order */
    unsigned number;
  } requests[RANDOM_REQUESTS]; /* exceptions made pending from outside */
  unsigned request_count;
  uint32_t tick;    /* SysTick interrupts each so many cycles; 0: never */
  uint16_t code[2]; /* to be put where PC is */
};

/* A bench to copy: part, bus (without an engine and without bytes of `near`
 * and `next`) and the contents of the other memories. */
struct bench *random_world(struct dice *d);

/* A running core of that world. Half of it are pointers: into every region,
 * about their ends, odd ones too. */
struct random_state random_state(struct dice *d, const struct bench *world);

#endif
