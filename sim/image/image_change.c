#include "image/image_change.h"

#include <inttypes.h>
#include <string.h>

static bool changes(const struct case_change *c)
{
  return c->offset != 0 || c->without != 0 || c->keep != 0 ||
         c->patch_count != 0;
}

/* What is left of a segment between `from` and `to`; size 0: nothing. */
static struct image_segment cut(const struct image_segment *s, uint64_t from,
                                uint64_t to)
{
  uint64_t first = s->at, end = first + s->size;
  if (first < from) first = from;
  if (end > to) end = to;
  struct image_segment left = {.at = (addr_t)first};
  if (first >= end) return left;
  left.size = (uint32_t)(end - first);
  left.bytes = s->bytes + (first - s->at);
  return left;
}

static void cut_all(struct image *image, const struct image *whole,
                    const struct case_change *c)
{
  uint64_t base = whole->segments[0].at;
  uint64_t to = c->keep == 0 ? UINT64_MAX : base + c->keep;
  image->segment_count = 0;
  for (uint32_t i = 0; i < whole->segment_count; i++) {
    struct image_segment s = cut(&whole->segments[i], base + c->without, to);
    if (s.size > 0) image->segments[image->segment_count++] = s;
  }
}

static bool fits(const struct image *image, uint32_t offset)
{
  const struct image_segment *last =
      &image->segments[image->segment_count - 1];
  return (uint64_t)last->at + last->size + offset <= (uint64_t)UINT32_MAX + 1;
}

/* Where an address of the whole image is now: what lies in no segment, such
 * as RAM, stays. */
static addr_t moved(const struct image *whole, addr_t at, uint32_t offset)
{
  for (uint32_t i = 0; i < whole->segment_count; i++)
    if (at - whole->segments[i].at < whole->segments[i].size)
      return at + offset;
  return at;
}

static void move(struct arena *arena, struct image *image,
                 const struct image *whole, uint32_t offset)
{
  for (uint32_t i = 0; i < image->segment_count; i++)
    image->segments[i].at += offset;
  image->symbols =
      arena_array(arena, whole->symbol_count + 1, sizeof(image->symbols[0]));
  for (uint32_t i = 0; i < whole->symbol_count; i++) {
    image->symbols[i] = whole->symbols[i];
    image->symbols[i].at = moved(whole, whole->symbols[i].at, offset);
  }
  image->lines =
      arena_array(arena, whole->line_count + 1, sizeof(image->lines[0]));
  for (uint32_t i = 0; i < whole->line_count; i++) {
    image->lines[i] = whole->lines[i];
    image->lines[i].at = moved(whole, whole->lines[i].at, offset);
  }
}

static bool patch(struct arena *arena, struct image *image,
                  const struct case_patch *p)
{
  for (uint32_t i = 0; i < image->segment_count; i++) {
    struct image_segment *s = &image->segments[i];
    if (p->at < s->at || p->at - s->at + UINT64_C(4) > s->size) continue;
    uint8_t *bytes = arena_get(arena, s->size);
    memcpy(bytes, s->bytes, s->size);
    for (uint32_t b = 0; b < 4; b++)
      bytes[p->at - s->at + b] = (uint8_t)(p->word >> (8 * b));
    s->bytes = bytes;
    return true;
  }
  return false;
}

enum sim_status image_change(struct arena *arena, const struct image *image,
                             const struct case_change *c,
                             const struct image **changed,
                             struct sim_error *err)
{
  const struct sim_place place = {.file = image->file};
  *changed = image;
  if (!changes(c) || image->segment_count == 0) return SIM_OK;
  struct image *new = arena_get(arena, sizeof(*new));
  *new = *image;
  new->segments =
      arena_array(arena, image->segment_count, sizeof(new->segments[0]));
  cut_all(new, image, c);
  if (new->segment_count == 0)
    return sim_fail(err, SIM_RANGE, &place,
                    "has nothing left once it is cut; expected a smaller "
                    "\"without\" or a larger \"keep\"");
  if (!fits(new, c->offset))
    return sim_fail(err, SIM_RANGE, &place,
                    "would end beyond 0xffffffff; expected a smaller "
                    "\"offset\"");
  move(arena, new, image, c->offset);
  for (uint32_t i = 0; i < c->patch_count; i++)
    if (!patch(arena, new, &c->patches[i]))
      return sim_fail(err, SIM_RANGE, &place,
                      "has no word at 0x%08" PRIx32
                      " to be patched; expected an address inside of it",
                      c->patches[i].at);
  *changed = new;
  return SIM_OK;
}
