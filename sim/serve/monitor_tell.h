/* monitor_tell.h -- the part's state in words, for gdb's `monitor`; nobody
 * else.
 *
 * Owns, borrows: nothing.
 */
#ifndef SERVE_MONITOR_TELL_H
#define SERVE_MONITOR_TELL_H

#include <stdio.h>

#include "serve/target.h"

/* "halted at 0x06000140 rom_entry in rom, start 3 (pin), at
 * 30.91 ms" */
void monitor_tell_place(struct target *t, FILE *to);

/* The table that the report of a run has. */
void monitor_tell_starts(struct target *t, FILE *to);

/* With what refreshes it, if it is stale. */
void monitor_tell_latch(struct target *t, FILE *to);

void monitor_tell_state(struct target *t, FILE *to);

#endif
