/* route_catalog.h -- all that may be done on the way to a goal, as the steps
 * of one script.
 *
 * Whatever `route` tries is a range of this script's steps: the incoming
 * states, each action with this part's and this board's variants, the pause,
 * what is let go of at the end, the goal, and the resets in the field. So all
 * names are resolved once (plan.h), and nothing is tried that a case could not
 * say.
 *
 * The rule a reader would get wrong: which action can follow depends on the
 * actions before it alone (a probe that is attached, a strap that is driven),
 * as it does in a case file; whether it succeeds is for the machine to say.
 *
 * Owns: nothing; memory is in the arena. Borrows: script, part.
 */
#ifndef RUN_ROUTE_CATALOG_H
#define RUN_ROUTE_CATALOG_H

#include "base/arena.h"
#include "base/status.h"
#include "describe/part.h"
#include "describe/route.h"

#define CATALOG_MAX_ACTIONS 64

/* Steps of the catalog's script. */
struct catalog_range {
  uint32_t first, count;
};

#define CATALOG_MAX_RANGES 160

struct catalog_ranges {
  struct catalog_range list[CATALOG_MAX_RANGES];
  uint32_t count;
};

/* What earlier actions left on the bench. */
struct catalog_bench {
  bool attached;
  bool powered;
  uint8_t driven, high; /* bit per strap */
};

struct catalog_action {
  struct route_move move;
  struct catalog_range steps;
  uint32_t strap;         /* of ROUTE_STRAP */
  enum drive_level level; /* of ROUTE_STRAP */
};

struct catalog_state {
  const char *name;
  struct catalog_range steps;
};

struct catalog {
  struct case_script script; /* a copy with the catalog's steps */
  const struct part *part;
  const struct route_spec *spec;
  struct catalog_state states[ROUTE_MAX_STATES];
  uint32_t state_count;
  struct catalog_action actions[CATALOG_MAX_ACTIONS];
  uint32_t action_count;
  struct catalog_range pause; /* empty: none passes */
  uint32_t goal;              /* the step that expects it */
  struct catalog_range detach;
  struct catalog_range unplug; /* the serial host; empty: there is none */
  struct catalog_range release[PART_MAX_STRAPS];
  struct catalog_range field[CAUSE_COUNT_]; /* each ends with the goal */
  const char *field_names[CAUSE_COUNT_];
  uint32_t field_count;
  uint32_t means; /* bits of what is at hand */
};

/* What the board and the case say is at hand. */
uint32_t catalog_at_hand(const struct case_script *script);

/* With `means` at hand. Errors point at the "route" object: SIM_KEY if the
 * script has none, SIM_REFERENCE if the part lacks what a state needs. */
enum sim_status catalog_make(struct catalog *c, struct arena *arena,
                             const struct case_script *script,
                             const struct part *part, uint32_t means,
                             struct sim_error *err);

/* The bench before the first action. */
struct catalog_bench catalog_bench(const struct catalog *c);

/* True if the action can follow; the bench is then as it leaves it. */
bool catalog_follows(const struct catalog *c, uint32_t action,
                     struct catalog_bench *bench);

void catalog_add(struct catalog_ranges *r, struct catalog_range range);

/* The goal, then what is let go of. Returns a person's time for it. */
ps_t catalog_ending(const struct catalog *c, const struct catalog_bench *bench,
                    struct catalog_ranges *r);

/* Behind the ending: the goal again, and again after each reset in the field.
 */
void catalog_shipped(const struct catalog *c, struct catalog_ranges *r);

#endif
