#include "chip/chip_residue.h"

#include "chip/chip.h"
#include "core/breakpoint.h"
#include "core/core.h"
#include "describe/residue.h"
#include "describe/trace_kinds.h"

/* Where to tell, and from which address execution goes on. */
struct teller {
  struct chip *chip;
  struct moment now;
};

static void tell_if(const struct teller *t, bool holds, enum residue item,
                    uint32_t detail)
{
  if (holds) trace_add(t->chip->trace, t->now, TRACE_RESIDUE, item, detail);
}

static void tell_clock(const struct teller *t)
{
  uint32_t source = t->chip->clock.source;
  tell_if(t, source != 0, RESIDUE_CLOCK, source);
}

/* --- a reset ------------------------------------------------------------- */

/* Where the first one stands. */
static bool breaks(const struct core *c, addr_t *at)
{
  unsigned halves;
  for (unsigned i = 0; c->breakpoints.enabled && i < CORE_BREAKPOINTS; i++)
    if (breakpoint_at(c, i, at, &halves)) return true;
  return false;
}

/* Reset catch goes with the probe (board/probe.h). */
static void tell_debug(const struct teller *t)
{
  const struct core *c = &t->chip->core;
  bool catches = c->catch_hardfault || c->catch_faults != 0;
  addr_t at = 0;
  if (!c->debug_enabled) return;
  tell_if(t, catches, RESIDUE_CATCH, 0);
  tell_if(t, breaks(c, &at), RESIDUE_BREAKPOINTS, at);
}

void chip_residue_init(struct chip_residue *r)
{
  *r = (struct chip_residue){.region = BUS_NO_REGION};
}

void chip_residue_reset(struct chip *c, struct moment now)
{
  struct teller t = {c, now};
  chip_residue_init(&c->residue);
  tell_debug(&t);
  tell_clock(&t);
}

/* --- the vector table of what is started --------------------------------- */

static bool is_table_of(const struct chip *c, addr_t at, addr_t pc)
{
  uint32_t sp, entry;
  return bus_peek(&c->bus, at, 4, &sp) &&
         bus_peek(&c->bus, at + 4, 4, &entry) && entry == (pc | 1u);
}

static bool find_table(const struct chip *c, unsigned region, addr_t pc,
                       addr_t *table)
{
  const addr_t places[] = {c->residue.table, c->core.vector_base,
                           c->bus.regions[region].at};
  for (unsigned i = c->residue.expects ? 0 : 1; i < 3; i++) {
    *table = places[i];
    if (bus_find(&c->bus, *table, NULL) == region &&
        is_table_of(c, *table, pc))
      return true;
  }
  return false;
}

/* The same bytes, be it under another address. */
static bool same_place(const struct chip *c, addr_t a, addr_t b)
{
  uint32_t at_a = 0, at_b = 0;
  unsigned region = bus_find(&c->bus, a, &at_a);
  return region == bus_find(&c->bus, b, &at_b) && at_a == at_b;
}

static void tell_about_table(const struct teller *t, addr_t table)
{
  const struct chip *c = t->chip;
  uint32_t first = 0, sp = core_register(&c->core, CORE_MSP);
  bus_peek(&c->bus, table, 4, &first);
  tell_if(t, sp != (first & ~3u), RESIDUE_STACK, sp);
  tell_if(t, !same_place(c, c->core.vector_base, table), RESIDUE_VECTORS,
          c->core.vector_base);
}

/* --- a start that is no reset -------------------------------------------- */

/* The most urgent by number at or above `from`, or 0. */
static unsigned first_of(const struct exception_set *set, unsigned from)
{
  for (unsigned n = from; n < EXCEPTION_LIMIT; n++)
    if (set->words[n / 64] >> n % 64 & 1u) return n;
  return 0;
}

static void tell_masks(const struct teller *t)
{
  const struct core *c = &t->chip->core;
  tell_if(t, c->primask != 0, RESIDUE_PRIMASK, c->primask);
  tell_if(t, c->faultmask != 0, RESIDUE_FAULTMASK, c->faultmask);
  tell_if(t, c->basepri != 0, RESIDUE_BASEPRI, c->basepri);
}

static void tell_mode(const struct teller *t)
{
  const struct core *c = &t->chip->core;
  uint32_t handler = c->xpsr & CORE_EXCEPTION;
  tell_if(t, handler != 0, RESIDUE_HANDLER, handler);
  tell_if(t, c->control & CORE_PROCESS_STACK, RESIDUE_PROCESS_STACK,
          core_register(c, CORE_PSP));
  tell_if(t, c->control & CORE_UNPRIVILEGED, RESIDUE_UNPRIVILEGED, c->control);
}

static void tell_interrupts(const struct teller *t)
{
  const struct core *c = &t->chip->core;
  unsigned enabled = first_of(&c->enabled, EXCEPTION_IRQ0);
  unsigned pending = first_of(&c->pending, EXCEPTION_NMI);
  tell_if(t, enabled != 0, RESIDUE_ENABLED, enabled);
  tell_if(t, pending != 0, RESIDUE_PENDING, pending);
  tell_if(t, c->systick.enabled, RESIDUE_SYSTICK, c->systick.reload);
}

static void tell_pins(const struct teller *t)
{
  const struct pins *p = &t->chip->pins;
  uint64_t driven = p->output | p->taken;
  tell_if(t, driven != 0, RESIDUE_PINS,
          (uint32_t)__builtin_popcountll(driven));
}

static void tell_all(struct chip *c, const addr_t *table, struct moment now)
{
  struct teller t = {c, now};
  tell_masks(&t);
  tell_mode(&t);
  if (table != NULL) tell_about_table(&t, *table);
  tell_interrupts(&t);
  tell_clock(&t);
  tell_pins(&t);
}

/* A program that calls the routines of a boot ROM goes there again and again.
 */
static bool is_first(struct chip_residue *r, bool into_rom)
{
  bool *told = into_rom ? &r->entered_rom : &r->left_rom;
  bool first = !*told;
  *told = true;
  return first;
}

void chip_residue_enter(struct chip *c, unsigned region, addr_t pc,
                        struct moment now)
{
  unsigned from = c->residue.region;
  c->residue.region = region;
  if (from >= c->bus.region_count || region >= c->bus.region_count) return;
  bool into_rom = c->bus.regions[region].boot_rom;
  if (into_rom == c->bus.regions[from].boot_rom ||
      !is_first(&c->residue, into_rom))
    return;
  addr_t table;
  bool found = find_table(c, region, pc, &table);
  tell_all(c, found ? &table : NULL, now);
}

void chip_residue_resume(struct chip *c)
{
  c->residue.region = bus_find(&c->bus, c->core.r[15], NULL);
}

void chip_expect_table(struct chip *c, addr_t table)
{
  c->residue.expects = true;
  c->residue.table = table;
}

void chip_residue_started(struct chip *c, addr_t table, struct moment now)
{
  tell_all(c, &table, now);
}
