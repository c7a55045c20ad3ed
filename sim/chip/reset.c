#include "chip/reset.h"

void reset_init(struct reset *r)
{
  *r = (struct reset){0};
}

void reset_request(struct reset *r, enum cause cause)
{
  r->pending |= 1u << cause;
}

bool reset_take(struct reset *r, enum cause *cause, uint32_t *causes)
{
  if (r->pending == 0) return false;
  *cause = (enum cause)__builtin_ctz(r->pending);
  *causes = r->pending;
  r->pending = 0;
  return true;
}

bool reset_pull(struct reset *r, enum trace_driver driver, bool low,
                struct moment now, struct trace *tr)
{
  bool was = reset_line_low(r);
  if (low)
    r->pulled |= 1u << driver;
  else
    r->pulled &= ~(1u << driver);
  if (reset_line_low(r) == was) return false;
  trace_add(tr, now, TRACE_RESET_LINE, !reset_line_low(r), driver);
  return true;
}

void reset_set_flag(struct reset *r, enum cause cause, struct moment now,
                    struct trace *tr)
{
  r->flags |= 1u << cause;
  trace_add(tr, now, TRACE_FLAG, cause, 1);
}

void reset_clear_flags(struct reset *r, uint32_t causes, struct moment now,
                       struct trace *tr)
{
  for (uint32_t left = r->flags & causes; left != 0; left &= left - 1)
    trace_add(tr, now, TRACE_FLAG, (uint32_t)__builtin_ctz(left), 0);
  r->flags &= ~causes;
}
