/* options.h -- the command line as a table: parse by it, tell about it.
 *
 * Options are long: "--name", "--name VALUE" or "--name=VALUE"; "-h" is
 * "--help", which every command has and no table lists, and "-v" is
 * "--verbose" and "-q" "--quiet", where a table lists them. "--" ends the
 * options;
 * "-" is a word. A value that begins with "--" must be given with "=".
 *
 * Owns: nothing; what is given lives in the arena and in argv.
 */
#ifndef CLI_OPTIONS_H
#define CLI_OPTIONS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/status.h"
#include "report/page.h"

#define OPTIONS_MAX 24

struct option {
  const char *name;     /* without "--" */
  const char *value;    /* what its value is called, or NULL: it has none */
  const char *sentence; /* for the help */
  bool many;            /* may be given more than once */
};

struct given_option {
  const char **values; /* NULL for an option without value */
  size_t count;        /* how often it was given */
};

struct given {
  struct arena *arena; /* for whatever the command needs */
  const char **words;
  size_t word_count;
  struct given_option options[OPTIONS_MAX]; /* by index of the table */
  bool help;
};

/* Parse `count` arguments. Errors: SIM_USAGE. */
enum sim_status options_parse(const struct option *table, size_t table_count,
                              int count, char *const *arguments,
                              struct arena *arena, struct given *given,
                              struct sim_error *err);

/* The value of an option that is given at most once, or NULL. */
const char *options_value(const struct given *given, size_t index);

/* One line or more for each row, and for --help. */
void options_help(struct page *page, const struct option *table,
                  size_t table_count);

#endif
