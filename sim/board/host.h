/* host.h -- a computer at the far end of a serial line: it asks, the boot ROM
 * answers (board/protocol.h).
 *
 *   IDLE --(host_ask, host_say)--> SENDING --(last stop bit)--> LISTENING
 *    ^                                ^                            |
 *    +--(answer; or out of tries)-----|----------------------------+
 *                                     +---(silence, a try is left)-+
 *
 * The host has a clock of its own: its bits last what its baud rate says,
 * whatever the part's do. It goes by the level of its pins, so a crossed
 * line, a neighbour on the same net or a part without supply need no rule of
 * their own.
 *
 * The rule a reader would get wrong: a host that is plugged in drives its
 * line high while it is idle, also into a part that is off. Only unplugging
 * ends that.
 *
 * Not modelled: flow control, a baud rate that is found by trying, echo.
 *
 * Owns: its fields. Borrows: the script; octets given to host_say, until it
 * is idle again.
 */
#ifndef BOARD_HOST_H
#define BOARD_HOST_H

#include <stdbool.h>
#include <stdint.h>

#include "base/character.h"
#include "base/frame.h"
#include "base/status.h"
#include "base/trace.h"
#include "board/nets.h"
#include "board/protocol.h"
#include "describe/case.h"
#include "describe/part.h"
#include "describe/trace_kinds.h"

struct fold;

enum host_state { HOST_IDLE, HOST_SENDING, HOST_LISTENING };

struct host {
  const struct case_host *setup;
  uint32_t to, from; /* pins that it drives and hears; PART_NONE: none */
  ps_t bit;
  bool plugged;
  enum host_state state;
  enum trace_request request;
  uint32_t detail;  /* for the trace */
  bool framed;      /* else the octets are as the script has them */
  uint8_t code;     /* of the request, and its sequence */
  uint8_t sequence; /* of the last one */
  uint8_t frame[FRAME_MAX_OCTETS];
  const uint8_t *said; /* instead of `frame` */
  uint32_t count, next_octet;
  uint32_t tries; /* left, behind this one */
  struct character_out out;
  struct character_in in;
  struct frame_in heard;
  bool heard_any; /* since it began to ask */
  ps_t gives_up_at;
  enum trace_reply reply; /* of the last that was asked */
};

/* Resolve the script's host against the part: errors for a pin that is not
 * there. Without a host in the script nothing is ever plugged in. */
enum sim_status host_init(struct host *h, const struct case_script *script,
                          const struct part *part, struct sim_error *err);

/* Plug it in or pull it out; what it was at is given up. */
void host_plug(struct host *h, struct nets *n, bool plug, struct moment now);

/* Give up what it is at; its line is idle. */
void host_quiet(struct host *h, struct nets *n, struct moment now);

/* Ask for something. Begins at the next host_advance; asserts that it is idle
 * and that the arguments fit a frame. */
void host_ask(struct host *h, enum protocol_request request, uint32_t detail,
              const uint8_t *arguments, uint32_t size);

/* Send octets as they are, and listen for any answer. No second try. */
void host_say(struct host *h, const uint8_t *octets, uint32_t count);

static inline bool host_busy(const struct host *h)
{
  return h->state != HOST_IDLE;
}

/* Of the last answer: octets behind its head. NULL if there was none whole. */
const uint8_t *host_result(const struct host *h, uint32_t *size);

/* The instant of its next change by itself, or PS_NEVER. */
ps_t host_next(const struct host *h);

/* Bring it up to `now`; true if its line changed. */
bool host_advance(struct host *h, struct nets *n, struct moment now,
                  struct trace *tr);

/* As it is seen from now (base/fold.h). */
void host_fold(const struct host *h, ps_t now, struct fold *f);

#endif
