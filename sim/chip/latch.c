#include "chip/latch.h"

void latch_init(struct latch *l)
{
  *l = (struct latch){0};
}

void latch_set(struct latch *l, bool programmed, enum trace_sampler by,
               struct moment now, struct trace *tr)
{
  l->valid = true;
  l->programmed = programmed;
  trace_add(tr, now, TRACE_LATCH, programmed, by);
}
