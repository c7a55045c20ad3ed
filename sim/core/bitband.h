/* bitband.h -- the bit-band aliases of M3 and M4: each bit of the first MiB of
 * RAM (0x20000000) and of the peripherals (0x40000000) has a word of its own,
 * from 0x22000000 and 0x42000000.
 *
 * The rule a reader would get wrong: a write reads the byte, halfword or word
 * that holds the bit and writes it back, so a peripheral sees two accesses.
 *
 * Source: ARM DDI 0439D 3.7 (memory). The two accesses are made at the same
 * cycle: assumed.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_BITBAND_H
#define CORE_BITBAND_H

#include <stdbool.h>

#include "core/bus.h"
#include "core/core.h"
#include "describe/part.h"

bool bitband_covers(const struct part_core *part, addr_t at);

/* `a` lies in an alias. */
struct bus_answer bitband_access(struct core *c, const struct bus *bus,
                                 const struct bus_access *a);

#endif
