#include "cli/sweep_lines.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

#include "cli/output.h"

static enum sim_status fail(const char *name, const char *what,
                            struct sim_error *err)
{
  const struct sim_place where = {.file = name};
  return sim_fail(err, SIM_FILE, &where, "%s", what);
}

enum sim_status sweep_lines_begin(struct sweep_lines *lines, const char *name,
                                  const struct sweep_head *head,
                                  struct sim_error *err)
{
  *lines = (struct sweep_lines){.name = name};
  if (name == NULL) return SIM_OK;
  lines->stream = fopen(name, "wx");
  if (lines->stream == NULL)
    return fail(name,
                errno == EEXIST ? "is there already; expected a new name, or "
                                  "--resume to go on with it"
                                : "cannot be written",
                err);
  sweep_write_head(lines->stream, head);
  fflush(lines->stream);
  return SIM_OK;
}

enum sim_status sweep_lines_resume(struct sweep_lines *lines, const char *name,
                                   struct arena *arena,
                                   const struct sweep_head *head,
                                   struct sweep_records *records,
                                   struct sim_error *err)
{
  struct sweep_head theirs;
  size_t whole;
  *lines = (struct sweep_lines){.name = name};
  enum sim_status status =
      sweep_read(arena, name, &theirs, records, &whole, err);
  if (status != SIM_OK) return status;
  if (!sweep_same(&theirs, head) || theirs.shard != head->shard ||
      theirs.shards != head->shards) {
    const struct sim_place where = {.file = name, .line = 1, .column = 1};
    return sim_fail(err, SIM_RANGE, &where,
                    "is of another sweep; expected one of this case, part, "
                    "images and options");
  }
  if (truncate(name, (off_t)whole) != 0 ||
      (lines->stream = fopen(name, "a")) == NULL)
    return fail(name, "cannot be written", err);
  return SIM_OK;
}

void sweep_lines_add(struct sweep_lines *lines, const struct sweep_record *r)
{
  if (lines->stream == NULL) return;
  sweep_write_record(lines->stream, r);
  fflush(lines->stream);
}

enum sim_status sweep_lines_leave(struct sweep_lines *lines,
                                  struct sim_error *err)
{
  if (lines->stream == NULL) return SIM_OK;
  bool bad = ferror(lines->stream);
  if (fclose(lines->stream) != 0) bad = true;
  lines->stream = NULL;
  return bad ? fail(lines->name, "cannot be written", err) : SIM_OK;
}

enum sim_status sweep_lines_finish(struct sweep_lines *lines,
                                   struct arena *arena,
                                   const struct sweep_head *head,
                                   const struct sweep_records *records,
                                   struct sim_error *err)
{
  struct output out;
  if (lines->name == NULL) return SIM_OK;
  enum sim_status status = sweep_lines_leave(lines, err);
  if (status == SIM_OK) status = output_open(&out, lines->name, arena, err);
  if (status != SIM_OK) return status;
  sweep_write_head(out.stream, head);
  for (size_t i = 0; i < records->count; i++)
    sweep_write_record(out.stream, &records->list[i]);
  return output_commit(&out, err);
}
