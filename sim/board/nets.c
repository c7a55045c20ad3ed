#include "board/nets.h"

#include "base/fold.h"

#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "board/node.h"
#include "describe/trace_kinds.h"

#define NA_PER_MA 1000000
/* nW * ps = 10^-9 pJ */
#define NW_PS_PER_PJ 1000000000
#define PJ_PER_NJ    1000

static uint64_t bit(uint32_t pin)
{
  return UINT64_C(1) << pin;
}

/* --- names --------------------------------------------------------------- */

bool nets_driver_named(const struct case_script *script, const char *name,
                       uint32_t *net, uint32_t *driver)
{
  for (*net = 0; *net < script->net_count; ++*net)
    for (*driver = 0; *driver < script->nets[*net].driver_count; ++*driver)
      if (strcmp(script->nets[*net].drivers[*driver].name, name) == 0)
        return true;
  return false;
}

static enum sim_status resolve_pin(struct nets *n, uint32_t which,
                                   uint32_t index, struct sim_error *err)
{
  const struct case_net *net = &n->script->nets[which];
  const char *name = net->pins[index];
  char path[40];
  snprintf(path, sizeof path, "board.nets[%" PRIu32 "].pins", which);
  struct sim_place place = {n->script->file, path, net->line, 0};
  uint32_t pin = part_pin_named(n->part, name);
  if (pin == PART_NONE)
    return sim_fail(err, SIM_REFERENCE, &place,
                    "part %s has no pin \"%s\"; expected the name of one",
                    n->part->name, name);
  if (n->ends[pin].node < CASE_MAX_NETS)
    return sim_fail(err, SIM_REFERENCE, &place,
                    "pin \"%s\" is on two nets; expected one at most", name);
  n->ends[pin].node = which;
  n->members[which][index] = pin;
  return SIM_OK;
}

static enum sim_status resolve_driver(struct nets *n, uint32_t which,
                                      uint32_t index, struct sim_error *err)
{
  const struct case_driver *d = &n->script->nets[which].drivers[index];
  char path[48];
  snprintf(path, sizeof path, "board.nets[%" PRIu32 "].drivers[%" PRIu32 "]",
           which, index);
  struct sim_place place = {n->script->file, path, d->line, 0};
  if (part_pin_named(n->part, d->name) != PART_NONE)
    return sim_fail(err, SIM_REFERENCE, &place,
                    "driver \"%s\" is called like a pin of part %s; expected "
                    "another name",
                    d->name, n->part->name);
  n->drivers[which][index] = (uint8_t)d->level;
  return SIM_OK;
}

static enum sim_status resolve_net(struct nets *n, uint32_t which,
                                   struct sim_error *err)
{
  const struct case_net *net = &n->script->nets[which];
  for (uint32_t i = 0; i < net->pin_count; i++) {
    enum sim_status status = resolve_pin(n, which, i, err);
    if (status != SIM_OK) return status;
  }
  for (uint32_t i = 0; i < net->driver_count; i++) {
    enum sim_status status = resolve_driver(n, which, i, err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

enum sim_status nets_init(struct nets *n, const struct case_script *script,
                          const struct part *part, struct pins *pins,
                          struct trace *tr, struct sim_error *err)
{
  *n =
      (struct nets){.script = script, .part = part, .pins = pins, .trace = tr};
  memset(n->bench, DRIVE_RELEASE, sizeof n->bench);
  for (uint32_t pin = 0; pin < PART_MAX_PINS; pin++)
    n->ends[pin].node = CASE_MAX_NETS + pin;
  for (uint32_t i = 0; i < script->net_count; i++) {
    enum sim_status status = resolve_net(n, i, err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

/* --- the circuit --------------------------------------------------------- */

/* A node with all that leads into it. */
struct circuit {
  struct node node;
  uint32_t source[PART_MAX_PINS]; /* of a pin of it; PART_NONE: none */
};

static int64_t level_uv(const struct nets *n, bool high)
{
  return high ? n->script->supply.source_uv : 0;
}

static void add_output(const struct nets *n, struct circuit *c, uint32_t net,
                       uint32_t driver, bool worst_is_high, bool worst)
{
  const struct case_driver *d = &n->script->nets[net].drivers[driver];
  enum drive_level level = (enum drive_level)n->drivers[net][driver];
  if (level == DRIVE_RELEASE && worst)
    level = worst_is_high ? DRIVE_HIGH : DRIVE_LOW;
  if (level == DRIVE_RELEASE || (level == DRIVE_HIGH && d->open_drain)) return;
  node_add(&c->node, level_uv(n, level == DRIVE_HIGH), d->resistance_mohm,
           NODE_BOTH_WAYS);
}

static void add_led(const struct nets *n, struct circuit *c,
                    const struct case_led *led)
{
  if (led->to == NET_GROUND)
    node_add(&c->node, led->drop_uv, led->through_mohm, NODE_FROM_NODE);
  else
    node_add(&c->node, level_uv(n, true) - led->drop_uv, led->through_mohm,
             NODE_INTO_NODE);
}

/* What the board puts on a net, but for other chips' outputs. */
static void add_passive(const struct nets *n, struct circuit *c,
                        const struct case_net *net)
{
  if (net->fixed)
    node_add(&c->node, level_uv(n, net->to == NET_SUPPLY), net->through_mohm,
             NODE_BOTH_WAYS);
  if (net->pull_up_mohm > 0)
    node_add(&c->node, level_uv(n, true), net->pull_up_mohm, NODE_BOTH_WAYS);
  if (net->pull_down_mohm > 0)
    node_add(&c->node, 0, net->pull_down_mohm, NODE_BOTH_WAYS);
  if (net->has_led) add_led(n, c, &net->led);
}

static int64_t series_of(const struct nets *n, uint32_t pin)
{
  uint32_t node = n->ends[pin].node;
  return node < CASE_MAX_NETS ? n->script->nets[node].series_mohm : 0;
}

static void add_pin(const struct nets *n, struct circuit *c, uint32_t pin,
                    bool high, int64_t driver_mohm)
{
  c->source[pin] = c->node.count;
  node_add(&c->node, level_uv(n, high), driver_mohm + series_of(n, pin),
           NODE_BOTH_WAYS);
}

static void add_driven_pin(const struct nets *n, struct circuit *c,
                           uint32_t pin, uint32_t but)
{
  if (pin != but && (n->pins->shown & bit(pin)))
    add_pin(n, c, pin, n->pins->shown_level & bit(pin),
            n->part->pins.drive_resistance.typ);
}

/* All but pin `but`; where `worst`, outputs that let go drive. */
static void draw(const struct nets *n, struct circuit *c, uint32_t node,
                 uint32_t but, bool worst_is_high, bool worst)
{
  c->node.count = 0;
  for (uint32_t i = 0; i < PART_MAX_PINS; i++)
    c->source[i] = PART_NONE;
  if (n->bench[node] != DRIVE_RELEASE) /* stiff, and before any other */
    node_add(&c->node, level_uv(n, n->bench[node] == DRIVE_HIGH), 0,
             NODE_BOTH_WAYS);
  if (node >= CASE_MAX_NETS) {
    add_driven_pin(n, c, node - CASE_MAX_NETS, but);
    return;
  }
  const struct case_net *net = &n->script->nets[node];
  add_passive(n, c, net);
  for (uint32_t i = 0; i < net->driver_count; i++)
    add_output(n, c, node, i, worst_is_high, worst);
  for (uint32_t i = 0; i < net->pin_count; i++)
    add_driven_pin(n, c, n->members[node][i], but);
}

static struct net_meeting meet(const struct nets *n, uint32_t pin, bool high,
                               int64_t driver_mohm, bool worst)
{
  struct net_meeting m = {0};
  struct circuit c;
  int64_t uv;
  draw(n, &c, n->ends[pin].node, pin, !high, worst);
  if (c.node.count == 0) return m;
  if (!node_level(&c.node, &uv)) uv = c.node.sources[0].uv; /* a dark diode */
  m.across_uv = llabs(level_uv(n, high) - uv);
  add_pin(n, &c, pin, high, driver_mohm);
  m.current_na = llabs(node_current(&c.node, c.source[pin]));
  if (m.current_na == 0) m.across_uv = 0;
  m.part_nw = node_heat(m.current_na, driver_mohm);
  m.net_nw = node_power(&c.node);
  return m;
}

struct net_meeting nets_meet(const struct nets *n, uint32_t pin, bool high,
                             int64_t driver_mohm)
{
  return meet(n, pin, high, driver_mohm, true);
}

int64_t nets_current(const struct nets *n, uint32_t pin, bool high)
{
  return meet(n, pin, high, n->part->pins.drive_resistance.typ, false)
      .current_na;
}

/* --- contention ---------------------------------------------------------- */

/* Energy of a fight up to now, at the power that it had. */
static void sum_up(struct nets *n, uint32_t pin, ps_t now)
{
  struct net_pin *p = &n->ends[pin];
  int64_t part_nw =
      node_heat(p->current_na, n->part->pins.drive_resistance.typ);
  ps_t lasted = now - p->at;
  p->part_pj += (int64_t)((wide_t)part_nw * lasted / NW_PS_PER_PJ);
  p->net_pj += (int64_t)((wide_t)p->net_nw * lasted / NW_PS_PER_PJ);
  p->at = now;
}

static uint32_t whole_nj(int64_t pj)
{
  int64_t nj = (pj + PJ_PER_NJ / 2) / PJ_PER_NJ;
  return nj < UINT32_MAX ? (uint32_t)nj : UINT32_MAX;
}

static void tell_energy(struct nets *n, uint32_t pin, struct moment now)
{
  const struct net_pin *p = &n->ends[pin];
  trace_add(n->trace, now, TRACE_ENERGY, pin, whole_nj(p->part_pj));
  trace_add(n->trace, now, TRACE_NET_ENERGY, pin, whole_nj(p->net_pj));
}

static void begin_fight(struct nets *n, uint32_t pin, struct moment now)
{
  struct net_pin *p = &n->ends[pin];
  p->since = now.at;
  p->part_pj = p->net_pj = 0;
  trace_add(n->trace, now, TRACE_CONTENTION, pin,
            (uint32_t)(p->current_na / NA_PER_MA));
  if (n->pins->by != PINS_BY_NONE)
    trace_add(n->trace, now, TRACE_CONTENTION_BY, pin, n->pins->by);
}

static void end_fight(struct nets *n, uint32_t pin, struct moment now)
{
  trace_add(n->trace, now, TRACE_CONTENTION_END, pin,
            (uint32_t)((now.at - n->ends[pin].since) / PS_PER_US));
  tell_energy(n, pin, now);
}

static void judge(struct nets *n, uint32_t pin, struct moment now)
{
  bool fights = n->ends[pin].current_na > n->part->pins.current_limit.typ;
  bool fought = n->fighting & bit(pin);
  if (fights == fought) return;
  n->fighting ^= bit(pin);
  if (fights)
    begin_fight(n, pin, now);
  else
    end_fight(n, pin, now);
}

/* All pins together. */
static void judge_sum(struct nets *n, struct moment now)
{
  int64_t sum = 0, limit = n->part->pins.total_limit.typ;
  for (uint32_t pin = 0; pin < n->part->pins.count; pin++)
    sum += n->ends[pin].current_na;
  bool over = limit > 0 && sum > limit;
  if (over && !n->overloaded)
    trace_add(n->trace, now, TRACE_OVERLOAD, (uint32_t)(sum / NA_PER_MA),
              (uint32_t)(limit / NA_PER_MA));
  n->overloaded = over;
}

static void take_current(struct nets *n, const struct circuit *c, uint32_t pin,
                         struct moment now)
{
  struct net_pin *p = &n->ends[pin];
  if (n->fighting & bit(pin)) sum_up(n, pin, now.at);
  p->at = now.at;
  p->current_na = c->source[pin] == PART_NONE
                      ? 0
                      : llabs(node_current(&c->node, c->source[pin]));
  p->net_nw = node_power(&c->node);
  judge(n, pin, now);
}

/* What the pin reads while it does not drive. */
static void reach_pin(struct nets *n, uint32_t pin, struct moment now)
{
  struct circuit c;
  int64_t uv = 0;
  draw(n, &c, n->ends[pin].node, pin, false, false);
  bool there = node_level(&c.node, &uv);
  bool high = there && uv * 2 >= n->script->supply.source_uv;
  if (there == !!(n->reached & bit(pin)) &&
      high == !!(n->reached_level & bit(pin)))
    return;
  n->reached = there ? n->reached | bit(pin) : n->reached & ~bit(pin);
  n->reached_level =
      high ? n->reached_level | bit(pin) : n->reached_level & ~bit(pin);
  pins_drive_outside(n->pins, pin, there, high, now,
                     n->untold ? NULL : n->trace);
}

/* Something changed on a node: what becomes of its pins? */
static void settle_node(struct nets *n, uint32_t node, struct moment now)
{
  struct circuit c;
  draw(n, &c, node, PART_NONE, false, false);
  for (uint32_t pin = 0; pin < n->part->pins.count; pin++) {
    if (n->ends[pin].node != node) continue;
    reach_pin(n, pin, now);
    take_current(n, &c, pin, now);
  }
  judge_sum(n, now);
}

static void watch_pins(void *context, const struct trace_record *r)
{
  struct nets *n = context;
  settle_node(n, n->ends[r->a].node, (struct moment){r->at, r->cycle});
}

void nets_connect(struct nets *n)
{
  trace_listen(n->trace, TRACE_BIT(TRACE_PIN), watch_pins, n);
  for (uint32_t i = 0; i < n->script->net_count; i++)
    settle_node(n, i, (struct moment){0, 0});
}

void nets_drive(struct nets *n, uint32_t pin, enum drive_level level,
                struct moment now)
{
  uint32_t node = n->ends[pin].node;
  n->bench[node] = (uint8_t)level;
  settle_node(n, node, now);
}

void nets_drive_output(struct nets *n, uint32_t net, uint32_t driver,
                       enum drive_level level, struct moment now)
{
  n->drivers[net][driver] = (uint8_t)level;
  settle_node(n, net, now);
}

void nets_end(struct nets *n, struct moment now)
{
  for (uint32_t pin = 0; pin < n->part->pins.count; pin++) {
    if (!(n->fighting & bit(pin))) continue;
    sum_up(n, pin, now.at);
    tell_energy(n, pin, now);
  }
}

void nets_drive_bit(struct nets *n, uint32_t pin, bool high, struct moment now)
{
  n->untold = true;
  nets_drive(n, pin, high ? DRIVE_HIGH : DRIVE_LOW, now);
  n->untold = false;
}

bool nets_level(const struct nets *n, uint32_t pin)
{
  const struct pins *p = n->pins;
  if (p->shown & bit(pin)) return p->shown_level & bit(pin);
  return !(p->outside & bit(pin)) || (p->outside_level & bit(pin));
}

void nets_fold(const struct nets *n, struct fold *f)
{
  struct nets seen;
  memcpy(&seen, n, sizeof(seen));
  for (uint32_t i = 0; i < PART_MAX_PINS; i++) {
    seen.ends[i].at = seen.ends[i].since = 0;
    seen.ends[i].part_pj = seen.ends[i].net_pj = 0;
  }
  fold_add(f, &seen, sizeof(seen));
}
