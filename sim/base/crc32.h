/* crc32.h -- CRC-32/ISO-HDLC, as RFC 1952 section 8 has it: reflected,
 * polynomial 0xEDB88320, all-ones before and inverted after.
 */
#ifndef BASE_CRC32_H
#define BASE_CRC32_H

#include <stddef.h>
#include <stdint.h>

uint32_t crc32_iso_hdlc(const uint8_t *bytes, size_t size);

#endif
