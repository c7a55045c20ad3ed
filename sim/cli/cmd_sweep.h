/* cmd_sweep.h -- the command `sweep`. */
#ifndef CLI_CMD_SWEEP_H
#define CLI_CMD_SWEEP_H

#include "cli/command.h"

extern const struct command cmd_sweep;

#endif
