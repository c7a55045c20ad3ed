#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "image/image_change.h"
#include "run/plan.h"

/* Region that holds the segment whole, or PART_NONE. */
static uint32_t region_of(const struct part *part,
                          const struct image_segment *s)
{
  for (uint32_t i = 0; i < part->memory_count; i++) {
    uint32_t into = s->at - part->memory[i].at;
    if (into < part->memory[i].size && s->size <= part->memory[i].size - into)
      return i;
  }
  return PART_NONE;
}

static bool takes_images(const struct part_memory *m)
{
  return m->kind == MEMORY_FLASH || m->kind == MEMORY_RAM;
}

static enum sim_status check_image(const struct plan *plan,
                                   const struct image *image,
                                   struct sim_error *err)
{
  const struct part *part = plan->part;
  struct sim_place place = {.file = image->file};
  uint32_t first = PART_NONE;
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *s = &image->segments[i];
    uint32_t region = region_of(part, s);
    if (region == PART_NONE || !takes_images(&part->memory[region]))
      return sim_fail(err, SIM_RANGE, &place,
                      "has %" PRIu32 " bytes at 0x%08" PRIx32
                      "; expected all inside one flash or RAM of part %s",
                      s->size, s->at, part->name);
    if (first == PART_NONE) first = region;
    if (part->memory[region].kind != part->memory[first].kind)
      return sim_fail(err, SIM_RANGE, &place,
                      "has bytes in \"%s\" and in \"%s\" of part %s; expected "
                      "one kind of memory an image",
                      part->memory[first].name, part->memory[region].name,
                      part->name);
  }
  if (first == PART_NONE)
    return sim_fail(err, SIM_RANGE, &place,
                    "has no bytes to write; expected at least one");
  return SIM_OK;
}

enum sim_status plan_images(struct plan *plan, struct arena *arena,
                            struct sim_error *err)
{
  for (uint32_t i = 0; i < plan->script->image_count; i++) {
    const struct case_image *c = &plan->script->images[i];
    enum sim_status status = image_read(arena, c->path, c->has_base, c->base,
                                        &plan->images[i], err);
    if (status == SIM_OK)
      status = image_change(arena, plan->images[i], &c->change,
                            &plan->images[i], err);
    if (status == SIM_OK)
      status = plan_take_cells(plan->part, arena, &plan->images[i],
                               &plan->cells[i], err);
    if (status == SIM_OK && plan->cells[i].count > 0 &&
        plan->images[i]->segment_count == 0)
      continue;
    if (status == SIM_OK) status = check_image(plan, plan->images[i], err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

/* --- registers --- */

const char *plan_register(const struct plan *plan, struct arena *arena,
                          addr_t at)
{
  const struct part *part = plan->part;
  for (uint32_t i = 0; i < part->register_count; i++) {
    const struct part_register *r = &part->registers[i];
    if (r->at != (at & ~3u)) continue;
    size_t size = strlen(r->block) + strlen(r->name) + 2;
    char *text = arena_get(arena, size);
    snprintf(text, size, "%s.%s", r->block, r->name);
    return text;
  }
  return svd_name(plan->svd, at);
}

/* --- symbols --- */

static const char *symbol_text(const struct image *image, struct arena *arena,
                               addr_t at)
{
  uint32_t offset;
  const struct image_symbol *s =
      image == NULL ? NULL : image_symbol_at(image, at, &offset);
  if (s == NULL) return NULL;
  if (offset == 0) return s->name;
  size_t size = strlen(s->name) + 16;
  char *text = arena_get(arena, size);
  snprintf(text, size, "%s+0x%" PRIx32, s->name, offset);
  return text;
}

/* The address in its own region of one that may be in the window at 0. */
static addr_t beyond_alias(const struct plan *plan, uint32_t aliased,
                           addr_t at)
{
  const struct part_memory *memory = plan->part->memory;
  bool shown = aliased < plan->part->memory_count &&
               part_has_alias(plan->part) && at < memory[aliased].size;
  return shown ? at + memory[aliased].at : at;
}

/* The i-th of the images of the script, then of the part; may be NULL. */
static const struct image *nth_image(const struct plan *plan, uint32_t i)
{
  uint32_t count = plan->script->image_count;
  return i < count ? plan->images[i] : plan->rom[i - count];
}

static uint32_t image_count(const struct plan *plan)
{
  return plan->script->image_count + plan->part->memory_count;
}

const char *plan_symbol(const struct plan *plan, struct arena *arena,
                        uint32_t aliased, addr_t at)
{
  at = beyond_alias(plan, aliased, at);
  for (uint32_t i = 0; i < image_count(plan); i++) {
    const char *text = symbol_text(nth_image(plan, i), arena, at);
    if (text != NULL) return text;
  }
  return NULL;
}

const char *plan_source(const struct plan *plan, struct arena *arena,
                        uint32_t aliased, addr_t at)
{
  at = beyond_alias(plan, aliased, at);
  for (uint32_t i = 0; i < image_count(plan); i++) {
    const struct image *image = nth_image(plan, i);
    const char *file;
    uint32_t line;
    if (image == NULL || !image_line_at(image, at, &file, &line)) continue;
    size_t size = strlen(file) + 16;
    char *text = arena_get(arena, size);
    snprintf(text, size, "%s:%" PRIu32, file, line);
    return text;
  }
  return NULL;
}
