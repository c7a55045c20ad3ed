/* bench_sweep -- how much faster a sweep is than asking each point from step
 * 0.
 *
 * Same engine, same process, one job: all points of `--cut each-cycle`, and
 * some of them each alone, from the beginning, sharing nothing. Printed: time
 * a point of both, and their ratio. It prints times of the host and judges
 * nothing.
 */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "describe/case.h"
#include "run/sweep.h"
#include "run/sweep_file.h"

#define CASE  FIRSTFETCH_ROOT "/traces/still-boots-rom.jsonc"
#define PART  FIRSTFETCH_ROOT "/models/latched.json"
#define ALONE 100u

static void stop(const struct sim_error *err)
{
  char text[1200];
  fprintf(stderr, "bench_sweep: %s\n", sim_error_text(err, text, sizeof text));
  exit(2);
}

static int64_t now_ns(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
}

static bool collect(void *context, const struct sweep_record *r)
{
  sweep_records_add(context, r);
  return true;
}

static void ignore(void *context, uint64_t point)
{
  (void)context;
  (void)point;
}

static int64_t time_all(const struct sweep *s, uint64_t points)
{
  const struct sweep_range all = {1, points};
  struct sweep_records records = {0};
  const struct sweep_sink sink = {collect, ignore, &records};
  struct sim_error err;
  int64_t begun = now_ns();
  if (sweep_ask(s, &all, 1, &sink, &err) != SIM_OK) stop(&err);
  int64_t took = now_ns() - begun;
  sweep_records_free(&records);
  return took;
}

static int64_t time_alone(const struct sweep *s, uint64_t points)
{
  struct sweep naive = *s;
  struct sim_error err;
  naive.naive = true;
  int64_t begun = now_ns();
  for (uint64_t i = 0; i < ALONE; i++) {
    struct sweep_record r;
    uint64_t point = (points - 1) * i / (ALONE - 1) + 1;
    if (sweep_ask_one(&naive, point, &r, &err) != SIM_OK) stop(&err);
  }
  return now_ns() - begun;
}

static void compare(struct sweep *s, const char *what)
{
  struct sweep_base base;
  struct sim_error err;
  if (sweep_measure(s, &base, &err) != SIM_OK) stop(&err);
  int64_t all = time_all(s, base.point_count);
  int64_t alone = time_alone(s, base.point_count);
  int64_t each = all / (int64_t)base.point_count;
  int64_t one = alone / (int64_t)ALONE;
  printf("%-22s %" PRIu64 " points in %" PRId64 " ms, %" PRId64
         " ns each; alone %" PRId64 " us each; ratio %" PRId64 "\n",
         what, base.point_count, all / 1000000, each, one / 1000,
         one * (int64_t)base.point_count / (all > 0 ? all : 1));
}

int main(void)
{
  struct arena arena;
  struct sim_error err;
  struct sweep s = {.patience = OUTLOOK_PATIENCE};
  arena_init(&arena);
  if (case_read(&arena, CASE, &s.script, &err) != SIM_OK ||
      part_read(&arena, PART, &s.part, &err) != SIM_OK)
    stop(&err);
  s.fault = (struct outlook_event){OUTLOOK_POWER, CAUSE_POWER_ON, 0};
  s.kind = SWEEP_CYCLE;
  compare(&s, "--cut each-cycle");
  s.kind = SWEEP_EVENT;
  compare(&s, "--cut each-event");
  s.fault = (struct outlook_event){OUTLOOK_CAUSE, CAUSE_PIN, OUTLOOK_HOLD};
  compare(&s, "--reset pin:each-event");
  arena_free(&arena);
  return 0;
}
