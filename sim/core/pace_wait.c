#include "core/pace_wait.h"

#include <string.h>

#include "core/fpu.h"
#include "core/pace.h"

/* A run that is shorter is executed: to look costs more. Assumed. */
#define WORTH_LOOKING 4096

/* After a round that differed so many reads pass, twice as many each time. */
#define FIRST_PAUSE 8u
#define MOST_MISSES 12u

static struct hash128 hash_ram(const struct bus *bus)
{
  struct hash128 all = {0, 0};
  for (unsigned i = 0; i < bus->region_count; i++) {
    const struct bus_region *r = &bus->regions[i];
    if (!r->writable) continue;
    const struct hash128 both[2] = {all, hash_bytes(r->bytes, r->size)};
    all = hash_bytes(both, sizeof(both));
  }
  return all;
}

static void read_registers(const struct pace *p,
                           uint32_t registers[PACE_WAIT_REGISTERS])
{
  for (unsigned i = 0; i < 15; i++)
    registers[i] = p->read_register(p->engine, i);
  registers[15] = p->read_register(p->engine, 16);
}

static bool prefetches(const struct pace *p)
{
  return p->core->part->prefetch_words > 0;
}

static cycle_t ready_from_now(const struct pace *p)
{
  return prefetches(p) ? p->core->fetch_ready - p->cycle : 0;
}

static void note(struct pace *p, const struct bus_access *a, uint32_t value)
{
  struct pace_wait *w = &p->wait;
  w->begun = true;
  w->reads = 0;
  w->read = *a;
  w->value = value;
  w->cycle = p->cycle;
  w->instructions = p->instructions;
  w->reports = p->reports;
  w->fetched = p->core->fetched;
  w->fetch_ready = ready_from_now(p);
  read_registers(p, w->registers);
  w->ram = hash_ram(p->bus);
}

static bool is_the_noted_read(const struct pace_wait *w,
                              const struct bus_access *a)
{
  return a->at == w->read.at && a->pc == w->read.pc && a->size == w->read.size;
}

static bool nothing_changed(const struct pace *p, uint32_t value)
{
  const struct pace_wait *w = &p->wait;
  uint32_t registers[PACE_WAIT_REGISTERS];
  if (w->value != value) return false;
  if (w->reports != p->reports || w->fetched != p->core->fetched) return false;
  if (w->fetch_ready != ready_from_now(p)) return false;
  read_registers(p, registers);
  if (memcmp(registers, w->registers, sizeof(registers)) != 0) return false;
  struct hash128 ram = hash_ram(p->bus);
  return ram.high == w->ram.high && ram.low == w->ram.low;
}

/* One round stays before the stop, so that nothing of what happens there is
 * left out. */
static void pass_rounds(struct pace *p)
{
  const struct pace_wait *w = &p->wait;
  cycle_t each = p->cycle - w->cycle;
  uint64_t instructions = p->instructions - w->instructions;
  if (p->stop_at <= 0) return; /* it is to stop at once */
  cycle_t rounds = (p->stop_at - p->cycle) / each - 1;
  if (rounds <= 0) return;
  p->cycle += rounds * each;
  if (prefetches(p)) p->core->fetch_ready += rounds * each;
  p->instructions += (uint64_t)rounds * instructions;
  if (p->access_of != UINT64_MAX)
    p->access_of += (uint64_t)rounds * instructions;
}

static void end_round(struct pace *p, uint32_t value)
{
  struct pace_wait *w = &p->wait;
  w->begun = false;
  if (nothing_changed(p, value)) {
    w->misses = 0;
    w->pauses = 0;
    pass_rounds(p);
    return;
  }
  if (w->misses < MOST_MISSES) w->misses++;
  w->pauses = FIRST_PAUSE << w->misses;
}

void pace_wait(struct pace *p, const struct bus_access *a,
               const struct bus_answer *answer)
{
  struct pace_wait *w = &p->wait;
  if (!answer->steady || fpu_accessible(p->core)) {
    w->begun = false;
  } else if (w->begun) {
    w->reads++;
    if (is_the_noted_read(w, a))
      end_round(p, answer->value);
    else if (w->reads >= PACE_WAIT_READS)
      w->begun = false;
  } else if (w->pauses > 0) {
    w->pauses--;
  } else if (p->stop_at > 0 && p->stop_at - p->cycle > WORTH_LOOKING) {
    note(p, a, answer->value);
  }
}
