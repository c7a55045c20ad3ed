#include "cli/cmd_help.h"

#include <stdio.h>

#include "cli/help.h"

static enum sim_status run(const struct given *given, int *exit_code,
                           struct sim_error *err)
{
  *exit_code = EXIT_HELD;
  if (given->word_count == 0) {
    help_program(stdout);
    return SIM_OK;
  }
  for (size_t i = 0; i < given->word_count; i++) {
    const struct command *command = command_named(given->words[i]);
    if (!command) return command_unknown(given->words[i], err);
    if (i > 0) putchar('\n');
    help_command(stdout, command);
  }
  return SIM_OK;
}

const struct command cmd_help = {
    .name = "help",
    .usage = {"[COMMAND...]"},
    .sentence = "What is there, and how is it used?",
    .run = run,
};
