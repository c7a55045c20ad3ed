/* Pins and regions of a script's nevers. */
#include <inttypes.h>
#include <stdio.h>

#include "describe/names.h"
#include "run/plan.h"

static enum sim_status resolve_region(const struct plan *plan,
                                      const struct case_never *never,
                                      const struct sim_place *place,
                                      struct sim_error *err)
{
  if (part_has_region(plan->part, never->region)) return SIM_OK;
  return sim_fail(err, SIM_REFERENCE, place,
                  "part %s has no memory region \"%s\"; expected the name of "
                  "one",
                  plan->part->name, never->region);
}

static enum sim_status resolve(struct plan *plan, uint32_t index,
                               struct sim_error *err)
{
  const struct case_never *never = &plan->script->never[index];
  struct plan_never *out = &plan->nevers[index];
  char path[32];
  snprintf(path, sizeof(path), "never[%" PRIu32 "]", index);
  struct sim_place place = {plan->script->file, path, never->line,
                            never->column};
  *out = (struct plan_never){PART_NONE, never->region};
  if (never->region != NULL) return resolve_region(plan, never, &place, err);
  if (never->pin == NULL) return SIM_OK;
  return plan_pin(plan, never->pin, &place, &out->pin, err);
}

enum sim_status plan_nevers(struct plan *plan, struct arena *arena,
                            struct sim_error *err)
{
  uint32_t count = plan->script->never_count;
  plan->nevers = arena_array(arena, count + 1, sizeof(*plan->nevers));
  for (uint32_t i = 0; i < count; i++) {
    enum sim_status status = resolve(plan, i, err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}
