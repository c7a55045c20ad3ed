#include "run/sweep_workers.h"

#include <assert.h>
#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

/* Points that a worker takes at a time: enough turns for all to be busy to
 * the end, few enough points that records come often. */
#define TURNS       8u
#define MOST_POINTS 4096u

/* How long the parent waits before it ticks, ms. */
#define TICK_MS 100

/* A worker that dies again and again without asking anything is our bug. */
#define MAX_DEATHS 3u

/* What goes through a pipe, whole (PIPE_BUF). */
struct message {
  enum { MESSAGE_RECORD, MESSAGE_ERROR } kind;
  union {
    struct sweep_record record;
    struct sim_error error;
  } is;
};
_Static_assert(sizeof(struct message) <= 4096, "PIPE_BUF of POSIX hosts");

struct worker {
  pid_t process;
  int from; /* -1: not at work */
  struct sweep_range *ranges;
  uint32_t range_count;
  unsigned deaths; /* in a row, with nothing asked */
};

struct work {
  const struct sweep_work *asked;
  struct arena arena;
  struct worker *workers;
  uint32_t worker_count;
  volatile uint64_t *asking; /* shared: the point each worker is at */
  bool failed;
  struct sim_error *err;
};

/* --- sharing out --------------------------------------------------------- */

static uint64_t count_points(const struct sweep_range *ranges, uint32_t count)
{
  uint64_t points = 0;
  for (uint32_t i = 0; i < count; i++)
    points += ranges[i].last - ranges[i].first + 1;
  return points;
}

static void give(struct work *w, uint32_t to, struct sweep_range range)
{
  struct worker *worker = &w->workers[to];
  uint32_t n = worker->range_count;
  if ((n & (n - 1)) == 0) { /* full at every power of two */
    struct sweep_range *more =
        arena_array(&w->arena, n == 0 ? 1 : 2 * (size_t)n, sizeof(*more));
    if (n > 0) memcpy(more, worker->ranges, n * sizeof(*more));
    worker->ranges = more;
  }
  worker->ranges[worker->range_count++] = range;
}

/* In turns, so that all get some of each stretch of the run. */
static void share_out(struct work *w)
{
  const struct sweep_work *asked = w->asked;
  uint64_t points = count_points(asked->ranges, asked->range_count);
  uint64_t size = points / ((uint64_t)w->worker_count * TURNS) + 1;
  uint32_t to = 0;
  if (size > MOST_POINTS) size = MOST_POINTS;
  for (uint32_t i = 0; i < asked->range_count; i++) {
    const struct sweep_range *r = &asked->ranges[i];
    for (uint64_t first = r->first; first <= r->last;) {
      uint64_t last = first + (size - 1);
      if (last > r->last) last = r->last;
      give(w, to, (struct sweep_range){first, last});
      to = (to + 1) % w->worker_count;
      first = last + 1;
    }
  }
}

/* --- in the worker ------------------------------------------------------- */

/* Neighbours with one answer go together; what is held back is lost with the
 * worker, and asked again. */
#define MOST_HELD 256u

struct sender {
  int to;
  volatile uint64_t *asking;
  struct sweep_record held;
  unsigned held_count; /* joined in it; 0: none */
};

static bool send(int to, const struct message *m)
{
  ssize_t wrote;
  do {
    wrote = write(to, m, sizeof(*m));
  } while (wrote < 0 && errno == EINTR);
  return wrote == (ssize_t)sizeof(*m);
}

static bool send_held(struct sender *s)
{
  struct message m;
  if (s->held_count == 0) return true;
  memset(&m, 0, sizeof(m));
  m.kind = MESSAGE_RECORD;
  m.is.record = s->held;
  s->held_count = 0;
  return send(s->to, &m);
}

static bool hold_record(void *context, const struct sweep_record *r)
{
  struct sender *s = context;
  if (s->held_count > 0 && s->held_count < MOST_HELD &&
      sweep_joins(&s->held, r)) {
    s->held.last = r->last;
    s->held.at_last = r->at_last;
    s->held_count++;
    return true;
  }
  bool sent = send_held(s);
  s->held = *r;
  s->held_count = 1;
  return sent;
}

static void note_asking(void *context, uint64_t point)
{
  struct sender *s = context;
  *s->asking = point;
}

static _Noreturn void be_worker(const struct work *w, uint32_t which, int to)
{
  struct sim_error err;
  struct sender sender = {.to = to, .asking = &w->asking[which]};
  const struct sweep_sink sink = {hold_record, note_asking, &sender};
  const struct worker *me = &w->workers[which];
  enum sim_status status =
      sweep_ask(w->asked->sweep, me->ranges, me->range_count, &sink, &err);
  send_held(&sender);
  if (status != SIM_OK) {
    struct message m;
    memset(&m, 0, sizeof(m));
    m.kind = MESSAGE_ERROR;
    m.is.error = err;
    send(to, &m);
  }
  _exit(0);
}

static bool start(struct work *w, uint32_t which)
{
  int ends[2];
  pid_t parent = getpid();
  w->workers[which].from = -1;
  w->asking[which] = 0;
  if (pipe(ends) != 0) return false;
  pid_t process = fork();
  if (process < 0) {
    close(ends[0]);
    close(ends[1]);
    return false;
  }
  if (process == 0) {
    prctl(PR_SET_PDEATHSIG, SIGKILL);
    signal(SIGINT, SIG_IGN);
    if (getppid() != parent) _exit(0);
    be_worker(w, which, ends[1]);
  }
  close(ends[1]);
  w->workers[which].process = process;
  w->workers[which].from = ends[0];
  return true;
}

/* --- in the parent ------------------------------------------------------- */

/* Points up to `last` are answered. A record stays within a range, but for
 * those that follow without a gap. */
static void strike_out(struct worker *worker, uint64_t last)
{
  uint32_t done = 0;
  while (done < worker->range_count && worker->ranges[done].last <= last)
    done++;
  worker->ranges += done;
  worker->range_count -= done;
  if (worker->range_count > 0 && worker->ranges[0].first <= last)
    worker->ranges[0].first = last + 1;
}

static void take_record(struct work *w, struct worker *worker,
                        const struct sweep_record *r)
{
  worker->deaths = 0;
  strike_out(worker, r->last);
  w->asked->record(w->asked->context, r);
}

/* Without this one point, wherever it is: those before it may have been held
 * back by the worker that died. */
static void leave_out(struct work *w, struct worker *worker, uint64_t point)
{
  struct sweep_range *left =
      arena_array(&w->arena, worker->range_count + 1, sizeof(*left));
  uint32_t count = 0;
  for (uint32_t i = 0; i < worker->range_count; i++) {
    const struct sweep_range r = worker->ranges[i];
    bool here = r.first <= point && point <= r.last;
    struct sweep_range before = {r.first, here ? point - 1 : r.last};
    if (before.first <= before.last) left[count++] = before;
    if (here && point < r.last)
      left[count++] = (struct sweep_range){point + 1, r.last};
  }
  worker->ranges = left;
  worker->range_count = count;
}

static void give_up_point(struct work *w, struct worker *worker,
                          uint64_t point)
{
  struct sweep_record r;
  memset(&r, 0, sizeof(r));
  r.first = r.last = point;
  r.margin = PS_NEVER;
  r.answer.class = CLASS_CRASHED;
  worker->deaths = 0;
  leave_out(w, worker, point);
  w->asked->record(w->asked->context, &r);
}

static enum sim_status no_processes(struct work *w)
{
  w->failed = true;
  return sim_fail(w->err, SIM_LIMIT, NULL,
                  "the host gives no process for a worker");
}

/* It has closed its end: is anything left to do, and who does it? */
static void bury(struct work *w, uint32_t which)
{
  struct worker *worker = &w->workers[which];
  int status;
  close(worker->from);
  worker->from = -1;
  while (waitpid(worker->process, &status, 0) < 0 && errno == EINTR)
    continue;
  if (worker->range_count == 0 || w->failed) return;
  uint64_t point = w->asking[which];
  if (point == 0 && ++worker->deaths >= MAX_DEATHS)
    point = worker->ranges[0].first;
  if (point >= worker->ranges[0].first) give_up_point(w, worker, point);
  if (worker->range_count > 0 && !start(w, which)) no_processes(w);
}

static void hear(struct work *w, uint32_t which)
{
  struct message m;
  struct worker *worker = &w->workers[which];
  ssize_t length = read(worker->from, &m, sizeof(m));
  if (length < 0 && errno == EINTR) return;
  if (length != (ssize_t)sizeof(m)) {
    bury(w, which);
  } else if (m.kind == MESSAGE_RECORD) {
    take_record(w, worker, &m.is.record);
  } else if (!w->failed) {
    w->failed = true;
    *w->err = m.is.error;
  }
}

static void end_workers(struct work *w)
{
  for (uint32_t i = 0; i < w->worker_count; i++) {
    struct worker *worker = &w->workers[i];
    if (worker->from < 0) continue;
    kill(worker->process, SIGKILL);
    close(worker->from);
    worker->from = -1;
    while (waitpid(worker->process, NULL, 0) < 0 && errno == EINTR)
      continue;
  }
}

/* False where the work is over. */
static bool wait_for_news(struct work *w, bool *complete)
{
  struct pollfd handles[SWEEP_MAX_JOBS + 1];
  uint32_t of[SWEEP_MAX_JOBS + 1];
  nfds_t count = 0;
  handles[count++] = (struct pollfd){.fd = w->asked->stop, .events = POLLIN};
  for (uint32_t i = 0; i < w->worker_count; i++) {
    if (w->workers[i].from < 0) continue;
    of[count] = i;
    handles[count++] =
        (struct pollfd){.fd = w->workers[i].from, .events = POLLIN};
  }
  if (count == 1 || w->failed) return false;
  int ready = poll(handles, count, TICK_MS);
  w->asked->tick(w->asked->context);
  if (ready <= 0) return true;
  if (handles[0].revents != 0) {
    *complete = false;
    return false;
  }
  for (nfds_t i = 1; i < count; i++)
    if (handles[i].revents != 0) hear(w, of[i]);
  return true;
}

static enum sim_status work_all(struct work *w, bool *complete)
{
  for (uint32_t i = 0; i < w->worker_count; i++) {
    w->workers[i].from = -1;
    if (w->workers[i].range_count == 0) continue;
    if (!start(w, i)) return no_processes(w);
  }
  while (wait_for_news(w, complete))
    continue;
  return w->failed ? w->err->status : SIM_OK;
}

enum sim_status sweep_work(const struct sweep_work *asked, bool *complete,
                           struct sim_error *err)
{
  assert(asked->jobs >= 1 && asked->jobs <= SWEEP_MAX_JOBS);
  struct work w = {.asked = asked, .worker_count = asked->jobs, .err = err};
  size_t size = SWEEP_MAX_JOBS * sizeof(*w.asking);
  void *shared = mmap(NULL, size, PROT_READ | PROT_WRITE,
                      MAP_SHARED | MAP_ANONYMOUS, -1, 0);
  *complete = true;
  if (shared == MAP_FAILED) return no_processes(&w);
  w.asking = shared;
  arena_init(&w.arena);
  w.workers = arena_array(&w.arena, w.worker_count, sizeof(*w.workers));
  share_out(&w);
  enum sim_status status = work_all(&w, complete);
  end_workers(&w);
  munmap(shared, size);
  arena_free(&w.arena);
  return status;
}
