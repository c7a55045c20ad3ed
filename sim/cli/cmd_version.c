#include "cli/cmd_version.h"

#include <stdio.h>

#include "api/firstfetch.h"

static enum sim_status run(const struct given *given, int *exit_code,
                           struct sim_error *err)
{
  if (given->word_count > 0) {
    const struct sim_place where = {.path = given->words[0]};
    return sim_fail(err, SIM_USAGE, &where, "is not expected here");
  }
  printf("firstfetch %s\n", firstfetch_version());
  *exit_code = EXIT_HELD;
  return SIM_OK;
}

const struct command cmd_version = {
    .name = "version",
    .usage = {""},
    .sentence = "Which version is this?",
    .run = run,
};
