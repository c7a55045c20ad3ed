#include "core/fpu.h"

#include <string.h>

#include "core/fault.h"
#include "core/frame.h"

#define CPACR  0xe000ed88u
#define FPCCR  0xe000ef34u
#define FPCAR  0xe000ef38u
#define FPDSCR 0xe000ef3cu
#define MVFR0  0xe000ef40u
#define MVFR1  0xe000ef44u

/* Bits of FPCCR; the five "ready" bits say what was possible when the frame
 * was made. */
#define CONTEXT_ASPEN  0x80000000u
#define CONTEXT_LSPEN  0x40000000u
#define CONTEXT_THREAD 0x00000008u
#define CONTEXT_USER   0x00000002u
#define CONTEXT_LSPACT 0x00000001u
#define CONTEXT_BITS   0xc000017bu

#define ACCESS_SHIFT      20 /* of coprocessor 10; 11 must be alike */
#define ACCESS_BITS       0x00f00000u
#define ACCESS_PRIVILEGED 1u
#define ACCESS_FULL       3u

#define INITIAL_BITS 0x07c00000u /* AHP, DN, FZ, RMode */
#define MVFR0_VALUE  0x10110021u /* ARM DDI 0439D 7.3 (memory) */
#define MVFR1_VALUE  0x11000011u

#define KEPT       16u /* S0 to S15 */
#define FPU_CYCLES 17

void fpu_reset(struct core *c)
{
  memset(&c->fpu, 0, sizeof(c->fpu));
  c->fpu.context = CONTEXT_ASPEN | CONTEXT_LSPEN;
}

bool fpu_accessible(const struct core *c)
{
  unsigned access = (c->fpu.access >> ACCESS_SHIFT) & 3u;
  return access == ACCESS_FULL ||
         (access == ACCESS_PRIVILEGED && core_privileged(c));
}

bool fpu_needs_care(const struct core *c)
{
  if (c->fpu.context & CONTEXT_LSPACT) return true;
  return (c->fpu.context & CONTEXT_ASPEN) && !(c->control & CORE_FLOATING);
}

static bool store(struct core *c, const struct bus *bus, addr_t at)
{
  bool ok = true;
  for (unsigned i = 0; ok && i < KEPT; i++)
    ok = frame_access(c, bus, at + 4 * i, 4, true, &c->fpu.s[i]);
  return ok && frame_access(c, bus, at + 4 * KEPT, 4, true, &c->fpu.status);
}

bool fpu_prepare(struct core *c, const struct bus *bus)
{
  if (c->fpu.context & CONTEXT_LSPACT) {
    c->fpu.context &= ~CONTEXT_LSPACT;
    if (!store(c, bus, c->fpu.lazy)) {
      fault_take(c, bus, FAULT_LAZY, c->fpu.lazy);
      return false;
    }
    c->cycle += FPU_CYCLES;
  }
  if ((c->fpu.context & CONTEXT_ASPEN) && !(c->control & CORE_FLOATING)) {
    c->fpu.status = c->fpu.initial;
    c->control |= CORE_FLOATING;
  }
  return true;
}

/* Where the frame is that is owed, and who owes it. */
static void owe(struct core *c, addr_t at)
{
  bool thread = (c->xpsr & CORE_EXCEPTION) == 0;
  c->fpu.lazy = at;
  c->fpu.context &= ~(CONTEXT_THREAD | CONTEXT_USER);
  c->fpu.context |= CONTEXT_LSPACT | (thread ? CONTEXT_THREAD : 0) |
                    (core_privileged(c) ? 0 : CONTEXT_USER);
}

bool fpu_push(struct core *c, const struct bus *bus, addr_t at,
              cycle_t *cycles)
{
  if (c->fpu.context & CONTEXT_LSPEN) {
    owe(c, at);
    return true;
  }
  *cycles = FPU_CYCLES;
  return store(c, bus, at);
}

bool fpu_pop(struct core *c, const struct bus *bus, addr_t at, cycle_t *cycles)
{
  if (c->fpu.context & CONTEXT_LSPACT) {
    c->fpu.context &= ~CONTEXT_LSPACT;
    return true;
  }
  bool ok = true;
  for (unsigned i = 0; ok && i < KEPT; i++)
    ok = frame_access(c, bus, at + 4 * i, 4, false, &c->fpu.s[i]);
  *cycles = FPU_CYCLES;
  return ok && frame_access(c, bus, at + 4 * KEPT, 4, false, &c->fpu.status);
}

uint32_t fpu_read(const struct core *c, addr_t at)
{
  switch (at) {
  case CPACR: return c->fpu.access;
  case FPCCR: return c->fpu.context;
  case FPCAR: return c->fpu.lazy;
  case FPDSCR: return c->fpu.initial;
  case MVFR0: return MVFR0_VALUE;
  case MVFR1: return MVFR1_VALUE;
  default: return 0;
  }
}

void fpu_write(struct core *c, addr_t at, uint32_t value)
{
  switch (at) {
  case CPACR: c->fpu.access = value & ACCESS_BITS; break;
  case FPCCR: c->fpu.context = value & CONTEXT_BITS; break;
  case FPCAR: c->fpu.lazy = value & ~7u; break;
  case FPDSCR: c->fpu.initial = value & INITIAL_BITS; break;
  default: break;
  }
}
