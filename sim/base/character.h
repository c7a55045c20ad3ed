/* character.h -- one asynchronous character on a line: a start bit (low),
 * eight data bits, the lowest first, one stop bit (high); no parity. The line
 * idles high (common practice, no source).
 *
 *   high  ------.     .--0--.--1-- .. --7--.-----------
 *   low          `----'                    stop
 *               begin  +1 bit              +9   +10: free again
 *   samples:        ^     ^                   ^
 *                  +0.5  +1.5  ...          +9.5 bits of the listener's own
 *
 * Either end has its own idea of how long a bit is. So a baud rate that is
 * off shifts the samples, and where the tenth falls outside the stop bit the
 * character is broken: the tolerance is computed, not stated.
 *
 * The rule a reader would get wrong: a listener only begins at a falling
 * edge. A line that is low when it looks first, or stays low after a broken
 * character, must go high before anything is heard again.
 *
 * Not modelled: noise, slew, several samples a bit, the granularity of an
 * oversampling clock.
 *
 * Owns: its fields.
 */
#ifndef BASE_CHARACTER_H
#define BASE_CHARACTER_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"

struct fold;

/* A character on its way out. */
struct character_out {
  bool busy;
  uint32_t cells;      /* what is left of the ten, the present one lowest */
  uint32_t cells_left; /* 1 to 10 while busy */
  ps_t begun, bit;
  ps_t next; /* the next edge, or the end; PS_NEVER if not busy */
};

void character_out_init(struct character_out *c);

/* Begin a character now. Asserts that none is under way and bit > 0. */
void character_send(struct character_out *c, uint8_t byte, ps_t bit, ps_t now);

/* The level of the line; high where nothing is sent. */
bool character_level(const struct character_out *c);

/* Bring it up to `now`. True if the level changed, or it ended. */
bool character_out_advance(struct character_out *c, ps_t now);

/* A character on its way in. */
struct character_in {
  bool listening; /* the line was high, and nothing is under way */
  bool busy;
  uint32_t taken; /* samples so far */
  uint32_t cells;
  ps_t begun, bit;
  ps_t next; /* the next sample, or PS_NEVER */
};

enum character_news {
  CHARACTER_NONE,
  CHARACTER_BYTE,  /* a whole one: character_byte */
  CHARACTER_BROKEN /* its stop bit was low */
};

void character_in_init(struct character_in *c);

/* The line is at `high` now; to be told at each instant at which it may have
 * changed, and at `next`. `bit` is used where a character begins here; 0
 * there: it can't. */
enum character_news character_hear(struct character_in *c, bool high, ps_t bit,
                                   ps_t now);

/* The last whole one. */
uint8_t character_byte(const struct character_in *c);

/* As it is seen from now (base/fold.h). */
void character_out_fold(const struct character_out *c, ps_t now,
                        struct fold *f);

/* As it is seen from now (base/fold.h). */
void character_in_fold(const struct character_in *c, ps_t now, struct fold *f);

#endif
