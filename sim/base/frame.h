/* frame.h -- octets in frames, after RFC 1662, "PPP in HDLC-like Framing".
 *
 *   7e | content, escaped | FCS-16, the lower octet first, escaped | 7e
 *
 * Escaping (RFC 1662 4.2): an octet 7e or 7d is sent as 7d and itself xor 20.
 * No other octet is: what section 7.1 calls the async-control-character-map
 * is zero here. Address, control and protocol fields are not used: what is in
 * a frame is our own (board/protocol.h).
 *
 * The check (appendix C.2): polynomial 0x8408 reflected, from 0xffff, sent
 * inverted. Over a whole frame with its check it comes to 0xf0b8.
 *
 * The rule a reader would get wrong: a flag ends one frame and may begin the
 * next; between two flags in a row there is no frame, and no error. 7d right
 * before a flag aborts the frame.
 *
 * Owns: its fields.
 */
#ifndef BASE_FRAME_H
#define BASE_FRAME_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define FRAME_FLAG   0x7eu
#define FRAME_ESCAPE 0x7du
#define FRAME_FLIP   0x20u

#define FRAME_FCS_FIRST 0xffffu /* RFC 1662 C.2: PPPINITFCS16 */
#define FRAME_FCS_GOOD  0xf0b8u /* RFC 1662 C.2: PPPGOODFCS16 */

/* Of content and check; a longer frame is bad. */
#define FRAME_MAX 160u

/* The most octets that frame_put makes of FRAME_MAX. */
#define FRAME_MAX_OCTETS (2u * FRAME_MAX + 2u)

/* The running check, over `size` more octets. */
uint16_t frame_fcs(uint16_t fcs, const uint8_t *octets, size_t size);

/* A whole frame with both flags. Returns its length, at most
 * FRAME_MAX_OCTETS. Asserts that size + 2 <= FRAME_MAX. */
size_t frame_put(const uint8_t *content, size_t size,
                 uint8_t octets[FRAME_MAX_OCTETS]);

struct frame_in {
  uint8_t octets[FRAME_MAX];
  uint32_t count;
  bool open;    /* a flag was seen */
  bool escaped; /* the octet before was an escape */
  bool spoilt;  /* too long, or an octet of it was lost */
  bool ended;   /* the last octet ended a good one, which still stands */
};

enum frame_news {
  FRAME_MORE,
  FRAME_GOOD, /* content: octets[0] to octets[count - 3] */
  FRAME_BAD   /* too short, too long, aborted, or the check is wrong */
};

void frame_in_init(struct frame_in *f);

/* One octet came. After FRAME_GOOD the content stays until the next call. */
enum frame_news frame_take(struct frame_in *f, uint8_t octet);

/* An octet came broken: the frame that it belongs to will be bad. */
void frame_spoil(struct frame_in *f);

#endif
