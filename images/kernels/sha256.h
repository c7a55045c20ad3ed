/* sha256.h -- SHA-256, FIPS 180-4: sections 4.1.2, 4.2.2, 5.1.1, 5.3.3, 6.2.
 */
#ifndef KERNELS_SHA256_H
#define KERNELS_SHA256_H

#include <stdint.h>

#define SHA256_WORDS 8

/* 4.2.2 */
static const uint32_t sha256_k[64] = {
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1,
    0x923f82a4, 0xab1c5ed5, 0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3,
    0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174, 0xe49b69c1, 0xefbe4786,
    0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147,
    0x06ca6351, 0x14292967, 0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13,
    0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85, 0xa2bfe8a1, 0xa81a664b,
    0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a,
    0x5b9cca4f, 0x682e6ff3, 0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208,
    0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2};

static inline uint32_t sha256_rotate(uint32_t x, unsigned by)
{
  return x >> by | x << (32u - by);
}

/* 4.1.2: the two sums of the rounds and the two of the schedule. */
static inline uint32_t sha256_sum0(uint32_t x)
{
  return sha256_rotate(x, 2) ^ sha256_rotate(x, 13) ^ sha256_rotate(x, 22);
}

static inline uint32_t sha256_sum1(uint32_t x)
{
  return sha256_rotate(x, 6) ^ sha256_rotate(x, 11) ^ sha256_rotate(x, 25);
}

static inline uint32_t sha256_sigma0(uint32_t x)
{
  return sha256_rotate(x, 7) ^ sha256_rotate(x, 18) ^ x >> 3;
}

static inline uint32_t sha256_sigma1(uint32_t x)
{
  return sha256_rotate(x, 17) ^ sha256_rotate(x, 19) ^ x >> 10;
}

/* Byte `i` of the padded message: 5.1.1. */
static inline uint32_t sha256_byte(const uint8_t *message, uint32_t length,
                                   uint32_t padded, uint32_t i)
{
  if (i < length) return message[i];
  if (i == length) return 0x80;
  uint32_t behind = padded - 1u - i; /* the length stands in the last 8 */
  return behind < 4u    ? (length << 3) >> (8u * behind) & 0xffu
         : behind == 4u ? length >> 29
                        : 0;
}

static inline void sha256_schedule(uint32_t w[64], const uint8_t *message,
                                   uint32_t length, uint32_t padded,
                                   uint32_t block)
{
  for (uint32_t t = 0; t < 16; t++) {
    w[t] = 0;
    for (uint32_t b = 0; b < 4; b++)
      w[t] =
          w[t] << 8 | sha256_byte(message, length, padded, block + 4u * t + b);
  }
  for (uint32_t t = 16; t < 64; t++)
    w[t] = sha256_sigma1(w[t - 2]) + w[t - 7] + sha256_sigma0(w[t - 15]) +
           w[t - 16];
}

/* 6.2.2, steps 2 to 4. s[0] is a, s[7] is h. */
static inline void sha256_rounds(uint32_t hash[SHA256_WORDS],
                                 const uint32_t w[64])
{
  uint32_t s[8];
  for (unsigned i = 0; i < 8; i++)
    s[i] = hash[i];
  for (unsigned t = 0; t < 64; t++) {
    uint32_t choice = (s[4] & s[5]) ^ (~s[4] & s[6]);
    uint32_t majority = (s[0] & s[1]) ^ (s[0] & s[2]) ^ (s[1] & s[2]);
    uint32_t t1 = s[7] + sha256_sum1(s[4]) + choice + sha256_k[t] + w[t];
    uint32_t t2 = sha256_sum0(s[0]) + majority;
    for (unsigned i = 7; i > 0; i--)
      s[i] = s[i - 1];
    s[4] += t1;
    s[0] = t1 + t2;
  }
  for (unsigned i = 0; i < 8; i++)
    hash[i] += s[i];
}

/* The digest as words: its first byte is the uppermost of hash[0]. */
static inline void sha256(const uint8_t *message, uint32_t length,
                          uint32_t hash[SHA256_WORDS])
{
  static const uint32_t initial[SHA256_WORDS] = {
      0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a,
      0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19}; /* 5.3.3 */
  uint32_t padded = (length + 8u) / 64u * 64u + 64u;
  for (unsigned i = 0; i < SHA256_WORDS; i++)
    hash[i] = initial[i];
  for (uint32_t block = 0; block < padded; block += 64) {
    uint32_t w[64];
    sha256_schedule(w, message, length, padded, block);
    sha256_rounds(hash, w);
  }
}

#endif
