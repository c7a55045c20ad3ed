/* firstfetch: words in, exit code out. */
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "base/arena.h"
#include "cli/command.h"
#include "cli/help.h"
#include "cli/output.h"

/* A standard stream that the caller closed would lend its number to the next
 * file opened; it becomes one that nothing can be read from or written to. */
static void occupy_standard_streams(void)
{
  for (int handle = 0; handle <= 2; handle++) {
    if (fcntl(handle, F_GETFD) < 0) {
      (void)open("/dev/null", handle == 0 ? O_WRONLY : O_RDONLY);
    }
  }
}

static int complain_about_usage(const struct sim_error *err,
                                const struct command *command)
{
  command_complain(err);
  if (err->status == SIM_USAGE) {
    fprintf(stderr, "firstfetch help%s%s tells how it is used.\n",
            command ? " " : "", command ? command->name : "");
  }
  return EXIT_BAD_INPUT;
}

/* `arguments` are those behind the command's name. */
static int run_command(const struct command *command, int count,
                       char *const *arguments, struct arena *arena)
{
  struct given given;
  struct sim_error err;
  int exit_code = EXIT_HELD;
  enum sim_status status =
      options_parse(command->options, command->option_count, count, arguments,
                    arena, &given, &err);
  if (status == SIM_OK && given.help) {
    help_command(stdout, command);
  } else if (status == SIM_OK) {
    status = command->run(&given, &exit_code, &err);
  }
  if (status != SIM_OK) return complain_about_usage(&err, command);
  if (output_check_standard(&err) != SIM_OK) return command_complain(&err);
  return exit_code;
}

/* What people try first. */
static const char *plain_name(const char *word)
{
  if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0) return "help";
  if (strcmp(word, "--version") == 0) return "version";
  return word;
}

int main(int count, char **arguments)
{
  occupy_standard_streams();
  signal(SIGPIPE, SIG_IGN); /* a reader that went away is a write error */
  if (count < 2) {
    help_program(stderr);
    return EXIT_BAD_INPUT;
  }
  const char *name = plain_name(arguments[1]);
  const struct command *command = command_named(name);
  if (!command) {
    struct sim_error err;
    command_unknown(name, &err);
    return complain_about_usage(&err, NULL);
  }
  struct arena arena;
  arena_init(&arena);
  int exit_code = run_command(command, count - 2, arguments + 2, &arena);
  arena_free(&arena);
  return exit_code;
}
