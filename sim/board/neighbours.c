#include "board/neighbours.h"

#include <string.h>

#include "base/fold.h"

#include <inttypes.h>
#include <stdio.h>

enum sim_status neighbours_init(struct neighbours *b,
                                const struct case_script *script,
                                const struct part *part, struct sim_error *err)
{
  *b = (struct neighbours){.script = script};
  for (uint32_t i = 0; i < script->neighbour_count; i++) {
    const struct case_neighbour *setup = &script->neighbours[i];
    struct neighbour *one = &b->each[i];
    char path[48];
    snprintf(path, sizeof path, "board.neighbours[%" PRIu32 "].to", i);
    struct sim_place place = {script->file, path, setup->line, 0};
    character_out_init(&one->out);
    one->pin = part_pin_named(part, setup->to);
    if (one->pin == PART_NONE)
      return sim_fail(err, SIM_REFERENCE, &place,
                      "is \"%s\", which part %s has no pin of; expected the "
                      "name of one",
                      setup->to, part->name);
  }
  return SIM_OK;
}

static void switch_all(struct neighbours *b, struct nets *n, bool on,
                       struct moment now)
{
  b->on = on;
  for (uint32_t i = 0; i < b->script->neighbour_count; i++) {
    struct neighbour *one = &b->each[i];
    character_out_init(&one->out);
    one->next_octet = 0;
    one->begins = now.at + b->script->neighbours[i].every;
    nets_drive(n, one->pin, on ? DRIVE_HIGH : DRIVE_RELEASE, now);
  }
}

static ps_t next_of(const struct neighbour *one)
{
  return one->out.busy ? one->out.next : one->begins;
}

ps_t neighbours_next(const struct neighbours *b)
{
  ps_t next = PS_NEVER;
  for (uint32_t i = 0; b->on && i < b->script->neighbour_count; i++)
    if (next_of(&b->each[i]) < next) next = next_of(&b->each[i]);
  return next;
}

/* A round that takes longer than its period is followed by the next at once.
 */
static bool talk(struct neighbour *one, const struct case_neighbour *setup,
                 struct moment now)
{
  bool changed = character_out_advance(&one->out, now.at);
  if (one->out.busy) return changed;
  if (one->next_octet == setup->octets.count) one->next_octet = 0;
  if (one->next_octet == 0) {
    if (one->begins > now.at) return changed;
    one->begins += setup->every;
  }
  character_send(&one->out, setup->octets.at[one->next_octet++],
                 PS_PER_S / setup->baud, now.at);
  return true;
}

bool neighbours_advance(struct neighbours *b, struct nets *n, bool on,
                        struct moment now)
{
  bool any = b->on != on;
  if (any) switch_all(b, n, on, now);
  for (uint32_t i = 0; b->on && i < b->script->neighbour_count; i++) {
    struct neighbour *one = &b->each[i];
    if (!talk(one, &b->script->neighbours[i], now)) continue;
    nets_drive_bit(n, one->pin, character_level(&one->out), now);
    any = true;
  }
  return any;
}

void neighbours_fold(const struct neighbours *n, ps_t now, struct fold *f)
{
  struct neighbours seen;
  memcpy(&seen, n, sizeof(seen));
  for (uint32_t i = 0; i < CASE_MAX_NEIGHBOURS; i++) {
    struct neighbour *each = &seen.each[i];
    character_out_fold(&each->out, now, f);
    memset(&each->out, 0, sizeof(each->out));
    each->begins = fold_to_come(each->begins, now);
  }
  fold_add(f, &seen, sizeof(seen));
}
