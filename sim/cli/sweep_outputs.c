#include "cli/sweep_outputs.h"

#include <string.h>

#include "report/sweep_html.h"
#include "report/sweep_report.h"

/* Two outputs in one file would overwrite one another. */
static enum sim_status refuse_same(const char *option, const char *name,
                                   const char *other_option, const char *other,
                                   struct sim_error *err)
{
  if (!name || !other || strcmp(name, other) != 0) return SIM_OK;
  const struct sim_place where = {.path = option};
  return sim_fail(err, SIM_USAGE, &where,
                  "goes where %s goes; expected another file", other_option);
}

static bool is_standard(const char *name)
{
  return name && output_is_standard(name);
}

enum sim_status sweep_outputs_open(struct sweep_outputs *o, const char *json,
                                   const char *svg, const char *html,
                                   struct arena *arena, struct sim_error *err)
{
  memset(o, 0, sizeof(*o));
  enum sim_status status = refuse_same("--svg", svg, "--json", json, err);
  if (status == SIM_OK)
    status = refuse_same("--html", html, "--json", json, err);
  if (status == SIM_OK)
    status = refuse_same("--html", html, "--svg", svg, err);
  if (status != SIM_OK) return status;
  o->text = !is_standard(json) && !is_standard(svg) && !is_standard(html);
  status = output_open(&o->json, json, arena, err);
  if (status == SIM_OK) status = output_open(&o->svg, svg, arena, err);
  if (status == SIM_OK) status = output_open(&o->html, html, arena, err);
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
  if (o->html.stream) sweep_html(o->html.stream, head, records);
  return sweep_outputs_commit(o, err);
}

enum sim_status sweep_outputs_commit(struct sweep_outputs *o,
                                     struct sim_error *err)
{
  enum sim_status status = output_commit(&o->json, err);
  if (status == SIM_OK) status = output_commit(&o->svg, err);
  if (status == SIM_OK) status = output_commit(&o->html, err);
  return status;
}

void sweep_outputs_abandon(struct sweep_outputs *o)
{
  output_abandon(&o->json);
  output_abandon(&o->svg);
  output_abandon(&o->html);
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
