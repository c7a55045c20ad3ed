/* session.h -- the boot ROM's side of the protocol (board/protocol.h).
 */
#ifndef ROM_SESSION_H
#define ROM_SESSION_H

#include <stdint.h>

/* Switch every serial port on: its transmit pin is driven, high. */
void open_serial(void);

/* Wait for whoever talks first, on whatever port, and serve it until it has
 * something launched. */
void serve_host(void) __attribute__((noreturn));

/* Leave for a vector table in flash; the image that uses this says how. */
void launch(uint32_t vectors) __attribute__((noreturn));

#endif
