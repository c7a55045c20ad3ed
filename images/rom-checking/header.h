/* header.h -- what the boot ROM of models/rom-first.json wants at the base of
 * flash, and header.S puts there.
 *
 *   +0x000  HEADER_MAGIC
 *   +0x004  length: bytes of the image, a multiple of 4
 *   +0x008  CRC-32/ISO-HDLC of those bytes (common/crc32.h)
 *   +0x00C  erased
 *   +0x100  the image; its vector table comes first
 *
 * The image begins where a vector base may point: its register holds bits
 * 31:8 (ARM DDI 0484C). Words are little-endian.
 */
#ifndef ROM_CHECKING_HEADER_H
#define ROM_CHECKING_HEADER_H

#define HEADER_MAGIC  0x51A7E5EA
#define HEADER_LENGTH 0x004
#define HEADER_CRC    0x008
#define HEADER_BYTES  0x100

#endif
