/* vary.h -- one case made into many: other values of its quantities.
 *
 *   LABEL.key=FROM..TO/STEP
 *
 * LABEL is the label of a step, "steps[3]", or "supply"; the key one that the
 * step has, or one of the supply. STEP may be left out: then it is 1 of what
 * the number is kept in (a picosecond, a microvolt). TO belongs to it if whole
 * steps lead there.
 *
 * Owns: nothing; lists are in the arena. Borrows: the script.
 */
#ifndef RUN_VARY_H
#define RUN_VARY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/status.h"
#include "base/units.h"
#include "describe/case.h"

#define VARY_MAX_AXES 4

/* Points of a grid. Assumed: more is a mistake; --edge allows any number. */
#define VARY_MAX_POINTS 1000000u

struct vary_axis {
  const char *name; /* "wait.run" */
  bool in_step;     /* else of the supply */
  uint32_t step;
  size_t at; /* offset of an int64_t in the step or the supply */
  enum unit unit;
  int64_t from, to, by;
  uint64_t count;
};

struct vary {
  struct vary_axis axes[VARY_MAX_AXES];
  uint32_t axis_count;
};

/* Add an axis. Errors: SIM_USAGE, SIM_REFERENCE at --vary. */
enum sim_status vary_add(struct vary *v, struct arena *arena,
                         const struct case_script *script, const char *text,
                         struct sim_error *err);

/* Combinations of the axes; saturates. */
uint64_t vary_count(const struct vary *v);

/* Value of one axis at a point, from 1. */
int64_t vary_value(const struct vary *v, uint32_t axis, uint64_t point);

/* A script with the values of a point; it shares the rest with the original.
 */
const struct case_script *vary_script(const struct vary *v,
                                      struct arena *arena,
                                      const struct case_script *script,
                                      uint64_t point);

/* "wait.run=1.5 ms"; exact: in picoseconds and so on where three decimals
 * can't say it. */
void vary_text(char *text, size_t size, const char *name, enum unit unit,
               int64_t value);

#endif
