/* cmd_check.h -- `firstfetch check`. */
#ifndef CLI_CMD_CHECK_H
#define CLI_CMD_CHECK_H

#include "cli/command.h"

extern const struct command cmd_check;

#endif
