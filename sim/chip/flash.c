#include "chip/flash.h"

#include "base/fold.h"

#include <assert.h>
#include <string.h>

void flash_init(struct flash *f, const struct part_flash *part)
{
  *f = (struct flash){.part = part, .locked = true, .ends_at = PS_NEVER};
}

void flash_check(const struct flash *f)
{
  assert(flash_busy(f) == (f->ends_at != PS_NEVER));
  assert(!f->barred || f->locked);
  assert(f->weak_count <= FLASH_MAX_WEAK);
}

void flash_key(struct flash *f, uint32_t key, const uint32_t *keys,
               uint32_t key_count, struct moment now, struct trace *tr)
{
  if (!f->locked || f->barred) return;
  if (key != keys[f->keys_given]) {
    f->barred = true;
    flash_refuse(f, REFUSAL_WRONG_KEY, now, tr);
    return;
  }
  if (++f->keys_given < key_count) return;
  f->locked = false;
  trace_add(tr, now, TRACE_FLASH_LOCK, 0, 0);
}

void flash_lock(struct flash *f, struct moment now, struct trace *tr)
{
  if (f->locked) return;
  f->keys_given = 0;
  f->locked = true;
  trace_add(tr, now, TRACE_FLASH_LOCK, 1, 0);
}

static void go_idle(struct flash *f)
{
  f->op = FLASH_IDLE;
  f->ends_at = PS_NEVER;
}

static const struct part_torn *kinds_of(const struct flash *f,
                                        enum flash_op op)
{
  switch (op) {
  case FLASH_PROGRAM: return &f->part->torn_program;
  case FLASH_PROGRAM_OPTION: return &f->part->torn_options;
  default: return &f->part->torn_erase;
  }
}

uint32_t flash_torn_kinds(const struct flash *f, enum flash_op op)
{
  uint32_t count = kinds_of(f, op)->count;
  return count > 0 ? count : 1;
}

enum torn flash_left(const struct flash *f, enum flash_op op)
{
  const struct part_torn *torn = kinds_of(f, op);
  if (torn->count == 0) return TORN_OLD;
  uint32_t last = torn->count - 1;
  return torn->kinds[f->torn_choice < last ? f->torn_choice : last];
}

enum flash_op flash_reset(struct flash *f, bool lock, struct moment now,
                          struct trace *tr)
{
  enum flash_op cut = f->op;
  if (cut != FLASH_IDLE) {
    trace_add(tr, now, TRACE_FLASH_TORN, cut, f->op_at);
    trace_add(tr, now, TRACE_FLASH_LEFT, flash_left(f, cut), f->op_at);
  }
  go_idle(f);
  if (!lock) return cut;
  f->refused = f->barred = false;
  f->keys_given = 0;
  flash_lock(f, now, tr);
  return cut;
}

/* --- weak cells ---------------------------------------------------------- */

static void drop_weak(struct flash *f, uint32_t n)
{
  f->weak_count--;
  memmove(&f->weak[n], &f->weak[n + 1],
          (f->weak_count - n) * sizeof(f->weak[0]));
}

void flash_weaken(struct flash *f, enum flash_op op)
{
  if (f->weak_count == FLASH_MAX_WEAK) drop_weak(f, 0);
  struct flash_weak *weak = &f->weak[f->weak_count++];
  *weak = (struct flash_weak){.op = op, .at = f->op_at};
  memcpy(weak->data, f->op_data, sizeof(weak->data));
}

void flash_see_weak(struct flash *f)
{
  for (uint32_t i = 0; i < f->weak_count; i++)
    f->weak[i].seen = 1;
}

bool flash_fade(struct flash *f, struct flash_weak *weak)
{
  for (uint32_t i = 0; i < f->weak_count; i++) {
    if (!f->weak[i].seen) continue;
    *weak = f->weak[i];
    drop_weak(f, i);
    return true;
  }
  return false;
}

void flash_count(struct flash *f)
{
  if (f->corrected < 0xffff) f->corrected++;
}

void flash_refuse(struct flash *f, enum trace_refusal why, struct moment now,
                  struct trace *tr)
{
  f->refused = true;
  trace_add(tr, now, TRACE_FLASH_REFUSED, why, f->target);
}

static ps_t duration(const struct flash *f, enum flash_op op)
{
  switch (op) {
  case FLASH_PROGRAM: return f->part->program.typ;
  case FLASH_ERASE_PAGE: return f->part->erase_page.typ;
  case FLASH_ERASE_ALL: return f->part->erase_all.typ;
  case FLASH_ERASE_BANK: return f->part->erase_all.typ;
  case FLASH_PROGRAM_OPTION: return f->part->option_program.typ;
  case FLASH_UNLOCK_OPTION:
    return f->part->erase_all.typ + f->part->option_program.typ;
  case FLASH_IDLE: break;
  }
  assert(0 && "an order");
  return 0;
}

bool flash_begin(struct flash *f, enum flash_op op, uint32_t word,
                 struct moment now, struct trace *tr)
{
  if (f->locked || flash_busy(f)) {
    flash_refuse(f, f->locked ? REFUSAL_LOCKED : REFUSAL_BUSY, now, tr);
    return false;
  }
  f->op = op;
  f->op_at = f->target;
  memcpy(f->op_data, f->data, sizeof(f->op_data));
  f->op_word = word;
  f->begun_at = now.at;
  f->ends_at = now.at + duration(f, op);
  trace_add(tr, now, TRACE_FLASH_BEGIN, op, f->op_at);
  flash_check(f);
  return true;
}

enum flash_op flash_advance(struct flash *f, struct moment now,
                            struct trace *tr)
{
  enum flash_op ended = f->op;
  if (ended == FLASH_IDLE || f->ends_at > now.at) return FLASH_IDLE;
  go_idle(f);
  trace_add(tr, now, TRACE_FLASH_END, ended, f->op_at);
  return ended;
}

void flash_fold(const struct flash *flash, ps_t now, struct fold *f)
{
  struct flash seen;
  memcpy(&seen, flash, sizeof(seen));
  seen.begun_at = flash_busy(flash) ? flash->begun_at - now : 0;
  seen.ends_at = fold_from_now(flash->ends_at, now);
  fold_add(f, &seen, sizeof(seen));
}
