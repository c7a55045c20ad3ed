/* sweep_lines.h -- the file of a sweep's records while it is worked at.
 *
 * Lines are appended as they come, so that a sweep that was killed can go on.
 * When all is there the file is replaced by one that has them in order.
 *
 * Owns: the stream.
 */
#ifndef CLI_SWEEP_LINES_H
#define CLI_SWEEP_LINES_H

#include "run/sweep_file.h"

struct sweep_lines {
  FILE *stream;     /* NULL: nobody asked for a file */
  const char *name; /* as given */
};

/* A new file; one that is there is refused, it may hold hours of work. `name`
 * NULL asks for none. Errors: SIM_FILE. */
enum sim_status sweep_lines_begin(struct sweep_lines *lines, const char *name,
                                  const struct sweep_head *head,
                                  struct sim_error *err);

/* Go on with a file: its records are added to `records`. Errors: SIM_FILE,
 * those of sweep_read, and SIM_RANGE if it is of another sweep or shard. */
enum sim_status sweep_lines_resume(struct sweep_lines *lines, const char *name,
                                   struct arena *arena,
                                   const struct sweep_head *head,
                                   struct sweep_records *records,
                                   struct sim_error *err);

void sweep_lines_add(struct sweep_lines *lines, const struct sweep_record *r);

/* Leave the file as it is, to be resumed. Errors: SIM_FILE. */
enum sim_status sweep_lines_leave(struct sweep_lines *lines,
                                  struct sim_error *err);

/* All records are there: write them in order. Errors: SIM_FILE. */
enum sim_status sweep_lines_finish(struct sweep_lines *lines,
                                   struct arena *arena,
                                   const struct sweep_head *head,
                                   const struct sweep_records *records,
                                   struct sim_error *err);

#endif
