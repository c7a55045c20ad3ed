#include "run/lessons.h"

#include <string.h>

#include "describe/trace_kinds.h"

static struct learned *find(const struct lessons *l, addr_t at, uint32_t mask,
                            uint32_t value)
{
  for (uint32_t i = 0; i < l->count; i++) {
    struct learned *known = &l->list[i];
    if (known->at == at && known->mask == mask && known->value == value)
      return known;
  }
  return NULL;
}

static struct learned *add(struct lessons *l)
{
  if (l->count == l->room) {
    uint32_t room = l->room == 0 ? 16 : l->room * 2;
    struct learned *list = arena_array(l->arena, room, sizeof(*list));
    if (l->count > 0) memcpy(list, l->list, l->count * sizeof(*list));
    l->list = list;
    l->room = room;
  }
  return &l->list[l->count++];
}

static struct learned *learn(struct lessons *l, addr_t at, uint32_t mask,
                             uint32_t value, addr_t pc)
{
  struct learned *known = find(l, at, mask, value);
  if (known != NULL) return known;
  const struct start *start = starts_last(l->starts);
  known = add(l);
  *known = (struct learned){
      .at = at,
      .name = plan_register(l->plan, l->arena, at),
      .mask = mask,
      .value = value,
      .pc = pc,
      .symbol = plan_symbol(l->plan, l->arena, l->starts->region, pc),
      .source = plan_source(l->plan, l->arena, l->starts->region, pc),
      .start = start == NULL ? 0 : start->number};
  return known;
}

static void withdraw(struct lessons *l, const struct trace_record *r)
{
  for (uint32_t i = 0; i < l->count; i++) {
    struct learned *known = &l->list[i];
    if (known->at == r->a && known->mask == r->b) known->withdrawn = true;
  }
}

static bool is_described(const struct part *part, addr_t word)
{
  for (uint32_t i = 0; i < part->answer_count; i++) {
    const struct part_answer *a = &part->answers[i];
    if (a->at == word && a->when == ANSWER_OUTSIDE) return true;
  }
  return false;
}

/* Bits that let it go were learned before, and withdrawn. That nothing lets it
 * go is worth keeping too. */
static void wait_is_known(struct lessons *l, const struct trace_record *r)
{
  if (r->a != 0 || is_described(l->plan->part, l->waits_on & ~3u)) return;
  learn(l, l->waits_on & ~3u, 0, 0, l->waits_pc)->withdrawn = true;
}

static void fold(void *context, const struct trace_record *r)
{
  struct lessons *l = context;
  switch (r->kind) {
  case TRACE_TRIAL: l->trials++; break;
  case TRACE_LEARNED:
    l->at = r->a;
    l->mask = r->b;
    break;
  case TRACE_LEARNED_AS: learn(l, l->at, l->mask, r->a, r->b); break;
  case TRACE_WITHDRAWN: withdraw(l, r); break;
  case TRACE_WAITING:
    l->waits_on = r->a;
    l->waits_pc = r->b;
    break;
  case TRACE_WAITING_FOR: wait_is_known(l, r); break;
  default: break;
  }
}

void lessons_init(struct lessons *l, const struct plan *plan,
                  const struct starts *starts, struct arena *arena,
                  struct trace *tr)
{
  *l = (struct lessons){.plan = plan, .starts = starts, .arena = arena};
  trace_listen(tr,
               TRACE_BIT(TRACE_TRIAL) | TRACE_BIT(TRACE_LEARNED) |
                   TRACE_BIT(TRACE_LEARNED_AS) | TRACE_BIT(TRACE_WITHDRAWN) |
                   TRACE_BIT(TRACE_WAITING) | TRACE_BIT(TRACE_WAITING_FOR),
               fold, l);
}
