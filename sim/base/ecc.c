#include "base/ecc.h"

static unsigned ones(unsigned bits)
{
  return (unsigned)__builtin_popcount(bits);
}

static uint8_t rotated(unsigned times)
{
  return (uint8_t)(0x1fu << times | 0x1fu >> (8 - times));
}

/* The columns of the 64 data bits, in their order. */
static void list_columns(uint8_t columns[64])
{
  unsigned n = 0;
  for (unsigned c = 0; c < 256; c++)
    if (ones(c) == 3) columns[n++] = (uint8_t)c;
  for (unsigned i = 0; i < 8; i++)
    columns[n++] = rotated(i);
}

static uint8_t sum(const uint8_t columns[64], uint64_t data)
{
  unsigned check = 0;
  for (unsigned i = 0; i < 64; i++)
    if (data >> i & 1u) check ^= columns[i];
  return (uint8_t)check;
}

uint8_t ecc_check(uint64_t data)
{
  uint8_t columns[64];
  list_columns(columns);
  return sum(columns, data);
}

enum ecc_result ecc_decode(uint64_t *data, uint8_t *check)
{
  uint8_t columns[64];
  list_columns(columns);
  uint8_t syndrome = sum(columns, *data) ^ *check;
  if (syndrome == 0) return ECC_CLEAN;
  if (ones(syndrome) == 1) {
    *check ^= syndrome;
    return ECC_CORRECTED;
  }
  for (unsigned i = 0; i < 64; i++) {
    if (columns[i] != syndrome) continue;
    *data ^= UINT64_C(1) << i;
    return ECC_CORRECTED;
  }
  return ECC_BAD;
}
