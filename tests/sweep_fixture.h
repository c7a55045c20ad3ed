/* sweep_fixture.h -- sweeps of committed cases, their records as bytes, and
 * the program as a process.
 */
#ifndef TESTS_SWEEP_FIXTURE_H
#define TESTS_SWEEP_FIXTURE_H

#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "played.h"
#include "run/sweep.h"
#include "run/sweep_file.h"
#include "run/sweep_workers.h"

/* A sweep of traces/NAME.jsonc on its own part. */
static inline struct sweep sweep_of(struct played_bench *bench,
                                    const char *name, enum sweep_kind kind,
                                    struct outlook_event fault)
{
  const struct case_script *script = played_case(
      bench, played_format(bench, FIRSTFETCH_ROOT "/traces/%s.jsonc", name));
  return (struct sweep){
      .script = script,
      .part = played_part(
          bench, played_format(bench, FIRSTFETCH_ROOT "/models/%s.json",
                               script->part)),
      .kind = kind,
      .fault = fault,
      .patience = OUTLOOK_PATIENCE};
}

static inline void sweep_good(enum sim_status status,
                              const struct sim_error *err)
{
  char text[1200];
  if (status != SIM_OK) fail_msg("%s", sim_error_text(err, text, sizeof text));
}

static inline uint64_t sweep_points_of(const struct sweep *s)
{
  struct sweep_base base;
  struct sim_error err;
  sweep_good(sweep_measure(s, &base, &err), &err);
  return base.point_count;
}

static inline bool sweep_collect(void *context, const struct sweep_record *r)
{
  sweep_records_add(context, r);
  return true;
}

static inline void sweep_ignore(void *context, uint64_t point)
{
  (void)context;
  (void)point;
}

/* All points in this process. */
static inline void sweep_all(const struct sweep *s, uint64_t points,
                             struct sweep_records *to)
{
  const struct sweep_range range = {1, points};
  const struct sweep_sink sink = {sweep_collect, sweep_ignore, to};
  struct sim_error err;
  sweep_good(sweep_ask(s, &range, 1, &sink, &err), &err);
  sweep_records_order(to);
}

/* Records as the file has them; to be freed. */
static inline char *sweep_bytes(const struct sweep_records *records)
{
  char *text = NULL;
  size_t size;
  FILE *to = open_memstream(&text, &size);
  assert_non_null(to);
  for (size_t i = 0; i < records->count; i++)
    sweep_write_record(to, &records->list[i]);
  fclose(to);
  return text;
}

/* --- the program --------------------------------------------------------- */

static inline pid_t sweep_start(struct played_bench *bench, const char *words)
{
  const char *command =
      played_format(bench, "exec %s %s >%s/out 2>%s/err", FIRSTFETCH_PROGRAM,
                    words, bench->folder, bench->folder);
  pid_t child = fork();
  assert_true(child >= 0);
  if (child == 0) {
    execl("/bin/sh", "sh", "-c", command, (char *)NULL);
    _exit(127);
  }
  return child;
}

/* Exit status, or -1 if a signal ended it. */
static inline int sweep_end(pid_t child)
{
  int status;
  assert_int_equal(waitpid(child, &status, 0), child);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static inline int sweep_program(struct played_bench *bench, const char *words)
{
  return sweep_end(sweep_start(bench, words));
}

static inline const char *sweep_text_of(struct played_bench *bench,
                                        const char *name)
{
  size_t length;
  return (const char *)played_bytes(
      bench, played_format(bench, "%s/%s", bench->folder, name), &length);
}

#endif
