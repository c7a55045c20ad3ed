/* run_outputs.h -- the files that `run` writes besides its text: one row of a
 * table each.
 *
 * Owns: the files.
 */
#ifndef CLI_RUN_OUTPUTS_H
#define CLI_RUN_OUTPUTS_H

#include <stdbool.h>
#include <stdio.h>

#include "base/arena.h"
#include "base/status.h"
#include "cli/output.h"

enum run_output {
  RUN_OUTPUT_JSON,
  RUN_OUTPUT_JUNIT,
  RUN_OUTPUT_VCD,
  RUN_OUTPUT_TRACE,
  RUN_OUTPUT_LEARNED,
  RUN_OUTPUT_HTML,
  RUN_OUTPUT_SVG,
  RUN_OUTPUT_COUNT_
};

/* What the user named them; NULL: not asked for. */
struct run_output_names {
  const char *file[RUN_OUTPUT_COUNT_];
};

struct run_outputs {
  struct output files[RUN_OUTPUT_COUNT_];
};

/* Outputs must not overwrite one another, and some hold one run only.
 * *standard_is_taken: one of them goes to standard output. Errors:
 * SIM_USAGE. */
enum sim_status run_outputs_check(const struct run_output_names *names,
                                  bool *standard_is_taken,
                                  struct sim_error *err);
enum sim_status run_outputs_check_runs(const struct run_output_names *names,
                                       bool one_run, struct sim_error *err);

/* Errors: SIM_FILE. */
enum sim_status run_outputs_open(struct run_outputs *outputs,
                                 const struct run_output_names *names,
                                 struct arena *arena, struct sim_error *err);

/* NULL: not asked for. */
FILE *run_outputs_stream(const struct run_outputs *outputs,
                         enum run_output which);

/* Finish the files. Errors: SIM_FILE. */
enum sim_status run_outputs_commit(struct run_outputs *outputs,
                                   struct sim_error *err);

/* Leave no trace of those that are not finished. */
void run_outputs_abandon(struct run_outputs *outputs);

#endif
