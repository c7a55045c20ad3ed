/* command.h -- a command of the program: a row of data and a function.
 *
 * Each command is one file, cmd_NAME.c, with one exported const struct
 * command; commands.c lists them.
 *
 * Owns, borrows: nothing.
 */
#ifndef CLI_COMMAND_H
#define CLI_COMMAND_H

#include <stddef.h>

#include "base/status.h"
#include "cli/options.h"

/* What the program answers with. */
enum exit_code {
  EXIT_HELD = 0,       /* and whatever else went well */
  EXIT_NOT_HELD = 1,   /* an expectation or a `never` failed */
  EXIT_BAD_INPUT = 2,  /* also: output that could not be written */
  EXIT_NO_ANSWER = 3,  /* there is none to what was asked */
  EXIT_INTERRUPTED = 4 /* it can be resumed */
};

#define COMMAND_MAX_USAGE 3

struct command {
  const char *name;
  const char *usage[COMMAND_MAX_USAGE]; /* what follows the name */
  const char *sentence;                 /* what it answers */
  const char *more;                     /* for its help, or NULL */
  const struct option *options;
  size_t option_count;
  /* Do it. Usage errors that the table of options can't tell are in *err,
   * with the status; everything else is told here, and *exit_code says how
   * it went. */
  enum sim_status (*run)(const struct given *given, int *exit_code,
                         struct sim_error *err);
};

/* Ends with NULL. */
extern const struct command *const commands[];

/* NULL if there is none. */
const struct command *command_named(const char *name);

/* "NAME is no command; did you mean ...?" */
enum sim_status command_unknown(const char *name, struct sim_error *err);

/* "firstfetch: ERROR" on standard error. Returns EXIT_BAD_INPUT. */
int command_complain(const struct sim_error *err);

#endif
