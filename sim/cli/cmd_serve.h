/* cmd_serve.h -- `firstfetch serve`: the part as gdb debugs it.
 */
#ifndef CLI_CMD_SERVE_H
#define CLI_CMD_SERVE_H

#include "cli/command.h"

extern const struct command cmd_serve;

#endif
