#include "chip/poll.h"

void poll_init(struct poll *p)
{
  *p = (struct poll){0};
}

bool poll_read(struct poll *p, addr_t at, addr_t pc, uint32_t value)
{
  if (p->count == 0 || p->at != at || p->pc != pc || p->value != value) {
    *p = (struct poll){.at = at, .pc = pc, .value = value, .count = 1};
    return false;
  }
  if (p->count >= POLL_READS) return false;
  return ++p->count == POLL_READS;
}

void poll_break(struct poll *p)
{
  p->count = 0;
}
