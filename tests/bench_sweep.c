/* bench_sweep -- how much faster a sweep is than asking each point from step
 * 0.
 *
 * Same engine, same process, one job: all points, or of a sweep by cycle with
 * resets, where nothing is shared, some thousand spread evenly; and some of
 * them each alone, from the beginning, sharing nothing. Printed: time a point
 * of both, and their ratio. It prints times of the host and judges nothing.
 */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "describe/case.h"
#include "run/sweep.h"
#include "run/sweep_file.h"

#define CASE   FIRSTFETCH_ROOT "/traces/still-boots-rom.jsonc"
#define PART   FIRSTFETCH_ROOT "/models/latched.json"
#define UPDATE FIRSTFETCH_ROOT "/traces/two-slot-update.jsonc"
#define SLOTS  FIRSTFETCH_ROOT "/models/latched-clearable.json"
#define ALONE  100u
#define SPREAD 4000u

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

/* `count` ranges that are all points, or as many single ones. */
static int64_t time_points(const struct sweep *s,
                           const struct sweep_range *ranges, uint32_t count)
{
  struct sweep_records records = {0};
  const struct sweep_sink sink = {collect, ignore, &records};
  struct sim_error err;
  int64_t begun = now_ns();
  if (sweep_ask(s, ranges, count, &sink, &err) != SIM_OK) stop(&err);
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

static int64_t time_all(const struct sweep *s, uint64_t points)
{
  const struct sweep_range all = {1, points};
  return time_points(s, &all, 1);
}

/* What all would take: one base run, and every point's own share. */
static int64_t time_spread(const struct sweep *s, uint64_t points)
{
  struct sweep_range one[SPREAD];
  const struct sweep_range last = {points, points};
  for (uint64_t i = 0; i < SPREAD; i++)
    one[i].first = one[i].last = (points - 1) * i / (SPREAD - 1) + 1;
  int64_t base = time_points(s, &last, 1);
  int64_t share = (time_points(s, one, SPREAD) - base) / (int64_t)SPREAD;
  return base + share * (int64_t)points;
}

static void compare(struct sweep *s, const char *what, bool spread)
{
  struct sweep_base base;
  struct sim_error err;
  if (sweep_measure(s, &base, &err) != SIM_OK) stop(&err);
  int64_t all = spread ? time_spread(s, base.point_count)
                       : time_all(s, base.point_count);
  int64_t alone = time_alone(s, base.point_count);
  int64_t each = all / (int64_t)base.point_count;
  int64_t one = alone / (int64_t)ALONE;
  printf("%-34s %8" PRIu64 " points in %7" PRId64 " ms%s, %" PRId64
         " ns each; alone %" PRId64 " us each; ratio %" PRId64 "\n",
         what, base.point_count, all / 1000000, spread ? " (reckoned)" : "",
         each, one / 1000,
         one * (int64_t)base.point_count / (all > 0 ? all : 1));
}

static void read_files(struct sweep *s, struct arena *arena, const char *file,
                       const char *part)
{
  struct sim_error err;
  if (case_read(arena, file, &s->script, &err) != SIM_OK ||
      part_read(arena, part, &s->part, &err) != SIM_OK)
    stop(&err);
}

int main(void)
{
  static const struct outlook_event cut = {OUTLOOK_POWER, CAUSE_POWER_ON, 0};
  static const struct outlook_event pin = {OUTLOOK_CAUSE, CAUSE_PIN,
                                           OUTLOOK_HOLD};
  struct arena arena;
  struct sweep s = {.patience = OUTLOOK_PATIENCE};
  arena_init(&arena);
  read_files(&s, &arena, CASE, PART);
  s.fault = cut;
  s.kind = SWEEP_CYCLE;
  compare(&s, "--cut each-cycle", false);
  s.kind = SWEEP_EVENT;
  compare(&s, "--cut each-event", false);
  s.fault = pin;
  compare(&s, "--reset pin:each-event", false);
  read_files(&s, &arena, UPDATE, SLOTS);
  s.kind = SWEEP_CYCLE;
  s.fault = cut;
  compare(&s, "two slots, --cut each-cycle", false);
  s.fault = pin;
  compare(&s, "two slots, --reset pin:each-cycle", true);
  arena_free(&arena);
  return 0;
}
