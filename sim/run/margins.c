#include "run/margins.h"

#include "describe/trace_kinds.h"

static void fold(void *context, const struct trace_record *r)
{
  struct margins *m = context;
  if (r->kind == TRACE_STEP)
    m->begun = r->at;
  else
    m->took[r->a] = r->at - m->begun;
}

void margins_init(struct margins *m, const struct case_script *script,
                  struct arena *arena, struct trace *tr)
{
  *m = (struct margins){.script = script};
  m->took = arena_array(arena, script->step_count, sizeof(*m->took));
  for (uint32_t i = 0; i < script->step_count; i++)
    m->took[i] = PS_NEVER;
  trace_listen(tr, TRACE_BIT(TRACE_STEP) | TRACE_BIT(TRACE_STEP_END), fold, m);
}

static bool held(const struct result *result, uint32_t step)
{
  for (uint32_t i = 0; i < result->judgement_count; i++)
    if (result->judgements[i].step == step) return result->judgements[i].held;
  return false;
}

ps_t margins_of(const struct margins *m, const struct result *result,
                uint32_t step)
{
  const struct step *s = &m->script->steps[step];
  if (s->verb != VERB_EXPECT || m->took[step] == PS_NEVER) return PS_NEVER;
  if (!held(result, step)) return PS_NEVER;
  /* the last instruction may overshoot */
  return m->took[step] < s->within ? s->within - m->took[step] : 0;
}
