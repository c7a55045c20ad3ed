#include "chip/chip_bus.h"

#include <assert.h>

#include "chip/chip.h"
#include "chip/registers.h"

#define DEVICE_FIRST 0x40000000u
#define DEVICE_LAST  0x5fffffffu

static struct moment stamp_moment(const struct chip *c, cycle_t stamp)
{
  return (struct moment){clock_time(&c->clock, stamp), stamp};
}

/* Something may now happen at another time than was thought. */
static void set_deadline(struct chip *c)
{
  ps_t next = chip_next(c);
  c->core.deadline = clock_edge(&c->clock, next < c->until ? next : c->until);
}

/* Cycles until the flash answers again. */
static cycle_t flash_stall(const struct chip *c, cycle_t cycle)
{
  if (!flash_busy(&c->flash)) return 0;
  cycle_t free_at = clock_edge(&c->clock, c->flash.ends_at);
  return free_at > cycle ? free_at - cycle : 0;
}

static bool runs_from_flash(const struct chip *c)
{
  return c->core.region < c->part->memory_count &&
         c->part->memory[c->core.region].kind == MEMORY_FLASH;
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
  return a->size == 4 ? UINT32_MAX : (1u << (a->size * 8)) - 1;
}

static uint32_t read_register(struct chip *c, uint32_t reg,
                              const struct bus_access *a, struct moment now)
{
  uint32_t shift = (a->at & 3) * 8;
  uint32_t lanes = lane_mask(a) << shift;
  uint32_t value = (registers_read(c, reg, lanes, now) & lanes) >> shift;
  if (poll_read(&c->poll, a->at, a->pc, value))
    trace_add(c->trace, now, TRACE_WAITING, a->at, a->pc);
  return value;
}

static void write_register(struct chip *c, uint32_t reg,
                           const struct bus_access *a, struct moment now)
{
  uint32_t shift = (a->at & 3) * 8;
  poll_break(&c->poll);
  trace_add(c->trace, now, TRACE_REGISTER, a->at, a->value);
  registers_write(c, reg, lane_mask(a) << shift, a->value << shift, now);
  set_deadline(c);
}

static struct bus_answer bus_access(void *chip, const struct bus_access *a)
{
  struct chip *c = chip;
  struct bus_answer answer = {0};
  struct moment now = stamp_moment(c, a->stamp);
  uint32_t reg = registers_at(c->part, a->at & ~3u);
  if (reg == PART_NONE) {
    answer.fault = a->at < DEVICE_FIRST || a->at > DEVICE_LAST;
    if (!answer.fault) tell_unmodelled(c, a, now);
    return answer;
  }
  chip_settle(c, now);
  if (a->write) {
    write_register(c, reg, a, now);
    if (runs_from_flash(c)) answer.stall = flash_stall(c, a->stamp);
  } else {
    answer.value = read_register(c, reg, a, now);
  }
  heed_folds(c);
  return answer;
}

static cycle_t bus_enter(void *chip, unsigned region, addr_t pc, cycle_t cycle)
{
  const struct chip *c = chip;
  (void)pc;
  bool flash = region < c->part->memory_count &&
               c->part->memory[region].kind == MEMORY_FLASH;
  return flash ? flash_stall(c, cycle) : 0;
}

static void bus_report(void *chip, cycle_t cycle, unsigned kind, uint32_t a,
                       uint32_t b)
{
  struct chip *c = chip;
  if (kind == TRACE_MARK && mark_is_old(c, a)) return;
  trace_add(c->trace, stamp_moment(c, cycle), kind, a, b);
  heed_folds(c);
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
                      .report = bus_report};
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
