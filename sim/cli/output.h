/* output.h -- a file that is written whole or not at all.
 *
 * What is written goes to FILE.writing first; output_commit gives it its
 * name. Until then, and if the run fails, a file that is there already stays
 * as it was. "-" is standard output, and devices and pipes are written to as
 * they are: neither can be taken back.
 *
 * Owns: the stream and the unfinished file. Borrows: nothing.
 */
#ifndef CLI_OUTPUT_H
#define CLI_OUTPUT_H

#include <stdbool.h>
#include <stdio.h>

#include "base/arena.h"
#include "base/status.h"

struct output {
  FILE *stream;           /* NULL: nobody asked for this output */
  const char *shown;      /* as the user wrote it */
  const char *path;       /* where it goes in the end; NULL: no file */
  const char *unfinished; /* its name until then */
};

/* True for "-". */
bool output_is_standard(const char *name);

/* True if standard output is a terminal that takes colour: not with NO_COLOR
 * in the environment (unless it is empty), nor where TERM is "dumb" or
 * missing. */
bool output_has_colour(void);

/* `name` NULL asks for nothing. Errors: SIM_FILE. */
enum sim_status output_open(struct output *output, const char *name,
                            struct arena *arena, struct sim_error *err);

/* All is written: finish it. Errors: SIM_FILE; then it is as if abandoned. */
enum sim_status output_commit(struct output *output, struct sim_error *err);

/* Leave no trace of it. Does nothing after output_commit. */
void output_abandon(struct output *output);

/* Whatever was printed to standard output has arrived. Errors: SIM_FILE. */
enum sim_status output_check_standard(struct sim_error *err);

#endif
