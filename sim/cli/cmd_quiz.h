/* cmd_quiz.h -- `firstfetch quiz`. */
#ifndef CLI_CMD_QUIZ_H
#define CLI_CMD_QUIZ_H

#include "cli/command.h"

extern const struct command cmd_quiz;

#endif
