#include "run/route_branch.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "describe/names.h"
#include "describe/trace_kinds.h"
#include "run/engine.h"
#include "run/expect.h"
#include "run/fork.h"
#include "run/judge.h"
#include "run/machine.h"
#include "run/whole.h"

/* Records of a branch: far above what a step needs. Assumed. */
#define BRANCH_LIMIT 2000000u

/* Starts of one branch that need no memory of their own. */
#define BRANCH_STARTS 8

struct route_kept {
  struct snapshot *snapshot;
  struct starts starts;
  struct start last; /* its list */
  struct nevers nevers;
};

struct branch {
  struct route_bench *bench;
  struct machine *machine;
  struct starts starts;
  struct start list[BRANCH_STARTS];
  struct nevers nevers;
  struct route_played *played;
};

/* --- the bench ----------------------------------------------------------- */

static enum cpu_engine engine_for(const struct part *part)
{
  return part->core.kind >= CORE_KIND_M3 ? CPU_ENGINE_UNICORN : CPU_ENGINE_OWN;
}

enum sim_status route_bench_open(struct route_bench *b,
                                 const struct catalog *catalog,
                                 struct sim_error *err)
{
  const struct play_options options = {.engine = engine_for(catalog->part)};
  b->catalog = catalog;
  enum sim_status status =
      play_prepare(&catalog->script, catalog->part, &options, &b->play, err);
  /* no user wrote these steps: the "route" object is where they come from */
  if (status != SIM_OK && strncmp(err->path, "steps", 5) == 0)
    snprintf(err->path, sizeof(err->path), "route");
  if (status != SIM_OK) return status;
  pages_init(&b->store);
  arena_init(&b->texts);
  return SIM_OK;
}

void route_bench_close(struct route_bench *b)
{
  play_free(b->play);
  pages_free(&b->store);
  arena_free(&b->texts);
}

/* --- what makes a step fail ---------------------------------------------- */

static void fail(struct branch *b, const char *seen, const char *format, ...)
    SIM_PRINTF(3, 4);

/* The first reason counts. */
static void fail(struct branch *b, const char *seen, const char *format, ...)
{
  struct route_played *p = b->played;
  va_list args;
  if (p->why[0] != '\0') return;
  va_start(args, format);
  vsnprintf(p->reason, sizeof(p->reason), format, args);
  va_end(args);
  snprintf(p->why, sizeof(p->why), "%s%s%s", p->reason,
           seen != NULL ? ": " : "", seen != NULL ? seen : "");
}

static struct moment now_of_branch(const struct branch *b)
{
  return chip_moment(&b->machine->chip, b->machine->now);
}

static bool never_is_broken(struct branch *b)
{
  uint32_t never;
  return nevers_broken(&b->nevers, now_of_branch(b), &never);
}

static void fail_by_host(struct branch *b, const struct trace_record *r)
{
  if (r->b == REPLY_DONE) return;
  fail(b, NULL, "the host could not have it %s (%s)",
       trace_word("request", r->a), trace_word("reply", r->b));
}

/* The judge has seen the record already. */
static void fold(void *context, const struct trace_record *r)
{
  struct branch *b = context;
  if (r->kind == TRACE_PROBE_FAILED)
    fail(b, NULL, "the probe could not %s (%s)", trace_word("action", r->a),
         trace_word("obstacle", r->b));
  else if (r->kind == TRACE_HOST_END)
    fail_by_host(b, r);
  else if (r->kind != TRACE_LATCH_WRITE)
    b->machine->trace.stop |= never_is_broken(b);
  else if (r->b == 0)
    fail(b, NULL, "a write to the latch has no effect on this part");
}

static void look_at_nevers(struct branch *b)
{
  uint32_t i;
  if (nevers_broken(&b->nevers, now_of_branch(b), &i))
    fail(b, b->nevers.watches[i].seen, "\"%s\" is never to be",
         never_words[b->nevers.plan->script->never[i].kind]);
}

static void look_at_limits(struct branch *b)
{
  enum trace_stop why;
  if (engine_stopped(b->machine, &why))
    fail(b, NULL, "a limit stopped the simulation (%s)",
         trace_word("stop", why));
}

/* --- steps --------------------------------------------------------------- */

static void expect(struct branch *b, const struct acting *a)
{
  struct judge told;
  judge_init(&told, &b->bench->texts);
  bool holds = expect_wait(a, &told, true);
  if (!holds) fail(b, told.list[0].seen, "the goal does not hold");
}

static bool is_lost(void *context)
{
  return never_is_broken(context);
}

/* A pause; nobody needs the rest of it once a never is broken. */
static void let_pass(struct branch *b, const struct acting *a)
{
  engine_pass(b->machine, engine_later(b->machine, a->step->lasts), is_lost,
              b);
}

static struct acting acting_on(struct route_bench *b,
                               const struct starts *starts, uint32_t number)
{
  const struct plan *plan = play_plan(b->play);
  return (struct acting){play_machine(b->play), plan, starts,
                         &plan->script->steps[number], &plan->steps[number]};
}

const char *route_goal_text(struct route_bench *b)
{
  char text[400];
  const struct starts none = {.count = 0};
  const struct acting a = acting_on(b, &none, b->catalog->goal);
  expect_text(&a, text, sizeof(text));
  return arena_text(&b->texts, text);
}

static void take_step(struct branch *b, uint32_t number)
{
  struct machine *m = b->machine;
  const struct acting a = acting_on(b->bench, &b->starts, number);
  trace_add(&m->trace, chip_moment(&m->chip, m->now), TRACE_STEP, number,
            a.step->verb);
  if (a.step->verb == VERB_EXPECT)
    expect(b, &a);
  else if (a.step->verb == VERB_RUN && a.step->until == NULL)
    let_pass(b, &a);
  else
    action_take(&a);
  core_count(&m->chip.core, &m->chip.bus);
  look_at_nevers(b);
  look_at_limits(b);
}

static void take_ranges(struct branch *b, const struct catalog_range *ranges,
                        uint32_t range_count)
{
  for (uint32_t i = 0; i < range_count; i++)
    for (uint32_t k = 0; k < ranges[i].count; k++) {
      take_step(b, ranges[i].first + k);
      if (b->played->why[0] != '\0') return;
    }
}

/* --- branches ------------------------------------------------------------ */

static void listen(struct branch *b, const struct route_kept *from)
{
  struct trace *tr = &b->machine->trace;
  const struct plan *plan = play_plan(b->bench->play);
  starts_init(&b->starts, plan, &b->bench->texts, tr);
  if (from != NULL)
    starts_resume(&b->starts, &from->starts, b->list, BRANCH_STARTS);
  nevers_init(&b->nevers, plan, &b->bench->texts, tr);
  b->nevers.armed = false;
  if (from != NULL) nevers_resume(&b->nevers, &from->nevers);
  trace_listen(tr,
               TRACE_BIT(TRACE_PROBE_FAILED) | TRACE_BIT(TRACE_LATCH_WRITE) |
                   TRACE_BIT(TRACE_HOST_END) | TRACE_BIT(TRACE_ENTER) |
                   TRACE_BIT(TRACE_PIN) | TRACE_BIT(TRACE_CONTENTION),
               fold, b);
  expect_listen(b->machine);
}

static struct route_kept *keep(struct branch *b)
{
  struct route_kept *kept = calloc(1, sizeof(*kept));
  if (kept == NULL) arena_no_memory();
  kept->snapshot = snapshot_take(&b->bench->store, b->machine);
  starts_keep(&kept->starts, &kept->last, &b->starts);
  kept->nevers = b->nevers;
  return kept;
}

void route_play(struct route_bench *bench, const struct route_kept *from,
                const struct catalog_range *ranges, uint32_t range_count,
                struct route_played *played, struct route_kept **to)
{
  struct fork f;
  struct branch b = {
      .bench = bench, .machine = play_machine(bench->play), .played = played};
  memset(played, 0, sizeof(*played));
  fork_begin(&f, &bench->store, b.machine, BRANCH_LIMIT);
  snapshot_restore(from != NULL ? from->snapshot : f.before, b.machine);
  listen(&b, from);
  ps_t began = b.machine->now;
  take_ranges(&b, ranges, range_count);
  played->took = b.machine->now - began;
  played->good = played->why[0] == '\0';
  if (to != NULL) *to = played->good ? keep(&b) : NULL;
  fork_end(&f, &bench->store, b.machine);
}

struct route_kept *route_begin(struct route_bench *b)
{
  struct route_played played;
  struct route_kept *kept;
  route_play(b, NULL, NULL, 0, &played, &kept);
  return kept;
}

/* --- kept states --------------------------------------------------------- */

static struct machine *bring_back(struct route_bench *b,
                                  const struct route_kept *kept)
{
  struct machine *m = play_machine(b->play);
  snapshot_restore(kept->snapshot, m);
  return m;
}

void route_arm(struct route_bench *b, struct route_kept *kept)
{
  const struct machine *m = bring_back(b, kept);
  nevers_arm(&kept->nevers, chip_moment(&m->chip, m->now));
}

void route_describe(const struct route_kept *kept, char *text, size_t size)
{
  snprintf(text, size, "%s%s%s",
           kept->nevers.runs_on ? "the boot ROM runs" : "",
           kept->nevers.runs_on && kept->nevers.fights_on != 0 ? ", and " : "",
           kept->nevers.fights_on != 0 ? "a pin is fought over" : "");
}

bool route_holds_image(struct route_bench *b, const struct route_kept *kept)
{
  const struct plan *plan = play_plan(b->play);
  return whole_holds(bring_back(b, kept),
                     plan->images[b->catalog->spec->image]);
}

/* What is asked of the newest start, and does not follow from the machine. */
struct asked {
  uint32_t how, cause, region, rule, outcome, sp, pc, landed;
  uint32_t latch, stale, open, handed_over, known_latch, known_fresh;
  uint32_t known_rule, known_region, last_region, never_region;
  uint32_t running, armed, runs_on, mapped;
  uint32_t attached, powered, driven, high;
  uint64_t fights, fights_on, pins_driven, rom_instructions;
  ps_t rom_ps;
  cycle_t rom_cycles;
};

static void ask_start(const struct route_bench *b, const struct start *s,
                      struct asked *asked)
{
  const struct part *part = b->catalog->part;
  asked->how = 1 + s->how;
  asked->cause = s->cause;
  asked->region = part_memory_named(part, s->region);
  asked->outcome = s->outcome;
  asked->sp = s->sp;
  asked->pc = s->pc;
  asked->latch = s->latch_programmed;
  asked->stale = s->stale;
  asked->landed =
      s->landing.landed ? 1 + part_memory_named(part, s->landing.region) : 0;
  for (uint32_t i = 0; i < part->rule_count && s->rule != NULL; i++)
    if (strcmp(part->rules[i].name, s->rule) == 0) asked->rule = 1 + i;
  if (b->catalog->spec->goal.has_rom_instructions)
    asked->rom_instructions = s->rom_instructions;
}

/* How long the boot ROM has run counts only where some of it is allowed. */
static bool watches_beyond(const struct route_bench *b)
{
  const struct case_script *script = &b->catalog->script;
  for (uint32_t i = 0; i < script->never_count; i++)
    if (script->never[i].beyond.asked) return true;
  return false;
}

static void ask(const struct route_bench *b, const struct route_kept *kept,
                const struct catalog_bench *bench, struct asked *asked)
{
  const struct starts *s = &kept->starts;
  const struct nevers *n = &kept->nevers;
  if (s->count > 0) ask_start(b, &kept->last, asked);
  asked->open = s->open;
  asked->handed_over = s->handed_over;
  asked->known_latch = s->latch_programmed;
  asked->known_fresh = s->fresh_programmed;
  asked->known_rule = s->rule;
  asked->known_region = s->region;
  asked->last_region = s->last_region;
  asked->pins_driven = s->pins_driven;
  asked->never_region = n->region;
  asked->running = n->running;
  asked->armed = n->armed;
  asked->runs_on = n->runs_on;
  asked->fights_on = n->fights_on;
  asked->mapped = n->mapped;
  if (watches_beyond(b)) {
    asked->rom_ps = n->rom_ps;
    asked->rom_cycles = n->rom_cycles;
  }
  asked->fights = n->fights;
  asked->attached = bench->attached;
  asked->powered = bench->powered;
  asked->driven = bench->driven;
  asked->high = bench->high;
}

struct route_key *route_key_of(struct route_bench *b,
                               const struct route_kept *kept,
                               const struct catalog_bench *bench)
{
  struct asked asked;
  memset(&asked, 0, sizeof(asked));
  ask(b, kept, bench, &asked);
  return route_key_make(&b->store, bring_back(b, kept), &asked, sizeof(asked));
}

void route_forget(struct route_bench *b, struct route_kept *kept)
{
  if (kept == NULL) return;
  snapshot_free(&b->store, kept->snapshot);
  free(kept);
}
