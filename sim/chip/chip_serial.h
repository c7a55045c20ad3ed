/* chip_serial.h -- the serial ports between clock and pins: how long a bit
 * is, what is on the receive pin, what the transmit pin shows.
 *
 * Owns: nothing.
 */
#ifndef CHIP_CHIP_SERIAL_H
#define CHIP_CHIP_SERIAL_H

#include "chip/chip.h"

/* Bring every port up to `now`. True if anything changed. */
bool chip_follow_serial(struct chip *c, struct moment now);

#endif
