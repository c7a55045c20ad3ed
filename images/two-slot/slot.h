/* slot.h -- what loader, application and update of two-slot agree on. All of
 * it is for models/latched-clearable.json.
 *
 *   0x04000000  the loader, 4 KiB
 *   0x04002000  slot A, 8 KiB
 *   0x04004000  slot B, 8 KiB
 *   0x20000800  a delivery: a new image, as a radio would have left it
 *   0x20002FE0  the loader's note of faults, in RAM that no image clears
 *
 * A slot begins with one programming unit of four words, which is written
 * last:
 *
 *   +0x000  SLOT_MAGIC
 *   +0x004  sequence: of two valid slots the higher one is started
 *   +0x008  length: bytes of the image, a multiple of 16
 *   +0x00C  Fletcher's sum of them (sum.h)
 *   +0x100  the image; its vector table comes first (a vector base register
 *           holds bits 31:8, ARM DDI 0484C)
 *
 * A delivery: DELIVERY_MAGIC, length, sum, 0, then the image's bytes.
 */
#ifndef TWO_SLOT_SLOT_H
#define TWO_SLOT_SLOT_H

#define SLOT_A     0x04002000
#define SLOT_B     0x04004000
#define SLOT_BYTES 0x2000

#define SLOT_MAGIC    0x7A3E51D0
#define SLOT_SEQUENCE 0x004
#define SLOT_LENGTH   0x008
#define SLOT_SUM      0x00C
#define SLOT_IMAGE    0x100

#define DELIVERY        0x20000800
#define DELIVERY_MAGIC  0x0D15BA7C
#define DELIVERY_LENGTH 0x004
#define DELIVERY_SUM    0x008
#define DELIVERY_BYTES  0x010
#define DELIVERY_END    0x20001400

#define NOTE       0x20002FE0
#define NOTE_MAGIC 0x5B1D9E42
#define NOTE_SLOT  0x004

#endif
