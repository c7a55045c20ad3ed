/* serial.h -- one serial port: characters out, characters in.
 *
 *   DATA written --> holding --> shifter --> transmit pin
 *   receive pin  --> samples --> DATA, until it is read
 *
 * Switching it on takes the transmit pin and drives it high, the idle level
 * of an asynchronous line (common practice, no source), and listens on the
 * receive pin. A character is a start bit, eight data bits and a stop bit
 * (base/character.h); how long a bit is, chip.c says from the divider and the
 * core clock, anew for each character.
 *
 * What can be lost is told and kept in a flag that software clears:
 *
 *   overrun   a character came and the one before had not been read; the new
 *             one is dropped
 *   broken    a stop bit was low: another baud rate, or a break; dropped
 *
 * A byte written while the holding register is full replaces the one there.
 *
 * Not modelled: parity, other lengths, a clock that changes in the middle of
 * a character, interrupts.
 *
 * Owns: its fields.
 */
#ifndef CHIP_SERIAL_H
#define CHIP_SERIAL_H

#include <stdbool.h>
#include <stdint.h>

#include "base/character.h"
#include "base/trace.h"
#include "base/units.h"

struct fold;

struct serial {
  uint32_t port; /* number, for the trace */
  bool on;
  uint32_t divider; /* core clock cycles a bit, where the part has a divider */
  bool holds;       /* a byte waits to be sent */
  uint8_t held;
  ps_t held_at;
  struct character_out out;
  struct character_in in;
  bool received; /* a byte waits to be read */
  uint8_t byte;
  bool overrun, broken;
};

void serial_init(struct serial *s, uint32_t port);

/* Switched off, it drops what is under way; the flags and a byte that waits
 * stay. */
void serial_switch(struct serial *s, bool on);

/* The supply went, or the port was switched off: nothing is under way. */
void serial_drop(struct serial *s);

/* A byte to be sent; ignored where the port is off. */
void serial_put(struct serial *s, uint8_t byte, struct moment now,
                struct trace *tr);

/* Take the waiting byte; 0 if there is none. */
uint8_t serial_take(struct serial *s);

/* All that was written has left, its stop bit too. */
bool serial_drained(const struct serial *s);

/* The instant of the next change by itself, or PS_NEVER. A byte that waits
 * for a shifter that is free is due since it was written. */
ps_t serial_next(const struct serial *s);

/* Bring it up to `now`; the receive pin is at `high`; a bit takes `bit`, 0:
 * the divider is 0 and nothing begins. True if anything changed. */
bool serial_advance(struct serial *s, bool high, ps_t bit, struct moment now,
                    struct trace *tr);

/* As it is seen from now (base/fold.h). */
void serial_fold(const struct serial *s, ps_t now, struct fold *f);

#endif
