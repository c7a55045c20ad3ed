/* protocol.h -- what the serial host and the boot ROM of the invented parts
 * say to each other: names, codes and layout are our own.
 *
 * Both ends include this page: board/host.c, and images/rom/session.c, which
 * runs on the emulated core. So it needs nothing but <stdint.h>.
 *
 * Line: 115200 baud, eight data bits, no parity, one stop bit. Frames are
 * those of RFC 1662 (base/frame.h). Numbers are little-endian.
 *
 *   request:  code  sequence  arguments ...        at most 134 octets
 *   reply:    code+1  sequence  status  result ... at most 132 octets
 *
 *   code   request   arguments                result when done
 *   0xC2   hello     -                        version 1, unit 2 (octets),
 *                                             page 2, flash base 4, size 4,
 *                                             most data of a put 1
 *   0xC4   wipe      address 4, pages 2       -
 *   0xC6   put       address 4, data 1..128   -
 *   0xC8   get       address 4, octets 1      data
 *   0xCA   compare   address 4, octets 4,     CRC of what is there 4
 *                    CRC-32/ISO-HDLC 4
 *   0xCC   launch    address 4                -
 *
 * hello: the size is that of the bank at the base, where there are two.
 * wipe: 0xFFFF pages is all of the flash, whatever the address. put: address
 * and length are multiples of the unit; it programs, reads back and compares.
 * get, compare: 1 to 128 octets, 1 to all. launch: address of a vector table
 * in flash; its first word must point into RAM or right behind it, its second
 * into flash, odd; the reply is on the line to its stop bit before the ROM
 * leaves. It is no reset, and the ROM changes nothing but the stack pointer
 * on its way out: see images/rom/rom.c for what stays behind.
 *
 * Order. The part hears nothing until it has heard a whole frame; a bad one
 * (RFC 1662: too short, too long, aborted, check wrong; or an octet of it was
 * lost on the line) it drops without an answer. It answers every good one
 * once, in at most 50 ms and the time that the flash takes. The host waits
 * for the answer before it sends again.
 *
 *   hello, any sequence   sets what the next must be: one more, modulo 256
 *   the expected one      is carried out and answered
 *   the same frame again  is not carried out: its answer is sent again
 *   any other             SEQUENCE; anything before the first hello: NO_HELLO
 *
 * So a reply that is lost costs a repetition, and no request is done twice
 * or half acknowledged: a put is answered when all of it is in flash and was
 * read back, or with the status that ended it.
 *
 * Silence of 20 ms inside a frame ends it, as a bad one.
 *
 * The first port on which anything is heard, be it broken, is the port from
 * then on: the ROM switches the others off. Whoever talks first is the host.
 *
 * Not part of it: option words, RAM, a change of the baud rate.
 */
#ifndef BOARD_PROTOCOL_H
#define BOARD_PROTOCOL_H

#include <stdint.h>

#define PROTOCOL_BAUD    115200u
#define PROTOCOL_VERSION 1u

#define PROTOCOL_CODE(request) (0xC2u + 2u * (request))
#define PROTOCOL_REPLY         1u /* is added to the code */

/* In the order of describe/requests.def. */
enum protocol_request {
  PROTOCOL_HELLO,
  PROTOCOL_WIPE,
  PROTOCOL_PUT,
  PROTOCOL_GET,
  PROTOCOL_COMPARE,
  PROTOCOL_LAUNCH,
  PROTOCOL_REQUESTS
};

/* In the order of describe/replies.def. */
enum protocol_status {
  PROTOCOL_DONE,
  PROTOCOL_UNKNOWN,
  PROTOCOL_MALFORMED,
  PROTOCOL_OUTSIDE,
  PROTOCOL_REFUSED,
  PROTOCOL_DIFFERS,
  PROTOCOL_SEQUENCE,
  PROTOCOL_NO_HELLO,
  PROTOCOL_STATUSES
};

#define PROTOCOL_MOST_DATA    128u
#define PROTOCOL_MOST_CONTENT 134u /* of a frame, without its check */
#define PROTOCOL_ALL_PAGES    0xFFFFu
#define PROTOCOL_HELLO_RESULT 14u
#define PROTOCOL_REQUEST_HEAD 2u
#define PROTOCOL_REPLY_HEAD   3u
#define PROTOCOL_SILENCE_MS   20u

#endif
