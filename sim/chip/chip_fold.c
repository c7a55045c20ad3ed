#include <string.h>

#include "base/fold.h"
#include "chip/chip.h"

/* A block that has folded itself. */
#define BLANK(block) memset(&(block), 0, sizeof(block))

static void fold_supplied(const struct chip *c, struct chip *seen, ps_t now,
                          struct fold *f)
{
  clock_fold(&c->clock, now, f);
  rail_fold(&c->rail, now, f);
  line_fold(&c->line, now, f);
  boot_fold(&c->boot, now, f);
  BLANK(seen->clock);
  BLANK(seen->rail);
  BLANK(seen->line);
  BLANK(seen->boot);
}

static void fold_controllers(const struct chip *c, struct chip *seen, ps_t now,
                             struct fold *f)
{
  flash_fold(&c->flash, now, f);
  watchdog_fold(&c->watchdog, now, f);
  sleep_fold(&c->sleep, now, f);
  for (uint32_t i = 0; i < PART_MAX_PORTS; i++)
    serial_fold(&c->serial[i], now, f);
  BLANK(seen->flash);
  BLANK(seen->watchdog);
  BLANK(seen->sleep);
  BLANK(seen->serial);
}

static void fold_core(const struct chip *c, struct chip *seen, struct fold *f)
{
  learn_fold(&c->learn, c->core.instructions, f);
  core_fold(&c->core, &c->bus, f);
  BLANK(seen->learn);
  BLANK(seen->core);
}

/* The part's own pull of the reset line: only while it has to last. */
static ps_t driven(const struct chip *c, ps_t now)
{
  bool drives = c->reset.pulled & (1u << DRIVER_PART);
  ps_t least = c->part->reset_line.drive.typ;
  return drives ? fold_within(c->line_driven_at, now, least) : 0;
}

void chip_fold(const struct chip *c, ps_t now, struct fold *f)
{
  struct chip seen;
  memcpy(&seen, c, sizeof(seen));
  fold_supplied(c, &seen, now, f);
  fold_controllers(c, &seen, now, f);
  fold_core(c, &seen, f);
  seen.trace = NULL;
  seen.cpu = NULL;
  seen.line_driven_at = driven(c, now);
  if (c->line_fight_at != PS_NEVER) seen.line_fight_at = 0;
  seen.told_from = c->told_from > now ? c->told_from - now : 0;
  seen.until = 0; /* of the last run, as the next two */
  seen.pause_at = 0;
  seen.stop = 0;
  fold_add(f, &seen, sizeof(seen));
}
