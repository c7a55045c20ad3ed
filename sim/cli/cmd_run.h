/* cmd_run.h -- `firstfetch run`. */
#ifndef CLI_CMD_RUN_H
#define CLI_CMD_RUN_H

#include "cli/command.h"

extern const struct command cmd_run;

#endif
