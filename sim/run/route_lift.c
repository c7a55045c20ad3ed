/* What stands in the way: constraints, lifted. */
#include <stdio.h>
#include <string.h>

#include "describe/never_text.h"
#include "run/route_asking.h"
#include "run/route_script.h"

#define MAX_CONSTRAINTS (CASE_MAX_NEVERS + MEANS_COUNT_ + 1)

enum constraint_kind { LIFT_NEVER, LIFT_MEANS, LIFT_ACTIONS };

struct constraint {
  enum constraint_kind kind;
  uint32_t which; /* of the script's nevers; enum route_means */
};

/* A question that may differ from the one asked. */
struct lifted {
  struct case_script script;
  struct route_spec spec;
  struct case_never never[CASE_MAX_NEVERS];
  bool without[CASE_MAX_NEVERS];
  uint32_t means;
};

struct lifting {
  const struct route_request *request;
  struct arena *arena;
  struct route_result *result;
  struct constraint list[MAX_CONSTRAINTS];
  uint32_t count;
  struct route_lift *lifts;
  uint64_t states; /* that may still be looked at ... */
  uint32_t tries;  /* ... in so many searches */
};

static void begin(struct lifted *l, const struct case_script *script)
{
  l->script = *script;
  l->spec = *script->route;
  l->script.route = &l->spec;
  l->script.never = l->never;
  memset(l->without, 0, sizeof(l->without));
  for (uint32_t i = 0; i < script->never_count; i++)
    l->never[i] = script->never[i];
  l->means = catalog_at_hand(script);
}

/* All that were to be lifted are known: take them out. */
static void keep_others(struct lifted *l)
{
  uint32_t kept = 0;
  for (uint32_t i = 0; i < l->script.never_count; i++)
    if (!l->without[i]) l->never[kept++] = l->never[i];
  l->script.never_count = kept;
}

static void lift(struct lifted *l, const struct constraint *c)
{
  switch (c->kind) {
  case LIFT_NEVER: l->without[c->which] = true; break;
  case LIFT_MEANS:
    l->means |= 1u << c->which;
    if (c->which == MEANS_POWER) l->script.supply.removable = true;
    if (c->which == MEANS_RESET_LINE) l->script.no_reset_line = false;
    break;
  case LIFT_ACTIONS: l->spec.action_count = 0; break;
  }
}

static void name_never(const struct case_never *n, char *text, size_t size)
{
  char what[120];
  never_text(n, what, sizeof(what));
  snprintf(text, size, "never \"%s\"", what);
}

static void name(const struct case_script *script, const struct constraint *c,
                 char *text, size_t size)
{
  switch (c->kind) {
  case LIFT_NEVER: name_never(&script->never[c->which], text, size); break;
  case LIFT_MEANS:
    snprintf(text, size, "no %s at hand", route_means_words[c->which]);
    break;
  case LIFT_ACTIONS:
    snprintf(text, size, "the actions that \"actions\" leaves out");
    break;
  }
}

/* --- the list ------------------------------------------------------------ */

static bool has_wake(const struct part *part)
{
  return part->resets[CAUSE_DEEP_SLEEP_EXIT].present;
}

static bool would_add(const struct route_request *q, uint32_t means)
{
  const struct part *part = q->part;
  if (means == MEANS_HOST) return q->script->host.present;
  if (means == MEANS_STRAPS) return part->strap_count > 0;
  return means != MEANS_WAKE || has_wake(part);
}

static void list_constraints(struct lifting *l)
{
  const struct case_script *script = l->request->script;
  uint32_t means = catalog_at_hand(script);
  for (uint32_t i = 0; i < script->never_count; i++)
    l->list[l->count++] = (struct constraint){LIFT_NEVER, i};
  for (uint32_t i = 0; i < MEANS_COUNT_; i++)
    if (!(means >> i & 1u) && would_add(l->request, i))
      l->list[l->count++] = (struct constraint){LIFT_MEANS, i};
  if (script->route->action_count > 0)
    l->list[l->count++] = (struct constraint){LIFT_ACTIONS, 0};
}

/* --- searching without --------------------------------------------------- */

static void tell(struct lifting *l, const struct route_asking *asking,
                 const struct route_answer *answer, const char *what)
{
  struct route_lift *r = &l->lifts[l->result->lift_count++];
  r->what = arena_text(l->arena, what);
  r->found = answer->found_count > 0;
  r->effort = answer->effort;
  l->states -= answer->effort.states;
  if (r->found)
    r->moves = route_moves(&asking->catalog, &answer->found[0].path, true,
                           l->arena, &r->move_count);
}

/* Without one constraint, or without two. */
static enum sim_status try(struct lifting *l, const struct constraint *one,
                           const struct constraint *two, struct sim_error *err)
{
  char what[320], more[160];
  struct lifted lifted;
  struct route_asking *asking = arena_get(l->arena, sizeof(*asking));
  struct route_answer *answer = arena_get(l->arena, sizeof(*answer));
  struct route_limits limits = l->request->limits;
  limits.procedures = 1;
  limits.best_only = true;
  limits.states = l->states / l->tries--;
  begin(&lifted, l->request->script);
  lift(&lifted, one);
  name(l->request->script, one, what, sizeof(what));
  if (two != NULL) {
    lift(&lifted, two);
    name(l->request->script, two, more, sizeof(more));
    snprintf(what + strlen(what), sizeof(what) - strlen(what), ", and %s",
             more);
  }
  keep_others(&lifted);
  enum sim_status status = route_asking_open(
      asking, l->arena, &lifted.script, l->request->part, lifted.means, err);
  if (status != SIM_OK) return status;
  route_search(&asking->bench, asking->incoming, route_asking_all(asking),
               &limits, l->request->tick, l->request->context, answer);
  tell(l, asking, answer, what);
  route_asking_close(asking);
  return SIM_OK;
}

/* What one leaves of its share is the others'. */
static void allow(struct lifting *l, uint32_t tries)
{
  l->states = l->request->limits.states;
  l->tries = tries;
}

static bool any_helped(const struct lifting *l)
{
  for (uint32_t i = 0; i < l->result->lift_count; i++)
    if (l->lifts[i].found) return true;
  return false;
}

static enum sim_status try_pairs(struct lifting *l, struct sim_error *err)
{
  enum sim_status status = SIM_OK;
  allow(l, l->count * (l->count - 1) / 2);
  for (uint32_t i = 0; i < l->count && status == SIM_OK; i++)
    for (uint32_t k = i + 1; k < l->count && status == SIM_OK; k++)
      status = try(l, &l->list[i], &l->list[k], err);
  return status;
}

enum sim_status route_lift(const struct route_request *request,
                           struct arena *arena, struct route_result *result,
                           struct sim_error *err)
{
  struct lifting l = {.request = request, .arena = arena, .result = result};
  enum sim_status status = SIM_OK;
  l.lifts =
      arena_array(arena, MAX_CONSTRAINTS * MAX_CONSTRAINTS, sizeof(*l.lifts));
  result->lifts = l.lifts;
  list_constraints(&l);
  allow(&l, l.count);
  for (uint32_t i = 0; i < l.count && status == SIM_OK; i++)
    status = try(&l, &l.list[i], NULL, err);
  if (status == SIM_OK && !any_helped(&l)) status = try_pairs(&l, err);
  return status;
}
