/* access.h -- a data access outside the regions: to the system control space,
 * through bit-band, or on the bus.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_ACCESS_H
#define CORE_ACCESS_H

#include <stdbool.h>

#include "core/bus.h"
#include "core/core.h"

/* core->cycle is the cycle of the access. What is not system control space in
 * the private peripheral bus -- watchpoints, tables -- reads as zero and
 * ignores writes. */
struct bus_answer access_device(struct core *c, const struct bus *bus,
                                const struct bus_access *a, bool privileged);

/* v7-M: a handler of HardFault or NMI may ask for bus errors of its data to be
 * ignored. True if this one is; it is recorded all the same. */
bool access_ignores_fault(struct core *c, const struct bus_access *a);

#endif
