/* help.h -- what the program tells about itself, from its tables.
 *
 * Owns, borrows: nothing. Errors stay in the stream.
 */
#ifndef CLI_HELP_H
#define CLI_HELP_H

#include <stdio.h>

#include "cli/command.h"

/* What the program is for, and its commands. */
void help_program(FILE *to);

/* One command: usage, what it answers, its options. */
void help_command(FILE *to, const struct command *command);

#endif
