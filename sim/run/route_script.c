#include "run/route_script.h"

#include <stdio.h>

#define PROCEDURE_LABEL "procedure"

static struct catalog_bench bench_after(const struct catalog *c,
                                        const struct route_path *path)
{
  struct catalog_bench bench = catalog_bench(c);
  for (uint32_t i = 0; i < path->count; i++)
    (void)catalog_follows(c, path->actions[i], &bench);
  return bench;
}

/* --- steps --------------------------------------------------------------- */

static void add_procedure(const struct catalog *c,
                          const struct route_path *path,
                          struct catalog_ranges *r)
{
  const struct catalog_bench bench = bench_after(c, path);
  for (uint32_t i = 0; i < path->count; i++) {
    catalog_add(r, c->actions[path->actions[i]].steps);
    catalog_add(r, c->pause);
  }
  (void)catalog_ending(c, &bench, r);
  catalog_shipped(c, r);
}

static uint32_t count_steps(const struct catalog_ranges *r)
{
  uint32_t count = 0;
  for (uint32_t i = 0; i < r->count; i++)
    count += r->list[i].count;
  return count;
}

static void copy_steps(const struct catalog *c, const struct catalog_ranges *r,
                       struct case_script *script)
{
  for (uint32_t i = 0; i < r->count; i++)
    for (uint32_t k = 0; k < r->list[i].count; k++) {
      struct step *s = &script->steps[script->step_count];
      *s = c->script.steps[r->list[i].first + k];
      s->number = script->step_count++;
    }
}

const struct case_script *route_script(const struct catalog *c,
                                       const struct route_path *path,
                                       uint32_t state, struct arena *arena)
{
  char title[400];
  struct catalog_ranges ranges = {.count = 0};
  struct case_script *script = arena_get(arena, sizeof(*script));
  *script = c->script;
  snprintf(title, sizeof(title), "%.300s: from %s", c->script.title,
           c->states[state].name);
  script->title = arena_text(arena, title);
  catalog_add(&ranges, c->states[state].steps);
  add_procedure(c, path, &ranges);
  script->steps =
      arena_array(arena, count_steps(&ranges), sizeof(*script->steps));
  script->step_count = 0;
  copy_steps(c, &ranges, script);
  script->steps[c->states[state].steps.count].label = PROCEDURE_LABEL;
  if (script->never_count > 0) script->never_from = PROCEDURE_LABEL;
  script->route = NULL;
  return script;
}

/* --- moves --------------------------------------------------------------- */

static void add_letting_go(const struct catalog *c,
                           const struct catalog_bench *bench,
                           struct arena *arena, struct route_move *moves,
                           uint32_t *count)
{
  char text[160];
  if (bench->attached)
    moves[(*count)++] = (struct route_move){
        ROUTE_DETACH, route_action_words[ROUTE_DETACH], "Detach the probe."};
  for (uint32_t i = 0; i < c->part->strap_count; i++) {
    if (!(bench->driven >> i & 1u)) continue;
    snprintf(text, sizeof(text), "Let go of the strap %s.",
             c->part->straps[i].name);
    moves[(*count)++] = (struct route_move){
        ROUTE_STRAP, route_action_words[ROUTE_STRAP], arena_text(arena, text)};
  }
}

const struct route_move *route_moves(const struct catalog *c,
                                     const struct route_path *path, bool ends,
                                     struct arena *arena, uint32_t *count)
{
  const struct catalog_bench bench = bench_after(c, path);
  struct route_move *moves =
      arena_array(arena, path->count + PART_MAX_STRAPS + 1, sizeof(*moves));
  for (*count = 0; *count < path->count; ++*count)
    moves[*count] = c->actions[path->actions[*count]].move;
  if (ends) add_letting_go(c, &bench, arena, moves, count);
  return moves;
}
