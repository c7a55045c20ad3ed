#include "run/route_search.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

#include "run/route_queue.h"

struct search {
  struct route_bench *bench;
  const struct catalog *catalog;
  const struct route_limits *limits;
  uint32_t mask;
  struct route_queue queue;
  ps_t best; /* cost of the quickest that was seen to work; PS_NEVER */
  struct route_answer *answer;
};

static bool searches(const struct search *s, uint32_t state)
{
  return s->mask >> state & 1u;
}

static uint32_t state_count(const struct search *s)
{
  return (uint32_t)__builtin_popcount(s->mask);
}

static struct route_path path_to(const struct route_node *node)
{
  struct route_path path = {.count = node->depth};
  for (; node->parent != NULL; node = node->parent)
    path.actions[node->depth - 1] = node->action;
  return path;
}

/* --- what failed --------------------------------------------------------- */

static struct route_failed *failed_for(struct search *s, uint32_t state,
                                       const char *reason)
{
  struct route_answer *a = s->answer;
  for (uint32_t i = 0; i < a->failed_count; i++)
    if (a->failed[i].state == state &&
        strcmp(a->failed[i].reason, reason) == 0)
      return &a->failed[i];
  if (a->failed_count == ROUTE_MAX_DEAD_ENDS) return NULL;
  struct route_failed *f = &a->failed[a->failed_count++];
  *f = (struct route_failed){.state = state};
  snprintf(f->reason, sizeof(f->reason), "%s", reason);
  return f;
}

/* Attempts come in the order of their cost; of those with as many actions the
 * first is kept. */
static void note_failure(struct search *s, const struct route_node *node,
                         uint32_t state, const struct route_played *p,
                         uint32_t action)
{
  struct route_failed *f = failed_for(s, state, p->reason);
  if (f == NULL) return;
  struct route_path path = path_to(node);
  if (action != PART_NONE) path.actions[path.count++] = action;
  if (f->attempts == 0 || path.count < f->path.count) {
    f->path = path;
    snprintf(f->why, sizeof(f->why), "%s", p->why);
  }
  f->attempts++;
}

/* --- the goal ------------------------------------------------------------ */

static bool holds_images(struct search *s, const struct route_node *node)
{
  for (uint32_t i = 0; i < s->catalog->state_count; i++)
    if (searches(s, i) && !route_holds_image(s->bench, node->kept[i]))
      return false;
  return true;
}

static bool play_ending(struct search *s, const struct route_node *node,
                        uint32_t state, struct route_node *done)
{
  struct catalog_ranges ending = {.count = 0}, field = {.count = 0};
  struct route_played played;
  struct route_kept *shipped;
  done->person =
      node->person + catalog_ending(s->catalog, &node->bench, &ending);
  route_play(s->bench, node->kept[state], ending.list, ending.count, &played,
             &shipped);
  done->times[state] = node->times[state] + played.took;
  if (played.good) {
    catalog_shipped(s->catalog, &field);
    route_play(s->bench, shipped, field.list, field.count, &played, NULL);
    route_forget(s->bench, shipped);
  }
  if (!played.good) note_failure(s, node, state, &played, PART_NONE);
  return played.good;
}

static ps_t cost_of(const struct search *s, const struct route_node *node)
{
  ps_t cost = node->person * state_count(s);
  for (uint32_t i = 0; i < ROUTE_MAX_STATES; i++)
    cost += node->times[i];
  return cost;
}

/* It is told when its turn comes. */
static bool find_goal(struct search *s, const struct route_node *node)
{
  struct route_node end = {.depth = 0};
  if (!holds_images(s, node)) return false;
  for (uint32_t i = 0; i < s->catalog->state_count; i++)
    if (searches(s, i) && !play_ending(s, node, i, &end)) return false;
  struct route_node *done = route_queue_node(&s->queue);
  uint64_t number = done->number;
  *done = end;
  done->number = number;
  done->parent = node->parent;
  done->action = node->action;
  done->depth = node->depth;
  done->done = true;
  done->cost = cost_of(s, done);
  if (done->cost < s->best) s->best = done->cost;
  route_queue_push(&s->queue, done);
  return true;
}

/* True if the node is a procedure as it stands. */
static bool reaches_goal(struct search *s, struct route_node *node)
{
  if (!node->asked) node->reaches = find_goal(s, node);
  node->asked = true;
  return node->reaches;
}

/* Nothing that comes of the node can be quicker than one that works: behind
 * its times so far, which its action does not shorten, a person still has to
 * let go of what it leaves. */
static bool is_too_late(const struct search *s, const struct route_node *node)
{
  struct catalog_ranges unused = {.count = 0};
  struct route_node least = *node;
  least.person += catalog_ending(s->catalog, &node->bench, &unused);
  return s->limits->best_only && cost_of(s, &least) >= s->best;
}

static bool contains(const struct route_path *path,
                     const struct route_path *part)
{
  uint32_t found = 0;
  for (uint32_t i = 0; i < path->count && found < part->count; i++)
    if (path->actions[i] == part->actions[found]) found++;
  return found == part->count;
}

static void take_procedure(struct search *s, const struct route_node *node)
{
  struct route_answer *a = s->answer;
  struct route_path path = path_to(node);
  for (uint32_t i = 0; i < a->found_count; i++)
    if (contains(&path, &a->found[i].path)) return;
  struct route_found *f = &a->found[a->found_count++];
  f->path = path;
  f->person = node->person;
  f->cost = node->cost;
  memcpy(f->times, node->times, sizeof(f->times));
}

/* --- one state, every action --------------------------------------------- */

/* The action in every state; false if it failed in one. */
static bool play_action(struct search *s, const struct route_node *from,
                        uint32_t action, struct route_node *to)
{
  const struct catalog_range ranges[] = {s->catalog->actions[action].steps,
                                         s->catalog->pause};
  struct route_played played;
  s->answer->effort.attempts++;
  for (uint32_t i = 0; i < s->catalog->state_count; i++) {
    if (!searches(s, i)) continue;
    route_play(s->bench, from->kept[i], ranges, 2, &played, &to->kept[i]);
    to->times[i] = from->times[i] + played.took;
    if (!played.good) {
      note_failure(s, from, i, &played, action);
      return false;
    }
    to->keys[i] = route_key_of(s->bench, to->kept[i], &to->bench);
  }
  return true;
}

static void follow(struct search *s, const struct route_node *from,
                   uint32_t action)
{
  struct catalog_bench bench = from->bench;
  if (!catalog_follows(s->catalog, action, &bench)) return;
  struct route_node *to = route_queue_node(&s->queue);
  to->parent = from;
  to->action = action;
  to->depth = from->depth + 1;
  to->bench = bench;
  to->person = from->person +
               route_action_time(s->catalog->actions[action].move.action);
  memcpy(to->times, from->times, sizeof(to->times));
  bool goes_on = !is_too_late(s, to) && play_action(s, from, action, to) &&
                 !route_queue_met(&s->queue, to);
  to->cost = cost_of(s, to);
  if (goes_on && s->limits->best_only) goes_on = !reaches_goal(s, to);
  if (goes_on)
    route_queue_push(&s->queue, to);
  else
    route_queue_drop(s->bench, to);
}

static void look_at(struct search *s, struct route_node *node)
{
  s->answer->effort.states++;
  route_queue_meet(&s->queue, node);
  if (!reaches_goal(s, node) && node->depth < s->limits->depth)
    for (uint32_t i = 0; i < s->catalog->action_count; i++)
      follow(s, node, i);
  route_queue_drop(s->bench, node);
}

/* --- the search ---------------------------------------------------------- */

static void begin(struct search *s, struct route_kept *const *incoming)
{
  struct route_node *root = route_queue_node(&s->queue);
  const struct catalog_range none = {0, 0};
  struct route_played played;
  root->bench = catalog_bench(s->catalog);
  for (uint32_t i = 0; i < s->catalog->state_count; i++) {
    if (!searches(s, i)) continue;
    route_play(s->bench, incoming[i], &none, 1, &played, &root->kept[i]);
    root->keys[i] = route_key_of(s->bench, root->kept[i], &root->bench);
  }
  route_queue_push(&s->queue, root);
}

/* How deep every list is answered for: one less than the shortest that still
 * waits for its turn. */
static uint32_t depth_done(const struct search *s)
{
  uint32_t depth = s->limits->depth;
  if (s->answer->effort.end != ROUTE_LIMIT) return depth;
  for (size_t i = 0; i < s->queue.heap_count; i++) {
    const struct route_node *n = s->queue.heap[i];
    if (!n->done && n->depth <= depth)
      depth = n->depth == 0 ? 0 : n->depth - 1;
  }
  return depth;
}

static bool go_on(struct search *s, struct route_node *node)
{
  struct route_effort *e = &s->answer->effort;
  if (node == NULL) {
    e->end = ROUTE_EXHAUSTED;
    return false;
  }
  if (node->done) {
    take_procedure(s, node);
    e->end = ROUTE_FOUND;
    return s->answer->found_count < s->limits->procedures;
  }
  if (route_queue_met(&s->queue, node)) {
    route_queue_drop(s->bench, node);
    return true;
  }
  if (e->states == s->limits->states) {
    e->end = ROUTE_LIMIT;
    route_queue_push(&s->queue, node);
    return false;
  }
  look_at(s, node);
  return true;
}

void route_search(struct route_bench *b, struct route_kept *const *incoming,
                  uint32_t mask, const struct route_limits *limits,
                  route_tick tick, void *context, struct route_answer *answer)
{
  struct search s = {.bench = b,
                     .catalog = b->catalog,
                     .limits = limits,
                     .mask = mask,
                     .best = PS_NEVER,
                     .answer = answer};
  memset(answer, 0, sizeof(*answer));
  assert(limits->depth <= ROUTE_MAX_DEPTH &&
         limits->procedures <= ROUTE_MAX_PROCEDURES);
  begin(&s, incoming);
  while (go_on(&s, route_queue_pop(&s.queue)))
    tick(context, answer->effort.states);
  answer->effort.depth = depth_done(&s);
  route_queue_free(b, &s.queue);
}
