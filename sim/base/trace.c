#include "base/trace.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

void trace_init(struct trace *t, uint64_t added_limit)
{
  memset(t, 0, sizeof *t);
  t->added_limit = added_limit;
}

void trace_free(struct trace *t)
{
  free(t->kept);
  trace_init(t, 0);
}

void trace_listen(struct trace *t, trace_mask mask, trace_fold fold,
                  void *context)
{
  assert(t->listener_count < TRACE_MAX_FOLDS);
  t->listeners[t->listener_count++] =
      (struct trace_listener){fold, context, mask};
  t->wanted |= mask;
}

void trace_keep(struct trace *t, trace_mask mask, size_t limit)
{
  t->keep_mask |= mask;
  t->kept_limit = limit;
  t->wanted |= mask;
}

/* Doubles the room, never beyond the limit. */
static void make_room(struct trace *t)
{
  if (t->kept_count < t->kept_room) return;
  size_t room = t->kept_room == 0 ? 256 : t->kept_room * 2;
  if (room > t->kept_limit) room = t->kept_limit;
  struct trace_record *kept = realloc(t->kept, room * sizeof *kept);
  if (!kept) arena_no_memory();
  t->kept = kept;
  t->kept_room = room;
}

static void keep(struct trace *t, const struct trace_record *r)
{
  if (t->kept_count >= t->kept_limit) {
    t->full = true;
    return;
  }
  make_room(t);
  t->kept[t->kept_count++] = *r;
}

static void feed(struct trace *t, const struct trace_record *r)
{
  trace_mask bit = TRACE_BIT(r->kind);
  if (t->keep_mask & bit) keep(t, r);
  for (unsigned i = 0; i < t->listener_count; i++) {
    const struct trace_listener *l = &t->listeners[i];
    if (l->mask & bit) l->fold(l->context, r);
  }
}

/* `first`, then whatever the folds add meanwhile, in the order added. */
static void feed_all(struct trace *t, const struct trace_record *first)
{
  t->feeding = true;
  feed(t, first);
  for (unsigned i = 0; i < t->waiting_count; i++) {
    feed(t, &t->waiting[i]);
  }
  t->waiting_count = 0;
  t->feeding = false;
}

void trace_add(struct trace *t, struct moment now, unsigned kind, uint32_t a,
               uint32_t b)
{
  assert(kind < TRACE_MAX_KINDS);
  t->added++;
  if (t->added > t->added_limit) t->full = true;
  if (!trace_wants(t, kind)) return;

  struct trace_record r = {now.at, now.cycle, a, b, kind};
  if (!t->feeding) {
    feed_all(t, &r);
    return;
  }
  assert(t->waiting_count < TRACE_MAX_WAITING);
  t->waiting[t->waiting_count++] = r;
}
