/* cmd_version.h -- `firstfetch version`. */
#ifndef CLI_CMD_VERSION_H
#define CLI_CMD_VERSION_H

#include "cli/command.h"

extern const struct command cmd_version;

#endif
