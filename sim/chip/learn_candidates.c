/* The answers that are tried, one after the other. */
#include "chip/learn.h"

enum { BITS = 32, WHOLE_WORDS = 3 };

/* Bits side by side, `width` of them. */
static bool run_of(uint32_t *n, uint32_t width, uint32_t *mask)
{
  uint32_t places = BITS + 1 - width;
  if (*n >= places) {
    *n -= places;
    return false;
  }
  *mask = ((1u << width) - 1) << *n;
  return true;
}

/* Two bits that do not stand side by side. */
static bool pair_of(uint32_t *n, uint32_t *mask)
{
  for (uint32_t low = 0; low + 2 < BITS; low++) {
    uint32_t partners = BITS - 2 - low;
    if (*n < partners) {
      *mask = 1u << low | 1u << (low + 2 + *n);
      return true;
    }
    *n -= partners;
  }
  return false;
}

static uint32_t whole_word(uint32_t n, uint32_t value, uint32_t lanes)
{
  const uint32_t masks[WHOLE_WORDS] = {~value & lanes, value & lanes, lanes};
  return masks[n];
}

bool learn_candidate(uint32_t n, uint32_t value, uint32_t lanes,
                     uint32_t *mask)
{
  /* few bits before many: what an answer changes for no reason may matter
     to what the program reads next */
  bool some = run_of(&n, 1, mask) || run_of(&n, 2, mask) ||
              pair_of(&n, mask) || run_of(&n, 3, mask) || run_of(&n, 4, mask);
  if (some) {
    if (*mask & ~lanes) *mask = 0;
    return true;
  }
  if (n >= WHOLE_WORDS) return false;
  *mask = whole_word(n, value, lanes);
  return true;
}
