/* run_plan.h -- which cases `run` plays on which parts.
 *
 * Everything is read before anything is played, so that a wrong name at the
 * end of the command line is told at once.
 *
 * Owns: what was loaded. Borrows: the request, the arena.
 */
#ifndef CLI_RUN_PLAN_H
#define CLI_RUN_PLAN_H

#include <stddef.h>
#include <stdint.h>

#include "api/firstfetch.h"
#include "base/arena.h"
#include "cli/folders.h"
#include "describe/case.h"
#include "describe/part.h"

/* As on the command line; absent ones are NULL. */
struct run_request {
  const char *const *cases;
  size_t case_count;
  const char *parts; /* "P,Q" or "all" */
  const char *image, *base;
  const char *svd;
  const struct given_option *models;
};

struct planned_case {
  const struct case_script *script;
  const struct part **parts;
  uint32_t part_count; /* 1 to FIRSTFETCH_MAX_BESIDE */
};

struct run_plan {
  struct firstfetch *loaded;
  struct planned_case *cases;
  uint32_t case_count;
  const struct svd *svd; /* or NULL */
};

/* Errors: SIM_USAGE, and those of reading. run_plan_free is to be called in
 * any case. */
enum sim_status run_plan_make(struct run_plan *plan,
                              const struct run_request *request,
                              struct arena *arena, struct sim_error *err);

void run_plan_free(struct run_plan *plan);

#endif
