/* trace.h -- the record of what happened; the only evidence there is.
 *
 * A record is five numbers. What the kinds mean is described above this
 * folder (describe/trace_kinds.def); here they are bit numbers of a mask.
 * Starts, findings, expectations and every report are folds: functions fed
 * each record once, in order, as it is added. A fold may ask for the run to
 * stop, so a search need not play a script to its end.
 *
 * Records can also be kept, for a text trace; that store has a limit, and a
 * run that goes beyond it is to be stopped and says so (`full`). Records
 * beyond a limit still reach the folds: what happened did happen.
 *
 * Owns: the kept records. Borrows: the folds' contexts.
 */
#ifndef BASE_TRACE_H
#define BASE_TRACE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/units.h"

#define TRACE_MAX_FOLDS   24
#define TRACE_MAX_KINDS   128
#define TRACE_MAX_WAITING 64

struct trace_record {
  ps_t at;
  cycle_t cycle;
  uint32_t a, b; /* meaning by kind: describe/trace_kinds.def */
  uint32_t kind;
};

/* A bit per kind. */
__extension__ typedef unsigned __int128 trace_mask;
#define TRACE_BIT(kind) ((trace_mask)1 << (kind))
#define TRACE_ALL       (~(trace_mask)0)

/* Fed every record whose kind is in the fold's mask. */
typedef void (*trace_fold)(void *context, const struct trace_record *r);

struct trace_listener {
  trace_fold fold;
  void *context;
  trace_mask mask;
};

struct trace {
  struct trace_listener listeners[TRACE_MAX_FOLDS];
  unsigned listener_count;
  trace_mask wanted; /* union of all masks, and of keep_mask */
  trace_mask keep_mask;
  struct trace_record *kept; /* owned */
  size_t kept_count, kept_room, kept_limit;
  uint64_t added; /* all records ever added, wanted or not */
  uint64_t added_limit;
  bool stop; /* a fold asks the run to pause; whoever runs clears it */
  bool full; /* more came than a limit allows: the run must stop */
  /* Records that folds added while one was being fed; fed next. */
  struct trace_record waiting[TRACE_MAX_WAITING];
  unsigned waiting_count;
  bool feeding;
};

/* Nothing listens, nothing is kept. added_limit bounds a runaway run. */
void trace_init(struct trace *t, uint64_t added_limit);

/* Free the kept records; nothing listens any more. */
void trace_free(struct trace *t);

/* Listeners are called in the order in which they were added. A fold may add
 * records (a finding drawn from others); they follow the one it was fed, when
 * all listeners have seen that. Asserts that there is room. */
void trace_listen(struct trace *t, trace_mask mask, trace_fold fold,
                  void *context);

/* Keep records of these kinds, at most `limit` of them. Kept records move
 * when others are added: hold indexes, not pointers. */
void trace_keep(struct trace *t, trace_mask mask, size_t limit);

/* True if somebody wants this kind: lets a hot caller skip the work. */
static inline bool trace_wants(const struct trace *t, unsigned kind)
{
  return (t->wanted >> kind & 1u) != 0;
}

/* Asserts that the kind is below TRACE_MAX_KINDS, and that the records folds
 * derive from one another come to an end (TRACE_MAX_WAITING). */
void trace_add(struct trace *t, struct moment now, unsigned kind, uint32_t a,
               uint32_t b);

#endif
