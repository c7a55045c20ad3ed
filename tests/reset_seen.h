/* reset_seen.h -- what a run shows of its resets, and whether the reference
 * model says the same.
 *
 * Most is in the result. What the result has no place for is folded from the
 * trace, or read by the probe.
 */
#ifndef TESTS_RESET_SEEN_H
#define TESTS_RESET_SEEN_H

#include "reset_script.h"

struct reset_seen {
  struct reference_start starts[RESET_SCRIPT_STARTS];
  uint32_t marker[RESET_SCRIPT_STARTS], flags[RESET_SCRIPT_STARTS];
  uint32_t count;
  struct reference_start next;      /* what is known before it begins */
  struct trace_record reset, start; /* the last ones */
};

/* A fold for all kinds of records; its context is a struct reset_seen. */
void reset_see(void *context, const struct trace_record *r);

/* Fails the test at the first difference, and names it. */
void reset_same(const struct part *part, const struct reset_script *script,
                const struct result *result, const struct reset_seen *seen);

#endif
