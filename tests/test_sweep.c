/* A sweep says at every point what a run made for that point alone says; it
 * says the same however it is shared out. */
#include "sweep_fixture.h"

static const struct outlook_event cut = {OUTLOOK_POWER, CAUSE_POWER_ON, 0};
static const struct outlook_event pin = {OUTLOOK_CAUSE, CAUSE_PIN,
                                         OUTLOOK_HOLD};

/* --- against each point from step 0 -------------------------------------- */

static const struct naive_row {
  const char *name;
  const char *script;
  enum sweep_kind kind;
  const struct outlook_event *fault;
  uint64_t at_least; /* points */
} naive_rows[] = {
    {"power cut at each event of a hand-over", "app-asks-for-rom", SWEEP_EVENT,
     &cut, 20},
    {"power cut at each flash order of a programming", "mended-by-reload",
     SWEEP_WRITE, &cut, 200},
    {"power cut at each event around a strap", "strap-forces-rom", SWEEP_EVENT,
     &cut, 30},
    {"power cut at each event while a host and a neighbour talk",
     "neighbour-locks-the-rom", SWEEP_EVENT, &cut, 100},
    {"a pin reset at each event of a hand-over", "app-asks-for-rom",
     SWEEP_EVENT, &pin, 20},
    {"a pin reset at each event around a dead latch",
     "erased-under-a-stale-latch", SWEEP_EVENT, &pin, 30},
};

static void ask_naively(const struct sweep *s, uint64_t point,
                        struct sweep_records *to)
{
  struct sweep naive = *s;
  struct sweep_record r;
  struct sim_error err;
  naive.naive = true;
  sweep_good(sweep_ask_one(&naive, point, &r, &err), &err);
  assert_int_equal(r.first, point);
  sweep_records_add(to, &r);
}

static void equals_naive(void **state)
{
  struct played_bench *bench = *state;
  const struct naive_row *row = bench->row;
  const struct sweep s = sweep_of(bench, row->script, row->kind, *row->fault);
  uint64_t points = sweep_points_of(&s);
  struct sweep_records swept = {0}, alone = {0};
  assert_true(points >= row->at_least);
  sweep_all(&s, points, &swept);
  for (uint64_t i = 1; i <= points; i++)
    ask_naively(&s, i, &alone);
  sweep_records_order(&alone);
  char *a = sweep_bytes(&swept), *b = sweep_bytes(&alone);
  assert_string_equal(a, b);
  free(a);
  free(b);
  sweep_records_free(&swept);
  sweep_records_free(&alone);
}

static const struct sweep_record *record_of(const struct sweep_records *list,
                                            uint64_t point)
{
  for (size_t i = 0; i < list->count; i++)
    if (list->list[i].first <= point && point <= list->list[i].last)
      return &list->list[i];
  fail_msg("no record of point %llu", (unsigned long long)point);
  return NULL;
}

/* The big ones: some points, chosen without order but always the same; the
 * edges of records are among them. */
static void equals_naive_here_and_there(struct played_bench *bench,
                                        const char *script,
                                        const struct outlook_event *fault,
                                        uint64_t points_at_least)
{
  const struct sweep s = sweep_of(bench, script, SWEEP_CYCLE, *fault);
  uint64_t points = sweep_points_of(&s), draw = 12345;
  struct sweep_records swept = {0};
  assert_true(points >= points_at_least);
  sweep_all(&s, points, &swept);
  for (unsigned i = 0; i < 60; i++) {
    struct sweep_records one = {0};
    draw = draw * 6364136223846793005u + 1442695040888963407u;
    uint64_t point = (draw >> 20) % points + 1;
    if (i % 3 == 0) point = swept.list[(draw >> 20) % swept.count].first;
    if (i % 3 == 1) point = swept.list[(draw >> 20) % swept.count].last;
    ask_naively(&s, point, &one);
    const struct sweep_record *theirs = record_of(&swept, point);
    if (memcmp(&one.list[0].answer, &theirs->answer, sizeof theirs->answer) !=
        0)
      fail_msg("point %llu: alone %s, in the sweep %s",
               (unsigned long long)point,
               answer_class_words[one.list[0].answer.class],
               answer_class_words[theirs->answer.class]);
    assert_memory_equal(&one.list[0].cells, &theirs->cells,
                        sizeof theirs->cells);
    assert_true(theirs->at_first <= one.list[0].at_first &&
                one.list[0].at_first <= theirs->at_last);
    sweep_records_free(&one);
  }
  sweep_records_free(&swept);
}

static void every_cycle_of_a_host_equals_naive_cut(void **state)
{
  equals_naive_here_and_there(*state, "host-bad-frames-refused", &cut, 200000);
}

static void every_cycle_equals_naive_cut(void **state)
{
  equals_naive_here_and_there(*state, "still-boots-rom", &cut, 200000);
}

static void every_cycle_equals_naive_reset(void **state)
{
  equals_naive_here_and_there(*state, "app-asks-for-rom", &pin, 2000);
}

/* --- the same for any number of jobs ------------------------------------- */

static void take(void *context, const struct sweep_record *r)
{
  sweep_records_add(context, r);
}

static void no_tick(void *context)
{
  (void)context;
}

static void any_number_of_jobs_says_the_same(void **state)
{
  struct played_bench *bench = *state;
  const struct sweep s = sweep_of(bench, "app-asks-for-rom", SWEEP_CYCLE, pin);
  const struct sweep_range all = {1, sweep_points_of(&s)};
  struct sweep_records alone = {0};
  sweep_all(&s, all.last, &alone);
  char *expected = sweep_bytes(&alone);
  for (uint32_t jobs = 1; jobs <= 3; jobs++) {
    struct sweep_records shared = {0};
    struct sim_error err;
    bool complete;
    const struct sweep_work work = {&s, &all, 1,       jobs,
                                    -1, take, no_tick, &shared};
    sweep_good(sweep_work(&work, &complete, &err), &err);
    assert_true(complete);
    sweep_records_order(&shared);
    char *bytes = sweep_bytes(&shared);
    assert_string_equal(bytes, expected);
    free(bytes);
    sweep_records_free(&shared);
  }
  free(expected);
  sweep_records_free(&alone);
}

/* --- a worker that dies -------------------------------------------------- */

struct killer {
  struct sweep_records records;
  unsigned killed, crashed;
};

/* Children of this process, as the host lists them. */
static pid_t some_child(void)
{
  char path[64], text[256] = "";
  snprintf(path, sizeof path, "/proc/%d/task/%d/children", (int)getpid(),
           (int)getpid());
  FILE *file = fopen(path, "r");
  if (!file) return 0;
  size_t length = fread(text, 1, sizeof text - 1, file);
  text[length] = '\0';
  fclose(file);
  return (pid_t)strtol(text, NULL, 10);
}

/* A worker may be killed before it asks anything: then nothing is lost. So it
 * is done again until a point was. */
static void take_and_kill(void *context, const struct sweep_record *r)
{
  struct killer *k = context;
  sweep_records_add(&k->records, r);
  if (r->answer.class == CLASS_CRASHED) k->crashed++;
  pid_t child = some_child();
  if (k->crashed > 0 || k->records.count % 2 == 0 || child <= 0) return;
  kill(child, SIGKILL);
  k->killed++;
}

static void a_worker_that_dies_costs_its_point_alone(void **state)
{
  struct played_bench *bench = *state;
  const struct sweep s = sweep_of(bench, "app-asks-for-rom", SWEEP_CYCLE, pin);
  const struct sweep_range all = {1, sweep_points_of(&s)};
  struct killer k = {0};
  struct sweep_records alone = {0};
  struct sim_error err;
  bool complete;
  uint64_t crashed = 0, next = 1;
  sweep_all(&s, all.last, &alone);
  const struct sweep_work work = {&s, &all,          1,       2,
                                  -1, take_and_kill, no_tick, &k};
  if (access("/proc/self/task", F_OK) != 0) skip();
  sweep_good(sweep_work(&work, &complete, &err), &err);
  sweep_records_order(&k.records);
  assert_true(k.killed >= 1);
  for (size_t i = 0; i < k.records.count; i++) {
    const struct sweep_record *r = &k.records.list[i];
    assert_int_equal(r->first, next);
    next = r->last + 1;
    if (r->answer.class == CLASS_CRASHED)
      crashed += r->last - r->first + 1;
    else
      assert_memory_equal(&r->answer, &record_of(&alone, r->first)->answer,
                          sizeof r->answer);
  }
  assert_int_equal(next, all.last + 1);
  assert_true(crashed >= 1 && crashed <= k.killed);
  sweep_records_free(&k.records);
  sweep_records_free(&alone);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(naive_rows) + 4] = {
      PLAYED_TEST(every_cycle_equals_naive_cut),
      PLAYED_TEST(every_cycle_of_a_host_equals_naive_cut),
      PLAYED_TEST(every_cycle_equals_naive_reset),
      PLAYED_TEST(any_number_of_jobs_says_the_same),
      PLAYED_TEST(a_worker_that_dies_costs_its_point_alone)};
  PLAYED_ADD(tests + 4, equals_naive, naive_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
