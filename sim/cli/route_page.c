#include "cli/route_page.h"

#include <stddef.h>

#include "report/route_html.h"
#include "run/play.h"

struct drawn {
  struct play *play; /* NULL: nothing was played */
  struct timeline timeline;
};

static enum sim_status draw(const struct route_result *r,
                            const struct route_procedure *p, struct drawn *d,
                            struct route_replay_shown *shown,
                            struct sim_error *err)
{
  const struct play_options how = {
      .engine = r->part->core.kind <= CORE_KIND_M0PLUS ? CPU_ENGINE_OWN
                                                       : CPU_ENGINE_UNICORN};
  enum sim_status status =
      play_prepare(p->scripts[0], r->part, &how, &d->play, err);
  if (status != SIM_OK) return status;
  timeline_listen(&d->timeline, play_part(d->play), p->scripts[0],
                  play_trace(d->play));
  shown->result = play_run(d->play);
  timeline_end(&d->timeline, shown->result->end);
  timeline_brief(&d->timeline);
  shown->timeline = &d->timeline;
  return SIM_OK;
}

static void drop(struct drawn *d)
{
  if (d->play == NULL) return;
  timeline_free(&d->timeline);
  play_free(d->play);
}

enum sim_status route_page(FILE *to, const struct route_result *r,
                           struct arena *arena, struct sim_error *err)
{
  enum sim_status status = SIM_OK;
  uint32_t count =
      r->procedure_count > 0 ? r->procedure_count : r->alone_count;
  struct drawn *drawn = arena_array(arena, count, sizeof(*drawn));
  struct route_replay_shown *shown = arena_array(arena, count, sizeof(*shown));
  for (uint32_t i = 0; i < count && status == SIM_OK; i++) {
    const struct route_procedure *p =
        r->procedure_count > 0 ? &r->procedures[i] : &r->alone[i].procedure;
    if (p->time_count > 0) status = draw(r, p, &drawn[i], &shown[i], err);
  }
  if (status == SIM_OK) route_html(to, r, shown);
  for (uint32_t i = 0; i < count; i++)
    drop(&drawn[i]);
  return status;
}
