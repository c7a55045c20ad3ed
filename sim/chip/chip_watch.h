/* chip_watch.h -- the watchdog and deep sleep, wired to core, pins and resets:
 * a part of chip.c, for size.
 *
 * Owns, borrows: nothing.
 */
#ifndef CHIP_CHIP_WATCH_H
#define CHIP_CHIP_WATCH_H

#include <stdbool.h>

#include "base/units.h"

struct chip;

/* Bring both up to `now`; they may ask for a reset. */
void chip_follow_watchdog(struct chip *c, struct moment now);
void chip_follow_sleep(struct chip *c, struct moment now);

/* The option words in force may start the watchdog. */
void chip_start_watchdog(struct chip *c, bool by_option, struct moment now);

/* A key was written: the right one feeds it. */
void chip_kick_watchdog(struct chip *c, struct moment now);

#endif
