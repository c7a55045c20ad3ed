#include "run/after.h"

#include "describe/names.h"
#include "run/outlook.h"

static void add(const struct outlook *o, struct after *after,
                const char *event, const struct outlook_event *what)
{
  struct after_row *row = &after->rows[after->count++];
  row->event = event;
  outlook_ask(o, what, &row->answer);
}

static void use(struct machine *m, struct cpu *cpu)
{
  m->cpu = m->chip.cpu = cpu;
  cpu_map(cpu, &m->chip.bus);
}

static void ask_all(struct machine *m, const struct plan *plan,
                    struct after *after)
{
  struct page_store store;
  const struct outlook o = {m, plan, &store, OUTLOOK_PATIENCE};
  pages_init(&store);
  after->count = 0;
  add(&o, after, "power cycle",
      &(struct outlook_event){.kind = OUTLOOK_CYCLE});
  for (unsigned i = 0; i < CAUSE_COUNT_; i++) {
    const struct outlook_event what = {OUTLOOK_CAUSE, (enum cause)i,
                                       OUTLOOK_HOLD};
    if (i == CAUSE_POWER_ON || !m->part->resets[i].present) continue;
    add(&o, after, cause_word((enum cause)i), &what);
  }
  pages_free(&store);
}

/* Each row is a few thousand instructions that are never executed again. */
void after_ask(struct machine *m, const struct plan *plan, struct after *after)
{
  struct cpu *before = m->cpu, *cpu;
  struct sim_error err;
  enum cpu_engine engine = cpu_engine_for_forks(m->part->core.kind);
  if (cpu_open(&cpu, engine, &m->part->core, &err) != SIM_OK) {
    ask_all(m, plan, after); /* no memory for another one */
    return;
  }
  use(m, cpu);
  ask_all(m, plan, after);
  use(m, before);
  cpu_close(cpu);
}
