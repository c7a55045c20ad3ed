/* What a "route" object may not say although each value by itself is right. */
#include <inttypes.h>
#include <string.h>

#include "describe/case_shape.h"
#include "describe/route.h"

static enum sim_status check_once(const struct json *route, const char *key,
                                  struct sim_error *err)
{
  const struct json *list = json_get(route, key);
  for (const struct json *b = list ? list->child : NULL; b; b = b->next)
    for (const struct json *a = list->child; a != b; a = a->next)
      if (strcmp(a->text, b->text) == 0)
        return json_fail(b, SIM_KEY, err,
                         "is \"%s\" again; expected each word once", b->text);
  return SIM_OK;
}

/* What depends on how a start came about, or on the probe, can't be asked of
 * a shipped unit after resets of several causes. */
static enum sim_status check_goal(const struct json *route,
                                  const struct route_spec *spec,
                                  struct sim_error *err)
{
  const struct json *goal = json_get(route, "goal");
  static const char *const refused[] = {"cause", "read", "host"};
  for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
    const struct json *member = json_get(goal, refused[i]);
    if (member)
      return json_fail_key(member, SIM_KEY, err,
                           "can't be part of a goal, which must hold again "
                           "without probe and after each reset; expected "
                           "another key of an expectation");
  }
  return case_asks(&spec->goal) ? SIM_OK : case_refuse_empty(goal, err);
}

/* What an incoming state leaves on the bench: nothing. */
static enum sim_status check_cleared(const struct route_incoming *own,
                                     const struct json *node,
                                     struct sim_error *err)
{
  bool attached = false, held = false;
  for (uint32_t i = 0; i < own->step_count; i++) {
    const struct step *s = &own->steps[i];
    if (s->verb == VERB_PROBE && s->probe == PROBE_ATTACH) attached = true;
    if (s->verb == VERB_PROBE && s->probe == PROBE_DETACH) attached = false;
    if (s->verb == VERB_RESET && s->reset != RESET_CAUSE)
      held = s->reset == RESET_HOLD;
  }
  if (attached)
    return json_fail(node, SIM_RANGE, err,
                     "ends with the probe attached; expected \"probe\": "
                     "\"detach\" at the end");
  if (held)
    return json_fail(node, SIM_RANGE, err,
                     "ends with the reset line held; expected \"reset\": "
                     "\"release\" at the end");
  return SIM_OK;
}

static enum sim_status check_incoming(const struct case_script *script,
                                      const struct json *route,
                                      struct sim_error *err)
{
  const struct json *map = json_get(route, "incoming");
  const struct json *node = map ? map->child : NULL;
  for (uint32_t i = 0; i < script->route->own_count; i++) {
    const struct route_incoming *own = &script->route->own[i];
    for (unsigned k = 0; k < INCOMING_COUNT_; k++)
      if (strcmp(own->name, route_incoming_words[k]) == 0)
        return json_fail_key(node, SIM_KEY, err,
                             "is a state that \"with\" knows by this name; "
                             "expected another one");
    enum sim_status status =
        case_check_steps(script, own->steps, own->step_count, node, err);
    if (status == SIM_OK) status = check_cleared(own, node, err);
    if (status != SIM_OK) return status;
    node = node->next;
  }
  return SIM_OK;
}

/* Power that can't be switched is not at hand, nor a host that is not there.
 */
static enum sim_status check_power(const struct case_script *script,
                                   const struct json *route,
                                   struct sim_error *err)
{
  const struct json *list = json_get(route, "at_hand");
  for (const struct json *v = list ? list->child : NULL; v; v = v->next) {
    if (!script->host.present &&
        strcmp(v->text, route_means_words[MEANS_HOST]) == 0)
      return json_fail(v, SIM_RANGE, err,
                       "is \"host\"; expected no such word, because the board "
                       "has no \"host\"");
    if (!script->supply.removable &&
        strcmp(v->text, route_means_words[MEANS_POWER]) == 0)
      return json_fail(v, SIM_RANGE, err,
                       "is \"power\"; expected no such word, because "
                       "board.supply.removable is false");
  }
  return SIM_OK;
}

static enum sim_status check_count(const struct json *route,
                                   const struct route_spec *spec,
                                   struct sim_error *err)
{
  if (spec->with_count + spec->own_count <= ROUTE_MAX_STATES) return SIM_OK;
  return json_fail(route, SIM_LIMIT, err,
                   "has %" PRIu32 " incoming states; expected at most %d",
                   spec->with_count + spec->own_count, ROUTE_MAX_STATES);
}

enum sim_status case_check_route(const struct case_script *script,
                                 const struct json *root,
                                 struct sim_error *err)
{
  static const char *const lists[] = {"at_hand", "actions", "with", "field"};
  const struct json *route = json_get(root, "route");
  enum sim_status status = SIM_OK;
  if (!route) return SIM_OK;
  for (size_t i = 0; i < sizeof lists / sizeof lists[0]; i++)
    if (status == SIM_OK) status = check_once(route, lists[i], err);
  if (status == SIM_OK) status = check_goal(route, script->route, err);
  if (status == SIM_OK) status = check_power(script, route, err);
  if (status == SIM_OK) status = check_count(route, script->route, err);
  if (status == SIM_OK) status = check_incoming(script, route, err);
  return status;
}
