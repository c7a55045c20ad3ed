#include "describe/svd.h"

#include <stddef.h>

/* A register at this address or above. */
static uint32_t first_from(const struct svd *svd, addr_t at)
{
  uint32_t low = 0, high = svd->register_count;
  while (low < high) {
    uint32_t middle = low + (high - low) / 2;
    if (svd->registers[middle].at < at) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low;
}

/* The register that is meant by this byte, or NULL. */
static const struct svd_register *covering(const struct svd *svd, addr_t at)
{
  const struct svd_register *found = NULL;
  if (!svd) return NULL;
  uint32_t i = first_from(svd, at < 7 ? 0 : at - 7);
  for (; i < svd->register_count && svd->registers[i].at <= at; i++) {
    const struct svd_register *r = &svd->registers[i];
    if (at - r->at >= r->bytes) continue;
    if (!found || r->order < found->order) found = r;
  }
  return found;
}

const char *svd_name(const struct svd *svd, addr_t at)
{
  const struct svd_register *r = covering(svd, at);
  return r ? r->name : NULL;
}

bool svd_word(const struct svd *svd, addr_t at, uint32_t *reset)
{
  bool any = false;
  *reset = 0;
  for (uint32_t i = 0; i < 4; i++) {
    const struct svd_register *r = covering(svd, at + i);
    if (!r) continue;
    any = true;
    uint32_t byte = (uint32_t)(r->reset >> (8 * (at + i - r->at))) & 0xffu;
    *reset |= byte << (8 * i);
  }
  return any;
}
