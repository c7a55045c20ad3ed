/* findings_flash.h -- what one record about flash or options tells.
 *
 * Owns: nothing. Borrows: nothing beyond the call.
 */
#ifndef RUN_FINDINGS_FLASH_H
#define RUN_FINDINGS_FLASH_H

#include "base/trace.h"
#include "describe/result.h"
#include "run/plan.h"

struct flash_finding {
  enum finding_kind kind;
  char text[480];
  const char *remedies[2];
  uint32_t remedy_count;
};

/* False: nothing that the user must know. */
bool flash_finding_of(const struct plan *plan, const struct trace_record *r,
                      struct flash_finding *out);

#endif
