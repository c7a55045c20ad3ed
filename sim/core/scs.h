/* scs.h -- the rows of the system control space, for the files that have them.
 *
 * A row is a register, or a stretch of words that are alike. What no row names
 * reads as zero and ignores writes.
 *
 * The rule a reader would get wrong: a store of a byte or halfword (v7-M) puts
 * zero beside it where the row says that writing ones acts, and what is there
 * already where it does not.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_SCS_H
#define CORE_SCS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "core/bus.h"
#include "core/core.h"

/* Who has it, and who may use it. */
enum {
  SCS_V6M = 1,
  SCS_V7M = 2,
  SCS_BOTH = SCS_V6M | SCS_V7M,
  SCS_DEBUGGER = 4,  /* on v6-M software sees nothing here */
  SCS_FLOATING = 8,  /* with the floating-point extension only */
  SCS_ONES_ACT = 16, /* writing zero does nothing */
};

struct scs_row {
  addr_t at;
  uint32_t size; /* bytes */
  unsigned flags;
  uint32_t (*read)(struct core *c, addr_t at);
  void (*write)(struct core *c, const struct bus *bus, addr_t at,
                uint32_t value);
};

struct scs_table {
  const struct scs_row *rows;
  size_t count;
};

extern const struct scs_table scs_interrupts; /* scs_nvic.c */
extern const struct scs_table scs_debug;      /* scs_debug.c */

/* An access of software to the private bus, of any size. False: bus error. */
bool scs_access(struct core *c, const struct bus *bus,
                const struct bus_access *a, bool privileged, uint32_t *value);

#endif
