/* reset.h -- pending causes, cause flags, and who pulls the reset line.
 *
 * Where several causes are pending at one instant the one named first in
 * causes.def is the cause of the start, and all of them set their flags.
 *
 * Who pulls the line: the part itself, the probe, the bench. A plain line is
 * low while anybody does; else line.h knows.
 *
 * Owns: its fields.
 */
#ifndef CHIP_RESET_H
#define CHIP_RESET_H

#include <stdbool.h>
#include <stdint.h>

#include "base/trace.h"
#include "base/units.h"
#include "describe/part.h"
#include "describe/trace_kinds.h"

struct reset {
  uint32_t pending; /* bit per cause */
  uint32_t flags;   /* bit per cause, as software sees them */
  uint32_t pulled;  /* bit per enum trace_driver */
};

void reset_init(struct reset *r);

void reset_request(struct reset *r, enum cause cause);

/* Take the pending cause of highest priority into *cause and all of them into
 * *causes; false if there is none. */
bool reset_take(struct reset *r, enum cause *cause, uint32_t *causes);

/* Pull the line low or let it go; adds TRACE_RESET_LINE where its level
 * changes. Returns true if the level changed. */
bool reset_pull(struct reset *r, enum trace_driver driver, bool low,
                struct moment now, struct trace *tr);

static inline bool reset_line_low(const struct reset *r)
{
  return r->pulled != 0;
}

void reset_set_flag(struct reset *r, enum cause cause, struct moment now,
                    struct trace *tr);
void reset_clear_flags(struct reset *r, uint32_t causes, struct moment now,
                       struct trace *tr);

#endif
