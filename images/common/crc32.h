/* crc32.h -- CRC-32/ISO-HDLC, as gzip has it: RFC 1952 section 8.
 *
 * Reflected, polynomial 0xEDB88320, all-ones before and inverted after; its
 * check value, of "123456789", is 0xCBF43926. Four bits a step: a table of 16
 * words is what a small ROM can spare.
 */
#ifndef IMAGES_CRC32_H
#define IMAGES_CRC32_H

#include <stdint.h>

#define CRC32_POLYNOMIAL 0xEDB88320u

/* The remainder of a bit that falls out, then of all four. */
#define CRC32_BIT(c)    (((c) >> 1) ^ (((c)&1u) ? CRC32_POLYNOMIAL : 0u))
#define CRC32_NIBBLE(n) CRC32_BIT(CRC32_BIT(CRC32_BIT(CRC32_BIT((n) + 0u))))

static inline uint32_t crc32_step(uint32_t crc)
{
  static const uint32_t nibbles[16] = {
      CRC32_NIBBLE(0),  CRC32_NIBBLE(1),  CRC32_NIBBLE(2),  CRC32_NIBBLE(3),
      CRC32_NIBBLE(4),  CRC32_NIBBLE(5),  CRC32_NIBBLE(6),  CRC32_NIBBLE(7),
      CRC32_NIBBLE(8),  CRC32_NIBBLE(9),  CRC32_NIBBLE(10), CRC32_NIBBLE(11),
      CRC32_NIBBLE(12), CRC32_NIBBLE(13), CRC32_NIBBLE(14), CRC32_NIBBLE(15)};
  return (crc >> 4) ^ nibbles[crc & 15u];
}

static inline uint32_t crc32(const uint8_t *bytes, uint32_t length)
{
  uint32_t crc = UINT32_MAX;
  for (uint32_t i = 0; i < length; i++)
    crc = crc32_step(crc32_step(crc ^ bytes[i]));
  return ~crc;
}

#endif
