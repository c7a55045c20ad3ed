#include "cli/sweep_outputs.h"

#include <string.h>

#include "report/sweep_report.h"

enum sim_status sweep_outputs_open(struct sweep_outputs *o, const char *json,
                                   const char *svg, struct arena *arena,
                                   struct sim_error *err)
{
  memset(o, 0, sizeof(*o));
  if (json && svg && strcmp(json, svg) == 0) {
    const struct sim_place where = {.path = "--svg"};
    return sim_fail(err, SIM_USAGE, &where,
                    "goes where --json goes; expected another file");
  }
  o->text =
      !(json && output_is_standard(json)) && !(svg && output_is_standard(svg));
  enum sim_status status = output_open(&o->json, json, arena, err);
  if (status == SIM_OK) status = output_open(&o->svg, svg, arena, err);
  return status;
}

enum sim_status sweep_outputs_write(struct sweep_outputs *o,
                                    const struct sweep_head *head,
                                    const struct sweep_records *records,
                                    struct sim_error *err)
{
  if (o->text) sweep_text(stdout, head, records);
  if (o->json.stream) sweep_json(o->json.stream, head, records);
  if (o->svg.stream) sweep_svg(o->svg.stream, head, records);
  return sweep_outputs_commit(o, err);
}

enum sim_status sweep_outputs_commit(struct sweep_outputs *o,
                                     struct sim_error *err)
{
  enum sim_status status = output_commit(&o->json, err);
  if (status == SIM_OK) status = output_commit(&o->svg, err);
  return status;
}

void sweep_outputs_abandon(struct sweep_outputs *o)
{
  output_abandon(&o->json);
  output_abandon(&o->svg);
}

bool sweep_has_others(const struct sweep_records *records, uint32_t allowed)
{
  for (size_t i = 0; i < records->count; i++) {
    uint32_t class = records->list[i].answer.class;
    if (class == CLASS_CRASHED) return true;
    if (allowed != 0 && !((allowed >> class) & 1u)) return true;
  }
  return false;
}
