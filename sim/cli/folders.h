/* folders.h -- where the program looks for parts.
 *
 * In this order: the folders given with --models, ../models beside the case
 * file, ./models, ../models beside the program.
 *
 * Owns: nothing; lists are in the arena. Borrows: what was given.
 */
#ifndef CLI_FOLDERS_H
#define CLI_FOLDERS_H

#include "api/firstfetch.h"
#include "base/arena.h"
#include "cli/options.h"

/* The row of a command's table of options. */
#define FOLDERS_OPTION                                                        \
  {                                                                           \
    "models", "DIR", "look for parts in DIR first", true                      \
  }

/* `case_file` may be NULL. */
struct firstfetch_search folders_search(struct arena *arena,
                                        const struct given_option *models,
                                        const char *case_file);

#endif
