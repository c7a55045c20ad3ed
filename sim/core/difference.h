/* difference.h -- where two cores differ, for whoever runs one program twice.
 *
 * Compared is all of struct core but what says how long to run (deadline,
 * boundary: an engine may ask for one of its own) and the fetch buffer, which
 * means nothing without wait states and otherwise shows in the cycles.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_DIFFERENCE_H
#define CORE_DIFFERENCE_H

#include <stdbool.h>
#include <stddef.h>

#include "core/core.h"

/* True if they differ; then `text` says where first: "r[3] is 0x1c, 0x1d". */
bool difference_find(const struct core *a, const struct core *b, char *text,
                     size_t size);

/* Make the change that led from `before` to `after` to another core. */
void difference_apply(struct core *to, const struct core *before,
                      const struct core *after);

#endif
