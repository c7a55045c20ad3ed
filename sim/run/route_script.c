#include "run/route_script.h"

#include <inttypes.h>
#include <stdio.h>

static struct catalog_bench bench_after(const struct catalog *c,
                                        const struct route_path *path)
{
  struct catalog_bench bench = catalog_bench(c);
  for (uint32_t i = 0; i < path->count; i++)
    (void)catalog_follows(c, path->actions[i], &bench);
  return bench;
}

/* --- steps --------------------------------------------------------------- */

/* Ranges of the catalog's steps, some with a label for their first one. */
struct parts {
  struct catalog_ranges ranges;
  const char *labels[CATALOG_MAX_RANGES]; /* NULL: none */
  struct arena *arena;
};

static void label_last(struct parts *p, const char *label)
{
  p->labels[p->ranges.count - 1] = arena_text(p->arena, label);
}

static void add_actions(const struct catalog *c, const struct route_path *path,
                        struct parts *p)
{
  char label[160];
  for (uint32_t i = 0; i < path->count; i++) {
    const struct catalog_action *a = &c->actions[path->actions[i]];
    snprintf(label, sizeof(label), "%" PRIu32 " %s", i + 1, a->move.name);
    catalog_add(&p->ranges, a->steps);
    label_last(p, label);
    catalog_add(&p->ranges, c->pause);
  }
}

/* The goal, what is let go of, and the resets in the field. */
static void add_ending(const struct catalog *c, const struct route_path *path,
                       struct parts *p)
{
  char label[160];
  const struct catalog_bench bench = bench_after(c, path);
  uint32_t goal = p->ranges.count;
  (void)catalog_ending(c, &bench, &p->ranges);
  if (bench.attached) {
    snprintf(label, sizeof(label), "%" PRIu32 " %s", path->count + 1,
             route_action_words[ROUTE_DETACH]);
    p->labels[goal + 1] = arena_text(p->arena, label);
  }
  uint32_t shipped = p->ranges.count;
  catalog_shipped(c, &p->ranges);
  p->labels[shipped] = "shipped";
  for (uint32_t i = 0; i < c->field_count; i++) {
    snprintf(label, sizeof(label), "field: %s", c->field_names[i]);
    p->labels[shipped + 1 + i] = arena_text(p->arena, label);
  }
}

static uint32_t count_steps(const struct catalog_ranges *r, uint32_t ranges)
{
  uint32_t count = 0;
  for (uint32_t i = 0; i < ranges; i++)
    count += r->list[i].count;
  return count;
}

static void copy_steps(const struct catalog *c, const struct parts *p,
                       struct case_script *script)
{
  for (uint32_t i = 0; i < p->ranges.count; i++)
    for (uint32_t k = 0; k < p->ranges.list[i].count; k++) {
      struct step *s = &script->steps[script->step_count];
      *s = c->script.steps[p->ranges.list[i].first + k];
      s->number = script->step_count++;
      s->label = k == 0 ? p->labels[i] : NULL;
    }
}

const struct case_script *route_script(const struct catalog *c,
                                       const struct route_path *path,
                                       uint32_t state, struct arena *arena,
                                       uint32_t *shipped)
{
  char title[400];
  struct parts parts = {.arena = arena};
  struct case_script *script = arena_get(arena, sizeof(*script));
  *script = c->script;
  snprintf(title, sizeof(title), "%.300s: from %s", c->script.title,
           c->states[state].name);
  script->title = arena_text(arena, title);
  catalog_add(&parts.ranges, c->states[state].steps);
  label_last(&parts, "arrives");
  add_actions(c, path, &parts);
  add_ending(c, path, &parts);
  uint32_t count = count_steps(&parts.ranges, parts.ranges.count);
  script->steps = arena_array(arena, count, sizeof(*script->steps));
  script->step_count = 0;
  copy_steps(c, &parts, script);
  *shipped =
      count_steps(&parts.ranges, parts.ranges.count - c->field_count - 1);
  if (script->never_count > 0) script->never_from = parts.labels[1];
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
