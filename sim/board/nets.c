#include "board/nets.h"

#include <inttypes.h>
#include <stdio.h>

#include "describe/trace_kinds.h"

/* uV / milliohm = mA */
#define NA_PER_UV_PER_MOHM 1000000
#define NA_PER_MA          1000000

static uint64_t bit(uint32_t pin)
{
  return UINT64_C(1) << pin;
}

static enum sim_status resolve_pin(struct nets *n, uint64_t *used,
                                   const struct case_script *script,
                                   uint32_t which, const char *name,
                                   struct sim_error *err)
{
  const struct case_net *net = &script->nets[which];
  char path[40];
  snprintf(path, sizeof path, "board.nets[%" PRIu32 "].pins", which);
  struct sim_place place = {script->file, path, net->line, 0};
  uint32_t pin = part_pin_named(n->part, name);
  if (pin == PART_NONE)
    return sim_fail(err, SIM_REFERENCE, &place,
                    "part %s has no pin \"%s\"; expected the name of one",
                    n->part->name, name);
  if (*used & bit(pin))
    return sim_fail(err, SIM_REFERENCE, &place,
                    "pin \"%s\" is on two nets; expected one at most", name);
  *used |= bit(pin);
  n->ends[pin] = (struct net_end){.net = which,
                                  .tied = net->fixed,
                                  .tied_high = net->to == NET_SUPPLY,
                                  .through_mohm = net->through_mohm};
  return SIM_OK;
}

enum sim_status nets_init(struct nets *n, const struct case_script *script,
                          const struct part *part, struct pins *pins,
                          struct trace *tr, struct sim_error *err)
{
  *n = (struct nets){.part = part,
                     .pins = pins,
                     .trace = tr,
                     .supply_uv = script->supply.source_uv};
  for (uint32_t pin = 0; pin < PART_MAX_PINS; pin++)
    n->ends[pin].net = PART_NONE;
  uint64_t used = 0;
  for (uint32_t i = 0; i < script->net_count; i++) {
    const struct case_net *net = &script->nets[i];
    for (uint32_t k = 0; k < net->pin_count; k++) {
      enum sim_status status =
          resolve_pin(n, &used, script, i, net->pins[k], err);
      if (status != SIM_OK) return status;
    }
  }
  return SIM_OK;
}

int64_t nets_current(const struct nets *n, uint32_t pin, bool high)
{
  const struct net_end *end = &n->ends[pin];
  int64_t path = n->part->pins.drive_resistance.typ;
  if (end->driven ? end->driven_high == high
                  : !end->tied || end->tied_high == high)
    return 0;
  if (!end->driven) path += end->through_mohm;
  return (int64_t)((wide_t)n->supply_uv * NA_PER_UV_PER_MOHM /
                   (path > 0 ? path : 1));
}

static void judge(struct nets *n, uint32_t pin, struct moment now)
{
  bool drives = n->pins->shown & bit(pin);
  int64_t current =
      drives ? nets_current(n, pin, n->pins->shown_level & bit(pin)) : 0;
  bool fights = current > n->part->pins.current_limit.typ;
  bool fought = n->fighting & bit(pin);
  if (fights == fought) return;
  n->fighting ^= bit(pin);
  if (fights) {
    n->since[pin] = now.at;
    trace_add(n->trace, now, TRACE_CONTENTION, pin,
              (uint32_t)(current / NA_PER_MA));
  } else {
    trace_add(n->trace, now, TRACE_CONTENTION_END, pin,
              (uint32_t)((now.at - n->since[pin]) / PS_PER_US));
  }
}

static void watch_pins(void *context, const struct trace_record *r)
{
  judge(context, r->a, (struct moment){r->at, r->cycle});
}

/* The level that the part would read: the bench's, else the fixed one. */
static void reach_pin(struct nets *n, uint32_t pin, struct moment now)
{
  const struct net_end *end = &n->ends[pin];
  pins_drive_outside(n->pins, pin, end->driven || end->tied,
                     end->driven ? end->driven_high : end->tied_high, now,
                     n->trace);
}

void nets_connect(struct nets *n)
{
  trace_listen(n->trace, TRACE_BIT(TRACE_PIN), watch_pins, n);
  for (uint32_t pin = 0; pin < n->part->pins.count; pin++)
    if (n->ends[pin].tied) reach_pin(n, pin, (struct moment){0, 0});
}

static void drive_end(struct nets *n, uint32_t pin, enum drive_level level,
                      struct moment now)
{
  n->ends[pin].driven = level != DRIVE_RELEASE;
  n->ends[pin].driven_high = level == DRIVE_HIGH;
  reach_pin(n, pin, now);
  judge(n, pin, now);
}

void nets_drive(struct nets *n, uint32_t pin, enum drive_level level,
                struct moment now)
{
  uint32_t net = n->ends[pin].net;
  for (uint32_t i = 0; i < n->part->pins.count; i++)
    if (i == pin || (net != PART_NONE && n->ends[i].net == net))
      drive_end(n, i, level, now);
}
