#include "cli/progress.h"

#include <inttypes.h>
#include <stdio.h>
#include <time.h>
#include <unistd.h>

#define FIRST_MS 1000
#define EACH_MS  250

static int64_t now_ms(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

void progress_begin(struct progress *p, uint64_t all, const char *what)
{
  *p = (struct progress){
      .shows = isatty(STDERR_FILENO), .what = what, .all = all};
  p->begun_ms = now_ms();
  p->next_ms = p->begun_ms + FIRST_MS;
}

void progress_add(struct progress *p, uint64_t done)
{
  p->done += done;
}

void progress_tick(struct progress *p)
{
  int64_t now = now_ms();
  if (!p->shows || now < p->next_ms) return;
  uint64_t took = (uint64_t)(now - p->begun_ms);
  uint64_t rate = p->done * 1000 / took;
  p->next_ms = now + EACH_MS;
  p->shown = true;
  fprintf(stderr, "\r%" PRIu64, p->done);
  if (p->all > 0) fprintf(stderr, " of %" PRIu64, p->all);
  fprintf(stderr, " %s, %" PRIu64 " a second", p->what, rate);
  if (rate > 0 && p->all > 0)
    fprintf(stderr, ", %" PRIu64 " s left", (p->all - p->done) / rate);
  fputs("\033[K", stderr);
}

void progress_end(struct progress *p)
{
  if (p->shown) fputs("\r\033[K", stderr);
}
