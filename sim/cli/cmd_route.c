#include "cli/cmd_route.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/firstfetch.h"
#include "base/file.h"
#include "cli/folders.h"
#include "cli/progress.h"
#include "cli/route_outputs.h"
#include "run/route.h"

enum {
  ROUTE_OPTION_PART,
  ROUTE_OPTION_DEPTH,
  ROUTE_OPTION_LIMIT,
  ROUTE_OPTION_PROCEDURES,
  ROUTE_OPTION_JSON,
  ROUTE_OPTION_HTML,
  ROUTE_OPTION_WRITE,
  ROUTE_OPTION_MODELS,
  ROUTE_OPTION_COUNT_
};

static const struct option options[] = {
    [ROUTE_OPTION_PART] = {"part", "P", "on this part, not the case's own",
                           false},
    [ROUTE_OPTION_DEPTH] =
        {"depth", "N", "lists of at most N actions, 1 to 16 (6 without this)",
         false},
    [ROUTE_OPTION_LIMIT] =
        {"limit", "N", "look at no more than N states (2000 without this)",
         false},
    [ROUTE_OPTION_PROCEDURES] =
        {"procedures", "N",
         "stop when so many were found, 1 to 16 (3 without "
         "this)",
         false},
    [ROUTE_OPTION_JSON] = {"json", "FILE", "write the result there as JSON",
                           false},
    [ROUTE_OPTION_HTML] = {"html", "FILE", "write the result there as a page",
                           false},
    [ROUTE_OPTION_WRITE] = {"write", "DIR",
                            "write each procedure there, as cases that run "
                            "holds and as a work instruction",
                            false},
    [ROUTE_OPTION_MODELS] = FOLDERS_OPTION,
};

static enum sim_status usage(struct sim_error *err, const char *option,
                             const char *what)
{
  const struct sim_place where = {.path = option};
  return sim_fail(err, SIM_USAGE, &where, "%s", what);
}

/* A whole number from 1 to `most`; `number` stays if none is given. */
static enum sim_status take_number(const struct given *given, size_t option,
                                   uint64_t most, uint64_t *number,
                                   struct sim_error *err)
{
  char name[32], what[64];
  const char *value = options_value(given, option);
  if (value == NULL) return SIM_OK;
  uint64_t read = 0;
  const char *at = value;
  for (; *at >= '0' && *at <= '9' && read <= most; at++)
    read = read * 10 + (uint64_t)(*at - '0');
  if (*at == '\0' && read >= 1 && read <= most) {
    *number = read;
    return SIM_OK;
  }
  snprintf(name, sizeof(name), "--%s", options[option].name);
  snprintf(what, sizeof(what), "expected a number from 1 to %llu",
           (unsigned long long)most);
  return usage(err, name, what);
}

static enum sim_status take_limits(const struct given *given,
                                   struct route_limits *limits,
                                   struct sim_error *err)
{
  uint64_t depth = ROUTE_DEPTH, procedures = ROUTE_PROCEDURES;
  limits->states = ROUTE_STATES;
  enum sim_status status =
      take_number(given, ROUTE_OPTION_DEPTH, ROUTE_MAX_DEPTH, &depth, err);
  if (status == SIM_OK)
    status =
        take_number(given, ROUTE_OPTION_LIMIT, 1000000, &limits->states, err);
  if (status == SIM_OK)
    status = take_number(given, ROUTE_OPTION_PROCEDURES, ROUTE_MAX_PROCEDURES,
                         &procedures, err);
  limits->depth = (uint32_t)depth;
  limits->procedures = (uint32_t)procedures;
  return status;
}

/* The case, played on another part if one is given; the script names the part
 * so that it is found from anywhere. */
static enum sim_status load(struct firstfetch *loaded,
                            const struct given *given,
                            struct case_script *script,
                            const struct part **part, struct sim_error *err)
{
  const char *file = given->words[0];
  const struct case_script *read;
  enum sim_status status = firstfetch_case(loaded, file, &read, err);
  if (status != SIM_OK) return status;
  struct firstfetch_search search =
      folders_search(given->arena, &given->options[ROUTE_OPTION_MODELS], file);
  const char *other = options_value(given, ROUTE_OPTION_PART);
  *script = *read;
  if (other != NULL) script->part = other;
  status = firstfetch_part(loaded, &search, script->part,
                           other != NULL ? NULL : file, part, err);
  if (status == SIM_OK && strchr(script->part, '.') != NULL)
    script->part = (*part)->file;
  return status;
}

static void tick(void *context, uint64_t states)
{
  struct progress *progress = context;
  (void)states;
  progress_add(progress, 1);
  progress_tick(progress);
}

static bool found_any(const struct route_result *r)
{
  for (uint32_t i = 0; i < r->alone_count; i++)
    if (r->alone[i].found) return true;
  return r->procedure_count > 0;
}

static enum sim_status tell(const struct given *given,
                            const struct route_result *result,
                            struct sim_error *err)
{
  const char *folder = options_value(given, ROUTE_OPTION_WRITE);
  enum sim_status status = route_outputs_tell(
      result, options_value(given, ROUTE_OPTION_JSON),
      options_value(given, ROUTE_OPTION_HTML), given->arena, err);
  if (status != SIM_OK || folder == NULL) return status;
  return route_outputs_write(result, folder, given->arena, err);
}

static enum sim_status answer(struct firstfetch *loaded,
                              const struct given *given, int *exit_code,
                              struct sim_error *err)
{
  struct case_script script;
  struct progress progress;
  struct route_request request = {
      .script = &script, .tick = tick, .context = &progress};
  const struct route_result *result;
  enum sim_status status = take_limits(given, &request.limits, err);
  if (status == SIM_OK)
    status = load(loaded, given, &script, &request.part, err);
  if (status != SIM_OK) return status;
  progress_begin(&progress, 0, "states");
  status = route_ask(&request, given->arena, &result, err);
  progress_end(&progress);
  if (status == SIM_OK) status = tell(given, result, err);
  if (status == SIM_OK && !found_any(result)) *exit_code = EXIT_NO_ANSWER;
  return status;
}

static enum sim_status run(const struct given *given, int *exit_code,
                           struct sim_error *err)
{
  if (given->word_count != 1)
    return usage(err, "route", "asks about one case; expected its file");
  const char *json = options_value(given, ROUTE_OPTION_JSON);
  const char *html = options_value(given, ROUTE_OPTION_HTML);
  if (json != NULL && html != NULL && strcmp(json, html) == 0)
    return usage(err, "--html",
                 "goes where --json goes; expected another file");
  struct firstfetch *loaded = firstfetch_open();
  enum sim_status status = answer(loaded, given, exit_code, err);
  firstfetch_close(loaded);
  return status;
}

const struct command cmd_route = {
    .name = "route",
    .usage = {"CASE [--depth N] [--limit N] [--write DIR] [--json FILE] "
              "[--html FILE]"},
    .sentence = "Which procedures reach the goal without breaking a never, "
                "least time first; or why is there none?",
    .more =
        "The case's \"route\" object says the goal, the image, what is at "
        "hand and in which states parts arrive. Every action is played on the "
        "simulated part with the real image, from every state; then probe and "
        "straps are let go of, and the goal must hold again after each reset "
        "that the shipped unit may see. Where there is none, constraints are "
        "lifted one by one. FILE may be - for standard output. Exit status: 0 "
        "found, at least from one of the "
        "states; 3 none.",
    .options = options,
    .option_count = ROUTE_OPTION_COUNT_,
    .run = run,
};
