/* The rows of line tables: sorted, thinned out, and looked up. */
#include <stdlib.h>
#include <string.h>

#include "image/image_parts.h"

/* Far more than a firmware that fits IMAGE_MAX_BYTES has; a file of that
 * many bytes could ask for as many rows. Assumed. */
#define MAX_ROWS (1u << 22)

uint32_t image_parts_add_file(struct image_parts *parts, const char *name)
{
  parts->files = image_parts_room(parts, parts->files, parts->file_count,
                                  &parts->file_room, sizeof *parts->files);
  parts->files[parts->file_count] = name;
  return parts->file_count++;
}

enum sim_status image_parts_add_row(struct image_parts *parts,
                                    const struct image_line *line,
                                    struct sim_error *err)
{
  if (parts->row_count == MAX_ROWS) {
    struct sim_place where = {.file = parts->file};
    return sim_fail(err, SIM_LIMIT, &where,
                    "has more than %u rows of line tables; expected at most "
                    "that",
                    MAX_ROWS);
  }
  parts->rows = image_parts_room(parts, parts->rows, parts->row_count,
                                 &parts->row_room, sizeof *parts->rows);
  parts->rows[parts->row_count] = (struct image_row){*line, parts->row_count};
  parts->row_count++;
  return SIM_OK;
}

/* By address; at one, ends first, then in the order of the file. */
static int by_address(const void *left, const void *right)
{
  const struct image_row *a = left, *b = right;
  if (a->line.at != b->line.at) return a->line.at < b->line.at ? -1 : 1;
  bool a_ends = a->line.line == 0, b_ends = b->line.line == 0;
  if (a_ends != b_ends) return a_ends ? -1 : 1;
  return (a->order > b->order) - (a->order < b->order);
}

void image_parts_finish_lines(struct image_parts *parts, struct arena *arena,
                              struct image *image)
{
  if (parts->row_count == 0) return;
  qsort(parts->rows, parts->row_count, sizeof *parts->rows, by_address);
  image->lines = arena_array(arena, parts->row_count, sizeof *image->lines);
  for (uint32_t i = 0; i < parts->row_count; i++) {
    const struct image_row *row = &parts->rows[i];
    bool last = i + 1 == parts->row_count || row[0].line.at != row[1].line.at;
    if (last) image->lines[image->line_count++] = row->line;
  }
  image->files = arena_array(arena, parts->file_count, sizeof *image->files);
  image->file_count = parts->file_count;
  for (uint32_t i = 0; i < parts->file_count; i++) {
    image->files[i] = arena_text(arena, parts->files[i]);
  }
}

bool image_line_at(const struct image *image, addr_t at, const char **file,
                   uint32_t *line)
{
  uint32_t low = 0, high = image->line_count;
  while (low < high) {
    uint32_t middle = low + (high - low) / 2;
    if (image->lines[middle].at <= at) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  if (low == 0 || image->lines[low - 1].line == 0) return false;
  *file = image->files[image->lines[low - 1].file];
  *line = image->lines[low - 1].line;
  return true;
}
