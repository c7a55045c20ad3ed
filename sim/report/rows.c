#include "report/rows.h"

#include <assert.h>
#include <string.h>

#include "describe/names.h"

void rows_begin(struct rows *rows, const struct result *const *results,
                uint32_t count)
{
  assert(count >= 1 && count <= ROWS_MAX_RESULTS);
  memset(rows, 0, sizeof *rows);
  rows->results = results;
  rows->count = count;
}

static const struct start *upcoming(const struct rows *rows, uint32_t i)
{
  const struct result *r = rows->results[i];
  return rows->next[i] < r->start_count ? &r->starts[rows->next[i]] : NULL;
}

bool rows_next(struct rows *rows)
{
  bool any = false;
  rows->step = UINT32_MAX;
  for (uint32_t i = 0; i < rows->count; i++) {
    const struct start *s = upcoming(rows, i);
    if (!s) continue;
    any = true;
    if (s->step < rows->step) rows->step = s->step;
  }
  for (uint32_t i = 0; i < rows->count; i++) {
    const struct start *s = upcoming(rows, i);
    bool here = s && s->step == rows->step;
    rows->starts[i] = here ? s : NULL;
    if (here) rows->next[i]++;
  }
  return any;
}

const char *rows_why(const struct start *start)
{
  static const char *const words[] = {
      [START_HANDOVER] = "hand-over", [START_PROBE] = "probe"};
  return start->how == START_RESET ? cause_word(start->cause)
                                   : words[start->how];
}

const char *rows_common_why(const struct rows *rows)
{
  const char *common = NULL;
  for (uint32_t i = 0; i < rows->count; i++) {
    if (!rows->starts[i]) continue;
    const char *why = rows_why(rows->starts[i]);
    if (common && strcmp(common, why) != 0) return NULL;
    common = why;
  }
  return common;
}

static bool alike(const struct start *a, const struct start *b)
{
  if (!a || !b) return false;
  if (strcmp(a->region, b->region) != 0) return false;
  if (a->landing.landed != b->landing.landed) return false;
  return !a->landing.landed ||
         strcmp(a->landing.region, b->landing.region) == 0;
}

bool rows_alike(const struct rows *rows)
{
  for (uint32_t i = 1; i < rows->count; i++) {
    if (!alike(rows->starts[0], rows->starts[i])) return false;
  }
  return true;
}
