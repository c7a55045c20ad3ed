/* cmd_merge.h -- the command `merge`. */
#ifndef CLI_CMD_MERGE_H
#define CLI_CMD_MERGE_H

#include "cli/command.h"

extern const struct command cmd_merge;

#endif
