/* poll.h -- a program that waits: the same reads, the same answers, again and
 * again.
 *
 * A wait is POLL_READS rounds of the same reads: one address from one
 * instruction with one answer, or a few of them in turn, as a program does
 * that listens to several ports. Nothing else is accessed between them. The
 * first read of a round may be any of them: a round is found by its length.
 *
 * The rule a reader would get wrong: what ends a wait is a write. A byte that
 * comes, is read and is dropped does not, so a program that goes back to the
 * same poll is not told of again.
 *
 * Not modelled: a wait on more than POLL_ROUND reads in turn; a wait on RAM
 * that an interrupt would change.
 *
 * Owns: its fields.
 */
#ifndef CHIP_POLL_H
#define CHIP_POLL_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"

/* Assumed: more than any polite retry count before a time-out is noticed,
 * few enough to be told within some ten microseconds. */
#define POLL_READS 64

/* The most reads in turn that are known as one wait. Assumed. */
#define POLL_ROUND 4

struct poll_read {
  addr_t at, pc;
  uint32_t value;
};

struct poll {
  struct poll_read last[POLL_ROUND]; /* the newest first */
  uint32_t count;                    /* of them that are there */
  uint32_t alike[POLL_ROUND]; /* reads in a row that were as the one that many
                                 plus one before */
  addr_t told_at, told_pc;    /* the wait that was told last ... */
  bool told;                  /* ... and that nothing has ended since */
};

void poll_init(struct poll *p);

/* A read happened; true exactly once for each wait: when it is first known
 * to be one. */
bool poll_read(struct poll *p, addr_t at, addr_t pc, uint32_t value);

/* Something else happened: whatever was counted is no wait. */
void poll_break(struct poll *p);

#endif
