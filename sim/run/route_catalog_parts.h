/* route_catalog_parts.h -- what the files of the catalog share; nobody else.
 */
#ifndef RUN_ROUTE_CATALOG_PARTS_H
#define RUN_ROUTE_CATALOG_PARTS_H

#include "run/route_catalog.h"

#define CATALOG_MAX_STEPS 4096u

/* Times of a person on a bench; assumed. The long one lets a rail that only
 * the part's own leakage discharges fall below re-arm. */
#define CATALOG_HOLD      (20 * PS_PER_US)
#define CATALOG_SETTLE    (10 * PS_PER_MS)
#define CATALOG_OFF_SHORT (10 * PS_PER_S)
#define CATALOG_OFF_LONG  (60 * PS_PER_S)

/* One more step of the script, zeroed but for its verb and place. */
struct step *catalog_step(struct catalog *c, enum verb verb);
void catalog_power(struct catalog *c, enum power_action action, ps_t lasts);
struct step *catalog_probe(struct catalog *c, enum probe_action action);
void catalog_reset(struct catalog *c, enum cause cause);

/* The steps that were added since there were `first`. */
struct catalog_range catalog_since(const struct catalog *c, uint32_t first);

/* A value of an option field in the words of a case. */
struct option_setting catalog_setting(const struct part *part, uint32_t word,
                                      uint32_t field, uint32_t value,
                                      struct arena *arena);

enum sim_status catalog_states(struct catalog *c, struct arena *arena,
                               struct sim_error *err);
void catalog_actions(struct catalog *c, struct arena *arena);

#endif
