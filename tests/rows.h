/* rows.h -- cmocka tests out of tables, and tests that misuse stops the
 * program. */
#ifndef TESTS_ROWS_H
#define TESTS_ROWS_H

#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>
#include <cmocka.h>

#define ROWS_COUNT(table) (sizeof(table) / sizeof((table)[0]))

/* One test a row of `table`, whose rows are structs that begin with the
 * name; `function` receives the row. Returns how many tests were written. */
#define ROWS_ADD(tests, function, table)                                      \
  rows_add(tests, function, table, ROWS_COUNT(table), sizeof(table)[0])

static inline size_t rows_add(struct CMUnitTest *tests,
                              CMUnitTestFunction function, const void *table,
                              size_t count, size_t size)
{
  for (size_t i = 0; i < count; i++) {
    const void *row = (const char *)table + i * size;
    const char *name = *(const char *const *)row;
    tests[i] = (struct CMUnitTest){name, function, NULL, NULL, (void *)row};
  }
  return count;
}

/* An act that must end in a failed assertion. */
struct misuse_row {
  const char *name;
  void (*act)(void);
};

/* The test of such a row: a child process acts and must be aborted. */
static inline void misuse_row(void **state)
{
  const struct misuse_row *m = *state;
  fflush(NULL);
  pid_t child = fork();
  assert_true(child >= 0);
  if (child == 0) {
    signal(SIGABRT, SIG_DFL);
    if (!freopen("/dev/null", "w", stderr)) _exit(1);
    m->act();
    _exit(0);
  }
  int status;
  assert_int_equal(waitpid(child, &status, 0), child);
  assert_true(WIFSIGNALED(status) && WTERMSIG(status) == SIGABRT);
}

#endif
