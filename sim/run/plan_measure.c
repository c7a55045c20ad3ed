#include <inttypes.h>
#include <stdio.h>

#include "describe/trace_kinds.h"
#include "run/plan.h"

_Static_assert(PIN_RELEASED == 0 && PIN_DRIVEN_LOW == 1 &&
                   PIN_DRIVEN_HIGH == 2,
               "the order of `drives`");

/* A mark that is being resolved, with its place for messages. */
struct marking {
  struct plan *plan;
  struct arena *arena;
  const struct case_mark *mark;
  struct sim_place place;
  struct sim_error *err;
};

static enum sim_status watch_mark(const struct marking *m, const char *name,
                                  struct plan_mark *out)
{
  out->kind = TRACE_MARK;
  return plan_watch(m->plan, name, &m->place, &out->a, m->err);
}

/* The name of an address is how it is written in reports. */
static enum sim_status address_mark(const struct marking *m,
                                    struct plan_mark *out)
{
  char name[16];
  snprintf(name, sizeof(name), "0x%08" PRIx32, m->mark->address & ~1u);
  return watch_mark(m, arena_text(m->arena, name), out);
}

static enum sim_status pin_mark(const struct marking *m, struct plan_mark *out)
{
  static const enum trace_drive drives[] = {[DRIVE_LOW] = PIN_DRIVEN_LOW,
                                            [DRIVE_HIGH] = PIN_DRIVEN_HIGH,
                                            [DRIVE_RELEASE] = PIN_RELEASED};
  out->kind = TRACE_PIN;
  out->has_b = true;
  out->b = drives[m->mark->level];
  return plan_pin(m->plan, m->mark->pin, &m->place, &out->a, m->err);
}

static enum sim_status start_mark(const struct marking *m,
                                  struct plan_mark *out)
{
  out->kind = TRACE_START;
  out->any = m->mark->cause == MARK_ANY_CAUSE;
  out->a = out->any ? 0 : (uint32_t)m->mark->cause;
  return SIM_OK;
}

static enum sim_status line_mark(const struct marking *m,
                                 struct plan_mark *out)
{
  out->kind = TRACE_RESET_LINE;
  out->a = m->mark->high;
  return SIM_OK;
}

static enum sim_status resolve_mark(const struct marking *m,
                                    struct plan_mark *out)
{
  *out = (struct plan_mark){.kind = TRACE_KIND_COUNT_};
  switch (m->mark->kind) {
  case MARK_SYMBOL: return watch_mark(m, m->mark->symbol, out);
  case MARK_ADDRESS: return address_mark(m, out);
  case MARK_PIN: return pin_mark(m, out);
  case MARK_START: return start_mark(m, out);
  case MARK_LINE: break;
  }
  return line_mark(m, out);
}

static enum sim_status resolve_end(struct plan *plan, struct arena *arena,
                                   uint32_t index, const char *key,
                                   const struct case_mark *mark,
                                   struct plan_mark *out,
                                   struct sim_error *err)
{
  char path[40];
  snprintf(path, sizeof(path), "measure[%" PRIu32 "].%s", index, key);
  const struct marking m = {
      .plan = plan,
      .arena = arena,
      .mark = mark,
      .place = {plan->script->file, path, mark->line, mark->column},
      .err = err};
  return resolve_mark(&m, out);
}

enum sim_status plan_measures(struct plan *plan, struct arena *arena,
                              struct sim_error *err)
{
  const struct case_script *s = plan->script;
  plan->measures =
      arena_array(arena, s->measure_count, sizeof(*plan->measures));
  for (uint32_t i = 0; i < s->measure_count; i++) {
    const struct case_measure *c = &s->measures[i];
    struct plan_measure *out = &plan->measures[i];
    enum sim_status status =
        resolve_end(plan, arena, i, "from", &c->from, &out->from, err);
    if (status == SIM_OK)
      status = resolve_end(plan, arena, i, "to", &c->to, &out->to, err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}
