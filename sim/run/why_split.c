/* Which measurement tells the explanations apart. */
#include <string.h>

#include "run/why_parts.h"

struct grouping {
  struct why_group groups[WHY_MAX_LISTED];
  uint32_t count, largest;
};

static uint32_t members(uint32_t bits)
{
  uint32_t n = 0;
  for (; bits != 0; bits &= bits - 1)
    n++;
  return n;
}

static void group(struct grouping *g, const struct why_view *views,
                  uint32_t view_count, uint32_t key)
{
  memset(g, 0, sizeof(*g));
  for (uint32_t v = 0; v < view_count; v++) {
    uint32_t i = 0;
    while (i < g->count && strcmp(g->groups[i].value, views[v].values[key]))
      i++;
    if (i == g->count) g->groups[g->count++].value = views[v].values[key];
    g->groups[i].members |= 1u << v;
    uint32_t size = members(g->groups[i].members);
    if (size > g->largest) g->largest = size;
  }
}

static const char *kept_key(const struct plan *plan, const struct sight *s,
                            struct arena *arena)
{
  char text[SIGHT_TEXT];
  sight_key(plan, s, text);
  return arena_text(arena, text);
}

/* The smaller its largest group, the less is left to find. */
static void choose(const struct plan *plan, const struct sight *keys,
                   uint32_t key_count, const struct why_view *views,
                   struct diagnosis *d, struct arena *arena)
{
  struct grouping best = {.largest = d->count}, g;
  for (uint32_t k = 0; k < key_count; k++) {
    group(&g, views, d->count, k);
    if (g.largest >= best.largest) continue;
    best = g;
    d->split.key = kept_key(plan, &keys[k], arena);
    d->split.how = sight_how(keys[k].kind);
  }
  if (d->split.key == NULL) return;
  d->split.group_count = best.count;
  for (uint32_t i = 0; i < best.count; i++)
    d->split.groups[i] = (struct why_group){
        arena_text(arena, best.groups[i].value), best.groups[i].members};
}

/* The measurement in which it differs from most others. */
static void set_off(const struct plan *plan, const struct sight *keys,
                    uint32_t key_count, const struct why_view *views,
                    struct diagnosis *d, uint32_t own, struct arena *arena)
{
  struct explanation *e = &d->list[own];
  uint32_t most = 0;
  for (uint32_t k = 0; k < key_count; k++) {
    uint32_t others = 0;
    for (uint32_t v = 0; v < d->count; v++)
      others += strcmp(views[v].values[k], views[own].values[k]) != 0;
    if (others <= most) continue;
    most = others;
    e->rules_out.key = kept_key(plan, &keys[k], arena);
    e->rules_out.value = arena_text(arena, views[own].values[k]);
    e->how = sight_how(keys[k].kind);
  }
}

void why_split(const struct plan *plan, const struct sight *keys,
               uint32_t key_count, const struct why_view *views,
               struct diagnosis *d, struct arena *arena)
{
  choose(plan, keys, key_count, views, d, arena);
  for (uint32_t i = 0; i < d->count; i++)
    set_off(plan, keys, key_count, views, d, i, arena);
}
