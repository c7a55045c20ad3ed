/* poll.h -- a program that waits: the same read, the same answer, again and
 * again.
 *
 * A wait is POLL_READS reads in a row of one address, from one instruction,
 * with one answer and no other access between them.
 *
 * Not modelled: a wait on several registers in turn; a wait on RAM that an
 * interrupt would change.
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

struct poll {
  addr_t at, pc;
  uint32_t value;
  uint32_t count;
};

void poll_init(struct poll *p);

/* A read happened; true exactly once for each wait: when it is first known
 * to be one. */
bool poll_read(struct poll *p, addr_t at, addr_t pc, uint32_t value);

/* Something else happened: whatever was counted is no wait. */
void poll_break(struct poll *p);

#endif
