#include "run/bench.h"

#include "describe/trace_kinds.h"
#include "run/bench_parts.h"
#include "run/engine.h"

/* A boot sequence that has not ended by then never will: something holds the
 * part. Assumed. */
#define BOOT_PATIENCE (100 * PS_PER_MS)

/* How long the probe holds the line where it pulses it. Assumed. */
#define PULSE (20 * PS_PER_US)

void bench_pass(struct machine *m, ps_t lasts)
{
  engine_pass(m, engine_later(m, lasts), NULL, NULL);
}

struct moment bench_now(const struct machine *m)
{
  return chip_moment(&m->chip, m->now);
}

void bench_tell(struct machine *m, enum trace_action action, uint32_t detail)
{
  trace_add(&m->trace, bench_now(m), TRACE_PROBE, action, detail);
}

bool bench_fail(struct machine *m, enum trace_action action,
                enum trace_obstacle why)
{
  trace_add(&m->trace, bench_now(m), TRACE_PROBE_FAILED, action, why);
  return false;
}

/* --- the debug port --- */

static bool boot_ended(void *context)
{
  const struct machine *m = context;
  return !boot_busy(&m->chip.boot) && m->chip.reset.pending == 0;
}

static bool reach_port(struct machine *m, enum trace_action action)
{
  enum trace_obstacle why;
  if (!probe_reaches_port(&m->chip, &why)) return bench_fail(m, action, why);
  return true;
}

bool bench_reaches_memory(struct machine *m, enum trace_action action)
{
  enum trace_obstacle why;
  if (!probe_reaches_memory(&m->probe, &m->chip, &why))
    return bench_fail(m, action, why);
  return true;
}

bool bench_has_line(struct machine *m, enum trace_action action)
{
  return m->probe.no_line ? bench_fail(m, action, OBSTACLE_NO_LINE) : true;
}

/* Wait until the boot sequence is over and the core has halted at its vector,
 * for which reset catch was armed. */
bool bench_caught(struct machine *m, enum trace_action action)
{
  engine_pass(m, engine_later(m, BOOT_PATIENCE), boot_ended, m);
  m->chip.core.catch_reset = false;
  if (m->chip.core.mode != CORE_HALTED)
    return bench_fail(m, action, OBSTACLE_RUNNING);
  bench_tell(m, action, m->chip.core.r[15]);
  return true;
}

static bool has_power(void *context)
{
  const struct machine *m = context;
  return m->chip.rail.up;
}

/* A probe that finds no power while the rail still rises tries again. */
static void await_power(struct machine *m)
{
  if (m->supply.on)
    engine_pass(m, engine_later(m, BOOT_PATIENCE), has_power, m);
}

static void attach_held(struct machine *m)
{
  chip_pull_line(&m->chip, DRIVER_PROBE, true, m->now);
  await_power(m);
  bench_pass(m, m->part->probe.attach.typ);
  bool reached = reach_port(m, ACTION_ATTACH);
  if (reached) {
    probe_attach(&m->probe, &m->chip);
    m->chip.core.catch_reset = true;
    bench_pass(m, m->part->probe.transfer.typ);
  }
  chip_pull_line(&m->chip, DRIVER_PROBE, false, m->now);
  if (reached) bench_caught(m, ACTION_ATTACH);
}

static void attach_running(struct machine *m)
{
  await_power(m);
  bench_pass(m, m->part->probe.attach.typ);
  if (!reach_port(m, ACTION_ATTACH)) return;
  probe_attach(&m->probe, &m->chip);
  bench_halt(m);
  bench_tell(m, ACTION_ATTACH, m->chip.core.r[15]);
}

void bench_pulse_line(struct machine *m, ps_t hold)
{
  chip_pull_line(&m->chip, DRIVER_PROBE, true, m->now);
  bench_pass(m, hold);
  chip_pull_line(&m->chip, DRIVER_PROBE, false, m->now);
}

void bench_attach(struct machine *m, enum attach_reset how, ps_t after)
{
  if (how != ATTACH_RUNNING && !bench_has_line(m, ACTION_ATTACH))
    how = ATTACH_RUNNING;
  if (how == ATTACH_PULSED) bench_pulse_line(m, PULSE);
  bench_pass(m, after);
  if (how == ATTACH_HELD)
    attach_held(m);
  else
    attach_running(m);
}

bool bench_seize(struct machine *m)
{
  enum trace_obstacle why;
  if (!probe_reaches_port(&m->chip, &why)) return false;
  probe_attach(&m->probe, &m->chip);
  bench_tell(m, ACTION_ATTACH, m->chip.core.r[15]);
  return true;
}

void bench_detach(struct machine *m, bool cleans)
{
  bench_pass(m, m->part->probe.transfer.typ);
  probe_detach(&m->probe, &m->chip, cleans, m->now);
  bench_tell(m, ACTION_DETACH, m->chip.core.debug_enabled);
}

void bench_halt(struct machine *m)
{
  bench_pass(m, m->part->probe.transfer.typ);
  if (!bench_reaches_memory(m, ACTION_HALT)) return;
  if (m->chip.core.mode == CORE_HALTED) return;
  chip_halt(&m->chip);
  bench_tell(m, ACTION_HALT, m->chip.core.r[15]);
}

void bench_go(struct machine *m)
{
  bench_pass(m, m->part->probe.transfer.typ);
  if (!bench_reaches_memory(m, ACTION_GO)) return;
  if (m->chip.core.mode != CORE_HALTED) {
    bench_fail(m, ACTION_GO, OBSTACLE_RUNNING);
    return;
  }
  bench_tell(m, ACTION_GO, m->chip.core.r[15]);
  chip_go(&m->chip, m->now);
}

/* --- single words --- */

void bench_read(struct machine *m, addr_t at)
{
  bench_pass(m, m->part->probe.transfer.typ);
  if (!bench_reaches_memory(m, ACTION_READ)) return;
  uint32_t value;
  if (probe_read(&m->chip, at, m->now, &value))
    trace_add(&m->trace, bench_now(m), TRACE_READ, at, value);
  else
    bench_fail(m, ACTION_READ, OBSTACLE_OUTSIDE);
}

void bench_write_word(struct machine *m, addr_t at, uint32_t value)
{
  bench_pass(m, m->part->probe.transfer.typ);
  if (!bench_reaches_memory(m, ACTION_WRITE)) return;
  if (probe_write(&m->chip, at, value, m->now))
    trace_add(&m->trace, bench_now(m), TRACE_WRITE, at, 4);
  else
    bench_fail(m, ACTION_WRITE, OBSTACLE_OUTSIDE);
}
