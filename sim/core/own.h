/* own.h -- our own ARMv6-M interpreter from the inside, for the files own_*.c:
 * what it keeps, and how its instructions reach memory and PC.
 *
 * Each row of own_table.inc is executed by one small function. While it runs,
 * r[15] is what the instruction reads as PC, its address + 4, and `pc` is
 * where execution goes on; an instruction that branches changes `pc`.
 *
 * The rule a reader would get wrong: flags are not kept as bits. N and V are
 * bit 31 of a word, Z is a word that is zero, C is 0 or 1; most instructions
 * store a result there and nobody ever looks.
 *
 * Owns: nothing beyond its fields. Borrows: the bus mapped last, core while
 * it executes.
 */
#ifndef CORE_OWN_H
#define CORE_OWN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/engine.h"
#include "core/own_table.h"
#include "core/pace.h"

/* Regions looked up lately, by the address divided by 16 MiB. */
#define OWN_VIEWS 64u

struct own_view {
  addr_t from;
  uint32_t size; /* 0: empty */
  uint8_t *bytes;
  bool writable;
};

struct own {
  struct cpu cpu; /* first */
  struct pace pace;
  uint32_t r[16];
  uint32_t negative, zero, carry, overflow;
  addr_t pc;

  addr_t at;          /* once it has left: what r[15] is to be, */
  enum cpu_exit exit; /* and why */

  uint16_t holds[16]; /* of a condition: bit N Z C V set where it holds */
  struct own_view views[OWN_VIEWS];
  cost_t costs[DECODE_NARROW_COUNT];
  struct operation operations[DECODE_NARROW_COUNT];
};

/* Stop executing. The first: as things are, at `at`. The second: if that is
 * no boundary, which comes first. The third: the instruction undone. */
void own_leave(struct own *o, enum cpu_exit exit, addr_t at);
void own_leave_settled(struct own *o, enum cpu_exit exit, addr_t at);
void own_undo(struct own *o, enum cpu_exit exit);

/* The N Z C V of xPSR, at 31:28. */
uint32_t own_flags(const struct own *o);

/* Writes to PC, ARM DDI 0419E A2.3.1: by MOV, ADD and branches; by BLX, where
 * bit 0 is the T bit; by BX and POP, where it can be an EXC_RETURN too. */
static inline void own_branch(struct own *o, addr_t address)
{
  o->pc = address & ~(addr_t)1;
}

void own_branch_link(struct own *o, addr_t address);
void own_branch_exchange(struct own *o, addr_t address);

/* The view that holds `at`, or NULL outside plain memory. */
const struct own_view *own_look(struct own *o, addr_t at);

static inline const struct own_view *own_view(struct own *o, addr_t at)
{
  const struct own_view *v = &o->views[(at >> 24) % OWN_VIEWS];
  return at - v->from < v->size ? v : own_look(o, at);
}

/* One aligned access outside plain memory. False: undone, left. */
bool own_device(struct own *o, addr_t at, unsigned size, bool write,
                uint32_t *value);

/* Little-endian bytes; written so that a compiler sees one load or store. */
static inline uint32_t own_get(const uint8_t *p, unsigned size)
{
  if (size == 1) return p[0];
  if (size == 2) return (uint32_t)p[0] | (uint32_t)p[1] << 8;
  return (uint32_t)p[0] | (uint32_t)p[1] << 8 | (uint32_t)p[2] << 16 |
         (uint32_t)p[3] << 24;
}

static inline void own_put(uint8_t *p, unsigned size, uint32_t value)
{
  p[0] = (uint8_t)value;
  if (size == 1) return;
  p[1] = (uint8_t)(value >> 8);
  if (size == 2) return;
  p[2] = (uint8_t)(value >> 16);
  p[3] = (uint8_t)(value >> 24);
}

/* Read or write 1, 2 or 4 bytes. False: the instruction was undone. */
static inline bool own_read(struct own *o, addr_t at, unsigned size,
                            uint32_t *value)
{
  if (at & (size - 1)) {
    own_undo(o, CPU_UNALIGNED);
    return false;
  }
  const struct own_view *v = own_view(o, at);
  if (v == NULL) return own_device(o, at, size, false, value);
  *value = own_get(v->bytes + (at - v->from), size);
  return true;
}

static inline bool own_write(struct own *o, addr_t at, unsigned size,
                             uint32_t value)
{
  if (at & (size - 1)) {
    own_undo(o, CPU_UNALIGNED);
    return false;
  }
  const struct own_view *v = own_view(o, at);
  if (v == NULL) return own_device(o, at, size, true, &value);
  if (!v->writable) {
    own_undo(o, CPU_DATA_FAULT);
    return false;
  }
  own_put(v->bytes + (at - v->from), size, value);
  return true;
}

#endif
