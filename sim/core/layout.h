/* layout.h -- who answers at which address: the 4 GiB in stretches, for an
 * engine that must map them.
 *
 * A stretch belongs to a region or to nobody (device memory, to an engine).
 * Address 0 up to the window, which is as large as the largest region or as
 * there is room below the lowest, holds what the alias shows and the rest
 * behind it; only these stretches change with the alias, so that changing it
 * touches no more than it must. There is no window where a region lies at 0
 * itself.
 *
 * Owns: the list. Borrows: nothing.
 */
#ifndef CORE_LAYOUT_H
#define CORE_LAYOUT_H

#include <stdbool.h>
#include <stdint.h>

#include "core/bus.h"

#define LAYOUT_MAX (2u * BUS_MAX_REGIONS + 3u)

struct layout_stretch {
  uint64_t from, to; /* `to` is the first address behind it */
  unsigned region;   /* index, or BUS_NO_REGION */
};

/* No stretch is empty. The first `fixed` don't depend on the alias: regions
 * at their own addresses, and gaps. */
struct layout {
  struct layout_stretch stretches[LAYOUT_MAX];
  unsigned fixed, count;
};

/* Asserts that the alias fits the window, and that nothing else is to be seen
 * at 0 where a region lies there. */
void layout_build(struct layout *l, const struct bus *bus);

/* The same regions, whatever the alias: addresses, bytes and rights. */
bool layout_same_regions(const struct bus *a, const struct bus *b);

#endif
