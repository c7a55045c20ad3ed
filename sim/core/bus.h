/* bus.h -- what the core sees outside itself; the chip implements it.
 *
 * Code and data memories are plain bytes that an instruction engine may map
 * and touch without asking. Every other address -- peripherals, holes,
 * whatever lies above them -- goes through `access`, and the chip decides
 * whether somebody answers or the bus reports an error. Only the private
 * peripheral bus (0xE0000000 to 0xE00FFFFF) belongs to the core and never
 * comes here. Instruction fetches never come here either: outside the
 * regions, and where the architecture says execute-never, a fetch faults.
 *
 * The rule a reader would get wrong: an access is stamped with the cycle of
 * its data phase, not with the cycle at which its instruction began. The chip
 * brings itself up to that stamp before it answers, and if the answer changes
 * when something will happen next it lowers core->deadline.
 *
 * While `guarded` is set -- some cells are busy, or hold more than plain bytes
 * -- a program's data read of a region is asked for first. Instruction fetches
 * and the core's own reads of vectors and frames are not.
 *
 * Inside any of the callbacks the chip may lower core->deadline, call
 * core_attend, core_pend and cpu_invalidate; never cpu_map, which waits for
 * the instruction boundary.
 *
 * Owns: nothing. Borrows: the regions' bytes, which live as long as the chip.
 */
#ifndef CORE_BUS_H
#define CORE_BUS_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"

#define BUS_MAX_REGIONS 18
#define BUS_MAX_WATCHES 32
#define BUS_NO_REGION   0xffffu

struct bus_region {
  const char *name;
  addr_t at;      /* a multiple of 1 KiB */
  uint32_t size;  /* bytes, a multiple of 1 KiB */
  uint8_t *bytes; /* borrowed */
  bool writable;  /* by plain stores: RAM. A store to flash or ROM faults */
  bool boot_rom;
  uint32_t wait_states; /* cycles added to each fetch and each data read */
};

struct bus_access {
  addr_t at;
  uint32_t value; /* of a write, right-aligned */
  cycle_t stamp;  /* of the data phase */
  addr_t pc;      /* of the instruction; of the one to return to where the
                     access stacks or unstacks an exception frame */
  uint32_t size;  /* 1, 2 or 4 bytes, aligned */
  bool write;
};

struct bus_answer {
  uint32_t value; /* of a read, right-aligned */
  cycle_t stall;  /* cycles the core waits */
  bool fault;     /* bus error: on v6-M a HardFault at this instruction */
  bool steady;    /* until the next event at or after core->deadline the same
                     read has the same answer, and no other effect */
};

struct bus {
  struct bus_region regions[BUS_MAX_REGIONS]; /* no two overlap */
  unsigned region_count;
  /* Index of the region seen at address 0 too, or BUS_NO_REGION. The regions
   * themselves lie above what any of them would cover there. */
  unsigned alias;
  addr_t watches[BUS_MAX_WATCHES]; /* entry is reported as TRACE_MARK */
  unsigned watch_count;
  void *chip;
  bool guarded; /* whoever sets it in a callback sets core->boundary */
  /* A program is about to read `words` words, or a part of one, at an offset
   * into a region. The answer's value says nothing. */
  struct bus_answer (*guard)(void *chip, unsigned region, uint32_t offset,
                             unsigned words, cycle_t cycle);
  /* One aligned access outside the regions. May be called from inside the
   * execution of an instruction. */
  struct bus_answer (*access)(void *chip, const struct bus_access *a);
  /* Execution is about to fetch from another region than before; the answer
   * is a stall in cycles (a busy flash). */
  cycle_t (*enter)(void *chip, unsigned region, addr_t pc, cycle_t cycle);
  /* A trace record of the core's at this cycle: kind and arguments of
   * describe/trace_kinds.def. */
  void (*report)(void *chip, cycle_t cycle, unsigned kind, uint32_t a,
                 uint32_t b);
};

/* Region that holds `at`, with the offset into it (`offset` may be NULL), or
 * BUS_NO_REGION. The alias at 0 counts as the region it shows. */
unsigned bus_find(const struct bus *bus, addr_t at, uint32_t *offset);

/* Read `size` (1, 2, 4) bytes of plain memory; false if any of them lies
 * outside the region that holds the first. No side effects. */
bool bus_peek(const struct bus *bus, addr_t at, unsigned size,
              uint32_t *value);

/* Write `size` bytes of RAM; false if any of them lies outside it. For the
 * core's own stores (exception frames): they are data, but whoever stores
 * code this way must tell the engine. */
bool bus_poke(const struct bus *bus, addr_t at, unsigned size, uint32_t value);

/* True in the private peripheral bus, which holds the system control space. */
static inline bool bus_private(addr_t at)
{
  return at - 0xe0000000u < 0x00100000u;
}

/* True where the architecture's default memory map forbids execution: devices
 * and system space, ARM DDI 0484C Table 3-2. */
static inline bool bus_execute_never(addr_t at)
{
  return (at >= 0x40000000u && at <= 0x5fffffffu) || at >= 0xa0000000u;
}

#endif
