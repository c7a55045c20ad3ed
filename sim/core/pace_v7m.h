/* pace_v7m.h -- pace.h for ARMv7-M: IT blocks, pairing, alignment, division,
 * floating-point context.
 *
 * IT blocks. An engine executes a block as one: it calls for the instructions
 * that execute, skips the others without a call, and does not stop within.
 * So a block is left to it only if nothing in it can stop (data processing, a
 * branch at its end); the others are executed one instruction at a time by
 * core.c, each with the condition already found true. In both an exception
 * finds ITSTATE in xPSR as the architecture has it; the first kind has no
 * boundary inside.
 *
 * The rule a reader would get wrong: a load or store is looked at before it is
 * executed, since whether it is aligned decides its cycles, or that it faults.
 *
 * Owns: nothing. Borrows: nothing.
 */
#ifndef CORE_PACE_V7M_H
#define CORE_PACE_V7M_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "core/pace.h"
#include "core/thumb2.h"

#define PACE_CACHE_SIZE 4096u

struct pace_v7m {
  struct thumb2 last;
  bool always; /* the last instruction branched wherever it leads */
  bool single; /* one instruction, then stop: inside an IT block */
  bool done;   /* that one has begun */
  bool primed; /* it was looked at before the engine was started */
  unsigned it; /* ITSTATE of the next, in a block left to the engine */
  addr_t data; /* address of the last instruction's first access */
  struct {
    uint32_t opcode;
    bool filled;
    struct thumb2 decoded;
  } cache[PACE_CACHE_SIZE]; /* opcodes decoded lately */
};

/* What pace.c calls in the place of its own. */
void pace_v7m_begin(struct pace *p);
bool pace_v7m_settle(struct pace *p, addr_t pc);
bool pace_v7m_closer(struct pace *p, addr_t pc);

/* Inside an IT block an engine can't stop: look at the instruction at r[15]
 * before it is started. False: it is not to be. */
bool pace_v7m_prime(struct pace *p);

/* The last instruction is a store that goes through the write buffer: a bus
 * error comes too late for it. */
bool pace_v7m_buffers(const struct pace *p);

/* It transfers a list of registers of the core. */
bool pace_v7m_transfers_list(const struct pace *p);

/* It accesses memory as unprivileged code. */
bool pace_v7m_as_user(const struct pace *p);

#endif
