#include "run/sweep_summary.h"

#include <inttypes.h>
#include <stdlib.h>

static int by_hash(const void *a, const void *b)
{
  const struct hash128 *one = a, *other = b;
  if (one->high != other->high) return one->high < other->high ? -1 : 1;
  return (one->low > other->low) - (one->low < other->low);
}

static uint64_t count_cells(const struct sweep_records *records)
{
  struct hash128 *all = calloc(records->count + 1, sizeof(*all));
  size_t count = 0;
  uint64_t different = 0;
  if (all == NULL) arena_no_memory();
  for (size_t i = 0; i < records->count; i++)
    if (records->list[i].has_cells) all[count++] = records->list[i].cells;
  if (count > 1) qsort(all, count, sizeof(*all), by_hash);
  for (size_t i = 0; i < count; i++)
    if (i == 0 || by_hash(&all[i - 1], &all[i]) != 0) different++;
  free(all);
  return different;
}

static void count_cut(struct sweep_summary *s, const struct answer *a,
                      uint64_t points)
{
  if (answer_cut(a)) s->cut_points += points;
  for (unsigned i = 0; i < TORN_COUNT_; i++) {
    if (a->left[i] == 0) continue;
    enum answer_class class = (enum answer_class)(a->left[i] - 1);
    s->cut[i] += points;
    if (class > s->worst[i]) s->worst[i] = class;
  }
}

void sweep_summarize(const struct sweep_records *records,
                     struct sweep_summary *summary)
{
  *summary = (struct sweep_summary){0};
  for (size_t i = 0; i < records->count; i++) {
    const struct sweep_record *r = &records->list[i];
    uint64_t points = r->last - r->first + 1;
    summary->all += points;
    summary->points[r->answer.class] += points;
    if (r->has_cells) summary->with_cells += points;
    count_cut(summary, &r->answer, points);
    if (summary->first[r->answer.class] == NULL)
      summary->first[r->answer.class] = r;
  }
  summary->cells = count_cells(records);
}

enum sim_status sweep_complete(const struct sweep_records *records,
                               struct sweep_range whole, struct sim_error *err)
{
  uint64_t next = whole.first;
  for (size_t i = 0; i < records->count; i++) {
    const struct sweep_record *r = &records->list[i];
    if (r->first < next)
      return sim_fail(err, SIM_RANGE, NULL,
                      "point %" PRIu64 " is there twice; expected each once",
                      r->first);
    if (r->first > next) break;
    next = r->last + 1;
  }
  if (next > whole.last) return SIM_OK;
  return sim_fail(err, SIM_RANGE, NULL,
                  "point %" PRIu64 " is missing; expected all of %" PRIu64
                  " to %" PRIu64,
                  next, whole.first, whole.last);
}
