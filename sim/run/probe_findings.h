/* probe_findings.h -- what the user must know about the probe: where it was
 * shut out, what it started.
 *
 * Owns: nothing.
 */
#ifndef RUN_PROBE_FINDINGS_H
#define RUN_PROBE_FINDINGS_H

#include "base/trace.h"
#include "describe/trace_kinds.h"
#include "run/findings.h"

/* A TRACE_PROBE_FAILED. */
void probe_findings_failed(struct findings *f, const struct trace_record *r);

/* The run is over: one of its starts. */
void probe_findings_start(struct findings *f, const struct start *start);

/* "the part has no power" */
const char *probe_findings_why(enum trace_obstacle obstacle);

#endif
