#include "core/frame.h"

#include <stddef.h>

#include "core/fault.h"
#include "core/fpu.h"

#define FRAME_SIZE  0x20u
#define FRAME_WORDS 8u
#define ALIGNED_BIT 0x200u /* of a stacked xPSR: SP was 4 more */

void frame_swap_stack(struct core *c, bool from_process, bool to_process)
{
  if (from_process == to_process) return;
  if (from_process) {
    c->psp = c->r[13];
    c->r[13] = c->msp;
  } else {
    c->msp = c->r[13];
    c->r[13] = c->psp;
  }
}

bool frame_access(struct core *c, const struct bus *bus, addr_t at,
                  unsigned size, bool write, uint32_t *value)
{
  if (write ? bus_poke(bus, at, size, *value) : bus_peek(bus, at, size, value))
    return true;
  if (bus_private(at) || bus_find(bus, at, NULL) != BUS_NO_REGION)
    return false;
  struct bus_answer answer =
      bus->access(bus->chip, &(struct bus_access){.at = at,
                                                  .value = write ? *value : 0,
                                                  .stamp = c->cycle,
                                                  .pc = c->r[15],
                                                  .size = size,
                                                  .write = write});
  c->cycle += answer.stall;
  if (!write) *value = answer.value;
  return !answer.fault;
}

/* Whether a frame begins at a multiple of eight. */
static bool is_aligned(const struct core *c, bool extended)
{
  return !core_is_v7m(c) || extended || (c->configuration & FAULT_CCR_STACK);
}

bool frame_push(struct core *c, const struct bus *bus, addr_t return_to,
                cycle_t *cycles)
{
  bool extended = c->control & CORE_FLOATING;
  uint32_t size = extended ? FRAME_SIZE + FPU_FRAME_SIZE : FRAME_SIZE;
  uint32_t drop = is_aligned(c, extended) ? c->r[13] & 4u : 0;
  uint32_t at = c->r[13] - size - drop;
  uint32_t xpsr = (c->xpsr & ~ALIGNED_BIT) | (drop != 0 ? ALIGNED_BIT : 0);
  uint32_t frame[FRAME_WORDS] = {c->r[0],  c->r[1],  c->r[2],   c->r[3],
                                 c->r[12], c->r[14], return_to, xpsr};
  bool ok = true;
  *cycles = 0;
  for (unsigned i = 0; ok && i < FRAME_WORDS; i++)
    ok = frame_access(c, bus, at + 4 * i, 4, true, &frame[i]);
  if (ok && extended) ok = fpu_push(c, bus, at + FRAME_SIZE, cycles);
  c->r[13] = at;
  return ok;
}

bool frame_look(struct core *c, const struct bus *bus, uint32_t *psr,
                addr_t *return_to)
{
  return frame_access(c, bus, c->r[13] + 24, 4, false, return_to) &&
         frame_access(c, bus, c->r[13] + 28, 4, false, psr);
}

bool frame_pop(struct core *c, const struct bus *bus, bool extended,
               uint32_t *psr, cycle_t *cycles)
{
  uint32_t at = c->r[13];
  uint32_t frame[FRAME_WORDS];
  *cycles = 0;
  for (unsigned i = 0; i < FRAME_WORDS; i++) {
    if (!frame_access(c, bus, at + 4 * i, 4, false, &frame[i])) return false;
  }
  if (extended && !fpu_pop(c, bus, at + FRAME_SIZE, cycles)) return false;
  for (unsigned i = 0; i < 4; i++)
    c->r[i] = frame[i];
  c->r[12] = frame[4];
  c->r[14] = frame[5];
  c->r[15] = frame[6] & ~1u;
  *psr = frame[7];
  at += FRAME_SIZE + (extended ? FPU_FRAME_SIZE : 0);
  bool dropped = (frame[7] & ALIGNED_BIT) && is_aligned(c, extended);
  c->r[13] = at | (dropped ? 4u : 0);
  return true;
}
