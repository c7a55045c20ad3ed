#include "run/whole.h"

#include <string.h>

static bool in_flash(const struct machine *m, const struct image_segment *s,
                     uint32_t *region, uint32_t *offset)
{
  *region = memory_find(&m->chip.memory, s->at, s->size, offset);
  return *region != PART_NONE && m->part->memory[*region].kind == MEMORY_FLASH;
}

static bool is_for_flash(const struct machine *m, const struct image *image)
{
  uint32_t region, offset;
  for (uint32_t i = 0; i < image->segment_count; i++)
    if (in_flash(m, &image->segments[i], &region, &offset)) return true;
  return false;
}

/* Every segment that goes into flash is there, and can be read. */
static bool holds_image(const struct machine *m, const struct image *image)
{
  const struct memory *memory = &m->chip.memory;
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *s = &image->segments[i];
    uint32_t region, offset;
    if (!in_flash(m, s, &region, &offset)) continue;
    if (memcmp(memory->bytes[region] + offset, s->bytes, s->size) != 0 ||
        memory_worst(memory, region, offset, s->size) == GRANULE_BAD)
      return false;
  }
  return true;
}

bool whole_holds(const struct machine *m, const struct image *image)
{
  return is_for_flash(m, image) && holds_image(m, image);
}

static bool covers(const struct machine *m, const struct image *image,
                   addr_t at)
{
  uint32_t region, offset;
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *s = &image->segments[i];
    if (at - s->at < s->size && in_flash(m, s, &region, &offset)) return true;
  }
  return false;
}

/* --- their order --------------------------------------------------------- */

struct list {
  uint32_t images[CASE_MAX_IMAGES]; /* indices */
  uint32_t count;
};

static void put_last(struct list *list, uint32_t image)
{
  uint32_t kept = 0;
  for (uint32_t i = 0; i < list->count; i++)
    if (list->images[i] != image) list->images[kept++] = list->images[i];
  list->images[kept++] = image;
  list->count = kept;
}

static bool is_written(const struct case_script *script, uint32_t image)
{
  for (uint32_t i = 0; i < script->step_count; i++) {
    const struct step *s = &script->steps[i];
    if (s->verb == VERB_WRITE && s->target == WRITE_IMAGE && s->image == image)
      return true;
  }
  return false;
}

static void list_images(const struct machine *m, const struct plan *plan,
                        struct list *list)
{
  const struct case_script *script = plan->script;
  for (uint32_t i = 0; i < script->step_count; i++) {
    const struct step *s = &script->steps[i];
    if (s->verb == VERB_WRITE && s->target == WRITE_IMAGE &&
        is_for_flash(m, plan->images[s->image]))
      put_last(list, s->image);
  }
  for (uint32_t i = 0; i < script->image_count; i++)
    if (!is_written(script, i) && is_for_flash(m, plan->images[i]))
      put_last(list, i);
}

/* ------------------------------------------------------------------------- */

/* Where the program is, as an address of flash, or PART_NONE. */
static addr_t flash_place(const struct machine *m)
{
  uint32_t offset;
  unsigned region = bus_find(&m->chip.bus, m->chip.core.r[15], &offset);
  if (region >= m->part->memory_count ||
      m->part->memory[region].kind != MEMORY_FLASH)
    return PART_NONE;
  return m->part->memory[region].at + offset;
}

enum answer_class whole_class(const struct machine *m, const struct plan *plan,
                              struct answer *answer)
{
  struct list list = {.count = 0};
  addr_t at = flash_place(m);
  list_images(m, plan, &list);
  for (uint32_t i = list.count; i-- > 0;) {
    const struct image *image = plan->images[list.images[i]];
    if (!holds_image(m, image)) continue;
    if (at != PART_NONE && !covers(m, image, at)) continue;
    answer_text(answer->image, plan->script->images[list.images[i]].name);
    if (list.count == 1) return CLASS_APPLICATION;
    return i + 1 == list.count ? CLASS_NEW : CLASS_OLD;
  }
  return CLASS_TORN;
}
