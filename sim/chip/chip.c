#include "chip/chip.h"

#include <assert.h>
#include <string.h>

#include "chip/chip_bus.h"
#include "chip/chip_cells.h"
#include "chip/chip_line.h"
#include "chip/chip_serial.h"
#include "chip/chip_watch.h"
#include "chip/registers.h"
#include "chip/rules.h"

/* --- what two blocks must agree on --- */

static void lose_ram(struct chip *c)
{
  memory_lose_ram(&c->memory);
  for (uint32_t i = 0; i < c->part->memory_count; i++)
    if (c->part->memory[i].kind == MEMORY_RAM)
      chip_bytes_changed(c, i, 0, c->part->memory[i].size);
}

/* --- the beginning of a reset --- */

static void set_flags(struct chip *c, uint32_t causes, struct moment now)
{
  for (; causes != 0; causes &= causes - 1) {
    enum cause cause = (enum cause)__builtin_ctz(causes);
    if (c->part->resets[cause].flag)
      reset_set_flag(&c->reset, cause, now, c->trace);
  }
}

static void reset_peripherals(struct chip *c, struct moment now)
{
  registers_reset(c);
  learn_reset(&c->learn, true);
  for (uint32_t i = 0; i < PART_MAX_PORTS; i++)
    serial_init(&c->serial[i], i);
  pins_reset(&c->pins, now, c->trace);
}

/* One row of the reset table, column by column; options, latch, straps and
 * alias come later in the sequence (finish_phase). `held` is how long the
 * part is held before it begins. */
static void begin_reset(struct chip *c, enum cause cause, uint32_t causes,
                        ps_t held, struct moment now)
{
  const struct part_reset *row = &c->part->resets[cause];
  core_count(&c->core, &c->bus); /* it belongs to the start that ends here */
  trace_add(c->trace, now, TRACE_RESET, cause, c->core.r[15]);
  core_hold(&c->core, &c->bus, row->does[RESET_DEBUG]);
  learn_reset(&c->learn, false);
  if (row->does[RESET_LINE]) chip_drive_line(c, true, now);
  if (row->does[RESET_PINS]) reset_peripherals(c, now);
  if (row->does[RESET_WATCHDOG]) watchdog_stop(&c->watchdog);
  if (row->does[RESET_WATCHDOG]) c->watchdog_owed = false;
  sleep_leave(&c->sleep);
  if (row->does[RESET_FLASH_LOCK]) chip_cut_flash(c, true, now);
  if (row->does[RESET_CLOCKS]) clock_reset(&c->clock, now);
  if (row->does[RESET_RAM] || c->rail.ram_lost) lose_ram(c);
  c->rail.ram_lost = false;
  set_flags(c, causes, now);
  enum boot_phase before = c->boot.phase;
  boot_begin(&c->boot, cause, row, now.at + held);
  trace_add(c->trace, now, TRACE_PHASE, BOOT_HELD, before);
}

static bool take_reset(struct chip *c, struct moment now)
{
  enum cause cause;
  uint32_t causes;
  if (!reset_take(&c->reset, &cause, &causes)) return false;
  if (c->rail.up) begin_reset(c, cause, causes, 0, now);
  return true;
}

/* --- the rail --- */

/* What is lost with it is in the row of the cause that follows. */
static void power_down(struct chip *c, struct moment now)
{
  c->told_from = now.at;
  core_hold(&c->core, &c->bus, false);
  c->told_from = 0;
  learn_reset(&c->learn, false);
  for (uint32_t i = 0; i < PART_MAX_PORTS; i++)
    serial_drop(&c->serial[i]);
  chip_cut_flash(c, false, now);
  pins_supply(&c->pins, false, now, c->trace);
  enum boot_phase before = c->boot.phase;
  boot_off(&c->boot);
  trace_add(c->trace, now, TRACE_PHASE, BOOT_OFF, before);
}

static bool follow_rail(struct chip *c, struct moment now)
{
  if (rail_next(&c->rail) > now.at) {
    rail_advance(&c->rail, now, c->trace);
    return false;
  }
  core_count(&c->core, &c->bus); /* before the record that ends its start */
  enum cause cause = CAUSE_BROWN_OUT;
  switch (rail_advance(&c->rail, now, c->trace)) {
  case RAIL_NOTHING: return true;
  case RAIL_DOWN: power_down(c, now); return true;
  case RAIL_POWER_ON: cause = CAUSE_POWER_ON; break;
  case RAIL_BROWN_OUT: break;
  }
  /* volatile state went with the supply; the clock stood still */
  if (cause == CAUSE_POWER_ON) c->reset.flags = 0;
  if (cause == CAUSE_POWER_ON) chip_fade_cells(c, now);
  clock_restart(&c->clock, now);
  begin_reset(c, cause, 1u << cause, c->part->power.start_up.typ, now);
  pins_supply(&c->pins, true, now, c->trace);
  return true;
}

/* --- the boot sequence --- */

static void make_blank_check(struct chip *c, struct moment now)
{
  if (c->part->blank_check.held == BLANK_NONE) return;
  latch_set(&c->latch, !chip_first_words_blank(c, true, now), SAMPLER_CHECK,
            now, c->trace);
}

/* The start rules choose what is seen at address 0; where some region lies
 * there by itself, where the vectors come from. */
static void select_region(struct chip *c, struct moment now)
{
  struct rule_inputs in = {.latch_programmed = c->latch.programmed,
                           .straps = c->straps};
  memcpy(in.options, c->options.active, sizeof(in.options));
  uint32_t rule = rules_choose(c->part, &in);
  assert(rule != PART_NONE);
  trace_add(c->trace, now, TRACE_RULE, rule, 0);
  uint32_t region = c->part->rules[rule].memory;
  c->selected = true;
  c->vectors = part_has_alias(c->part) ? 0 : c->part->memory[region].at;
  trace_add(c->trace, now, TRACE_MAP, region, c->vectors);
  if (c->bus.alias == region || !part_has_alias(c->part)) return;
  c->bus.alias = region;
  cpu_map(c->cpu, &c->bus);
}

/* An address that nothing answers at: vectors that ECC can't correct are a bus
 * error. */
#define NOWHERE 0xfffffff8u

static void start_core(struct chip *c, struct moment now)
{
  if (c->boot.does[RESET_ALIAS] || !c->selected) select_region(c, now);
  chip_show_flash(c);
  uint32_t first_word = 0;
  bus_peek(&c->bus, 0, 4, &first_word);
  trace_add(c->trace, now, TRACE_START, c->boot.cause, first_word);
  poll_init(&c->poll);
  c->marks_told = 0;
  core_idle(&c->core, now.cycle);
  bool sound = chip_read_vectors(c, now);
  chip_start_watchdog(c, true, now);
  core_reset(&c->core, &c->bus, sound ? c->vectors : NOWHERE);
  chip_residue_reset(c, now);
}

/* They may select another bank, and another brown-out level: one that the rail
 * is below resets the part again. */
static void load_options(struct chip *c, struct moment now)
{
  options_load(&c->options, now, c->trace);
  if (c->part->power.brown_out.option != NULL) {
    uint32_t level = part_brown_out_level(c->part, c->options.active);
    if (rail_choose(&c->rail, level, now, c->trace) == RAIL_DOWN)
      power_down(c, now);
  }
  chip_judge_afresh(c, now);
}

static void finish_phase(struct chip *c, struct moment now)
{
  switch (c->boot.phase) {
  case BOOT_OPTIONS: load_options(c, now); break;
  case BOOT_CHECK: make_blank_check(c, now); break;
  case BOOT_STRAPS: c->straps = pins_straps(&c->pins, now, c->trace); break;
  case BOOT_VECTORS: start_core(c, now); break;
  default: break;
  }
}

static ps_t phase_ends(const struct chip *c, enum boot_phase phase, ps_t now)
{
  if (phase == BOOT_RUNNING) return PS_NEVER;
  if (phase == BOOT_LINE && chip_line_low(c)) return PS_NEVER;
  int64_t cycles = boot_cycles(&c->boot, phase);
  return cycles == 0 ? now : clock_after(&c->clock, now, cycles);
}

static bool follow_boot(struct chip *c, struct moment now)
{
  if (c->boot.ends_at > now.at) return false;
  enum boot_phase before = c->boot.phase, after = boot_after(&c->boot);
  finish_phase(c, now);
  if (!c->rail.up) return true;
  if (after == BOOT_LINE) chip_drive_line(c, false, now);
  boot_enter(&c->boot, after, phase_ends(c, after, now.at));
  trace_add(c->trace, now, TRACE_PHASE, after, before);
  return true;
}

/* --- what the outside sees --- */

void chip_init(struct chip *c, const struct part *part, struct trace *tr,
               struct cpu *cpu)
{
  *c = (struct chip){.part = part, .trace = tr, .cpu = cpu};
  c->until = PS_NEVER;
  c->pause_at = CYCLE_NEVER;
  clock_init(&c->clock, &part->clock);
  rail_init(&c->rail, &part->power);
  reset_init(&c->reset);
  line_init(&c->line, &part->reset_line);
  c->line_fight_at = PS_NEVER;
  boot_init(&c->boot, &part->boot);
  options_init(&c->options, &part->options);
  latch_init(&c->latch);
  flash_init(&c->flash, &part->flash);
  pins_init(&c->pins, part);
  for (uint32_t i = 0; i < PART_MAX_PORTS; i++)
    serial_init(&c->serial[i], i);
  watchdog_init(&c->watchdog, &part->watchdog);
  sleep_init(&c->sleep, &part->deep_sleep);
  poll_init(&c->poll);
  chip_residue_init(&c->residue);
  learn_init(&c->learn, part->answers, part->answer_count);
  memory_init(&c->memory, part);
  registers_reset(c);
  core_init(&c->core, &part->core);
  chip_bus_init(c);
  cpu_map(cpu, &c->bus);
}

void chip_free(struct chip *c)
{
  memory_free(&c->memory);
}

struct moment chip_moment(const struct chip *c, ps_t at)
{
  bool runs = c->rail.up && c->core.mode != CORE_RUNNING;
  cycle_t cycle = runs ? clock_cycle(&c->clock, at) : c->core.cycle;
  return (struct moment){at, cycle > c->core.cycle ? cycle : c->core.cycle};
}

static ps_t sooner(ps_t a, ps_t b)
{
  return a < b ? a : b;
}

ps_t chip_next(const struct chip *c)
{
  ps_t next = sooner(c->boot.ends_at, c->flash.ends_at);
  if (!c->sleep.deep)
    next = sooner(next, clock_time(&c->clock, core_next(&c->core)));
  next = sooner(next, line_next(&c->line));
  next = sooner(next, sooner(c->watchdog.due_at, c->sleep.wakes_at));
  for (uint32_t i = 0; c->rail.up && i < PART_MAX_PORTS; i++)
    next = sooner(next, serial_next(&c->serial[i]));
  return sooner(next, rail_next(&c->rail));
}

static void collect_requests(struct chip *c)
{
  if (c->core.reset_requested) chip_request_reset(c, CAUSE_SOFTWARE);
  c->core.reset_requested = false;
  if (c->core.mode == CORE_LOCKUP && !boot_busy(&c->boot))
    chip_request_reset(c, CAUSE_LOCKUP);
}

/* One instant, one order: supply first, for it outranks all; then resets,
 * then the sequence they began, then the flash. Again while anything moves,
 * since each may make the next one due; the serial ports last, for they go by
 * what the pins have become. */
void chip_advance(struct chip *c, ps_t now)
{
  for (bool moved = true; moved;) {
    struct moment m = chip_moment(c, now);
    if (c->core.mode != CORE_RUNNING) core_idle(&c->core, m.cycle);
    chip_follow_sleep(c, m);
    if (!c->sleep.deep) core_wake(&c->core, &c->bus);
    chip_follow_watchdog(c, m);
    collect_requests(c);
    moved = follow_rail(c, m) || chip_follow_line(c, m) || take_reset(c, m) ||
            follow_boot(c, m) || chip_follow_flash(c, m) ||
            chip_follow_serial(c, m);
  }
}

void chip_settle(struct chip *c, struct moment now)
{
  chip_follow_flash(c, now);
}

/* What the program does without touching a register may tell that it left a
 * loop. */
static void settle_trials(struct chip *c, ps_t at)
{
  bool idle = c->core.mode == CORE_SLEEPING || c->core.mode == CORE_LOCKUP;
  learn_settle(&c->learn, c->core.instructions, idle, chip_moment(c, at),
               c->trace);
}

bool chip_runs_from_busy_flash(const struct chip *c)
{
  return c->core.region < c->part->memory_count &&
         chip_flash_busy(c, c->core.region);
}

/* A core that waits for the flash to be fetched from executes nothing, but
 * what else happens meanwhile does: a watchdog, a cut. */
static bool waits_for_flash(struct chip *c, cycle_t until)
{
  bool waits = c->part->flash.while_busy != WHILE_BUSY_FAULT &&
               chip_runs_from_busy_flash(c);
  if (!waits) return false;
  cycle_t free_at = clock_edge(&c->clock, c->flash.ends_at);
  cycle_t to = free_at < until ? free_at : until;
  if (to > c->core.cycle) c->core.cycle = to;
  c->stop = CORE_STOP_DEADLINE;
  return true;
}

ps_t chip_run(struct chip *c, ps_t now, ps_t until)
{
  c->until = until;
  if (c->core.mode != CORE_RUNNING) return until;
  cycle_t edge = clock_edge(&c->clock, until);
  if (c->pause_at < edge) edge = c->pause_at;
  if (!waits_for_flash(c, edge))
    c->stop = core_run(&c->core, c->cpu, &c->bus, edge);
  ps_t at = clock_time(&c->clock, c->core.cycle);
  if (at < now) at = now;
  settle_trials(c, at);
  return at;
}

void chip_halt(struct chip *c)
{
  core_halt(&c->core, &c->bus);
}

/* The first instruction begins with a clock edge. */
void chip_go(struct chip *c, ps_t now)
{
  core_idle(&c->core, clock_edge(&c->clock, now));
  chip_residue_resume(c);
  core_go(&c->core, &c->bus);
}

void chip_request_reset(struct chip *c, enum cause cause)
{
  if (c->part->resets[cause].present) reset_request(&c->reset, cause);
}

bool chip_register_read(struct chip *c, addr_t at, ps_t now, uint32_t *value)
{
  uint32_t reg = registers_at(c->part, at);
  if (reg == PART_NONE) return false;
  *value = registers_read(c, reg, UINT32_MAX, chip_moment(c, now));
  return true;
}

bool chip_register_write(struct chip *c, addr_t at, uint32_t value, ps_t now)
{
  uint32_t reg = registers_at(c->part, at);
  if (reg == PART_NONE) return false;
  c->by_debug = true;
  registers_write(c, reg, UINT32_MAX, value, chip_moment(c, now));
  c->by_debug = false;
  return true;
}

void chip_preset(struct chip *c, uint32_t region, uint32_t offset,
                 const uint8_t *bytes, uint32_t size, ps_t now)
{
  memory_put(&c->memory, region, offset, bytes, size);
  chip_guard_flash(c);
  chip_bytes_changed(c, region, offset, size);
  chip_judge_afresh(c, chip_moment(c, now));
}

int64_t chip_load(const struct chip *c)
{
  const struct part_power *p = &c->part->power;
  if (!c->rail.up) return c->rail.on ? p->load_reset.typ : p->load_off.typ;
  if (c->boot.phase == BOOT_HELD) return p->load_start_up.typ;
  if (boot_busy(&c->boot)) return p->load_reset.typ;
  if (c->core.mode != CORE_SLEEPING) return p->load_running.typ;
  return c->sleep.deep ? p->load_deep_sleep.typ : p->load_sleeping.typ;
}
