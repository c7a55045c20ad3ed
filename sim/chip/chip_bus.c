#include "chip/chip_bus.h"

#include <assert.h>

#include "chip/chip.h"
#include "chip/chip_cells.h"
#include "chip/registers.h"

#define DEVICE_FIRST 0x40000000u
#define DEVICE_LAST  0x5fffffffu

static struct moment stamp_moment(const struct chip *c, cycle_t stamp)
{
  return (struct moment){clock_time(&c->clock, stamp), stamp};
}

/* Something may now happen at another time than was thought. A step ends with
 * its instruction all the same. */
static void set_deadline(struct chip *c)
{
  ps_t next = chip_next(c);
  cycle_t edge = clock_edge(&c->clock, next < c->until ? next : c->until);
  c->core.deadline = edge < c->pause_at ? edge : c->pause_at;
  if (c->core.debug_step) c->core.boundary = true;
}

/* Cycles until the flash answers again. */
static cycle_t flash_stall(const struct chip *c, cycle_t cycle)
{
  cycle_t free_at = clock_edge(&c->clock, c->flash.ends_at);
  return free_at > cycle ? free_at - cycle : 0;
}

/* The next fetch has to wait (chip_run), or fails: then this access does,
 * which is as near as can be. */
static void heed_busy_flash(struct chip *c, struct bus_answer *answer)
{
  if (!chip_runs_from_busy_flash(c)) return;
  if (c->part->flash.while_busy == WHILE_BUSY_FAULT)
    answer->fault = true;
  else
    core_attend(&c->core);
}

/* A fold may want the run to pause here. */
static void heed_folds(struct chip *c)
{
  if (c->trace->stop || c->trace->full) core_attend(&c->core);
}

/* A watched place is told once a start: it may stand in a loop. */
static bool mark_is_old(struct chip *c, uint32_t watch)
{
  uint32_t bit = 1u << watch;
  bool old = c->marks_told & bit;
  c->marks_told |= bit;
  return old;
}

/* Told once in a row, or a program that polls would fill the trace. */
static void tell_unmodelled(struct chip *c, const struct bus_access *a,
                            struct moment now)
{
  if (c->unmodelled_at == a->at && c->unmodelled_pc == a->pc) return;
  c->unmodelled_at = a->at;
  c->unmodelled_pc = a->pc;
  trace_add(c->trace, now, TRACE_UNMODELLED, a->at, a->pc);
}

static uint32_t lane_mask(const struct bus_access *a)
{
  uint32_t mask = a->size == 4 ? UINT32_MAX : (1u << (a->size * 8)) - 1;
  return mask << ((a->at & 3) * 8);
}

/* A value in its place in the word, and back. */
static uint32_t in_word(const struct bus_access *a, uint32_t value)
{
  return value << ((a->at & 3) * 8);
}

static uint32_t from_word(const struct bus_access *a, uint32_t word)
{
  return (word & lane_mask(a)) >> ((a->at & 3) * 8);
}

/* A poll that nothing lets go. */
static void watch_poll(struct chip *c, const struct bus_access *a,
                       uint32_t value, struct moment now)
{
  if (poll_read(&c->poll, a->at, a->pc, value))
    trace_add(c->trace, now, TRACE_WAITING, a->at, a->pc);
}

/* --- registers that nothing describes ------------------------------------ */

static bool is_device(const struct chip *c, addr_t at)
{
  uint32_t reset;
  return (at >= DEVICE_FIRST && at <= DEVICE_LAST) ||
         svd_word(c->svd, at & ~3u, &reset);
}

/* True if the register takes part in learning. */
static bool learns(struct chip *c, const struct bus_access *a,
                   struct moment now)
{
  addr_t word = a->at & ~3u;
  uint32_t reset;
  if (c->part->unknown != UNKNOWN_LEARN) return false;
  if (learn_has(&c->learn, word)) return true;
  svd_word(c->svd, word, &reset);
  if (!learn_add(&c->learn, word, reset)) return false;
  trace_add(c->trace, now, TRACE_UNMODELLED, a->at, a->pc);
  return true;
}

static uint32_t learn_access(struct chip *c, const struct bus_access *a,
                             struct moment now)
{
  struct learn_access access = {.at = a->at,
                                .pc = a->pc,
                                .lanes = lane_mask(a),
                                .step = c->core.instructions};
  if (!a->write)
    return from_word(a, learn_read(&c->learn, &access, now, c->trace));
  learn_write(&c->learn, &access, in_word(a, a->value), now, c->trace);
  trace_add(c->trace, now, TRACE_REGISTER, a->at, a->value);
  return 0;
}

static struct bus_answer
unknown_access(struct chip *c, const struct bus_access *a, struct moment now)
{
  struct bus_answer answer = {0};
  if (!is_device(c, a->at)) {
    answer.fault = true;
  } else if (learns(c, a, now)) {
    answer.value = learn_access(c, a, now);
  } else {
    tell_unmodelled(c, a, now);
    learn_other(&c->learn, a->write, c->core.instructions, now, c->trace);
    answer.fault = c->part->unknown == UNKNOWN_FAULT;
    if (a->write)
      poll_break(&c->poll);
    else if (!answer.fault)
      watch_poll(c, a, 0, now);
  }
  return answer;
}

/* --- registers that the part describes ----------------------------------- */

static uint32_t read_register(struct chip *c, uint32_t reg,
                              const struct bus_access *a, struct moment now)
{
  uint32_t word = registers_read(c, reg, lane_mask(a), now);
  watch_poll(c, a, from_word(a, word), now);
  return from_word(a, word);
}

static void write_register(struct chip *c, uint32_t reg,
                           const struct bus_access *a, struct moment now)
{
  poll_break(&c->poll);
  trace_add(c->trace, now, TRACE_REGISTER, a->at, a->value);
  c->pins.by = a->pc;
  registers_write(c, reg, lane_mask(a), in_word(a, a->value), now);
  c->pins.by = PINS_BY_NONE;
  set_deadline(c);
}

static struct bus_answer known_access(struct chip *c, uint32_t reg,
                                      const struct bus_access *a,
                                      struct moment now)
{
  struct bus_answer answer = {0};
  learn_other(&c->learn, a->write, c->core.instructions, now, c->trace);
  chip_settle(c, now);
  if (a->write) {
    write_register(c, reg, a, now);
    heed_busy_flash(c, &answer);
  } else {
    answer.value = read_register(c, reg, a, now);
    answer.steady = c->poll.told && c->learn.register_count == 0 &&
                    registers_steady(c->part, reg, lane_mask(a));
  }
  return answer;
}

/* ------------------------------------------------------------------------- */

static struct bus_answer bus_access(void *chip, const struct bus_access *a)
{
  struct chip *c = chip;
  struct moment now = stamp_moment(c, a->stamp);
  uint32_t reg = registers_at(c->part, a->at & ~3u);
  struct bus_answer answer = reg == PART_NONE ? unknown_access(c, a, now)
                                              : known_access(c, reg, a, now);
  heed_folds(c);
  return answer;
}

static cycle_t bus_enter(void *chip, unsigned region, addr_t pc, cycle_t cycle)
{
  const struct chip *c = chip;
  (void)pc;
  bool waits = region < c->part->memory_count && chip_flash_busy(c, region);
  return waits ? flash_stall(c, cycle) : 0;
}

static void bus_report(void *chip, cycle_t cycle, unsigned kind, uint32_t a,
                       uint32_t b)
{
  struct chip *c = chip;
  if (kind == TRACE_MARK && mark_is_old(c, a)) return;
  struct moment now = stamp_moment(c, cycle);
  if (now.at < c->told_from) now.at = c->told_from;
  trace_add(c->trace, now, kind, a, b);
  if (kind == TRACE_ENTER) chip_residue_enter(c, a, b, now);
  heed_folds(c);
}

static struct bus_answer bus_guard(void *chip, unsigned region,
                                   uint32_t offset, unsigned words,
                                   cycle_t cycle)
{
  struct chip *c = chip;
  struct bus_answer answer =
      chip_guarded_read(c, region, offset, words, stamp_moment(c, cycle));
  heed_folds(c);
  return answer;
}

void chip_bus_init(struct chip *c)
{
  struct bus *bus = &c->bus;
  assert(c->part->memory_count <= BUS_MAX_REGIONS);
  *bus = (struct bus){.alias = BUS_NO_REGION,
                      .region_count = c->part->memory_count,
                      .chip = c,
                      .access = bus_access,
                      .enter = bus_enter,
                      .report = bus_report,
                      .guard = bus_guard};
  for (uint32_t i = 0; i < c->part->memory_count; i++) {
    const struct part_memory *m = &c->part->memory[i];
    bus->regions[i] = (struct bus_region){.name = m->name,
                                          .at = m->at,
                                          .size = m->size,
                                          .bytes = c->memory.bytes[i],
                                          .writable = m->kind == MEMORY_RAM,
                                          .boot_rom = m->kind == MEMORY_ROM,
                                          .wait_states = m->wait_states};
  }
}
