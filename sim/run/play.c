#include "run/play.h"

#include <stdlib.h>
#include <string.h>

#include "describe/trace_kinds.h"
#include "run/actions.h"
#include "run/after.h"
#include "run/assumed.h"
#include "run/engine.h"
#include "run/expect.h"
#include "run/fights.h"
#include "run/findings.h"
#include "run/findings_power.h"
#include "run/findings_reset.h"
#include "run/findings_residue.h"
#include "run/judge.h"
#include "run/lessons.h"
#include "run/machine.h"
#include "run/measure.h"
#include "run/nevers.h"
#include "run/places.h"
#include "run/plan.h"
#include "run/power_cycles.h"
#include "run/starts.h"

struct play {
  struct arena arena;
  struct play_options options;
  struct plan plan;
  struct machine machine;
  struct starts starts;
  struct places places;
  struct fights fights;
  struct findings findings;
  struct power_cycles cycles;
  struct reset_facts reset_facts;
  struct residue_facts residue;
  struct judge judge;
  struct nevers nevers;
  struct measures measures;
  struct assumed assumed;
  struct lessons lessons;
  struct result result;
  uint32_t next; /* step of the script to be played next */
};

static void watch_places(struct play *p)
{
  struct bus *bus = &p->machine.chip.bus;
  bus->watch_count = p->plan.watch_count;
  for (uint32_t i = 0; i < p->plan.watch_count; i++)
    bus->watches[i] = p->plan.watches[i].at;
  cpu_map(p->machine.cpu, bus);
}

/* The folds, in the order in which they must see a record: starts first, for
 * the others ask it. */
static void listen(struct play *p)
{
  struct trace *tr = &p->machine.trace;
  starts_init(&p->starts, &p->plan, &p->arena, tr);
  places_init(&p->places, &p->plan, &p->starts, &p->arena,
              &p->machine.chip.bus, tr);
  nets_connect(&p->machine.nets);
  fights_init(&p->fights, &p->plan, &p->starts, &p->arena, tr);
  host_plug(&p->machine.host, &p->machine.nets,
            p->plan.script->host.present && p->plan.script->host.attached,
            (struct moment){0, 0});
  findings_init(&p->findings, &p->plan, &p->starts, &p->arena, tr);
  power_cycles_init(&p->cycles, &p->plan, &p->arena, tr);
  reset_facts_init(&p->reset_facts, &p->plan, &p->starts, tr);
  residue_facts_init(&p->residue, &p->findings, tr);
  judge_init(&p->judge, &p->arena);
  nevers_init(&p->nevers, &p->plan, &p->arena, tr);
  measures_init(&p->measures, &p->plan, &p->arena, tr);
  assumed_init(&p->assumed, tr);
  lessons_init(&p->lessons, &p->plan, &p->starts, &p->arena, tr);
  expect_listen(&p->machine);
}

static enum sim_status prepare(struct play *p,
                               const struct case_script *script,
                               const struct part *part, struct sim_error *err)
{
  enum sim_status status = machine_init(&p->machine, &p->arena, script, part,
                                        p->options.engine, p->plan.rom, err);
  if (status != SIM_OK) return status;
  p->machine.chip.core.semihosting |= p->options.semihosting;
  p->plan.svd = p->machine.chip.svd = p->options.svd;
  status = plan_make(&p->plan, &p->arena, script, part, err);
  if (status != SIM_OK) {
    machine_free(&p->machine);
    return status;
  }
  watch_places(p);
  listen(p);
  return SIM_OK;
}

enum sim_status play_prepare(const struct case_script *script,
                             const struct part *part,
                             const struct play_options *options,
                             struct play **play, struct sim_error *err)
{
  struct play *p = calloc(1, sizeof(*p));
  if (p == NULL) return sim_fail(err, SIM_LIMIT, NULL, "out of memory");
  arena_init(&p->arena);
  p->options = *options;
  enum sim_status status = prepare(p, script, part, err);
  if (status != SIM_OK) {
    arena_free(&p->arena);
    free(p);
    return status;
  }
  *play = p;
  return SIM_OK;
}

struct trace *play_trace(struct play *play)
{
  return &play->machine.trace;
}

const struct part *play_part(const struct play *play)
{
  return play->plan.part;
}

const struct case_script *play_script(const struct play *play)
{
  return play->plan.script;
}

struct machine *play_machine(struct play *play)
{
  return &play->machine;
}

const struct plan *play_plan(const struct play *play)
{
  return &play->plan;
}

uint32_t play_start_count(const struct play *play)
{
  return play->starts.count;
}

const char *play_watch_name(const struct play *play, uint32_t index)
{
  return index < play->plan.watch_count ? play->plan.watches[index].name
                                        : NULL;
}

const char *play_symbol(struct play *play, addr_t at)
{
  return plan_symbol(&play->plan, &play->arena, play->machine.chip.bus.alias,
                     at);
}

static void take_step(struct play *p, uint32_t number)
{
  struct machine *m = &p->machine;
  const struct acting a = {.machine = m,
                           .plan = &p->plan,
                           .starts = &p->starts,
                           .step = &p->plan.script->steps[number],
                           .resolved = &p->plan.steps[number]};
  trace_add(&m->trace, chip_moment(&m->chip, m->now), TRACE_STEP, number,
            a.step->verb);
  if (a.step->verb == VERB_EXPECT)
    expect_wait(&a, &p->judge, p->options.judge);
  else
    action_take(&a);
  rail_tell(&m->chip.rail, chip_moment(&m->chip, m->now), &m->trace);
  trace_add(&m->trace, chip_moment(&m->chip, m->now), TRACE_STEP_END, number,
            0);
}

/* The limit itself must still be told. */
static void tell_limit(struct play *p, enum trace_stop why)
{
  struct machine *m = &p->machine;
  p->result.stopped = trace_word("stop", why);
  m->trace.full = false;
  m->trace.added_limit = UINT64_MAX;
  trace_add(&m->trace, chip_moment(&m->chip, m->now), TRACE_STOPPED, why, 0);
}

bool play_until(struct play *p, uint32_t end)
{
  enum trace_stop why;
  while (p->next < end && p->next < p->plan.script->step_count) {
    take_step(p, p->next++);
    if (play_disagreement(p) != NULL) return false;
    if (!engine_stopped(&p->machine, &why)) continue;
    tell_limit(p, why);
    return false;
  }
  return true;
}

void play_act(struct play *p, const struct step *step)
{
  static const struct plan_step nothing;
  const struct acting a = {.machine = &p->machine,
                           .plan = &p->plan,
                           .starts = &p->starts,
                           .step = step,
                           .resolved = &nothing};
  action_take(&a);
}

const struct starts *play_starts(const struct play *play)
{
  return &play->starts;
}

/* A run that was stopped has not shown what it should. */
static enum verdict verdict_of(const struct result *r)
{
  if (r->failed > 0 || (r->held > 0 && r->stopped != NULL))
    return VERDICT_FAILED;
  return r->held > 0 ? VERDICT_HELD : VERDICT_NONE;
}

static void gather(struct play *p)
{
  struct result *r = &p->result;
  r->title = p->plan.script->title;
  r->case_file = p->plan.script->file;
  r->part = p->plan.part->name;
  r->about = p->plan.part->about;
  r->starts = p->starts.list;
  r->start_count = p->starts.count;
  r->findings = p->findings.list;
  r->finding_count = p->findings.count;
  r->power_cycles = p->cycles.list;
  r->power_cycle_count = p->cycles.count;
  r->brown_outs = p->cycles.brown_outs;
  r->measures = p->measures.list;
  r->measure_count = p->plan.script->measure_count;
  r->judgements = p->judge.list;
  r->judgement_count = p->judge.count;
  for (uint32_t i = 0; i < p->judge.count; i++)
    if (p->judge.list[i].held)
      r->held++;
    else
      r->failed++;
  for (uint32_t i = 0; i < p->findings.count; i++)
    r->contention |= p->findings.list[i].kind == FINDING_CONTENTION ||
                     p->findings.list[i].kind == FINDING_LINE_FOUGHT;
  r->fights = p->fights.list;
  r->fight_count = p->fights.count;
  r->learned = p->lessons.list;
  r->learned_count = p->lessons.count;
  r->trials = p->lessons.trials;
  r->touched = p->assumed.touched;
  r->assumed = assumed_count(&p->assumed, p->plan.part);
  r->end = p->machine.now;
  r->verdict = verdict_of(r);
}

const struct result *play_run(struct play *p)
{
  struct machine *m = &p->machine;
  struct result *r = &p->result;
  play_until(p, UINT32_MAX);
  core_count(&m->chip.core, &m->chip.bus);
  nets_end(&m->nets, chip_moment(&m->chip, m->now));
  starts_end(&p->starts, chip_moment(&m->chip, m->now));
  fights_end(&p->fights, chip_moment(&m->chip, m->now));
  findings_end(&p->findings, &p->fights);
  power_cycles_end(&p->cycles);
  r->charge_nc =
      supply_charge_nc(&m->supply, rail_level(&m->chip.rail, m->now), m->now);
  findings_reset(&p->findings, &p->reset_facts);
  findings_power(&p->findings, &p->cycles, r->charge_nc);
  measures_end(&p->measures);
  if (p->options.judge) {
    measures_judge(&p->measures, &p->judge);
    nevers_end(&p->nevers, chip_moment(&m->chip, m->now), &p->judge);
  }
  gather(p);
  if (p->options.after) {
    struct after *after = arena_get(&p->arena, sizeof(*after));
    after_ask(m, &p->plan, after);
    p->result.after = after;
  }
  return &p->result;
}

const char *play_disagreement(const struct play *play)
{
  return cpu_disagreement(play->machine.cpu);
}

void play_free(struct play *play)
{
  machine_free(&play->machine);
  arena_free(&play->arena);
  free(play);
}
