/* played.h -- what the tests of whole runs share: files in a folder of their
 * own, committed files with something in them replaced, and a case played on
 * a part.
 *
 * Each test has a bench of its own, made and cleared away around it also
 * where it fails; its row, if it has one, is in the bench.
 */
#ifndef TESTS_PLAYED_H
#define TESTS_PLAYED_H

#include <dirent.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>

#include "base/arena.h"
#include "base/file.h"
#include "describe/case.h"
#include "describe/part.h"
#include "rows.h"
#include "run/play.h"

#define PLAYED_LATCHED   FIRSTFETCH_ROOT "/models/latched.json"
#define PLAYED_MAX_BYTES ((size_t)1 << 20)

struct played_bench {
  const void *row; /* of the test's table */
  struct arena arena;
  char folder[64];
};

static inline int played_setup(void **state)
{
  struct played_bench *bench = calloc(1, sizeof *bench);
  if (!bench) return -1;
  strcpy(bench->folder, "/tmp/firstfetch-played-XXXXXX");
  arena_init(&bench->arena);
  bench->row = *state;
  *state = bench;
  return mkdtemp(bench->folder) ? 0 : -1;
}

/* Text as printf has it, in the bench's arena. */
static inline char *played_format(struct played_bench *bench,
                                  const char *format, ...) SIM_PRINTF(2, 3);
static inline char *played_format(struct played_bench *bench,
                                  const char *format, ...)
{
  va_list args, again;
  va_start(args, format);
  va_copy(again, args);
  int length = vsnprintf(NULL, 0, format, args);
  va_end(args);
  assert_true(length >= 0);
  char *text = arena_get(&bench->arena, (size_t)length + 1);
  vsnprintf(text, (size_t)length + 1, format, again);
  va_end(again);
  return text;
}

/* Write a file into the folder, over one that is there; returns its path. */
static inline const char *played_file(struct played_bench *bench,
                                      const char *name, const void *bytes,
                                      size_t length)
{
  const char *path = played_format(bench, "%s/%s", bench->folder, name);
  FILE *file = fopen(path, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(bytes, 1, length, file), length);
  assert_int_equal(fclose(file), 0);
  return path;
}

static inline const char *played_text_file(struct played_bench *bench,
                                           const char *name, const char *text)
{
  return played_file(bench, name, text, strlen(text));
}

static inline uint8_t *played_bytes(struct played_bench *bench,
                                    const char *path, size_t *length)
{
  uint8_t *bytes = NULL;
  struct sim_error err = {0};
  file_read(&bench->arena, path, PLAYED_MAX_BYTES, &bytes, length, &err);
  assert_string_equal(err.message, "");
  return bytes;
}

/* The text with its only `from` replaced by `to`. */
static inline char *played_replace(struct played_bench *bench,
                                   const char *text, const char *from,
                                   const char *to)
{
  const char *at = strstr(text, from);
  if (!at) fail_msg("no %s", from);
  if (strstr(at + 1, from)) fail_msg("more than one %s", from);
  return played_format(bench, "%.*s%s%s", (int)(at - text), text, to,
                       at + strlen(from));
}

/* A committed part file, fit to stand in the bench's folder. */
static inline char *played_part_text(struct played_bench *bench,
                                     const char *path)
{
  size_t length;
  const char *text = (const char *)played_bytes(bench, path, &length);
  return played_replace(bench, text, "../images/", FIRSTFETCH_ROOT "/images/");
}

static inline const struct part *played_part(struct played_bench *bench,
                                             const char *path)
{
  const struct part *part = NULL;
  struct sim_error err = {0};
  char text[1200];
  if (part_read(&bench->arena, path, &part, &err) != SIM_OK) {
    fail_msg("%s", sim_error_text(&err, text, sizeof text));
  }
  return part;
}

static inline const struct case_script *played_case(struct played_bench *bench,
                                                    const char *path)
{
  const struct case_script *script = NULL;
  struct sim_error err = {0};
  char text[1200];
  if (case_read(&bench->arena, path, &script, &err) != SIM_OK) {
    fail_msg("%s", sim_error_text(&err, text, sizeof text));
  }
  return script;
}

/* Ready to run; play_free is the caller's. */
static inline struct play *played_prepare(const struct case_script *script,
                                          const struct part *part)
{
  static const struct play_options judging = {.judge = true};
  struct play *play = NULL;
  struct sim_error err = {0};
  char text[1200];
  if (play_prepare(script, part, &judging, &play, &err) != SIM_OK) {
    fail_msg("%s", sim_error_text(&err, text, sizeof text));
  }
  return play;
}

static inline int played_cleanup(void **state)
{
  struct played_bench *bench = *state;
  DIR *folder = opendir(bench->folder);
  if (!folder) return -1;
  for (const struct dirent *entry; (entry = readdir(folder)) != NULL;) {
    if (entry->d_name[0] == '.') continue;
    unlink(played_format(bench, "%s/%s", bench->folder, entry->d_name));
  }
  closedir(folder);
  arena_free(&bench->arena);
  int failed = rmdir(bench->folder);
  free(bench);
  return failed;
}

/* A test on a bench, and one a row of a table (see ROWS_ADD). */
#define PLAYED_TEST(test)                                                     \
  cmocka_unit_test_setup_teardown(test, played_setup, played_cleanup)
#define PLAYED_ADD(tests, function, table)                                    \
  played_add(tests, ROWS_ADD(tests, function, table))

static inline size_t played_add(struct CMUnitTest *tests, size_t count)
{
  for (size_t i = 0; i < count; i++) {
    tests[i].setup_func = played_setup;
    tests[i].teardown_func = played_cleanup;
  }
  return count;
}

#endif
