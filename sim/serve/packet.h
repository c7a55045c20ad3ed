/* packet.h -- packets of the GDB Remote Serial Protocol: bytes in, packets
 * out, and back.
 *
 * "$data#sum", where sum is that of all bytes between the two marks, modulo
 * 256, as two hexadecimal digits. A byte of the data that is '#', '$', '}' or,
 * in an answer, '*' travels as '}' and the byte with bit 5 changed. Source:
 * the GDB manual, "Remote Serial Protocol", section Overview.
 *
 * The rule a reader would get wrong: '*' stands for a repetition only in what
 * a server sends. What gdb sends is taken literally; nothing here repeats.
 *
 * Not modelled: notifications ('%'), run-length encoding of answers.
 *
 * Owns, borrows: nothing.
 */
#ifndef SERVE_PACKET_H
#define SERVE_PACKET_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Most bytes of data in a packet, either way, as it travels. */
#define PACKET_BYTES 0x4000u

enum packet_event {
  PACKET_NOTHING,   /* more is to come */
  PACKET_COMPLETE,  /* data and size are set, until the next byte */
  PACKET_BAD_SUM,   /* a packet whose sum is another one, or no number */
  PACKET_TOO_LONG,  /* a whole packet, but without room for it */
  PACKET_ACK,       /* '+' */
  PACKET_AGAIN,     /* '-': the last answer did not arrive */
  PACKET_INTERRUPT, /* 0x03 between packets */
  PACKET_NOISE      /* a byte that begins nothing */
};

enum packet_state { PACKET_BETWEEN, PACKET_DATA, PACKET_SUM_1, PACKET_SUM_2 };

struct packet_reader {
  enum packet_state state;
  bool escaped;  /* the last byte was '}' */
  bool too_long; /* bytes were dropped */
  bool bad;      /* the sum is no number */
  uint8_t sum, told;
  size_t travelled; /* bytes of data as they came */
  size_t size;
  uint8_t data[PACKET_BYTES + 1]; /* a zero byte follows */
};

void packet_reader_init(struct packet_reader *r);

/* Take the next byte. A '$' inside a packet begins another one. */
enum packet_event packet_take(struct packet_reader *r, uint8_t byte);

/* A packet that is being written, or was last. */
struct packet_writer {
  uint8_t sum;
  size_t size;
  uint8_t bytes[PACKET_BYTES + 4]; /* '$' to the last digit of the sum */
};

void packet_begin(struct packet_writer *w);

/* Text without marks, as it is. Asserts that there is room, as the next two
 * do. */
void packet_text(struct packet_writer *w, const char *text);

/* Each byte as two hexadecimal digits. */
void packet_hex(struct packet_writer *w, const uint8_t *bytes, size_t count);

/* Any byte, escaped where it must be. */
void packet_binary(struct packet_writer *w, uint8_t byte);

/* How many bytes fit yet, as they travel. */
size_t packet_room(const struct packet_writer *w);

void packet_end(struct packet_writer *w);

#endif
