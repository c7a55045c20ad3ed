/* pace_parts.h -- what pace.c and pace_v7m.c share.
 *
 * Owns, borrows: nothing.
 */
#ifndef CORE_PACE_PARTS_H
#define CORE_PACE_PARTS_H

#include <stdbool.h>

#include "base/units.h"
#include "core/pace.h"

/* Leave the engine. Always false. */
bool pace_stop(struct pace *p, enum cpu_exit exit);

/* Execution is at `pc`: region, watches, breakpoints. False: stopped. */
bool pace_arrive(struct pace *p, addr_t pc);

/* Charge the fetch of the word at `pc`. */
void pace_fetch(struct pace *p, addr_t pc);

/* An instruction of so many cycles would end after the next stop. */
bool pace_breaks_off(const struct pace *p, unsigned cycles);

/* Wait states of reading successive words. */
cycle_t pace_data_waits(const struct pace *p, addr_t at, unsigned words);

#endif
