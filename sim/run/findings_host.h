/* findings_host.h -- why the serial host did not get what it asked for.
 *
 * Collects what the serial ports heard since the last start, and judges by it
 * when the host has given up: a part that does not run its boot ROM, a port
 * where somebody else talked first, baud rates that differ.
 *
 * Owns: its fields. Borrows: nothing.
 */
#ifndef RUN_FINDINGS_HOST_H
#define RUN_FINDINGS_HOST_H

#include <stdbool.h>
#include <stdint.h>

#include "base/trace.h"
#include "describe/result.h"
#include "run/plan.h"
#include "run/starts.h"

/* What the ports heard since the last start. */
struct host_story {
  bool any;       /* something was heard */
  uint32_t first; /* on this port first */
  uint64_t received[PART_MAX_PORTS], broken[PART_MAX_PORTS];
};

#define HOST_MAX_REMEDIES 3

/* One failure, told. */
struct host_failure {
  enum finding_kind kind;
  char text[320];
  const char *remedies[HOST_MAX_REMEDIES];
  uint32_t remedy_count;
};

/* A record of a start's vectors, of a byte received or lost. */
void host_story_take(struct host_story *h, const struct trace_record *r);

/* What TRACE_HOST_END tells. False: it is no failure, or it was told with the
 * request that a `write` step ended with. */
bool host_failed(const struct host_story *h, const struct plan *plan,
                 const struct starts *starts, const struct trace_record *r,
                 struct host_failure *out);

#endif
