#include "serve/target.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdlib.h>

#include "base/arena.h"
#include "board/probe.h"
#include "describe/trace_kinds.h"
#include "run/bench.h"
#include "run/engine.h"
#include "run/probe_findings.h"
#include "run/starts.h"

/* How long time passes before gdb is listened to again: short for a program
 * that runs, as a person waits for it; where nothing executes it costs next
 * to nothing. Assumed. */
#define SLICE_RUNNING (2 * PS_PER_MS)
#define SLICE_WAITING (100 * PS_PER_MS)

/* A rail that is not down by then is held up. Assumed. */
#define FALL_PATIENCE (60 * PS_PER_S)

/* A boot sequence that has not ended by then never will. Assumed. */
#define BOOT_PATIENCE (100 * PS_PER_MS)

void target_tell(const struct target *t, const char *format, ...)
{
  va_list args;
  va_start(args, format);
  fputs("firstfetch: ", t->console);
  vfprintf(t->console, format, args);
  fputc('\n', t->console);
  va_end(args);
}

/* --- what the trace tells ------------------------------------------------ */

static void hear(struct target *t, uint8_t byte)
{
  if (t->said_size == t->said_room) {
    t->said_room = 2 * t->said_room + 256;
    t->said = realloc(t->said, t->said_room);
    if (t->said == NULL) arena_no_memory();
  }
  t->said[t->said_size++] = (char)byte;
}

static void fail(struct target *t, const char *action, enum trace_obstacle why)
{
  t->failed = true;
  snprintf(t->failure, sizeof t->failure, "could not %s: %s", action,
           probe_findings_why(why));
  target_tell(t, "the probe %s", t->failure);
}

static void fold(void *context, const struct trace_record *r)
{
  struct target *t = context;
  switch (r->kind) {
  case TRACE_SAID: hear(t, (uint8_t)r->a); break;
  case TRACE_PROBE_FAILED:
    fail(t, trace_word("action", r->a), (enum trace_obstacle)r->b);
    break;
  case TRACE_EXITED:
    target_tell(t, "the program has ended itself with status %u",
                (unsigned)r->a);
    break;
  case TRACE_ENTER: /* a port that was shut in ROM may answer now */
    if (!t->machine->chip.core.debug_enabled) t->machine->trace.stop = true;
    break;
  default: break;
  }
}

static void listen(struct target *t)
{
  trace_listen(&t->machine->trace,
               TRACE_BIT(TRACE_SAID) | TRACE_BIT(TRACE_PROBE_FAILED) |
                   TRACE_BIT(TRACE_EXITED) | TRACE_BIT(TRACE_ENTER),
               fold, t);
}

/* --- holding the part ---------------------------------------------------- */

/* At the vector, though the catch came too late: nothing was executed. */
static void halt_at_vector(struct target *t)
{
  struct chip *c = &t->machine->chip;
  if (c->core.mode == CORE_RUNNING && c->core.region == BUS_NO_REGION)
    chip_halt(c);
}

/* A reset may have cleared debug enable and all that hangs on it. */
static void hold_on(struct target *t)
{
  struct machine *m = t->machine;
  if (!m->probe.attached || !m->chip.core.debug_enabled) {
    if (!bench_seize(m)) return;
    breaks_renew(&t->breaks);
    if (t->catching) halt_at_vector(t);
  }
  if (t->catching) m->chip.core.catch_reset = true;
}

static bool locked_up(const struct target *t)
{
  const struct machine *m = t->machine;
  return m->chip.core.mode == CORE_LOCKUP &&
         !m->part->resets[CAUSE_LOCKUP].present;
}

static bool has_stopped(void *context)
{
  struct target *t = context;
  hold_on(t);
  return target_halted(t) || locked_up(t) || engine_idle(t->machine);
}

static bool reaches_memory(const struct target *t, enum trace_obstacle *why)
{
  return probe_reaches_memory(&t->machine->probe, &t->machine->chip, why);
}

bool target_reaches(struct target *t, const char *what)
{
  enum trace_obstacle why;
  if (reaches_memory(t, &why)) return true;
  target_tell(t, "the probe could not %s: %s", what, probe_findings_why(why));
  return false;
}

/* --- going and stopping -------------------------------------------------- */

/* Time stands still from here on; the core is halted if that can be. */
static void stand(struct target *t, enum target_stop why)
{
  enum trace_obstacle obstacle;
  struct core *core = &t->machine->chip.core;
  core->debug_step = core->catch_reset = false;
  t->stepping = t->catching = false;
  t->stop = why;
  if (reaches_memory(t, &obstacle)) chip_halt(&t->machine->chip);
}

static enum target_stop why_stopped(const struct target *t)
{
  enum trace_stop limit;
  if (target_halted(t)) return TARGET_TRAP;
  if (locked_up(t)) return TARGET_LOCKUP;
  if (engine_stopped(t->machine, &limit)) return TARGET_LIMIT;
  return engine_idle(t->machine) ? TARGET_IDLE : TARGET_GOES;
}

static void pass(struct target *t, ps_t lasts)
{
  engine_pass(t->machine, engine_later(t->machine, lasts), has_stopped, t);
  enum target_stop why = why_stopped(t);
  if (why != TARGET_GOES) stand(t, why);
}

void target_open(struct target *t, struct play *play, FILE *console)
{
  *t = (struct target){
      .play = play, .machine = play_machine(play), .console = console};
  breaks_init(&t->breaks, t->machine);
  listen(t);
  hold_on(t);
  stand(t, TARGET_ASKED);
}

void target_close(struct target *t)
{
  free(t->said);
}

void target_tell_pc(struct target *t)
{
  uint32_t count = play_starts(t->play)->count;
  if (count == 0 || t->pc_told == count) return;
  t->pc_told = count;
  target_tell(t,
              "gdb has set the program counter in start %" PRIu32
              ": what runs now runs from the debugger, which does not show "
              "that the part starts it alone",
              count);
}

void target_go(struct target *t, bool steps)
{
  struct machine *m = t->machine;
  machine_renew_limits(m, UINT64_MAX / 2);
  hold_on(t);
  t->stop = TARGET_GOES;
  t->stepping = t->catching = steps;
  m->chip.core.debug_step = m->chip.core.catch_reset = steps;
  if (target_halted(t) && m->chip.core.debug_enabled)
    chip_go(&m->chip, m->now);
}

/* Out of the probe's reach it can't be stepped, but time can: to the end of
 * the instruction that begins now. */
static void step_time(struct target *t)
{
  pass(t, 1);
  if (t->stop == TARGET_GOES) stand(t, TARGET_TRAP);
}

void target_pass(struct target *t)
{
  const struct core *core = &t->machine->chip.core;
  bool runs = core->mode == CORE_RUNNING;
  if (t->stepping && runs && !core->debug_enabled)
    step_time(t);
  else
    pass(t, runs ? SLICE_RUNNING : SLICE_WAITING);
}

void target_interrupt(struct target *t)
{
  stand(t, TARGET_ASKED);
}

void target_run(struct target *t, ps_t lasts)
{
  target_go(t, false);
  pass(t, lasts);
  if (t->stop == TARGET_GOES) stand(t, TARGET_ASKED);
}

/* --- resets -------------------------------------------------------------- */

/* Halted; or the sequence is over and it runs, as the port is out of reach. */
static bool has_started(void *context)
{
  struct target *t = context;
  const struct chip *c = &t->machine->chip;
  return has_stopped(t) || (!boot_busy(&c->boot) && c->reset.pending == 0);
}

bool target_bring(struct target *t, const struct step *step)
{
  struct machine *m = t->machine;
  machine_renew_limits(m, UINT64_MAX / 2);
  t->failed = false;
  t->catching = true;
  if (m->chip.core.debug_enabled) m->chip.core.catch_reset = true;
  play_act(t->play, step);
  engine_pass(m, engine_later(m, BOOT_PATIENCE), has_started, t);
  stand(t, TARGET_ASKED);
  return target_halted(t) && !t->failed;
}

static bool is_below_rearm(void *context)
{
  const struct target *t = context;
  return t->machine->chip.rail.rearm_since != PS_NEVER;
}

void target_switch_off(struct target *t, ps_t lasts)
{
  struct machine *m = t->machine;
  const struct step step = {
      .verb = VERB_POWER, .power = POWER_OFF, .lasts = lasts};
  machine_renew_limits(m, UINT64_MAX / 2);
  play_act(t->play, &step);
  if (lasts == 0) {
    engine_pass(m, engine_later(m, FALL_PATIENCE), is_below_rearm, t);
    engine_pass(m, engine_later(m, m->part->power.rearm_for.typ), NULL, NULL);
  }
  stand(t, TARGET_ASKED);
}
