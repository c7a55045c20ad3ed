/* cmd_why.h -- `firstfetch why`: which causes explain what was seen? */
#ifndef CLI_CMD_WHY_H
#define CLI_CMD_WHY_H

#include "cli/command.h"

extern const struct command cmd_why;

#endif
