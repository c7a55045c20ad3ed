#include "image/image_parts.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void image_parts_init(struct image_parts *parts, const char *file)
{
  memset(parts, 0, sizeof *parts);
  arena_init(&parts->scratch);
  parts->file = file;
}

void image_parts_free(struct image_parts *parts)
{
  arena_free(&parts->scratch);
}

void *image_parts_room(struct image_parts *parts, void *old, uint32_t count,
                       uint32_t *room, size_t element)
{
  if (count < *room) return old;
  *room = *room ? 2 * *room : 64;
  void *larger = arena_array(&parts->scratch, *room, element);
  if (count) memcpy(larger, old, count * element);
  return larger;
}

/* The end itself must be an address, so that `at + size` never wraps. */
static enum sim_status check_range(const struct image_parts *parts,
                                   const struct sim_place *where, uint64_t at,
                                   uint32_t size, struct sim_error *err)
{
  if (at + size > UINT32_MAX) {
    return sim_fail(err, SIM_RANGE, where,
                    "reaches 0x%08" PRIX64
                    "; expected addresses up to 0xFFFFFFFE",
                    at + size - 1);
  }
  if (size > IMAGE_MAX_BYTES - parts->byte_count) {
    return sim_fail(err, SIM_LIMIT, where,
                    "brings the image to more than %u bytes; expected at "
                    "most that",
                    IMAGE_MAX_BYTES);
  }
  return SIM_OK;
}

enum sim_status image_parts_add(struct image_parts *parts,
                                const struct sim_place *where, uint64_t at,
                                const uint8_t *bytes, uint32_t size,
                                struct sim_error *err)
{
  if (size == 0) return SIM_OK;
  enum sim_status status = check_range(parts, where, at, size, err);
  if (status != SIM_OK) return status;

  parts->pieces = image_parts_room(parts, parts->pieces, parts->piece_count,
                                   &parts->piece_room, sizeof *parts->pieces);
  parts->pieces[parts->piece_count] = (struct image_piece){
      .at = (addr_t)at,
      .size = size,
      .bytes = bytes,
      .order = parts->piece_count,
      .line = where->line,
      .path = where->path,
  };
  parts->piece_count++;
  parts->byte_count += size;
  return SIM_OK;
}

/* Names may share their bytes in the file, the copies don't: without a limit
 * a small file could ask for any amount of memory. */
enum sim_status image_parts_add_symbol(struct image_parts *parts,
                                       const struct image_symbol *symbol,
                                       uint32_t rank, struct sim_error *err)
{
  size_t length = strlen(symbol->name);
  if (length > IMAGE_MAX_BYTES - parts->name_bytes) {
    struct sim_place where = {.file = parts->file};
    return sim_fail(err, SIM_LIMIT, &where,
                    "has more than %u bytes of symbol names; expected at "
                    "most that",
                    IMAGE_MAX_BYTES);
  }
  parts->symbols =
      image_parts_room(parts, parts->symbols, parts->symbol_count,
                       &parts->symbol_room, sizeof *parts->symbols);
  parts->symbols[parts->symbol_count] =
      (struct image_candidate){*symbol, rank, parts->symbol_count};
  parts->symbol_count++;
  parts->name_bytes += (uint32_t)length;
  return SIM_OK;
}

static int in_order(uint32_t a, uint32_t b)
{
  return (a > b) - (a < b);
}

static int by_address(const void *left, const void *right)
{
  const struct image_piece *a = left, *b = right;
  return a->at != b->at ? in_order(a->at, b->at)
                        : in_order(a->order, b->order);
}

static int by_address_and_rank(const void *left, const void *right)
{
  const struct image_candidate *a = left, *b = right;
  if (a->symbol.at != b->symbol.at) {
    return in_order(a->symbol.at, b->symbol.at);
  }
  return a->rank != b->rank ? in_order(a->rank, b->rank)
                            : in_order(a->order, b->order);
}

static addr_t end_of(const struct image_piece *piece)
{
  return piece->at + piece->size;
}

/* Told at the one that comes later in the file; `low` begins first in
 * memory. */
static enum sim_status refuse_overlap(const struct image_parts *parts,
                                      const struct image_piece *low,
                                      const struct image_piece *high,
                                      struct sim_error *err)
{
  const struct image_piece *first = low->order < high->order ? low : high;
  const struct image_piece *second = first == low ? high : low;
  addr_t end = end_of(low) < end_of(high) ? end_of(low) : end_of(high);

  char line[sizeof "line 4294967295"];
  snprintf(line, sizeof line, "line %" PRIu32, first->line);
  struct sim_place where = {parts->file, second->path, second->line, 0};
  return sim_fail(err, SIM_RANGE, &where,
                  "gives bytes 0x%08" PRIX32 " to 0x%08" PRIX32
                  " again, after %s; expected each address once",
                  high->at, end - 1, first->path ? first->path : line);
}

/* If any two of the sorted pieces overlap, two neighbours do. */
static enum sim_status check_overlaps(const struct image_parts *parts,
                                      struct sim_error *err)
{
  for (uint32_t i = 1; i < parts->piece_count; i++) {
    const struct image_piece *low = &parts->pieces[i - 1];
    const struct image_piece *high = &parts->pieces[i];
    if (high->at < end_of(low)) return refuse_overlap(parts, low, high, err);
  }
  return SIM_OK;
}

static bool begins_segment(const struct image_parts *parts, uint32_t i)
{
  return i == 0 || parts->pieces[i].at != end_of(&parts->pieces[i - 1]);
}

static void copy_segments(const struct image_parts *parts, struct arena *arena,
                          struct image *image)
{
  uint32_t count = 0;
  for (uint32_t i = 0; i < parts->piece_count; i++) {
    count += begins_segment(parts, i);
  }
  image->segments = arena_array(arena, count, sizeof *image->segments);
  uint8_t *to = arena_get(arena, parts->byte_count);

  struct image_segment *segment = NULL;
  for (uint32_t i = 0; i < parts->piece_count; i++) {
    const struct image_piece *piece = &parts->pieces[i];
    if (begins_segment(parts, i)) {
      segment = &image->segments[image->segment_count++];
      *segment = (struct image_segment){.at = piece->at, .bytes = to};
    }
    memcpy(to, piece->bytes, piece->size);
    to += piece->size;
    segment->size += piece->size;
  }
}

static void copy_symbols(const struct image_parts *parts, struct arena *arena,
                         struct image *image)
{
  image->symbols =
      arena_array(arena, parts->symbol_count, sizeof *image->symbols);
  image->symbol_count = parts->symbol_count;
  for (uint32_t i = 0; i < parts->symbol_count; i++) {
    image->symbols[i] = parts->symbols[i].symbol;
    image->symbols[i].name = arena_text(arena, parts->symbols[i].symbol.name);
  }
}

enum sim_status image_parts_finish(struct image_parts *parts,
                                   struct arena *arena,
                                   const struct image **image,
                                   struct sim_error *err)
{
  if (parts->piece_count == 0) {
    struct sim_place where = {.file = parts->file};
    return sim_fail(err, SIM_SYNTAX, &where,
                    "holds nothing to program; expected at least one byte");
  }
  qsort(parts->pieces, parts->piece_count, sizeof *parts->pieces, by_address);
  enum sim_status status = check_overlaps(parts, err);
  if (status != SIM_OK) return status;
  if (parts->symbol_count > 0) {
    qsort(parts->symbols, parts->symbol_count, sizeof *parts->symbols,
          by_address_and_rank);
  }

  struct image *made = arena_get(arena, sizeof *made);
  made->file = arena_text(arena, parts->file);
  made->format = parts->format;
  made->has_entry = parts->has_entry;
  made->entry = parts->entry;
  copy_segments(parts, arena, made);
  copy_symbols(parts, arena, made);
  image_parts_finish_lines(parts, arena, made);
  *image = made;
  return SIM_OK;
}
