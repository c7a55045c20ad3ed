#include "base/crc32.h"

#define POLYNOMIAL 0xEDB88320u

uint32_t crc32_iso_hdlc(const uint8_t *bytes, size_t size)
{
  uint32_t crc = UINT32_MAX;
  for (size_t i = 0; i < size; i++) {
    crc ^= bytes[i];
    for (int bit = 0; bit < 8; bit++)
      crc = crc & 1u ? crc >> 1 ^ POLYNOMIAL : crc >> 1;
  }
  return ~crc;
}
