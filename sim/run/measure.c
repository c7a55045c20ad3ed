#include "run/measure.h"

#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "describe/trace_kinds.h"

/* --- measuring --- */

static bool is_mark(const struct plan_mark *mark, const struct trace_record *r)
{
  return r->kind == mark->kind && (mark->any || r->a == mark->a) &&
         (!mark->has_b || r->b == mark->b);
}

static void take(struct measured_range *range, int64_t value, bool first)
{
  assert(value >= 0); /* the trace goes forward */
  if (first || value < range->least) range->least = value;
  if (first || value > range->most) range->most = value;
  range->last = value;
}

static void end_one(struct measured *m, struct measure_begun *begun,
                    const struct trace_record *r)
{
  bool first = m->count == 0;
  begun->open = false;
  take(&m->time, r->at - begun->from.at, first);
  take(&m->cycles, r->cycle - begun->from.cycle, first);
  m->count++;
}

static void begin_one(struct measured *m, struct measure_begun *begun,
                      const struct trace_record *r)
{
  if (begun->open) m->begun++;
  *begun = (struct measure_begun){true, {r->at, r->cycle}};
}

static void fold(void *context, const struct trace_record *r)
{
  struct measures *m = context;
  for (uint32_t i = 0; i < m->plan->script->measure_count; i++) {
    const struct plan_measure *what = &m->plan->measures[i];
    struct measure_begun *begun = &m->begun[i];
    if (begun->open && is_mark(&what->to, r)) end_one(&m->list[i], begun, r);
    if (is_mark(&what->from, r)) begin_one(&m->list[i], begun, r);
  }
}

void measures_init(struct measures *m, const struct plan *plan,
                   struct arena *arena, struct trace *tr)
{
  uint32_t count = plan->script->measure_count;
  trace_mask mask = 0;
  *m =
      (struct measures){.plan = plan,
                        .list = arena_array(arena, count, sizeof(*m->list)),
                        .begun = arena_array(arena, count, sizeof(*m->begun))};
  for (uint32_t i = 0; i < count; i++) {
    m->list[i].name = plan->script->measures[i].name;
    mask |= TRACE_BIT(plan->measures[i].from.kind);
    mask |= TRACE_BIT(plan->measures[i].to.kind);
  }
  if (count > 0) trace_listen(tr, mask, fold, m);
}

void measures_end(struct measures *m)
{
  for (uint32_t i = 0; i < m->plan->script->measure_count; i++)
    if (m->begun[i].open) m->list[i].begun++;
}

/* --- judging --- */

static void put_bound(char *text, size_t size, const char *which,
                      const struct case_bound *bound)
{
  char value[32];
  size_t used = strlen(text);
  if (!bound->asked) return;
  units_text(value, sizeof(value), bound->in_cycles ? UNIT_CYCLES : UNIT_TIME,
             bound->value);
  snprintf(text + used, size - used, ", %s %s", which, value);
}

/* A time beyond its bound by less than its text tells is told whole. */
static void put_value(char *text, size_t size, const struct case_bound *bound,
                      int64_t seen)
{
  enum unit unit = bound->in_cycles ? UNIT_CYCLES : UNIT_TIME;
  char asked[32], value[32];
  units_text(asked, sizeof(asked), unit, bound->value);
  units_text(value, sizeof(value), unit, seen);
  size_t used = strlen(text);
  snprintf(text + used, size - used, "%s%s", used > 0 ? ", " : "", value);
  used = strlen(text);
  if (strcmp(asked, value) == 0)
    snprintf(text + used, size - used, " (%" PRId64 " ps)", seen);
}

static const struct measured_range *range_of(const struct measured *m,
                                             const struct case_bound *bound)
{
  return bound->in_cycles ? &m->cycles : &m->time;
}

/* What breaks the bounds, "" if nothing does. */
static void put_seen(const struct measured *m, const struct case_measure *c,
                     char *text, size_t size)
{
  text[0] = '\0';
  if (m->count == 0) {
    snprintf(text, size, m->begun == 0 ? "it never began" : "it never ended");
    return;
  }
  int64_t most = range_of(m, &c->at_most)->most;
  int64_t least = range_of(m, &c->at_least)->least;
  if (c->at_most.asked && most > c->at_most.value)
    put_value(text, size, &c->at_most, most);
  if (c->at_least.asked && least < c->at_least.value)
    put_value(text, size, &c->at_least, least);
}

static void judge_one(const struct measured *m, const struct case_measure *c,
                      struct judge *judge)
{
  char seen[160], bounds[160] = "";
  put_seen(m, c, seen, sizeof(seen));
  put_bound(bounds, sizeof(bounds), "at most", &c->at_most);
  put_bound(bounds, sizeof(bounds), "at least", &c->at_least);
  static const char form[] = "measure: %s%s";
  size_t size = sizeof(form) + strlen(c->name) + strlen(bounds);
  char *asked = arena_get(judge->arena, size);
  snprintf(asked, size, form, c->name, bounds);
  bool held = seen[0] == '\0';
  judge_add(judge, &(struct judgement){
                       .kind = JUDGED_MEASURE,
                       .step = RESULT_NO_STEP,
                       .line = c->line,
                       .held = held,
                       .asked = asked,
                       .seen = held ? NULL : arena_text(judge->arena, seen)});
}

void measures_judge(const struct measures *m, struct judge *judge)
{
  for (uint32_t i = 0; i < m->plan->script->measure_count; i++) {
    const struct case_measure *c = &m->plan->script->measures[i];
    if (c->at_most.asked || c->at_least.asked)
      judge_one(&m->list[i], c, judge);
  }
}
