#include "run/fights.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "describe/trace_kinds.h"

/* The net that a pin is on, or NULL. */
static const char *net_of(const struct plan *plan, const char *pin)
{
  for (uint32_t i = 0; i < plan->script->net_count; i++)
    for (uint32_t k = 0; k < plan->script->nets[i].pin_count; k++)
      if (strcmp(plan->script->nets[i].pins[k], pin) == 0)
        return plan->script->nets[i].name;
  return NULL;
}

static struct fight *entry(struct fights *f, const struct trace_record *r)
{
  uint32_t *at = &f->of_pin[r->a];
  if (*at != PART_NONE) return &f->list[*at];
  const struct start *start = starts_last(f->starts);
  *at = f->count++;
  const char *pin = f->plan->part->pins.names[r->a];
  f->list[*at] =
      (struct fight){.pin = pin,
                     .net = net_of(f->plan, pin),
                     .start = start == NULL ? 0 : start->number,
                     .step = f->step,
                     .at = r->at,
                     .limit_na = f->plan->part->pins.current_limit.typ};
  return &f->list[*at];
}

static void begins(struct fights *f, const struct trace_record *r)
{
  struct fight *fight = entry(f, r);
  fight->count++;
  fight->goes_on = true;
  if (r->b > fight->most_ma) fight->most_ma = r->b;
  f->since[r->a] = r->at;
}

/* Only who began the first is told. */
static void begun_by(struct fights *f, const struct trace_record *r)
{
  struct fight *fight = entry(f, r);
  if (fight->count > 1) return;
  fight->by_instruction = true;
  fight->pc = r->b;
  fight->symbol = plan_symbol(f->plan, f->arena, f->starts->region, r->b);
  fight->source = plan_source(f->plan, f->arena, f->starts->region, r->b);
}

static void ends(struct fights *f, const struct trace_record *r)
{
  struct fight *fight = entry(f, r);
  fight->goes_on = false;
  fight->lasted += r->at - f->since[r->a];
}

static void took(struct fights *f, const struct trace_record *r)
{
  struct fight *fight = entry(f, r);
  if (r->kind == TRACE_ENERGY)
    fight->part_nj += r->b;
  else
    fight->net_nj += r->b;
  fight->more |= r->b == UINT32_MAX;
}

static void fold(void *context, const struct trace_record *r)
{
  struct fights *f = context;
  switch (r->kind) {
  case TRACE_STEP: f->step = r->a; break;
  case TRACE_CONTENTION: begins(f, r); break;
  case TRACE_CONTENTION_BY: begun_by(f, r); break;
  case TRACE_CONTENTION_END: ends(f, r); break;
  case TRACE_ENERGY:
  case TRACE_NET_ENERGY: took(f, r); break;
  default: break;
  }
}

void fights_init(struct fights *f, const struct plan *plan,
                 const struct starts *starts, struct arena *arena,
                 struct trace *tr)
{
  *f = (struct fights){.plan = plan, .starts = starts, .arena = arena};
  f->list = arena_array(arena, PART_MAX_PINS, sizeof(*f->list));
  for (uint32_t i = 0; i < PART_MAX_PINS; i++)
    f->of_pin[i] = PART_NONE;
  trace_listen(tr,
               TRACE_BIT(TRACE_STEP) | TRACE_BIT(TRACE_CONTENTION) |
                   TRACE_BIT(TRACE_CONTENTION_BY) |
                   TRACE_BIT(TRACE_CONTENTION_END) | TRACE_BIT(TRACE_ENERGY) |
                   TRACE_BIT(TRACE_NET_ENERGY),
               fold, f);
}

void fights_end(struct fights *f, struct moment now)
{
  for (uint32_t pin = 0; pin < PART_MAX_PINS; pin++) {
    struct fight *fight = &f->list[f->of_pin[pin] % PART_MAX_PINS];
    if (f->of_pin[pin] != PART_NONE && fight->goes_on)
      fight->lasted += now.at - f->since[pin];
  }
}

/* --- in words ------------------------------------------------------------ */

static void energy_text(uint64_t nj, bool more, char *text, size_t size)
{
  static const char *const suffixes[] = {"nJ", "uJ", "mJ", "J"};
  uint64_t scale = 1;
  unsigned i = 0;
  for (; i < 3 && nj / scale >= 1000; i++)
    scale *= 1000;
  char digits[16] = "";
  if (scale > 1)
    snprintf(digits, sizeof(digits), ".%03u",
             (unsigned)(nj % scale / (scale / 1000)));
  snprintf(text, size, "%s%" PRIu64 "%s %s", more ? "more than " : "",
           nj / scale, digits, suffixes[i]);
}

static void put_cause(const struct fight *fight, char *text, size_t size)
{
  if (!fight->by_instruction) {
    snprintf(text, size,
             "by no instruction: from outside, or as a pin came "
             "back with the supply");
    return;
  }
  const char *symbol = fight->symbol, *source = fight->source;
  snprintf(text, size, "by the instruction at 0x%08" PRIx32 "%s%s%s%s%s",
           fight->pc, symbol != NULL ? " " : "", symbol != NULL ? symbol : "",
           source != NULL ? " (" : "", source != NULL ? source : "",
           source != NULL ? ")" : "");
}

void fights_text(const struct fight *fight, char *text, size_t size)
{
  char limit[32], lasted[32], when[32], part[40], net[40], cause[200];
  char times[32] = "";
  units_text(limit, sizeof(limit), UNIT_CURRENT, fight->limit_na);
  units_text(lasted, sizeof(lasted), UNIT_TIME, fight->lasted);
  units_text(when, sizeof(when), UNIT_TIME, fight->at);
  energy_text(fight->part_nj, fight->more, part, sizeof(part));
  energy_text(fight->net_nj, fight->more, net, sizeof(net));
  put_cause(fight, cause, sizeof(cause));
  if (fight->count > 1)
    snprintf(times, sizeof(times), ", %" PRIu32 " times", fight->count);
  snprintf(text, size,
           "Pin %s was driven against its net%s%s: %" PRIu32
           " mA, more than the %s that a pin of this part may carry, for "
           "%s%s%s. The part's driver took %s, the whole net %s. It began at "
           "%s, in steps[%" PRIu32
           "], %s. Contention can destroy parts: limit "
           "the current on first power-up.",
           fight->pin, fight->net != NULL ? " " : "",
           fight->net != NULL ? fight->net : "", fight->most_ma, limit, lasted,
           times, fight->goes_on ? " and on at the end of the run" : "", part,
           net, when, fight->step, cause);
}

/* V / I_limit - V / I, with the next whole mA above the one told. */
int64_t fights_series_ohm(const struct fight *fight, int64_t supply_uv)
{
  const int64_t na_per_ma = 1000000, na_per_a = 1000000000;
  wide_t limit = fight->limit_na;
  wide_t flowed = ((wide_t)fight->most_ma + 1) * na_per_ma;
  wide_t uohm = (wide_t)supply_uv * na_per_a / limit -
                (wide_t)supply_uv * na_per_a / flowed;
  return (int64_t)((uohm + 999999) / 1000000);
}
