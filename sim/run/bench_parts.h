/* bench_parts.h -- what bench.c and bench_flash.c share; nobody else.
 */
#ifndef RUN_BENCH_PARTS_H
#define RUN_BENCH_PARTS_H

#include <stdbool.h>

#include "describe/trace_kinds.h"
#include "run/machine.h"

/* Let time pass. */
void bench_pass(struct machine *m, ps_t lasts);

struct moment bench_now(const struct machine *m);

/* Tell that the probe could not do it, and why. Returns false. */
bool bench_fail(struct machine *m, enum trace_action action,
                enum trace_obstacle why);

/* True if memory can be reached; else tells why not. */
bool bench_reaches_memory(struct machine *m, enum trace_action action);

#endif
