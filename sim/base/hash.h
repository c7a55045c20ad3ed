/* hash.h -- 128 bits that tell bytes apart.
 *
 * Owns, borrows: nothing.
 */
#ifndef BASE_HASH_H
#define BASE_HASH_H

#include <stddef.h>
#include <stdint.h>

struct hash128 {
  uint64_t high, low;
};

/* Hash of any bytes: the same on every host. */
struct hash128 hash_bytes(const void *bytes, size_t count);

#endif
