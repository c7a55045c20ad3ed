#include "describe/part_numbers.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "describe/part_shape.h"

struct walk {
  struct arena *arena;
  const struct part *part;
  struct part_number *numbers; /* NULL: count only */
  uint32_t count;
};

static void walk_shape(struct walk *w, const struct shape *shape, size_t at,
                       const char *path);

static void walk_row(struct walk *w, const struct shape_row *row, size_t at,
                     const char *path);

/* Lists whose elements are all in the target, not behind a pointer. */
static void walk_list(struct walk *w, const struct shape_row *row, size_t at,
                      size_t counted, const char *path)
{
  uint32_t count;
  memcpy(&count, (const char *)w->part + counted, sizeof(count));
  for (uint32_t i = 0; i < count; i++) {
    char text[160];
    snprintf(text, sizeof(text), "%.140s[%" PRIu32 "]", path, i);
    walk_row(w, row->of, at + i * row->stride + row->of->at, text);
  }
}

static void walk_row(struct walk *w, const struct shape_row *row, size_t at,
                     const char *path)
{
  if (row->kind == SHAPE_OBJECT) {
    walk_shape(w, row->shape, at, path);
  } else if (row->kind == SHAPE_QUANTITY) {
    if (w->numbers != NULL)
      w->numbers[w->count] =
          (struct part_number){arena_text(w->arena, path), at, row->unit};
    w->count++;
  }
}

static void walk_shape(struct walk *w, const struct shape *shape, size_t at,
                       const char *path)
{
  for (size_t i = 0; i < shape_row_count(shape); i++) {
    size_t base;
    const struct shape_row *row = shape_row_at(shape, i, &base);
    base += at;
    char text[160];
    snprintf(text, sizeof(text), "%.90s%s%.60s", path, path[0] ? "." : "",
             row->key);
    if (row->kind == SHAPE_LIST && !row->pointed && row->counted != 0)
      walk_list(w, row, base + row->at, base + row->counted, text);
    else
      walk_row(w, row, base + row->at, text);
  }
}

void part_numbers(struct arena *arena, const struct part *part,
                  const struct part_number **numbers, uint32_t *count)
{
  struct walk w = {.arena = arena, .part = part};
  walk_shape(&w, &part_shape, 0, "");
  w.numbers = arena_array(arena, w.count + 1, sizeof(*w.numbers));
  w.count = 0;
  walk_shape(&w, &part_shape, 0, "");
  *numbers = w.numbers;
  *count = w.count;
}
