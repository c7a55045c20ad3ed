/* loading.h -- gdb's `load`: erase pages, stage bytes, program them, all
 * through the part's flash controller.
 *
 * The probe does it as a `write` step of a case does (run/bench.h): keys,
 * busy times and refusals count, and simulated time passes. gdb sends bytes in
 * pieces that know nothing of programming units, so they are staged, and
 * programmed when it says that it is done: an error shows there.
 *
 * The rule a reader would get wrong: what was loaded is in flash, but the part
 * has not noticed. No blank check is made, nothing is reset.
 *
 * Owns: the staged bytes. Borrows: the target.
 */
#ifndef SERVE_LOADING_H
#define SERVE_LOADING_H

#include <stdbool.h>
#include <stdint.h>

#include "describe/part.h"
#include "serve/target.h"

struct loading {
  uint8_t *bytes[PART_MAX_MEMORY];  /* of a flash region, once it has
                                       some */
  uint8_t *staged[PART_MAX_MEMORY]; /* a byte each: 1: its unit is to be
                                       programmed */
};

void loading_init(struct loading *l);
void loading_free(struct loading *l);

/* Erase every page that the range touches. False: it is no whole range of one
 * flash, or the part did not do it; the console is told. */
bool loading_erase(struct target *t, addr_t at, uint32_t size);

/* The same range rule; a later byte for the same place counts. */
bool loading_stage(struct loading *l, struct target *t, addr_t at,
                   const uint8_t *bytes, uint32_t size);

/* Program what was staged. False: the part refused something; what came
 * before it is programmed. Nothing is staged any more. */
bool loading_done(struct loading *l, struct target *t);

#endif
