#include "describe/case.h"

#include "base/json.h"
#include "describe/case_shape.h"
#include "describe/shape.h"

enum sim_status case_from_json(struct arena *arena, const char *file,
                               const struct json *root,
                               struct case_script **script,
                               struct sim_error *err)
{
  struct case_script *s = arena_get(arena, sizeof *s);
  s->file = arena_text(arena, file);
  s->source = root;
  struct shape_reader reader = {.arena = arena, .err = err, .user = s};
  enum sim_status status = shape_read(&reader, &case_shape, root, s);
  if (status == SIM_OK) status = case_check(s, root, err);
  if (status == SIM_OK) *script = s;
  return status;
}

enum sim_status case_read(struct arena *arena, const char *file,
                          const struct case_script **script,
                          struct sim_error *err)
{
  const struct json *root;
  enum sim_status status = json_read(arena, file, &root, err);
  if (status != SIM_OK) return status;
  struct case_script *read;
  status = case_from_json(arena, file, root, &read, err);
  if (status == SIM_OK) *script = read;
  return status;
}
