#include "report/axis.h"

#include <stdlib.h>

#include "base/arena.h"

int64_t axis_gap(ps_t pause)
{
  int64_t width = AXIS_LEAST;
  ps_t decade = 10 * PS_PER_NS;
  if (pause <= decade) return width;
  while (pause / 10 >= decade) {
    pause /= 10;
    width += AXIS_DECADE;
  }
  return width + (pause - decade) * AXIS_DECADE / (9 * decade);
}

/* --- instants ------------------------------------------------------------ */

static void *checked(void *memory)
{
  if (!memory) arena_no_memory();
  return memory;
}

static void add(struct axis *a, ps_t at)
{
  if (a->count == a->room) {
    a->room = a->room > 0 ? a->room * 2 : 64;
    a->instants = checked(realloc(a->instants, a->room * sizeof *a->instants));
  }
  a->instants[a->count++] = at;
}

static int ascending(const void *left, const void *right)
{
  ps_t a = *(const ps_t *)left, b = *(const ps_t *)right;
  return a < b ? -1 : a > b;
}

static void collect(struct axis *a, const struct timeline *t)
{
  add(a, 0);
  add(a, t->end);
  for (uint32_t i = 0; i < t->lane_count; i++) {
    const struct lane *lane = &t->lanes[i];
    for (uint32_t k = 0; k < lane->count; k++) {
      add(a, lane->spans[k].from);
      add(a, lane->spans[k].to);
    }
  }
  for (uint32_t i = 0; i < t->step_count; i++) {
    add(a, t->steps[i].from);
    add(a, t->steps[i].to);
  }
  for (uint32_t i = 0; i < t->resets.count; i++)
    add(a, t->resets.list[i].at);
  for (uint32_t i = 0; i < t->point_count; i++)
    add(a, t->points[i].at);
}

static void sort_once(struct axis *a)
{
  uint32_t kept = 1;
  qsort(a->instants, a->count, sizeof *a->instants, ascending);
  for (uint32_t i = 1; i < a->count; i++) {
    if (a->instants[i] != a->instants[kept - 1])
      a->instants[kept++] = a->instants[i];
  }
  a->count = kept;
}

/* --- strips -------------------------------------------------------------- */

static bool is_reset(const struct timeline *t, ps_t at)
{
  for (uint32_t i = 0; i < t->resets.count; i++) {
    if (t->resets.list[i].at == at) return true;
  }
  return false;
}

/* The last instant of the strip that begins at `first`. */
static uint32_t strip_end(const struct axis *a, const struct timeline *t,
                          uint32_t first)
{
  uint32_t fits = first + 1;
  while (fits + 1 < a->count && a->x[fits + 1] - a->x[first] <= AXIS_WIDTH)
    fits++;
  if (fits + 1 >= a->count) return a->count - 1;
  for (uint32_t i = fits; a->x[i] - a->x[first] > AXIS_WIDTH / 2; i--) {
    if (is_reset(t, a->instants[i])) return i;
  }
  return fits;
}

static void break_up(struct axis *a, const struct timeline *t)
{
  a->breaks = checked(calloc(a->count + 1, sizeof *a->breaks));
  uint32_t at = 0;
  do {
    a->breaks[a->strip_count++] = at;
    at = a->count > 1 ? strip_end(a, t, at) : 0;
  } while (at + 1 < a->count);
  a->breaks[a->strip_count] = at;
}

/* At most half as wide again: short runs need not fill a line. */
static void stretch(struct axis *a)
{
  int64_t widest = 1;
  for (uint32_t i = 0; i < a->strip_count; i++) {
    int64_t width = a->x[a->breaks[i + 1]] - a->x[a->breaks[i]];
    if (width > widest) widest = width;
  }
  if (widest < AXIS_WIDTH * 2 / 3) widest = AXIS_WIDTH * 2 / 3;
  for (uint32_t i = 0; i < a->count; i++) {
    a->x[i] = (int64_t)((wide_t)a->x[i] * AXIS_WIDTH / widest);
  }
}

void axis_make(struct axis *a, const struct timeline *t)
{
  *a = (struct axis){0};
  collect(a, t);
  sort_once(a);
  a->x = checked(calloc(a->count, sizeof *a->x));
  for (uint32_t i = 1; i < a->count; i++) {
    a->x[i] = a->x[i - 1] + axis_gap(a->instants[i] - a->instants[i - 1]);
  }
  break_up(a, t);
  stretch(a);
}

void axis_free(struct axis *a)
{
  free(a->instants);
  free(a->x);
  free(a->breaks);
  *a = (struct axis){0};
}

struct axis_strip axis_strip(const struct axis *a, uint32_t strip)
{
  uint32_t first = a->breaks[strip], last = a->breaks[strip + 1];
  return (struct axis_strip){a, first, last, a->instants[first],
                             a->instants[last]};
}

static uint32_t find(const struct axis *a, ps_t at)
{
  uint32_t low = 0, high = a->count;
  while (high - low > 1) {
    uint32_t middle = low + (high - low) / 2;
    if (a->instants[middle] <= at)
      low = middle;
    else
      high = middle;
  }
  return low;
}

int64_t axis_x(const struct axis_strip *s, ps_t at)
{
  const struct axis *a = s->axis;
  if (at <= s->from) return 0;
  uint32_t i = at >= s->to ? s->last : find(a, at);
  return a->x[i] - a->x[s->first];
}

int64_t axis_width(const struct axis_strip *s)
{
  return s->axis->x[s->last] - s->axis->x[s->first];
}
