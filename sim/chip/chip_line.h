/* chip_line.h -- the reset line, wired to resets, boot sequence and flags: a
 * part of chip.c, for size.
 *
 * Owns, borrows: nothing.
 */
#ifndef CHIP_CHIP_LINE_H
#define CHIP_CHIP_LINE_H

#include <stdbool.h>

#include "base/units.h"

struct chip;

/* The part pulls the line, or lets it go as soon as it may. */
void chip_drive_line(struct chip *c, bool low, struct moment now);

/* Bring the line up to `now`. True: something changed. */
bool chip_follow_line(struct chip *c, struct moment now);

#endif
