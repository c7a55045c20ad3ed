/* assumed.h -- how many assumed numbers a result rests on.
 *
 * Each kind of record belongs to a section of the part's description; once
 * the trace has such a record, the assumed numbers of that section count.
 *
 * Owns: nothing.
 */
#ifndef RUN_ASSUMED_H
#define RUN_ASSUMED_H

#include <stdint.h>

#include "base/trace.h"
#include "describe/part.h"

struct assumed {
  uint32_t touched; /* bit per enum part_section */
};

void assumed_init(struct assumed *a, struct trace *tr);

/* Assumed numbers in the sections that were touched. */
uint32_t assumed_count(const struct assumed *a, const struct part *part);

#endif
