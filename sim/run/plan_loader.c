/* An image as a loader. */
#include <inttypes.h>

#include "run/plan.h"

static enum sim_status find(const struct image *image, const char *name,
                            const struct sim_place *place, addr_t *at,
                            struct sim_error *err)
{
  const struct image_symbol *s = image_symbol_named(image, name);
  if (s == NULL)
    return sim_fail(err, SIM_REFERENCE, place,
                    "the loader has no symbol \"%s\"; expected loader_run, "
                    "loader_stack and loader_job",
                    name);
  *at = s->at;
  return SIM_OK;
}

static bool in_ram(const struct plan *plan, const struct image_segment *s)
{
  for (uint32_t i = 0; i < plan->part->memory_count; i++) {
    const struct part_memory *m = &plan->part->memory[i];
    if (m->kind == MEMORY_RAM && s->at - m->at < m->size) return true;
  }
  return false;
}

enum sim_status plan_loader(const struct plan *plan, uint32_t image,
                            const struct sim_place *place,
                            struct loader *loader, struct sim_error *err)
{
  loader->image = plan->images[image];
  if (!in_ram(plan, &loader->image->segments[0]))
    return sim_fail(err, SIM_REFERENCE, place,
                    "the loader is not in RAM; expected an image that lies "
                    "there");
  enum sim_status status =
      find(loader->image, "loader_run", place, &loader->run, err);
  if (status == SIM_OK)
    status = find(loader->image, "loader_stack", place, &loader->stack, err);
  if (status == SIM_OK)
    status = find(loader->image, "loader_job", place, &loader->job, err);
  return status;
}
