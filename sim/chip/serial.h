/* serial.h -- the serial port as the boot ROM sees it.
 *
 * Switching it on takes the transmit pin and drives it high, the idle level
 * of an asynchronous line (common practice, no source). Bytes sent are
 * taken at once; a received byte waits until it is read.
 *
 * Not modelled: bit times, framing, parity, overrun.
 *
 * Owns: its fields.
 */
#ifndef CHIP_SERIAL_H
#define CHIP_SERIAL_H

#include <stdbool.h>
#include <stdint.h>

struct serial {
  bool on;
  bool received; /* a byte waits */
  uint8_t byte;
};

void serial_init(struct serial *s);

/* Take the waiting byte; 0 if there is none. */
uint8_t serial_take(struct serial *s);

#endif
