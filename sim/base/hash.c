#include "base/hash.h"

#include <xxhash.h>

struct hash128 hash_bytes(const void *bytes, size_t count)
{
  XXH128_hash_t hash = XXH3_128bits(bytes, count);
  return (struct hash128){hash.high64, hash.low64};
}
