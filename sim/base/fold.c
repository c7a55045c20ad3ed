#include "base/fold.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

#define FIRST_ROOM 8192

void fold_init(struct fold *f)
{
  *f = (struct fold){.room = FIRST_ROOM};
  f->bytes = malloc(f->room);
  if (f->bytes == NULL) arena_no_memory();
}

void fold_free(struct fold *f)
{
  free(f->bytes);
}

void fold_add(struct fold *f, const void *bytes, size_t count)
{
  while (f->count + count > f->room) {
    f->room *= 2;
    uint8_t *more = realloc(f->bytes, f->room);
    if (more == NULL) arena_no_memory();
    f->bytes = more;
  }
  memcpy(f->bytes + f->count, bytes, count);
  f->count += count;
}
