/* session.c -- waits for a host, hears frames, answers them.
 *
 * Everything it remembers is on the stack: of RAM, it uses less than 512
 * bytes below the ROM's first stack pointer, and those only once somebody has
 * talked to it.
 */
#include "session.h"

#include <stdbool.h>

#include "board/protocol.h"
#include "requests.h"
#include "part.h"
#include "registers.h"

/* RFC 1662 3.1, 4.2, C.2. */
#define FLAG           0x7eu
#define ESCAPE         0x7du
#define ESCAPE_FLIP    0x20u
#define FCS_FIRST      0xffffu
#define FCS_GOOD       0xf0b8u
#define FCS_POLYNOMIAL 0x8408u
#define FCS_OCTETS     2u

/* Polls of some 12 cycles. */
#define SILENCE_POLLS (PROTOCOL_SILENCE_MS * CLOCK_KHZ / 12u)

/* What take_octet says instead of an octet. */
#define LOST    256u
#define SILENCE 257u

struct session {
  uint32_t port; /* address of its registers */
  bool greeted;  /* a hello came */
  uint8_t due;   /* the sequence that the next request must have */
  /* the frame that is being heard */
  bool open, escaped, spoilt;
  uint32_t heard; /* octets of it, in `content` and beyond */
  uint32_t check;
  uint8_t content[PROTOCOL_MOST_CONTENT + FCS_OCTETS];
  struct answer answer; /* to the last request, in case it comes again */
  uint8_t answered;     /* its code */
};

static uint32_t port_at(uint32_t number)
{
  return number == 0 ? SERIAL : SERIAL_2;
}

void open_serial(void)
{
  for (uint32_t i = 0; i < SERIAL_PORTS; i++) {
    store(port_at(i) + SERIAL_RATE, SERIAL_DIVIDER);
    set_bits(port_at(i) + SERIAL_SETUP, SERIAL_ON);
  }
}

/* The port on which anything is heard first. */
static __attribute__((noinline)) uint32_t wait_for_host(void)
{
  for (;;)
    for (uint32_t i = 0; i < SERIAL_PORTS; i++)
      if (load(port_at(i) + SERIAL_STATE) & (SERIAL_RECEIVED | SERIAL_BROKEN))
        return port_at(i);
}

static void close_others(uint32_t port)
{
  for (uint32_t i = 0; i < SERIAL_PORTS; i++)
    if (port_at(i) != port) clear_bits(port_at(i) + SERIAL_SETUP, SERIAL_ON);
}

static uint32_t fcs_step(uint32_t fcs, uint32_t octet)
{
  fcs ^= octet;
  for (int bit = 0; bit < 8; bit++)
    fcs = fcs & 1u ? fcs >> 1 ^ FCS_POLYNOMIAL : fcs >> 1;
  return fcs;
}

/* --- the line ------------------------------------------------------------ */

/* For ever where no frame is open. */
static __attribute__((noinline)) uint32_t take_octet(uint32_t port,
                                                     uint32_t polls)
{
  for (;;) {
    uint32_t state = load(port + SERIAL_STATE);
    uint32_t lost = state & (SERIAL_OVERRUN | SERIAL_BROKEN);
    if (lost != 0) {
      store(port + SERIAL_STATE, lost);
      return LOST;
    }
    if (state & SERIAL_RECEIVED) return load(port + SERIAL_DATA);
    if (polls != 0 && --polls == 0) return SILENCE;
  }
}

static void send_octet(uint32_t port, uint32_t octet)
{
  while ((load(port + SERIAL_STATE) & SERIAL_SPACE) == 0)
    pause();
  store(port + SERIAL_DATA, octet);
}

static void send_escaped(uint32_t port, uint32_t octet)
{
  if (octet == FLAG || octet == ESCAPE) {
    send_octet(port, ESCAPE);
    octet ^= ESCAPE_FLIP;
  }
  send_octet(port, octet);
}

static __attribute__((noinline)) void send_answer(const struct session *s)
{
  uint32_t check = FCS_FIRST;
  send_octet(s->port, FLAG);
  for (uint32_t i = 0; i < s->answer.length; i++) {
    check = fcs_step(check, s->answer.content[i]);
    send_escaped(s->port, s->answer.content[i]);
  }
  check ^= 0xffffu;
  send_escaped(s->port, check & 0xffu);
  send_escaped(s->port, check >> 8);
  send_octet(s->port, FLAG);
}

/* --- frames -------------------------------------------------------------- */

static void begin_frame(struct session *s, bool open)
{
  s->open = open;
  s->escaped = s->spoilt = false;
  s->heard = 0;
  s->check = FCS_FIRST;
}

static void keep_octet(struct session *s, uint32_t octet)
{
  if (s->escaped) octet ^= ESCAPE_FLIP;
  s->escaped = false;
  if (s->heard < sizeof s->content)
    s->content[s->heard++] = (uint8_t)octet;
  else
    s->spoilt = true;
  s->check = fcs_step(s->check, octet);
}

/* A good frame has ended: its length without the check; else 0. */
static uint32_t end_frame(const struct session *s)
{
  bool good = s->open && !s->spoilt && !s->escaped &&
              s->heard >= PROTOCOL_REQUEST_HEAD + FCS_OCTETS &&
              s->check == FCS_GOOD;
  return good ? s->heard - FCS_OCTETS : 0;
}

static __attribute__((noinline)) uint32_t hear_frame(struct session *s)
{
  begin_frame(s, false);
  for (;;) {
    uint32_t octet = take_octet(s->port, s->heard > 0 ? SILENCE_POLLS : 0);
    if (octet == SILENCE) {
      begin_frame(s, false);
    } else if (octet == LOST) {
      s->spoilt = true;
    } else if (octet == FLAG) {
      uint32_t length = end_frame(s);
      if (length != 0) return length;
      begin_frame(s, true);
    } else if (octet == ESCAPE && !s->escaped) {
      s->escaped = true;
    } else if (s->open) {
      keep_octet(s, octet);
    }
  }
}

/* --- requests ------------------------------------------------------------ */

/* Prepare the answer to what was heard. False: it was prepared before. */
static bool handle(struct session *s, uint32_t length)
{
  uint8_t code = s->content[0], sequence = s->content[1];
  struct answer *a = &s->answer;
  bool hello = code == PROTOCOL_CODE(PROTOCOL_HELLO);
  bool again = s->greeted && code == s->answered &&
               sequence == a->content[1] && sequence != s->due;
  if (again && !hello) return false;
  a->content[0] = code + PROTOCOL_REPLY;
  a->content[1] = sequence;
  a->length = PROTOCOL_REPLY_HEAD;
  a->vectors = 0;
  if (!hello && !s->greeted) {
    a->content[2] = PROTOCOL_NO_HELLO;
  } else if (!hello && sequence != s->due) {
    a->content[2] = PROTOCOL_SEQUENCE;
  } else {
    s->greeted = true;
    s->due = sequence + 1u;
    s->answered = code;
    a->content[2] = carry_out(s->content, length, a);
    return true;
  }
  s->answered = 0; /* no request has it: not to be repeated */
  return true;
}

/* The answer has left, with its last stop bit, before the ROM does. */
static void leave(const struct session *s)
{
  while ((load(s->port + SERIAL_STATE) & SERIAL_DRAINED) == 0)
    pause();
  launch(s->answer.vectors);
}

void serve_host(void)
{
  struct session s;
  s.port = wait_for_host();
  s.greeted = false;
  s.answered = 0;
  close_others(s.port);
  for (;;) {
    handle(&s, hear_frame(&s));
    send_answer(&s);
    if (s.answer.vectors != 0) leave(&s);
  }
}
