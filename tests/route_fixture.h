/* route_fixture.h -- questions of `route` as texts, asked; and the same
 * question answered by brute force: every list of actions, each played whole
 * from before first power, without side branches, hashes or a queue.
 */
#ifndef TESTS_ROUTE_FIXTURE_H
#define TESTS_ROUTE_FIXTURE_H

#include <inttypes.h>

#include "describe/route.h"
#include "describe/trace_kinds.h"
#include "played.h"
#include "run/plan.h"
#include "run/route.h"
#include "run/route_script.h"
#include "run/whole.h"

/* A case with the logger to be written, whose main is at 0x04000160. */
static inline const struct case_script *
route_case_in(struct played_bench *bench, const char *part, const char *region,
              const char *board, const char *never, const char *route)
{
  const char *text = played_format(
      bench,
      "{ \"case\": \"t\", \"part\": \"%s\",\n"
      "  \"images\": { \"app\": \"" FIRSTFETCH_ROOT
      "/images/logger/logger.elf\", \"older\": \"" FIRSTFETCH_ROOT
      "/images/selfclear/selfclear.elf\" },\n"
      "  \"board\": { %s },\n"
      "  \"never\": [ %s ],\n"
      "  \"route\": { \"goal\": { \"region\": \"%s\", \"reaches\": "
      "\"0x04000160\", \"within\": \"2ms\" }, \"image\": \"app\", \"old\": "
      "\"older\", \"pause\": "
      "\"1ms\"%s },\n"
      "  \"steps\": [ { \"run\": \"1us\" } ] }\n",
      part, board, never, region, route);
  return played_case(bench, played_text_file(bench, "route.jsonc", text));
}

static inline const struct case_script *
route_case_on(struct played_bench *bench, const char *part, const char *board,
              const char *never, const char *route)
{
  return route_case_in(bench, part, "flash", board, never, route);
}

static inline const struct case_script *
route_case(struct played_bench *bench, const char *part, bool removable,
           const char *never, const char *route)
{
  const char *board = played_format(
      bench, "\"supply\": { \"bulk\": \"1uF\", \"removable\": %s }",
      removable ? "true" : "false");
  return route_case_on(bench, part, board, never, route);
}

static inline const struct part *route_part(struct played_bench *bench,
                                            const char *name)
{
  return played_part(
      bench, played_format(bench, FIRSTFETCH_ROOT "/models/%s.json", name));
}

static inline void route_no_tick(void *context, uint64_t states)
{
  (void)context;
  (void)states;
}

static inline const struct route_result *
route_asked(struct played_bench *bench, const struct case_script *script,
            const struct part *part, uint32_t depth)
{
  const struct route_request request = {
      .script = script,
      .part = part,
      .limits = {.depth = depth,
                 .procedures = ROUTE_PROCEDURES,
                 .states = 100000},
      .tick = route_no_tick};
  const struct route_result *result = NULL;
  struct sim_error err = {0};
  char text[1200];
  if (route_ask(&request, &bench->arena, &result, &err) != SIM_OK)
    fail_msg("%s", sim_error_text(&err, text, sizeof text));
  return result;
}

/* "attach held; write image app" */
static inline const char *route_moves_text(struct played_bench *bench,
                                           const struct route_move *moves,
                                           uint32_t count)
{
  const char *text = "";
  for (uint32_t i = 0; i < count; i++)
    text =
        played_format(bench, "%s%s%s", text, i > 0 ? "; " : "", moves[i].name);
  return text;
}

/* --- by brute force ------------------------------------------------------ */

struct brute_times {
  uint32_t first, last; /* steps of the procedure, its ending included */
  ps_t began, ended;
};

static inline void brute_listen(void *context, const struct trace_record *r)
{
  struct brute_times *t = context;
  if (r->kind == TRACE_STEP && r->a == t->first) t->began = r->at;
  if (r->kind == TRACE_STEP_END && r->a == t->last) t->ended = r->at;
}

/* Does the list do what it says and reach the goal, from this state? */
static inline bool brute_play(struct played_bench *bench,
                              const struct catalog *c,
                              const struct route_path *path, uint32_t state,
                              ps_t *took)
{
  struct catalog_ranges shipped = {.count = 0};
  uint32_t shipped_from;
  const struct case_script *script =
      route_script(c, path, state, &bench->arena, &shipped_from);
  struct play *play = played_prepare(script, c->part);
  uint32_t behind = 0;
  catalog_shipped(c, &shipped);
  for (uint32_t i = 0; i < shipped.count; i++)
    behind += shipped.list[i].count;
  struct brute_times t = {c->states[state].steps.count,
                          script->step_count - behind - 1, 0, 0};
  trace_listen(play_trace(play),
               TRACE_BIT(TRACE_STEP) | TRACE_BIT(TRACE_STEP_END), brute_listen,
               &t);
  const struct result *r = play_run(play);
  bool good =
      r->verdict == VERDICT_HELD && r->stopped == NULL &&
      whole_holds(play_machine(play), play_plan(play)->images[c->spec->image]);
  for (uint32_t i = 0; i < r->finding_count; i++)
    if (r->findings[i].kind == FINDING_PROBE_FAILED ||
        r->findings[i].kind == FINDING_LATCH_WRITE_LOST)
      good = false;
  *took = t.ended - t.began;
  play_free(play);
  return good;
}

struct brute {
  struct played_bench *bench;
  const struct catalog *catalog;
  uint32_t depth;
  ps_t best;                   /* cost; PS_NEVER: none */
  struct route_path paths[64]; /* of that cost */
  uint32_t path_count;
  uint64_t played;
};

static inline void brute_try(struct brute *b, const struct route_path *path,
                             const struct catalog_bench *bench, ps_t person)
{
  ps_t cost = 0;
  const struct catalog *c = b->catalog;
  struct catalog_ranges unused = {.count = 0};
  person += catalog_ending(c, bench, &unused);
  b->played++;
  for (uint32_t i = 0; i < c->state_count; i++) {
    ps_t took;
    if (!brute_play(b->bench, c, path, i, &took)) return;
    cost += took + person;
  }
  if (cost > b->best) return;
  if (cost < b->best) b->path_count = 0;
  b->best = cost;
  assert_true(b->path_count < ROWS_COUNT(b->paths));
  b->paths[b->path_count++] = *path;
}

static inline void brute_all(struct brute *b, struct route_path *path,
                             struct catalog_bench bench, ps_t person)
{
  brute_try(b, path, &bench, person);
  if (path->count == b->depth) return;
  for (uint32_t i = 0; i < b->catalog->action_count; i++) {
    struct catalog_bench after = bench;
    if (!catalog_follows(b->catalog, i, &after)) continue;
    path->actions[path->count++] = i;
    brute_all(b, path, after,
              person + route_action_time(b->catalog->actions[i].move.action));
    path->count--;
  }
}

/* The best lists of up to `depth` actions. */
static inline void brute_ask(struct brute *b, struct played_bench *bench,
                             const struct case_script *script,
                             const struct part *part, uint32_t depth)
{
  struct catalog *catalog = arena_get(&bench->arena, sizeof *catalog);
  struct route_path path = {.count = 0};
  struct sim_error err;
  assert_int_equal(catalog_make(catalog, &bench->arena, script, part,
                                catalog_at_hand(script), &err),
                   SIM_OK);
  *b = (struct brute){
      .bench = bench, .catalog = catalog, .depth = depth, .best = PS_NEVER};
  brute_all(b, &path, catalog_bench(catalog), 0);
}

/* The search says the same: none, or one of the best at the same cost. */
static inline void brute_agrees(struct brute *b, const struct route_result *r)
{
  assert_int_equal(r->effort.end == ROUTE_LIMIT, false);
  if (b->best == PS_NEVER) {
    if (r->procedure_count > 0)
      fail_msg("none by brute force; found %s",
               route_moves_text(b->bench, r->procedures[0].moves,
                                r->procedures[0].move_count));
    return;
  }
  if (r->procedure_count == 0) fail_msg("brute force finds one");
  const struct route_procedure *p = &r->procedures[0];
  const char *found = route_moves_text(b->bench, p->moves, p->move_count);
  ps_t cost = p->person * p->time_count;
  for (uint32_t i = 0; i < p->time_count; i++)
    cost += p->times[i].simulated;
  assert_int_equal(cost, b->best);
  for (uint32_t i = 0; i < b->path_count; i++) {
    uint32_t count;
    const struct route_move *moves =
        route_moves(b->catalog, &b->paths[i], true, &b->bench->arena, &count);
    if (strcmp(route_moves_text(b->bench, moves, count), found) == 0) return;
  }
  fail_msg("%s is none of the best", found);
}

#endif
