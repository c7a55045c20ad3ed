#include "chip/boot.h"

#include <string.h>

#include "base/fold.h"

#include <assert.h>

static const enum boot_phase in_reset[] = {
    BOOT_HELD,   BOOT_OPTIONS, BOOT_CHECK,   BOOT_LINE,
    BOOT_STRAPS, BOOT_VECTORS, BOOT_RUNNING,
};
static const enum boot_phase after_release[] = {
    BOOT_HELD,   BOOT_LINE,    BOOT_OPTIONS, BOOT_CHECK,
    BOOT_STRAPS, BOOT_VECTORS, BOOT_RUNNING,
};

void boot_init(struct boot *b, const struct part_boot *part)
{
  *b = (struct boot){.part = part, .phase = BOOT_OFF, .ends_at = PS_NEVER};
}

void boot_off(struct boot *b)
{
  boot_enter(b, BOOT_OFF, PS_NEVER);
}

void boot_begin(struct boot *b, enum cause cause, const struct part_reset *row,
                ps_t until)
{
  if (!b->owed || cause < b->cause) b->cause = cause;
  for (unsigned i = 0; i < RESET_COLUMN_COUNT_; i++)
    b->does[i] = row->does[i] || (b->owed && b->does[i]);
  b->owed = true;
  bool longer = b->phase == BOOT_HELD && b->ends_at > until;
  boot_enter(b, BOOT_HELD, longer ? b->ends_at : until);
}

static bool happens(const struct boot *b, enum boot_phase phase)
{
  switch (phase) {
  case BOOT_OPTIONS: return b->does[RESET_OPTIONS];
  case BOOT_CHECK: return b->does[RESET_LATCH];
  case BOOT_STRAPS: return b->does[RESET_STRAPS];
  default: return true;
  }
}

enum boot_phase boot_after(const struct boot *b)
{
  assert(b->phase != BOOT_OFF && b->phase != BOOT_RUNNING);
  const enum boot_phase *order = b->part->in_reset ? in_reset : after_release;
  while (*order != b->phase)
    order++;
  do {
    order++;
  } while (!happens(b, *order));
  return *order;
}

int64_t boot_cycles(const struct boot *b, enum boot_phase phase)
{
  switch (phase) {
  case BOOT_OPTIONS: return b->part->option_load.typ;
  case BOOT_CHECK: return b->part->blank_check.typ;
  case BOOT_STRAPS: return b->part->strap_delay.typ;
  case BOOT_VECTORS: return b->part->vector_fetch.typ;
  default: return 0;
  }
}

void boot_enter(struct boot *b, enum boot_phase phase, ps_t ends_at)
{
  b->phase = phase;
  b->ends_at = ends_at;
  if (phase == BOOT_RUNNING) b->owed = false;
}

void boot_fold(const struct boot *b, ps_t now, struct fold *f)
{
  struct boot seen;
  memcpy(&seen, b, sizeof(seen));
  seen.ends_at = fold_from_now(b->ends_at, now);
  fold_add(f, &seen, sizeof(seen));
}
