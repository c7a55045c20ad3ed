#include "cli/command.h"

#include <stdio.h>
#include <string.h>

#include "base/nearest.h"
#include "cli/cmd_check.h"
#include "cli/cmd_help.h"
#include "cli/cmd_merge.h"
#include "cli/cmd_quiz.h"
#include "cli/cmd_route.h"
#include "cli/cmd_run.h"
#include "cli/cmd_serve.h"
#include "cli/cmd_sweep.h"
#include "cli/cmd_version.h"
#include "cli/cmd_why.h"

const struct command *const commands[] = {
    &cmd_run,   &cmd_sweep, &cmd_merge, &cmd_route,   &cmd_why, &cmd_quiz,
    &cmd_check, &cmd_serve, &cmd_help,  &cmd_version, NULL};

const struct command *command_named(const char *name)
{
  for (size_t i = 0; commands[i]; i++) {
    if (strcmp(commands[i]->name, name) == 0) return commands[i];
  }
  return NULL;
}

enum sim_status command_unknown(const char *name, struct sim_error *err)
{
  const char *names[sizeof commands / sizeof commands[0]];
  size_t count = 0;
  for (; commands[count]; count++) {
    names[count] = commands[count]->name;
  }
  const char *meant = nearest_word(name, names, count);
  const struct sim_place where = {.path = name};
  if (meant) {
    return sim_fail(err, SIM_USAGE, &where, "is no command; did you mean %s?",
                    meant);
  }
  return sim_fail(err, SIM_USAGE, &where,
                  "is no command; firstfetch help lists them");
}

int command_complain(const struct sim_error *err)
{
  char text[sizeof err->file + sizeof err->path + sizeof err->message + 64];
  fprintf(stderr, "firstfetch: %s\n", sim_error_text(err, text, sizeof text));
  return EXIT_BAD_INPUT;
}
