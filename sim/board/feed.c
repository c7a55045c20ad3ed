#include "board/feed.h"

/* True if a pin of a lower number is on the same net. */
static bool counted_already(const struct nets *n, uint32_t pin)
{
  for (uint32_t i = 0; i < pin; i++)
    if (n->ends[i].node == n->ends[pin].node) return true;
  return false;
}

static uint32_t nets_driven_high(const struct nets *n, const struct part *part)
{
  uint32_t count = 0;
  for (uint32_t pin = 0; pin < part->pins.count; pin++)
    if (n->bench[n->ends[pin].node] == DRIVE_HIGH && !counted_already(n, pin))
      count++;
  return count;
}

struct feed feed_of(const struct case_script *script, const struct part *part,
                    const struct nets *nets, const struct probe *probe)
{
  const struct case_signals *s = &script->signals;
  int64_t each = s->through_mohm + part->pins.clamp_resistance.typ;
  struct feed f = {.pins = nets_driven_high(nets, part),
                   .level = s->level_uv - part->pins.clamp_drop.typ,
                   .each_mohm = each > 0 ? each : 1};
  if (s->probe && probe->attached)
    f.pins += (uint32_t)__builtin_popcountll(part->pins.debug);
  if (s->host && script->host.present) f.pins++;
  if (f.level <= 0) f.pins = 0;
  return f;
}
