/* The core under the probe: steps, registers, resets, load and go. */
#include "core/core.h"
#include "describe/trace_kinds.h"
#include "run/bench.h"
#include "run/bench_parts.h"
#include "run/engine.h"

/* ARM DDI 0419E B3.2.5 and B3.2.6. */
#define VTOR          0xe000ed08u
#define AIRCR         0xe000ed0cu
#define AIRCR_REQUEST 0x05fa0004u

/* A register goes through two others, and the first must be seen ready. */
#define REGISTER_TRANSFERS 3

/* One instruction, however long it waits. */
#define STEP_PATIENCE PS_PER_S

/* True if the core is halted and in reach; else tells why not. */
static bool halted(struct machine *m, enum trace_action action)
{
  if (!bench_reaches_memory(m, action)) return false;
  if (m->chip.core.mode != CORE_HALTED)
    return bench_fail(m, action, OBSTACLE_RUNNING);
  return true;
}

/* --- registers ----------------------------------------------------------- */

static bool exists(const struct machine *m, unsigned number)
{
  return number < CORE_BASEPRI || core_is_v7m(&m->chip.core);
}

static bool reach_register(struct machine *m, enum trace_action action,
                           unsigned number)
{
  bench_pass(m, REGISTER_TRANSFERS * m->part->probe.transfer.typ);
  if (!halted(m, action)) return false;
  return exists(m, number) || bench_fail(m, action, OBSTACLE_OUTSIDE);
}

void bench_read_register(struct machine *m, unsigned number)
{
  if (!reach_register(m, ACTION_READ, number)) return;
  trace_add(&m->trace, bench_now(m), TRACE_CORE_READ, number,
            core_register(&m->chip.core, number));
}

void bench_read_registers(struct machine *m)
{
  for (unsigned i = 0; i <= CORE_CONTROL; i++) {
    if (!reach_register(m, ACTION_READ, i)) return;
    trace_add(&m->trace, bench_now(m), TRACE_CORE_READ, i,
              core_register(&m->chip.core, i));
  }
}

static bool set_register(struct machine *m, enum trace_action action,
                         unsigned number, uint32_t value)
{
  if (!reach_register(m, action, number)) return false;
  core_set_register(&m->chip.core, number, value);
  trace_add(&m->trace, bench_now(m), TRACE_CORE_SET, number, value);
  return true;
}

void bench_set_register(struct machine *m, unsigned number, uint32_t value)
{
  set_register(m, ACTION_SET, number, value);
}

/* --- steps --------------------------------------------------------------- */

static bool has_halted(void *context)
{
  const struct machine *m = context;
  return m->chip.core.mode == CORE_HALTED;
}

void bench_step(struct machine *m, uint32_t count)
{
  for (uint32_t i = 0; i < count; i++) {
    bench_pass(m, m->part->probe.transfer.typ);
    if (!halted(m, ACTION_STEP)) return;
    m->chip.core.debug_step = true;
    chip_go(&m->chip, m->now);
    engine_pass(m, engine_later(m, STEP_PATIENCE), has_halted, m);
    m->chip.core.debug_step = false;
  }
  bench_tell(m, ACTION_STEP, m->chip.core.r[15]);
}

/* --- resets -------------------------------------------------------------- */

static bool ask_for_reset(struct machine *m, enum reset_way way, ps_t hold)
{
  switch (way) {
  case RESET_BY_LINE: bench_pulse_line(m, hold); break;
  case RESET_BY_REQUEST:
    probe_write(&m->chip, AIRCR, AIRCR_REQUEST, m->now);
    break;
  case RESET_OF_CORE:
    if (!m->part->resets[CAUSE_CORE_ONLY].present)
      return bench_fail(m, ACTION_RESET, OBSTACLE_NO_REGISTER);
    chip_request_reset(&m->chip, CAUSE_CORE_ONLY);
    break;
  }
  bench_pass(m, 0);
  return true;
}

/* Reset catch is debug state: a reset that clears that runs through. */
void bench_reset(struct machine *m, enum reset_way way, bool caught, ps_t hold)
{
  bool line = way == RESET_BY_LINE;
  bench_pass(m, m->part->probe.transfer.typ);
  if (line && !bench_has_line(m, ACTION_RESET)) return;
  if ((!line || caught) && !bench_reaches_memory(m, ACTION_RESET)) return;
  if (caught) m->chip.core.catch_reset = true;
  if (!ask_for_reset(m, way, hold))
    m->chip.core.catch_reset = false;
  else if (caught)
    bench_caught(m, ACTION_RESET);
}

/* --- load and go --------------------------------------------------------- */

static bool has_vector_base(const struct machine *m)
{
  return m->part->core.vector_base || core_is_v7m(&m->chip.core);
}

void bench_start(struct machine *m, addr_t table)
{
  uint32_t sp, pc;
  bench_pass(m, 2 * m->part->probe.transfer.typ);
  if (!halted(m, ACTION_START)) return;
  if (!probe_read(&m->chip, table, m->now, &sp) ||
      !probe_read(&m->chip, table + 4, m->now, &pc)) {
    bench_fail(m, ACTION_START, OBSTACLE_OUTSIDE);
    return;
  }
  if (has_vector_base(m)) {
    bench_pass(m, m->part->probe.transfer.typ);
    probe_write(&m->chip, VTOR, table, m->now);
  }
  uint32_t thumb = core_register(&m->chip.core, CORE_XPSR) | CORE_THUMB;
  if (!set_register(m, ACTION_START, CORE_MSP, sp) ||
      !set_register(m, ACTION_START, 15, pc) ||
      !set_register(m, ACTION_START, CORE_XPSR, thumb))
    return;
  core_count(&m->chip.core, &m->chip.bus);
  bench_tell(m, ACTION_START, pc & ~1u);
  trace_add(&m->trace, bench_now(m), TRACE_VECTORS, sp, pc);
  chip_residue_started(&m->chip, table, bench_now(m));
  chip_go(&m->chip, m->now);
}
