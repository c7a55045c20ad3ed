/* sweep_outputs.h -- what `sweep` and `merge` write when all records are
 * there: text, JSON, picture, page.
 *
 * Owns: the files.
 */
#ifndef CLI_SWEEP_OUTPUTS_H
#define CLI_SWEEP_OUTPUTS_H

#include "cli/output.h"
#include "run/sweep_file.h"

struct sweep_outputs {
  struct output json, svg, html;
  bool text; /* nothing else goes to standard output */
};

/* Names may be NULL. Errors: SIM_FILE, SIM_USAGE. */
enum sim_status sweep_outputs_open(struct sweep_outputs *outputs,
                                   const char *json, const char *svg,
                                   const char *html, struct arena *arena,
                                   struct sim_error *err);

enum sim_status sweep_outputs_write(struct sweep_outputs *outputs,
                                    const struct sweep_head *head,
                                    const struct sweep_records *records,
                                    struct sim_error *err);

/* Finish the files. Errors: SIM_FILE. */
enum sim_status sweep_outputs_commit(struct sweep_outputs *outputs,
                                     struct sim_error *err);

void sweep_outputs_abandon(struct sweep_outputs *outputs);

/* True if a point has a class that is not in `allowed` (0: all are), or
 * crashed. */
bool sweep_has_others(const struct sweep_records *records, uint32_t allowed);

#endif
