/* sight_parts.h -- what sight.c and sight_read.c share.
 */
#ifndef RUN_SIGHT_PARTS_H
#define RUN_SIGHT_PARTS_H

#include "run/sight.h"

/* "power_cycle" of CAUSE_POWER_ON, else the cause's word. */
const char *sight_event_word(uint32_t event);

/* Whether the value is one that this sight can have; where not, what was
 * expected goes to `expected`. */
bool sight_value_fits(const struct plan *plan, const struct sight *s,
                      const char *value, char *expected, size_t size);

#endif
