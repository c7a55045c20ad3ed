/* breakpoint.h -- which instructions the breakpoint unit stops in front of.
 *
 * Its registers are reached by core_breakpoint_read and _write (core.h). It
 * compares addresses below 0x20000000 only.
 *
 * The rule a reader would get wrong: an instruction that is stepped over or
 * gone on from matches again; who goes on disables the comparator first.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_BREAKPOINT_H
#define CORE_BREAKPOINT_H

#include <stdbool.h>

#include "base/units.h"
#include "core/core.h"

/* The word that comparator `index` watches, and which of its halves (bit 0
 * the lower). False: it watches none. */
bool breakpoint_at(const struct core *c, unsigned index, addr_t *first,
                   unsigned *halves);

/* True if some comparator matches `pc`. */
bool breakpoint_holds(const struct core *c, addr_t pc);

#endif
