#include "chip/poll.h"

#include <string.h>

void poll_init(struct poll *p)
{
  *p = (struct poll){0};
}

static bool same(const struct poll_read *a, const struct poll_read *b)
{
  return a->at == b->at && a->pc == b->pc && a->value == b->value;
}

/* For each length of a round: how long has it been going on? */
static bool go_round(struct poll *p, const struct poll_read *now)
{
  bool whole = false;
  for (uint32_t i = 0; i < POLL_ROUND; i++) {
    bool again = i < p->count && same(&p->last[i], now);
    p->alike[i] = again ? p->alike[i] + 1 : 0;
    whole |= p->alike[i] == (i + 1) * (POLL_READS - 1);
    /* it need not be counted any further */
    if (p->alike[i] > (i + 1) * POLL_READS) p->alike[i]--;
  }
  return whole;
}

bool poll_read(struct poll *p, addr_t at, addr_t pc, uint32_t value)
{
  const struct poll_read now = {at, pc, value};
  bool whole = go_round(p, &now);
  memmove(p->last + 1, p->last, sizeof(p->last) - sizeof(p->last[0]));
  p->last[0] = now;
  if (p->count < POLL_ROUND) p->count++;
  if (!whole || (p->told && p->told_at == at && p->told_pc == pc))
    return false;
  p->told = true;
  p->told_at = at;
  p->told_pc = pc;
  return true;
}

void poll_break(struct poll *p)
{
  poll_init(p);
}
