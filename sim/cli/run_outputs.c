#include "cli/run_outputs.h"

#include <stddef.h>
#include <string.h>

static const struct {
  const char *option;
  bool one_run; /* what it holds is that of one case on one part */
} rows[RUN_OUTPUT_COUNT_] = {
    [RUN_OUTPUT_JSON] = {"--json", false},
    [RUN_OUTPUT_JUNIT] = {"--junit", false},
    [RUN_OUTPUT_VCD] = {"--vcd", true},
    [RUN_OUTPUT_TRACE] = {"--trace", false},
    [RUN_OUTPUT_LEARNED] = {"--learned", true},
    [RUN_OUTPUT_HTML] = {"--html", false},
    [RUN_OUTPUT_SVG] = {"--svg", true},
};

static enum sim_status check_alone(const struct run_output_names *names,
                                   size_t which, struct sim_error *err)
{
  for (size_t other = 0; other < which; other++) {
    if (!names->file[other]) continue;
    if (strcmp(names->file[which], names->file[other]) != 0) continue;
    const struct sim_place where = {.path = rows[which].option};
    return sim_fail(err, SIM_USAGE, &where,
                    "goes where %s goes; expected another file",
                    rows[other].option);
  }
  return SIM_OK;
}

enum sim_status run_outputs_check(const struct run_output_names *names,
                                  bool *standard_is_taken,
                                  struct sim_error *err)
{
  *standard_is_taken = false;
  for (size_t i = 0; i < RUN_OUTPUT_COUNT_; i++) {
    if (!names->file[i]) continue;
    if (output_is_standard(names->file[i])) *standard_is_taken = true;
    enum sim_status status = check_alone(names, i, err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

enum sim_status run_outputs_check_runs(const struct run_output_names *names,
                                       bool one_run, struct sim_error *err)
{
  for (size_t i = 0; i < RUN_OUTPUT_COUNT_; i++) {
    if (!names->file[i] || one_run || !rows[i].one_run) continue;
    const struct sim_place where = {.path = rows[i].option};
    return sim_fail(err, SIM_USAGE, &where,
                    "is for one run; expected one case and one part");
  }
  return SIM_OK;
}

enum sim_status run_outputs_open(struct run_outputs *outputs,
                                 const struct run_output_names *names,
                                 struct arena *arena, struct sim_error *err)
{
  for (size_t i = 0; i < RUN_OUTPUT_COUNT_; i++) {
    enum sim_status status =
        output_open(&outputs->files[i], names->file[i], arena, err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

FILE *run_outputs_stream(const struct run_outputs *outputs,
                         enum run_output which)
{
  return outputs->files[which].stream;
}

enum sim_status run_outputs_commit(struct run_outputs *outputs,
                                   struct sim_error *err)
{
  for (size_t i = 0; i < RUN_OUTPUT_COUNT_; i++) {
    enum sim_status status = output_commit(&outputs->files[i], err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

void run_outputs_abandon(struct run_outputs *outputs)
{
  for (size_t i = 0; i < RUN_OUTPUT_COUNT_; i++) {
    output_abandon(&outputs->files[i]);
  }
}
