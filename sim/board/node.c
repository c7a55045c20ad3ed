#include "board/node.h"

#include <assert.h>

/* 1 / milliohm = 10^15 pS; uV * pS = 10^-9 nA; nA * nA * milliohm = 10^-12 nW
 */
#define PS_MOHM         INT64_C(1000000000000000)
#define UV_PS_PER_NA    INT64_C(1000000000)
#define NA2_MOHM_PER_NW INT64_C(1000000000000)

static wide_t rounded(wide_t a, wide_t b)
{
  return a >= 0 ? (a + b / 2) / b : -((-a + b / 2) / b);
}

void node_add(struct node *n, int64_t uv, int64_t mohm, enum node_flow flow)
{
  assert(n->count < NODE_MAX_SOURCES && mohm >= 0);
  n->sources[n->count++] = (struct node_source){uv, mohm, flow};
}

static wide_t conductance(const struct node_source *s)
{
  return rounded(PS_MOHM, s->mohm);
}

static const struct node_source *stiff(const struct node *n)
{
  for (uint32_t i = 0; i < n->count; i++)
    if (n->sources[i].mohm == 0) return &n->sources[i];
  return NULL;
}

/* Level with the diodes that `with` has a bit for. */
static bool level_with(const struct node *n, uint32_t with, int64_t *uv)
{
  const struct node_source *fixed = stiff(n);
  wide_t sum = 0, weight = 0;
  for (uint32_t i = 0; i < n->count && fixed == NULL; i++) {
    const struct node_source *s = &n->sources[i];
    if (!(with >> i & 1u)) continue;
    sum += s->uv * conductance(s);
    weight += conductance(s);
  }
  if (fixed == NULL && weight == 0) return false;
  *uv = fixed != NULL ? fixed->uv : (int64_t)rounded(sum, weight);
  return true;
}

static bool conducts(const struct node_source *s, int64_t uv)
{
  switch (s->flow) {
  case NODE_FROM_NODE: return uv > s->uv;
  case NODE_INTO_NODE: return uv < s->uv;
  case NODE_BOTH_WAYS: break;
  }
  return true;
}

/* Sources that take part: bit per source. A diode that would conduct at the
 * level without it conducts with it too, only less. */
static uint32_t taking_part(const struct node *n)
{
  uint32_t with = 0;
  int64_t uv;
  for (uint32_t i = 0; i < n->count; i++)
    if (n->sources[i].flow == NODE_BOTH_WAYS) with |= 1u << i;
  if (!level_with(n, with, &uv)) return with;
  for (uint32_t i = 0; i < n->count; i++)
    if (conducts(&n->sources[i], uv)) with |= 1u << i;
  return with;
}

bool node_level(const struct node *n, int64_t *uv)
{
  return level_with(n, taking_part(n), uv);
}

/* Against a stiff level, the plain law; else against each of the others. */
int64_t node_current(const struct node *n, uint32_t i)
{
  const struct node_source *s = &n->sources[i], *fixed = stiff(n);
  uint32_t with = taking_part(n);
  if (s->mohm == 0 || !(with >> i & 1u)) return 0;
  wide_t own = conductance(s), sum = 0, weight = 0;
  if (fixed != NULL)
    return (int64_t)rounded(own * (s->uv - fixed->uv), UV_PS_PER_NA);
  for (uint32_t k = 0; k < n->count; k++) {
    const struct node_source *other = &n->sources[k];
    if (!(with >> k & 1u)) continue;
    sum += own * conductance(other) * (s->uv - other->uv);
    weight += conductance(other);
  }
  return (int64_t)rounded(rounded(sum, weight), UV_PS_PER_NA);
}

int64_t node_heat(int64_t na, int64_t mohm)
{
  return (int64_t)rounded((wide_t)na * na * mohm, NA2_MOHM_PER_NW);
}

int64_t node_power(const struct node *n)
{
  int64_t power = 0;
  for (uint32_t i = 0; i < n->count; i++)
    power += node_heat(node_current(n, i), n->sources[i].mohm);
  return power;
}
