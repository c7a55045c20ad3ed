/* program.h -- runs the firstfetch program and keeps what it printed.
 *
 * Each test has a folder of its own, the current one of the program's runs is
 * the root of the sources.
 */
#ifndef TESTS_PROGRAM_H
#define TESTS_PROGRAM_H

#include <stdlib.h>
#include <string.h>

#include "rows.h"

#define PROGRAM_TEXT (1u << 20)

struct program {
  char folder[64]; /* for files of the test */
  char out[PROGRAM_TEXT], err[PROGRAM_TEXT];
  int exit_code;
};

static inline void program_slurp(const struct program *p, const char *name,
                                 char *text)
{
  char path[256];
  snprintf(path, sizeof path, "%s/%s", p->folder, name);
  FILE *from = fopen(path, "r");
  assert_non_null(from);
  size_t length = fread(text, 1, PROGRAM_TEXT - 1, from);
  text[length] = '\0';
  assert_int_equal(fclose(from), 0);
}

/* A shell command in which $F is the program and $D the test's folder. */
static inline void program_shell(struct program *p, const char *command)
{
  char whole[8192];
  int length =
      snprintf(whole, sizeof whole,
               "F='%s'; D='%s'; cd '%s'; { %s\n} >'%s/stdout' 2>'%s/stderr'",
               FIRSTFETCH_PROGRAM, p->folder, FIRSTFETCH_ROOT, command,
               p->folder, p->folder);
  assert_in_range(length, 1, sizeof whole - 1);
  int status = system(whole);
  assert_true(WIFEXITED(status));
  p->exit_code = WEXITSTATUS(status);
  program_slurp(p, "stdout", p->out);
  program_slurp(p, "stderr", p->err);
}

static inline void program_run(struct program *p, const char *arguments)
{
  char command[4096];
  int length = snprintf(command, sizeof command, "\"$F\" %s", arguments);
  assert_in_range(length, 1, sizeof command - 1);
  program_shell(p, command);
}

static inline void program_write(const struct program *p, const char *name,
                                 const char *text)
{
  char path[256];
  snprintf(path, sizeof path, "%s/%s", p->folder, name);
  FILE *to = fopen(path, "w");
  assert_non_null(to);
  fputs(text, to);
  assert_int_equal(fclose(to), 0);
}

static inline int program_setup(void **state)
{
  struct program *p = calloc(1, sizeof *p);
  if (!p) return -1;
  strcpy(p->folder, "/tmp/firstfetch-test-XXXXXX");
  *state = p;
  return mkdtemp(p->folder) ? 0 : -1;
}

static inline int program_teardown(void **state)
{
  struct program *p = *state;
  char command[100];
  snprintf(command, sizeof command, "rm -rf '%s'", p->folder);
  free(p);
  return system(command);
}

/* A test whose state is a struct program. */
#define IN_FOLDER(test)                                                       \
  cmocka_unit_test_setup_teardown(test, program_setup, program_teardown)

#endif
