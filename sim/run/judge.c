#include "run/judge.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "describe/names.h"
#include "describe/trace_kinds.h"

void judge_add(struct judge *j, const struct judgement *what)
{
  if (j->count == j->room) {
    uint32_t room = j->room == 0 ? 16 : j->room * 2;
    struct judgement *list = arena_array(j->arena, room, sizeof(*list));
    if (j->count > 0) memcpy(list, j->list, j->count * sizeof(*list));
    j->list = list;
    j->room = room;
  }
  j->list[j->count++] = *what;
}

static void broke(struct judge *j, enum never_kind never,
                  const struct trace_record *r, const char *what,
                  const char *detail)
{
  if (j->broken[never]) return;
  j->broken[never] = true;
  char when[32], text[160];
  units_text(when, sizeof(when), UNIT_TIME, r->at);
  snprintf(text, sizeof(text), "%s %s at %s", what, detail, when);
  j->seen[never] = arena_text(j->arena, text);
}

static bool in_rom(const struct judge *j)
{
  const struct part *part = j->plan->part;
  return j->region < part->memory_count &&
         part->memory[j->region].kind == MEMORY_ROM;
}

static const char *pin_name(const struct judge *j, uint32_t pin)
{
  return j->plan->part->pins.names[pin];
}

static void fold(void *context, const struct trace_record *r)
{
  struct judge *j = context;
  char detail[64];
  switch (r->kind) {
  case TRACE_RESET: j->region = PART_NONE; break;
  case TRACE_ENTER:
    j->region = r->a;
    snprintf(detail, sizeof(detail), "from 0x%08" PRIx32, r->b);
    if (in_rom(j)) broke(j, NEVER_ROM_RUNS, r, "the boot ROM ran", detail);
    break;
  case TRACE_PIN:
    if (in_rom(j) && r->b != PIN_RELEASED)
      broke(j, NEVER_PIN_DRIVEN, r, "the boot ROM drove", pin_name(j, r->a));
    break;
  case TRACE_CONTENTION:
    snprintf(detail, sizeof(detail), "with %" PRIu32 " mA on %s", r->b,
             pin_name(j, r->a));
    broke(j, NEVER_CONTENTION, r, "contention", detail);
    break;
  default: break;
  }
}

void judge_init(struct judge *j, const struct plan *plan, struct arena *arena,
                struct trace *tr)
{
  *j = (struct judge){.plan = plan, .arena = arena, .region = PART_NONE};
  if (plan->script->never_count == 0) return;
  trace_listen(tr,
               TRACE_BIT(TRACE_RESET) | TRACE_BIT(TRACE_ENTER) |
                   TRACE_BIT(TRACE_PIN) | TRACE_BIT(TRACE_CONTENTION),
               fold, j);
}

static const char *never_text(struct judge *j, enum never_kind never)
{
  char text[64];
  snprintf(text, sizeof(text), "never: %s", never_words[never]);
  return arena_text(j->arena, text);
}

void judge_end(struct judge *j)
{
  for (uint32_t i = 0; i < j->plan->script->never_count; i++) {
    const struct case_never *n = &j->plan->script->never[i];
    struct judgement what = {.step = UINT32_MAX,
                             .line = n->line,
                             .held = !j->broken[n->kind],
                             .asked = never_text(j, n->kind),
                             .seen = j->seen[n->kind]};
    judge_add(j, &what);
  }
}
