/* cmd_route.h -- `firstfetch route`: which procedures reach the goal. */
#ifndef CLI_CMD_ROUTE_H
#define CLI_CMD_ROUTE_H

#include "cli/command.h"

extern const struct command cmd_route;

#endif
