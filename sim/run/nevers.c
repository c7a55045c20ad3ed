#include "run/nevers.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "core/core.h"
#include "describe/names.h"
#include "describe/never_text.h"
#include "describe/trace_kinds.h"

static void broke(struct nevers *n, uint32_t index, ps_t at, const char *what,
                  const char *detail)
{
  struct never_watch *w = &n->watches[index];
  if (w->broken_at != PS_NEVER || !n->armed) return;
  char when[32], text[160];
  units_text(when, sizeof(when), UNIT_TIME, at);
  snprintf(text, sizeof(text), "%s %s at %s", what, detail, when);
  w->broken_at = at;
  w->seen = arena_text(n->arena, text);
}

static bool is_rom(const struct nevers *n, uint32_t region)
{
  const struct part *part = n->plan->part;
  return region < part->memory_count &&
         part->memory[region].kind == MEMORY_ROM;
}

static const char *pin_name(const struct nevers *n, uint32_t pin)
{
  return n->plan->part->pins.names[pin];
}

/* The nevers of one kind, one after the other; UINT32_MAX: no more. */
static uint32_t next_of(const struct nevers *n, enum never_kind kind,
                        uint32_t from)
{
  for (; from < n->plan->script->never_count; from++)
    if (n->plan->script->never[from].kind == kind) return from;
  return UINT32_MAX;
}

#define EACH_OF(n, kind, i)                                                   \
  for (uint32_t i = next_of(n, kind, 0); i != UINT32_MAX;                     \
       i = next_of(n, kind, i + 1))

/* --- the boot ROM -------------------------------------------------------- */

/* The part of a stretch of time at which `allowed` of `whole` has passed. */
static ps_t instant(const struct nevers *n, ps_t until, int64_t allowed,
                    int64_t whole)
{
  wide_t lasts = until - n->since_ps;
  return n->since_ps + (ps_t)(whole > 0 ? lasts * allowed / whole : 0);
}

static void judge_beyond(struct nevers *n, uint32_t index, struct moment now)
{
  const struct case_bound *bound = &n->plan->script->never[index].beyond;
  int64_t before = bound->in_cycles ? n->rom_cycles : n->rom_ps;
  int64_t more =
      bound->in_cycles ? now.cycle - n->since_cycle : now.at - n->since_ps;
  if (before + more <= bound->value) return;
  char limit[32], detail[64];
  units_text(limit, sizeof(limit), bound->in_cycles ? UNIT_CYCLES : UNIT_TIME,
             bound->value);
  snprintf(detail, sizeof(detail), "beyond %s", limit);
  broke(n, index, instant(n, now.at, bound->value - before, more),
        "the boot ROM ran", detail);
}

/* It ran from `since` up to now. */
static void rom_ran(struct nevers *n, struct moment now)
{
  if (!n->running || !is_rom(n, n->region)) return;
  EACH_OF(n, NEVER_ROM_RUNS, i)
  if (n->plan->script->never[i].beyond.asked) judge_beyond(n, i, now);
  n->rom_ps += now.at - n->since_ps;
  n->rom_cycles += now.cycle - n->since_cycle;
}

static void stretch_begins(struct nevers *n, const struct trace_record *r)
{
  n->since_ps = r->at;
  n->since_cycle = r->cycle;
}

static void starts_in(struct nevers *n, uint32_t region, ps_t at)
{
  const char *name = n->plan->part->memory[region].name;
  EACH_OF(n, NEVER_START_IN, i)
  if (part_region_is(n->plan->part, n->plan->nevers[i].region, name))
    broke(n, i, at, "a start in", name);
}

/* A program that goes into the boot ROM by itself begins a start, too. */
static void enters(struct nevers *n, const struct trace_record *r)
{
  bool by_itself = n->region != PART_NONE && !is_rom(n, n->region);
  n->region = r->a;
  n->running = true;
  if (!is_rom(n, r->a)) return;
  if (by_itself) starts_in(n, r->a, r->at);
  char detail[32];
  snprintf(detail, sizeof(detail), "from 0x%08" PRIx32, r->b);
  EACH_OF(n, NEVER_ROM_RUNS, i)
  if (!n->plan->script->never[i].beyond.asked)
    broke(n, i, r->at, "the boot ROM ran", detail);
}

/* --- the others ---------------------------------------------------------- */

static void reset(struct nevers *n)
{
  n->region = PART_NONE;
  n->running = false;
  n->rom_ps = 0;
  n->rom_cycles = 0;
}

static void drives(struct nevers *n, const struct trace_record *r)
{
  if (r->b == PIN_RELEASED) return;
  bool rom = n->running && is_rom(n, n->region);
  EACH_OF(n, NEVER_PIN_DRIVEN, i)
  {
    uint32_t pin = n->plan->nevers[i].pin;
    bool watched = rom || n->plan->script->never[i].by_anything;
    if (watched && (pin == PART_NONE || pin == r->a))
      broke(n, i, r->at, rom ? "the boot ROM drove" : "the part drove",
            pin_name(n, r->a));
  }
}

static void fights(struct nevers *n, const struct trace_record *r)
{
  char detail[64];
  snprintf(detail, sizeof(detail), "with %" PRIu32 " mA on %s", r->b,
           pin_name(n, r->a));
  EACH_OF(n, NEVER_CONTENTION, i)
  {
    uint32_t pin = n->plan->nevers[i].pin;
    if (pin == PART_NONE || pin == r->a)
      broke(n, i, r->at, "contention", detail);
  }
}

/* All pins together: of no pin in particular. */
static void overload(struct nevers *n, const struct trace_record *r)
{
  char detail[64];
  snprintf(detail, sizeof(detail), "with %" PRIu32 " mA through all pins",
           r->a);
  EACH_OF(n, NEVER_CONTENTION, i)
  if (n->plan->nevers[i].pin == PART_NONE)
    broke(n, i, r->at, "contention", detail);
}

/* The reset line is no pin of the part file. */
static void line_fights(struct nevers *n, const struct trace_record *r)
{
  char detail[64];
  if (r->b == 0) return;
  snprintf(detail, sizeof(detail), "with %" PRIu32 " mA on the reset line",
           r->a);
  EACH_OF(n, NEVER_CONTENTION, i)
  if (n->plan->nevers[i].pin == PART_NONE)
    broke(n, i, r->at, "contention", detail);
}

static void locks_up(struct nevers *n, const struct trace_record *r)
{
  char detail[32];
  snprintf(detail, sizeof(detail), "with PC 0x%08" PRIx32, r->a);
  EACH_OF(n, NEVER_LOCKUP, i)
  broke(n, i, r->at, "the core locked up", detail);
}

/* --- what was so when they were armed ------------------------------------ */

/* It counts once time has passed. */
static void goes_on(struct nevers *n, ps_t now)
{
  if (now <= n->armed_at) return;
  EACH_OF(n, NEVER_ROM_RUNS, i)
  if (n->runs_on && !n->plan->script->never[i].beyond.asked)
    broke(n, i, now, "the boot ROM", "ran on");
  EACH_OF(n, NEVER_CONTENTION, i)
  {
    uint32_t pin = n->plan->nevers[i].pin;
    uint64_t any = pin == PART_NONE ? n->fights_on : n->fights_on >> pin & 1u;
    if (any != 0) broke(n, i, now, "contention", "went on");
  }
}

static void take_step(struct nevers *n, const struct trace_record *r)
{
  const struct case_script *script = n->plan->script;
  const char *label = script->steps[r->a].label;
  if (n->armed || label == NULL || script->never_from == NULL) return;
  if (strcmp(label, script->never_from) == 0)
    nevers_arm(n, (struct moment){r->at, r->cycle});
}

static void end_fight(struct nevers *n, uint32_t pin)
{
  n->fights &= ~(UINT64_C(1) << pin);
  n->fights_on &= n->fights;
}

static void fold(void *context, const struct trace_record *r)
{
  struct nevers *n = context;
  goes_on(n, r->at);
  rom_ran(n, (struct moment){r->at, r->cycle});
  stretch_begins(n, r);
  if (r->kind == TRACE_RESET || r->kind == TRACE_MODE) n->runs_on = false;
  if (r->kind == TRACE_CONTENTION) n->fights |= UINT64_C(1) << r->a;
  switch (r->kind) {
  case TRACE_STEP: take_step(n, r); break;
  case TRACE_CONTENTION_END: end_fight(n, r->a); break;
  case TRACE_RESET: reset(n); break;
  case TRACE_MAP: n->mapped = r->a; break;
  case TRACE_START: starts_in(n, n->mapped, r->at); break;
  case TRACE_ENTER: enters(n, r); break;
  case TRACE_MODE: n->running = r->a == CORE_RUNNING; break;
  case TRACE_PIN: drives(n, r); break;
  case TRACE_CONTENTION: fights(n, r); break;
  case TRACE_OVERLOAD: overload(n, r); break;
  case TRACE_LINE_FIGHT: line_fights(n, r); break;
  case TRACE_LOCKUP: locks_up(n, r); break;
  default: break;
  }
}

void nevers_init(struct nevers *n, const struct plan *plan,
                 struct arena *arena, struct trace *tr)
{
  uint32_t count = plan->script->never_count;
  *n = (struct nevers){
      .plan = plan, .arena = arena, .region = PART_NONE, .mapped = PART_NONE};
  n->armed = plan->script->never_from == NULL;
  n->watches = arena_array(arena, count + 1, sizeof(*n->watches));
  for (uint32_t i = 0; i < count; i++)
    n->watches[i] = (struct never_watch){.broken_at = PS_NEVER};
  if (count == 0) return;
  trace_listen(tr,
               TRACE_BIT(TRACE_RESET) | TRACE_BIT(TRACE_MAP) |
                   TRACE_BIT(TRACE_START) | TRACE_BIT(TRACE_OVERLOAD) |
                   TRACE_BIT(TRACE_ENTER) | TRACE_BIT(TRACE_MODE) |
                   TRACE_BIT(TRACE_CLOCK) | TRACE_BIT(TRACE_RAIL_FALL) |
                   TRACE_BIT(TRACE_PIN) | TRACE_BIT(TRACE_CONTENTION) |
                   TRACE_BIT(TRACE_LOCKUP) | TRACE_BIT(TRACE_STEP) |
                   TRACE_BIT(TRACE_CONTENTION_END) |
                   TRACE_BIT(TRACE_LINE_FIGHT),
               fold, n);
}

void nevers_arm(struct nevers *n, struct moment now)
{
  n->armed = true;
  n->armed_at = now.at;
  n->runs_on = n->running && is_rom(n, n->region);
  n->fights_on = n->fights;
  n->rom_ps = 0;
  n->rom_cycles = 0;
  n->since_ps = now.at;
  n->since_cycle = now.cycle;
}

void nevers_resume(struct nevers *n, const struct nevers *from)
{
  const struct nevers fresh = *n;
  *n = *from;
  n->plan = fresh.plan;
  n->arena = fresh.arena;
  n->watches = fresh.watches;
}

bool nevers_broken(struct nevers *n, struct moment now, uint32_t *index)
{
  goes_on(n, now.at);
  rom_ran(n, now);
  n->since_ps = now.at;
  n->since_cycle = now.cycle;
  for (*index = 0; *index < n->plan->script->never_count; ++*index)
    if (n->watches[*index].broken_at != PS_NEVER) return true;
  return false;
}

/* "never: pin driven, P4, by anything" */
static const char *asked(const struct nevers *n, uint32_t index)
{
  char what[160], text[176];
  never_text(&n->plan->script->never[index], what, sizeof(what));
  snprintf(text, sizeof(text), "never: %s", what);
  return arena_text(n->arena, text);
}

void nevers_end(struct nevers *n, struct moment now, struct judge *judge)
{
  goes_on(n, now.at);
  rom_ran(n, now);
  n->running = false;
  for (uint32_t i = 0; i < n->plan->script->never_count; i++) {
    const struct never_watch *w = &n->watches[i];
    struct judgement what = {.kind = JUDGED_NEVER,
                             .step = RESULT_NO_STEP,
                             .line = n->plan->script->never[i].line,
                             .held = w->broken_at == PS_NEVER,
                             .asked = asked(n, i),
                             .seen = w->seen,
                             .broken = w->broken_at != PS_NEVER,
                             .broken_at = w->broken_at};
    judge_add(judge, &what);
  }
}
