/* A production file may carry records for the option cells. */
#include <inttypes.h>
#include <string.h>

#include "run/plan.h"

/* The option word whose cell is there, or PART_NONE. */
static uint32_t word_at(const struct part *part, addr_t at)
{
  for (uint32_t i = 0; i < part->register_count; i++) {
    const struct part_register *r = &part->registers[i];
    if (r->at != at) continue;
    for (uint32_t k = 0; k < r->field_count; k++)
      if (r->fields[k].role == ROLE_OPTIONS_CELL) return r->fields[k].index;
  }
  return PART_NONE;
}

static enum sim_status take_segment(const struct part *part,
                                    const struct image *image,
                                    const struct image_segment *s,
                                    struct plan_cells *cells,
                                    struct sim_error *err)
{
  const struct sim_place place = {.file = image->file};
  for (uint32_t i = 0; i < s->size; i += 4) {
    const uint8_t *b = s->bytes + i;
    uint32_t word = word_at(part, s->at + i);
    if (word == PART_NONE || s->size - i < 4)
      return sim_fail(err, SIM_RANGE, &place,
                      "has %" PRIu32 " bytes at 0x%08" PRIx32
                      ", of which those at 0x%08" PRIx32
                      " are no whole option word of part %s; expected whole "
                      "words",
                      s->size, s->at, s->at + i, part->name);
    if (cells->count == PART_MAX_WORDS)
      return sim_fail(err, SIM_LIMIT, &place,
                      "has more option words than part %s", part->name);
    cells->words[cells->count] = word;
    cells->at[cells->count] = s->at + i;
    cells->values[cells->count++] = (uint32_t)b[0] | (uint32_t)b[1] << 8 |
                                    (uint32_t)b[2] << 16 |
                                    (uint32_t)b[3] << 24;
  }
  return SIM_OK;
}

static bool has_cells(const struct part *part, const struct image *image)
{
  for (uint32_t i = 0; i < image->segment_count; i++)
    if (word_at(part, image->segments[i].at) != PART_NONE) return true;
  return false;
}

enum sim_status plan_take_cells(const struct part *part, struct arena *arena,
                                const struct image **image,
                                struct plan_cells *cells,
                                struct sim_error *err)
{
  const struct image *whole = *image;
  cells->count = 0;
  if (!has_cells(part, whole)) return SIM_OK;
  struct image *rest = arena_get(arena, sizeof(*rest));
  *rest = *whole;
  rest->segments =
      arena_array(arena, whole->segment_count, sizeof(*rest->segments));
  rest->segment_count = 0;
  for (uint32_t i = 0; i < whole->segment_count; i++) {
    const struct image_segment *s = &whole->segments[i];
    enum sim_status status = SIM_OK;
    if (word_at(part, s->at) == PART_NONE)
      rest->segments[rest->segment_count++] = *s;
    else
      status = take_segment(part, whole, s, cells, err);
    if (status != SIM_OK) return status;
  }
  *image = rest;
  return SIM_OK;
}
