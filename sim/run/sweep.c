#include "run/sweep.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

const char *const sweep_kind_words[] = {
    [SWEEP_CYCLE] = "cycle",    [SWEEP_EVENT] = "event",
    [SWEEP_WRITE] = "write",    [SWEEP_VARY] = "vary",
    [SWEEP_KIND_COUNT_] = NULL,
};

static bool has_base_run(const struct sweep *s)
{
  return s->kind != SWEEP_VARY;
}

const char *sweep_fault_word(const struct sweep *s)
{
  if (!has_base_run(s)) return "";
  return s->fault.kind == OUTLOOK_POWER ? "cut" : "reset";
}

void sweep_id(const struct sweep *s, uint64_t point, char *text, size_t size)
{
  const char *fault = sweep_fault_word(s);
  snprintf(text, size, "%s%s%s:%" PRIu64, fault, fault[0] ? ":" : "",
           sweep_kind_words[s->kind], point);
}

/* The base run stands for script, part and images alike; of the options, what
 * the points depend on. */
static struct hash128 setup_of(const struct sweep *s, struct hash128 history)
{
  struct {
    struct hash128 history;
    int64_t numbers[5 + 5 * VARY_MAX_AXES];
    char names[2][256];
    char axes[VARY_MAX_AXES][64];
  } all;
  memset(&all, 0, sizeof(all));
  all.history = history;
  int64_t *n = all.numbers;
  *n++ = s->kind;
  *n++ = s->fault.kind;
  *n++ = s->fault.cause;
  *n++ = s->fault.hold;
  *n++ = s->patience;
  for (uint32_t i = 0; i < s->vary.axis_count; i++) {
    *n++ = s->vary.axes[i].from;
    *n++ = s->vary.axes[i].to;
    *n++ = s->vary.axes[i].by;
    snprintf(all.axes[i], sizeof(all.axes[i]), "%s", s->vary.axes[i].name);
  }
  snprintf(all.names[0], sizeof(all.names[0]), "%s", s->script->title);
  snprintf(all.names[1], sizeof(all.names[1]), "%s", s->part->name);
  return hash_bytes(&all, sizeof(all));
}

enum sim_status sweep_measure(const struct sweep *s, struct sweep_base *base,
                              struct sim_error *err)
{
  enum sim_status status = sweep_walk(s, NULL, 0, NULL, base, err);
  if (status != SIM_OK) return status;
  if (!has_base_run(s)) base->point_count = vary_count(&s->vary);
  base->setup = setup_of(s, base->setup);
  return SIM_OK;
}

enum sim_status sweep_ask(const struct sweep *s,
                          const struct sweep_range *ranges,
                          uint32_t range_count, const struct sweep_sink *sink,
                          struct sim_error *err)
{
  if (has_base_run(s))
    return sweep_walk(s, ranges, range_count, sink, NULL, err);
  return sweep_play_all(s, ranges, range_count, sink, err);
}

/* --- one point ----------------------------------------------------------- */

static bool take_one(void *context, const struct sweep_record *r)
{
  struct sweep_record *to = context;
  *to = *r;
  return false;
}

static void ask_in_peace(void *context, uint64_t point)
{
  (void)context;
  (void)point;
}

enum sim_status sweep_ask_one(const struct sweep *s, uint64_t point,
                              struct sweep_record *record,
                              struct sim_error *err)
{
  const struct sweep_range range = {point, point};
  const struct sweep_sink sink = {take_one, ask_in_peace, record};
  return sweep_ask(s, &range, 1, &sink, err);
}

static bool same_answer(const struct answer *a, const struct answer *b)
{
  if (a->class != b->class || a->class != CLASS_UNJUDGED)
    return a->class == b->class;
  return memcmp(a, b, sizeof(*a)) == 0;
}

enum sim_status sweep_edge(const struct sweep *s, uint64_t point_count,
                           struct sweep_record *below,
                           struct sweep_record *above, bool *found,
                           struct sim_error *err)
{
  struct sweep_record middle;
  enum sim_status status = sweep_ask_one(s, 1, below, err);
  if (status == SIM_OK) status = sweep_ask_one(s, point_count, above, err);
  if (status != SIM_OK) return status;
  *found = !same_answer(&below->answer, &above->answer);
  while (*found && above->first - below->first > 1) {
    uint64_t half = below->first + (above->first - below->first) / 2;
    status = sweep_ask_one(s, half, &middle, err);
    if (status != SIM_OK) return status;
    bool still = same_answer(&below->answer, &middle.answer);
    *(still ? below : above) = middle;
  }
  return SIM_OK;
}

bool sweep_joins(const struct sweep_record *a, const struct sweep_record *b)
{
  return a->last + 1 == b->first && a->has_cells == b->has_cells &&
         a->cells.low == b->cells.low && a->cells.high == b->cells.high &&
         a->margin == b->margin && strcmp(a->what, b->what) == 0 &&
         memcmp(&a->answer, &b->answer, sizeof(a->answer)) == 0;
}
