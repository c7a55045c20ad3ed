#include "cli/run_events.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"

/* A trace of this size has ten million lines. */
#define MAX_BYTES (1u << 30)

enum sim_status run_events_open(struct run_events *e, const char *name,
                                bool shown, struct arena *arena,
                                struct sim_error *err)
{
  memset(e, 0, sizeof *e);
  if (!name && !shown) return SIM_OK;
  if (name) {
    uint8_t *bytes;
    size_t length;
    enum sim_status status =
        file_read(arena, name, MAX_BYTES, &bytes, &length, err);
    if (status != SIM_OK) return status;
    e->name = name;
    e->before = (struct against_text){(const char *)bytes, length};
  }
  e->kept = open_memstream(&e->text, &e->size);
  if (!e->kept) arena_no_memory();
  return SIM_OK;
}

void run_events_show(struct run_events *e, FILE *to)
{
  if (!e->kept) return;
  if (fflush(e->kept) != 0) arena_no_memory();
  fwrite(e->text + e->shown, 1, e->size - e->shown, to);
  e->shown = e->size;
}

bool run_events_tell(struct run_events *e, FILE *also, FILE *to)
{
  if (!e->kept) return true;
  if (fflush(e->kept) != 0) arena_no_memory();
  if (also) fwrite(e->text, 1, e->size, also);
  if (!e->name) return true;
  const struct against_text now = {e->text, e->size};
  const struct against a = against_compare(e->before, now);
  against_tell(&a, e->name, e->before, now, to);
  return a.same;
}

void run_events_close(struct run_events *e)
{
  if (e->kept) fclose(e->kept);
  free(e->text);
  memset(e, 0, sizeof *e);
}
