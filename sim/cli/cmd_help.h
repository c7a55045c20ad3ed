/* cmd_help.h -- `firstfetch help`. */
#ifndef CLI_CMD_HELP_H
#define CLI_CMD_HELP_H

#include "cli/command.h"

extern const struct command cmd_help;

#endif
