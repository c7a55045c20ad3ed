/* sum.h -- the sum over an image: Fletcher's, of 32-bit words modulo 2^32, the
 * second sum alone. It depends on the order of the words, and costs two
 * additions each. (J. G. Fletcher, "An Arithmetic Checksum for Serial
 * Transmissions", IEEE Transactions on Communications 30, 1982; from memory.)
 *
 * Begins with ones, so that an erased slot has no sum of zero.
 */
#ifndef TWO_SLOT_SUM_H
#define TWO_SLOT_SUM_H

#include <stdint.h>

static inline uint32_t sum_of(const volatile uint32_t *words, uint32_t bytes)
{
  uint32_t first = 1, second = 1;
  for (uint32_t i = 0; i < bytes / 4u; i++) {
    first += words[i];
    second += first;
  }
  return second;
}

#endif
