#include "cli/cmd_serve.h"

#include <stdio.h>
#include <string.h>

#include "api/firstfetch.h"
#include "cli/run_plan.h"
#include "cli/wire.h"
#include "cli/words.h"

enum {
  SERVE_PART,
  SERVE_AFTER,
  SERVE_PORT,
  SERVE_STDIO,
  SERVE_SVD,
  SERVE_SEMIHOSTING,
  SERVE_MODELS,
  SERVE_OPTION_COUNT_
};

static const struct option options[] = {
    [SERVE_PART] = {"part", "P", "on this part instead of the case's own",
                    false},
    [SERVE_AFTER] = {"after", "STEP",
                     "play the case up to and with this step, its label or "
                     "the N of steps[N]; all of it, if not said",
                     false},
    [SERVE_PORT] = {"port", "N",
                    "listen on this TCP port of 127.0.0.1; one that the "
                    "system chooses, if not said",
                    false},
    [SERVE_STDIO] = {"stdio", NULL,
                     "talk to gdb through standard input and output: "
                     "target remote | firstfetch serve CASE --stdio",
                     false},
    [SERVE_SVD] = {"svd", "FILE",
                   "names and reset values of registers that the part does "
                   "not describe, a CMSIS-SVD file",
                   false},
    [SERVE_SEMIHOSTING] = {"semihosting", NULL,
                           "let programs write to gdb's user and end "
                           "themselves, by BKPT 0xAB",
                           false},
    [SERVE_MODELS] = FOLDERS_OPTION,
};

/* How many steps are to be played. */
static enum sim_status find_steps(const struct case_script *script,
                                  const char *after, uint32_t *steps,
                                  struct sim_error *err)
{
  *steps = script->step_count;
  if (!after) return SIM_OK;
  for (uint32_t i = 0; i < script->step_count; i++) {
    const char *label = script->steps[i].label;
    if (!label || strcmp(label, after) != 0) continue;
    *steps = i + 1;
    return SIM_OK;
  }
  const struct sim_place where = {.path = "--after"};
  if (after[0] < '0' || after[0] > '9' || script->step_count == 0)
    return sim_fail(err, SIM_USAGE, &where,
                    "names no step: no label of the case is \"%s\"", after);
  enum sim_status status =
      words_number("--after", after, script->step_count - 1, steps, err);
  *steps += 1;
  return status;
}

static enum sim_status serve(const struct run_plan *plan,
                             const struct given *given, uint16_t port,
                             struct sim_error *err)
{
  uint32_t steps;
  struct firstfetch_server *server;
  const struct planned_case *c = &plan->cases[0];
  const struct firstfetch_options how = {
      .svd = plan->svd,
      .semihosting = given->options[SERVE_SEMIHOSTING].count > 0};
  enum sim_status status =
      find_steps(c->script, options_value(given, SERVE_AFTER), &steps, err);
  if (status == SIM_OK)
    status = firstfetch_serve(c->script, c->parts[0], &how, steps, stderr,
                              &server, err);
  if (status != SIM_OK) return status;
  if (given->options[SERVE_STDIO].count > 0)
    wire_serve_standard(server);
  else
    status = wire_serve_port(server, port, err);
  firstfetch_server_free(server);
  return status;
}

static enum sim_status check_words(const struct given *given, uint16_t *port,
                                   struct sim_error *err)
{
  const char *part = options_value(given, SERVE_PART);
  const char *asked = options_value(given, SERVE_PORT);
  const struct sim_place where = {.path = "serve"};
  uint32_t number = 0;
  if (given->word_count != 1)
    return sim_fail(err, SIM_USAGE, &where, "is for one case; expected one");
  if (part && (strchr(part, ',') || strcmp(part, "all") == 0))
    return sim_fail(err, SIM_USAGE, &where, "is for one part; expected one");
  if (asked && given->options[SERVE_STDIO].count > 0)
    return sim_fail(err, SIM_USAGE, &where,
                    "talks through a port or --stdio; expected only one");
  if (asked) {
    enum sim_status status =
        words_number("--port", asked, UINT16_MAX, &number, err);
    if (status != SIM_OK) return status;
  }
  *port = (uint16_t)number;
  return SIM_OK;
}

static enum sim_status run(const struct given *given, int *exit_code,
                           struct sim_error *err)
{
  uint16_t port = 0;
  enum sim_status status = check_words(given, &port, err);
  if (status != SIM_OK) return status;
  const struct run_request request = {
      .cases = given->words,
      .case_count = given->word_count,
      .parts = options_value(given, SERVE_PART),
      .svd = options_value(given, SERVE_SVD),
      .models = &given->options[SERVE_MODELS],
  };
  struct run_plan plan;
  *exit_code = EXIT_HELD;
  status = run_plan_make(&plan, &request, given->arena, err);
  if (status == SIM_OK) status = serve(&plan, given, port, err);
  run_plan_free(&plan);
  return status;
}

const struct command cmd_serve = {
    .name = "serve",
    .usage = {"CASE [--part P] [--after STEP] [--port N]",
              "CASE --stdio [--part P] [--after STEP]"},
    .sentence = "What is the core executing? Attach gdb to the simulated part "
                "where the case has left it.",
    .more =
        "The core is halted as by a debug probe, and simulated time passes "
        "only while gdb lets it go. \"load\" programs flash through the "
        "part's controller; \"monitor help\" lists what can be asked of the "
        "part and its board: resets, supply, starts, latch. One gdb after "
        "another is served until one kills the target, or Ctrl-C. Exit "
        "status: 0; 2 the input is wrong, or the port is taken.",
    .options = options,
    .option_count = SERVE_OPTION_COUNT_,
    .run = run,
};
