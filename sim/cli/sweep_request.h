/* sweep_request.h -- what `sweep` is asked on the command line, resolved
 * against the case and the part.
 *
 * Owns: what was loaded. Borrows: what was given.
 */
#ifndef CLI_SWEEP_REQUEST_H
#define CLI_SWEEP_REQUEST_H

#include <stdbool.h>

#include "api/firstfetch.h"
#include "cli/options.h"
#include "run/sweep.h"

enum {
  SWEEP_CUT,
  SWEEP_RESET,
  SWEEP_VALUES,
  SWEEP_EDGE,
  SWEEP_CORNERS,
  SWEEP_POINT,
  SWEEP_HOLD,
  SWEEP_FOR,
  SWEEP_ALLOW,
  SWEEP_PART,
  SWEEP_JOBS,
  SWEEP_SHARD,
  SWEEP_JSONL,
  SWEEP_RESUME,
  SWEEP_JSON,
  SWEEP_SVG,
  SWEEP_HTML,
  SWEEP_ENGINE,
  SWEEP_MODELS,
  SWEEP_OPTION_COUNT_
};

struct sweep_request {
  struct firstfetch *loaded;
  struct sweep sweep;
  bool corners, edge;
  uint64_t point;  /* of --point; 0: not given */
  const char *how; /* for people */
  uint32_t jobs;
  uint32_t shard, shards;
  uint32_t allowed; /* bit per class; 0: whatever comes */
};

/* Errors: SIM_USAGE, and those of reading. sweep_request_free is to be called
 * in any case. */
enum sim_status sweep_request_make(struct sweep_request *request,
                                   const struct given *given,
                                   struct sim_error *err);
void sweep_request_free(struct sweep_request *request);

/* Also for `merge`: "A,B" of classes. */
enum sim_status sweep_classes(struct arena *arena, const char *list,
                              uint32_t *classes, struct sim_error *err);

#endif
