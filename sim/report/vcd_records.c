/* What each kind of record says to a dump. */
#include <assert.h>
#include <stdbool.h>
#include <stddef.h>

#include "core/core.h"
#include "describe/trace_kinds.h"
#include "report/vcd.h"

static void take_source(struct vcd *v, const struct trace_record *r)
{
  vcd_set(v, VCD_SOURCE, 0, r->a);
}

static void take_rail(struct vcd *v, const struct trace_record *r)
{
  vcd_set(v, VCD_RAIL, 0, r->a);
}

static void cross_threshold(struct vcd *v, const struct trace_record *r)
{
  vcd_set(v, VCD_RAIL, 0, r->b);
}

static void take_line(struct vcd *v, const struct trace_record *r)
{
  vcd_set(v, VCD_LINE, 0, r->a);
}

static void take_flag(struct vcd *v, const struct trace_record *r)
{
  vcd_set(v, VCD_FLAG, r->a, r->b);
}

static void take_phase(struct vcd *v, const struct trace_record *r)
{
  vcd_choose(v, VCD_PHASE, r->a);
}

static void take_option(struct vcd *v, const struct trace_record *r)
{
  vcd_set(v, VCD_OPTION, r->a, r->b);
}

static void take_strap(struct vcd *v, const struct trace_record *r)
{
  vcd_set(v, VCD_STRAP, r->a, r->b);
}

static void compare_latch(struct vcd *v)
{
  const struct vcd_var *held = vcd_var(v, VCD_HELD, 0);
  if (!held) return;
  vcd_set(v, VCD_STALE, 0,
          part_has_latch(v->part) && held->state == '0' &&
              held->value != vcd_var(v, VCD_FRESH, 0)->value);
}

static void take_latch(struct vcd *v, const struct trace_record *r)
{
  vcd_set(v, VCD_HELD, 0, r->a);
  compare_latch(v);
}

static void take_fresh(struct vcd *v, const struct trace_record *r)
{
  vcd_set(v, VCD_FRESH, 0, r->a);
  compare_latch(v);
}

/* A core that is off or held executes nowhere. */
static void take_mode(struct vcd *v, const struct trace_record *r)
{
  vcd_choose(v, VCD_MODE, r->a);
  if (r->a == CORE_OFF || r->a == CORE_HELD)
    vcd_choose(v, VCD_REGION, PART_NONE);
}

static void take_region(struct vcd *v, const struct trace_record *r)
{
  vcd_choose(v, VCD_REGION, r->a);
}

static void begin_order(struct vcd *v, const struct trace_record *r)
{
  vcd_set(v, VCD_BUSY, 0, 1);
  vcd_choose(v, VCD_OP, r->a);
}

/* FLASH_TORN, too. */
static void end_order(struct vcd *v, const struct trace_record *r)
{
  (void)r;
  vcd_set(v, VCD_BUSY, 0, 0);
  vcd_choose(v, VCD_OP, 0);
}

static void take_step(struct vcd *v, const struct trace_record *r)
{
  vcd_set(v, VCD_STEP, 0, r->a);
}

/* --- pins ---------------------------------------------------------------- */

static void show_net(struct vcd *v, uint32_t net)
{
  bool fought = false;
  for (uint32_t i = 0; i < v->part->pins.count; i++) {
    fought |= v->nets[i] == net && v->pins[i].fought;
  }
  vcd_set(v, VCD_NET, net, fought);
}

static void show_pin(struct vcd *v, uint32_t pin)
{
  struct vcd_var *level = vcd_var(v, VCD_PIN, pin);
  if (!level) return;
  const struct vcd_pin *p = &v->pins[pin];
  bool driven = p->part != PIN_RELEASED;
  uint8_t drive = driven ? p->part : p->outside;
  level->state = p->fought ? 'x' : drive == PIN_RELEASED ? 'z' : '0';
  level->value = drive == PIN_DRIVEN_HIGH;
  vcd_set(v, VCD_DRIVEN, pin, driven);
  vcd_set(v, VCD_FOUGHT, pin, p->fought);
  if (v->nets[pin] != PART_NONE) show_net(v, v->nets[pin]);
}

static struct vcd_pin *pin_of(struct vcd *v, const struct trace_record *r)
{
  assert(r->a < v->part->pins.count);
  return &v->pins[r->a];
}

static void take_pin(struct vcd *v, const struct trace_record *r)
{
  pin_of(v, r)->part = (uint8_t)r->b;
  show_pin(v, r->a);
}

static void take_outside(struct vcd *v, const struct trace_record *r)
{
  bool released = r->kind == TRACE_NET_RELEASED;
  pin_of(v, r)->outside = (uint8_t)(released ? PIN_RELEASED
                                    : r->b   ? PIN_DRIVEN_HIGH
                                             : PIN_DRIVEN_LOW);
  show_pin(v, r->a);
}

static void take_contention(struct vcd *v, const struct trace_record *r)
{
  pin_of(v, r)->fought = r->kind == TRACE_CONTENTION;
  show_pin(v, r->a);
}

/* --- the table ----------------------------------------------------------- */

const vcd_take vcd_takes[TRACE_KIND_COUNT_] = {
    [TRACE_STEP] = take_step,
    [TRACE_SOURCE] = take_source,
    [TRACE_RAIL] = take_rail,
    [TRACE_RAIL_FALL] = cross_threshold,
    [TRACE_RAIL_RISE] = cross_threshold,
    [TRACE_RESET_LINE] = take_line,
    [TRACE_PHASE] = take_phase,
    [TRACE_FLAG] = take_flag,
    [TRACE_OPTION] = take_option,
    [TRACE_OPTION_FALLBACK] = take_option,
    [TRACE_LATCH] = take_latch,
    [TRACE_FRESH] = take_fresh,
    [TRACE_STRAP] = take_strap,
    [TRACE_ENTER] = take_region,
    [TRACE_MODE] = take_mode,
    [TRACE_PIN] = take_pin,
    [TRACE_FLASH_BEGIN] = begin_order,
    [TRACE_FLASH_END] = end_order,
    [TRACE_FLASH_TORN] = end_order,
    [TRACE_NET] = take_outside,
    [TRACE_NET_RELEASED] = take_outside,
    [TRACE_CONTENTION] = take_contention,
    [TRACE_CONTENTION_END] = take_contention,
};

void vcd_find_nets(struct vcd *v)
{
  for (uint32_t pin = 0; pin < PART_MAX_PINS; pin++) {
    v->nets[pin] = PART_NONE;
    v->pins[pin] = (struct vcd_pin){0};
  }
  for (uint32_t net = 0; net < v->script->net_count; net++) {
    const struct case_net *n = &v->script->nets[net];
    for (uint32_t i = 0; i < n->pin_count; i++) {
      uint32_t pin = part_pin_named(v->part, n->pins[i]);
      if (pin != PART_NONE) v->nets[pin] = net;
    }
  }
}
