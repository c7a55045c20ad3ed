#include "core/system_v7m.h"

#include <assert.h>

#include "core/cycles_v7m.h"
#include "core/decode.h"
#include "core/fault.h"
#include "core/fpu.h"
#include "core/frame.h"

#define ACTLR_NO_FOLD 0x4u

/* --- IT ----------------------------------------------------------------- */

static void set_it(struct core *c, unsigned it)
{
  c->xpsr = (c->xpsr & ~CORE_IT) | thumb2_it_bits(it);
}

void system_v7m_advance_it(struct core *c)
{
  unsigned it = thumb2_it_of(c->xpsr);
  if (it != 0) set_it(c, thumb2_it_next(it));
}

void system_v7m_refuse(struct core *c, const struct bus *bus)
{
  fault_take(c, bus, FAULT_NOT_THUMB, 0);
}

bool system_v7m_skips(struct core *c, const struct bus *bus)
{
  uint32_t first;
  unsigned condition = thumb2_it_condition(thumb2_it_of(c->xpsr));
  if (condition >= THUMB2_ALWAYS || decode_condition(condition, c->xpsr) ||
      !bus_peek(bus, c->r[15], 2, &first) || bus_execute_never(c->r[15]))
    return false;
  unsigned size = thumb2_is_wide((uint16_t)first) ? 4 : 2;
  system_v7m_advance_it(c);
  c->r[15] += size;
  c->cycle += 1;
  c->instructions++;
  c->flow = (struct core_flow){.narrow = size == 2};
  return true;
}

static void execute_it(struct core *c, const struct thumb2 *t, uint16_t first)
{
  bool fold = !(c->auxiliary & ACTLR_NO_FOLD);
  c->cycle += cycles_v7m(c->part->kind, t, &c->flow, fold);
  c->flow = cycles_v7m_flow(t);
  c->instructions++;
  c->r[15] += 2;
  set_it(c, first & 0xffu);
}

/* --- exclusive accesses ------------------------------------------------- */

static void load_exclusive(struct core *c, const struct bus *bus, addr_t at,
                           uint16_t second, const struct thumb2 *t)
{
  uint32_t value = 0;
  if (!frame_access(c, bus, at, t->bytes, false, &value)) {
    fault_take(c, bus, FAULT_DATA, at);
    return;
  }
  c->r[second >> 12] = value;
  c->exclusive = true;
  c->r[15] += 4;
}

static void store_exclusive(struct core *c, const struct bus *bus, addr_t at,
                            uint16_t second, const struct thumb2 *t)
{
  uint32_t value = c->r[second >> 12];
  unsigned result = t->bytes == 4 ? (second >> 8) & 15u : second & 15u;
  if (c->exclusive && !frame_access(c, bus, at, t->bytes, true, &value)) {
    fault_take(c, bus, FAULT_DATA, at);
    return;
  }
  if (c->exclusive) c->stored = (struct core_stored){at, t->bytes};
  c->r[result] = !c->exclusive;
  c->exclusive = false;
  c->r[15] += 4;
}

static void access_exclusive(struct core *c, const struct bus *bus,
                             uint16_t second, const struct thumb2 *t)
{
  addr_t at = c->r[t->base] + t->offset;
  if (at & (t->bytes - 1u)) {
    fault_take(c, bus, FAULT_UNALIGNED, at);
    return;
  }
  c->cycle += cycles_v7m(c->part->kind, t, &c->flow, false);
  c->flow = cycles_v7m_flow(t);
  addr_t here = c->r[15];
  if (t->class == THUMB2_LOAD_EXCLUSIVE)
    load_exclusive(c, bus, at, second, t);
  else
    store_exclusive(c, bus, at, second, t);
  if (c->r[15] != here + 4) return; /* it faulted */
  c->instructions++;
  system_v7m_advance_it(c);
}

static void clear_exclusive(struct core *c, const struct thumb2 *t)
{
  c->exclusive = false;
  c->cycle += cycles_v7m(c->part->kind, t, &c->flow, false);
  c->flow = cycles_v7m_flow(t);
  c->instructions++;
  c->r[15] += 4;
  system_v7m_advance_it(c);
}

bool system_v7m(struct core *c, const struct bus *bus, uint16_t first,
                uint16_t second, const struct thumb2 *t)
{
  if (t->floating) {
    fpu_prepare(c, bus); /* and then the engine executes it */
    return true;
  }
  switch (t->class) {
  case THUMB2_IT: execute_it(c, t, first); return true;
  case THUMB2_LOAD_EXCLUSIVE:
  case THUMB2_STORE_EXCLUSIVE:
    access_exclusive(c, bus, second, t);
    return true;
  case THUMB2_CLEAR_EXCLUSIVE: clear_exclusive(c, t); return true;
  default: return false;
  }
}
