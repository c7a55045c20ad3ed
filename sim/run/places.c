#include "run/places.h"

#include "core/core.h"
#include "describe/trace_kinds.h"

/* Enough for six instructions; and for one behind the place where it stopped,
 * with so many before it that their boundaries are found. */
#define CODE_AHEAD  24u
#define CODE_BEFORE 32u
#define CODE_BEHIND 8u
_Static_assert(CODE_AHEAD <= RESULT_CODE_BYTES &&
                   CODE_BEFORE + CODE_BEHIND <= RESULT_CODE_BYTES,
               "there is room");

/* The start that goes on, or whose end is being told; NULL if there is
 * none. */
static struct start *current(const struct places *p)
{
  struct start *s = starts_last(p->starts);
  bool its_own = s != NULL && s->number != p->done && !p->starts->loader;
  return its_own ? s : NULL;
}

static const char *source(const struct places *p, addr_t at)
{
  return plan_source(p->plan, p->arena, p->starts->region, at);
}

/* Halfwords from `from` on, as far as plain memory goes. */
static struct code_bytes take_code(const struct places *p, addr_t at,
                                   addr_t from, uint32_t size)
{
  struct code_bytes code = {.at = at, .from = from};
  uint32_t half;
  while (code.count < size && bus_peek(p->bus, from + code.count, 2, &half)) {
    code.bytes[code.count++] = (uint8_t)half;
    code.bytes[code.count++] = (uint8_t)(half >> 8);
  }
  return code;
}

static struct code_bytes code_ahead(const struct places *p, addr_t at)
{
  return take_code(p, at, at, CODE_AHEAD);
}

static struct code_bytes code_around(const struct places *p, addr_t at)
{
  uint32_t offset;
  unsigned region = bus_find(p->bus, at, &offset);
  if (region == BUS_NO_REGION) return (struct code_bytes){.at = at};
  uint32_t before = offset < CODE_BEFORE ? offset : CODE_BEFORE;
  return take_code(p, at, at - before, before + CODE_BEHIND);
}

static void first_fetch(const struct places *p)
{
  struct start *s = current(p);
  if (s == NULL) return;
  s->source = source(p, s->pc);
  s->code = code_ahead(p, s->pc);
}

/* The crossing may be the landing, or begin a start by hand-over. */
static void entered(struct places *p, const struct trace_record *r)
{
  struct start *s = current(p);
  if (s == NULL) return;
  if (s->how == START_HANDOVER && s->at == r->at && s->pc == r->b)
    first_fetch(p);
  const struct landing *l = &s->landing;
  if (!l->landed || l->at != r->at || l->pc != r->b) return;
  s->landing_source = source(p, l->pc);
  s->landing_code = code_ahead(p, l->pc);
}

static void waits(const struct places *p, const struct trace_record *r)
{
  struct start *s = current(p);
  if (s == NULL) return;
  s->waits_source = source(p, r->b);
  s->stop_code = code_around(p, r->b);
}

static void stops(const struct places *p, const struct trace_record *r)
{
  struct start *s = current(p);
  if (s == NULL || r->a == CORE_HELD || r->a == CORE_OFF) return;
  s->stop_source = source(p, r->b);
  s->stop_code = r->a == CORE_RUNNING ? (struct code_bytes){.at = r->b}
                                      : code_around(p, r->b);
}

static void faulted(const struct places *p, const struct trace_record *r)
{
  struct start *s = current(p);
  const char *word = trace_word("exception", r->a);
  bool fault = r->a >= EXCEPTION_HARDFAULT && r->a < EXCEPTION_SVCALL;
  if (s == NULL || !fault || word == NULL || s->fault.exception != NULL)
    return;
  s->fault = (struct start_fault){
      .exception = word,
      .at = r->at,
      .pc = r->b,
      .symbol = plan_symbol(p->plan, p->arena, p->starts->region, r->b),
      .source = source(p, r->b)};
}

static void ended(struct places *p)
{
  struct start *s = current(p);
  if (s == NULL) return;
  if (s->outcome == OUTCOME_RESET) {
    s->stop_source = source(p, s->stop_pc);
    if (start_doing(s) == OUTCOME_RUNNING)
      s->stop_code = code_around(p, s->stop_pc);
  }
  p->done = s->number;
}

static void fold(void *context, const struct trace_record *r)
{
  struct places *p = context;
  switch (r->kind) {
  case TRACE_VECTORS: first_fetch(p); break;
  case TRACE_ENTER: entered(p, r); break;
  case TRACE_WAITING: waits(p, r); break;
  case TRACE_MODE: stops(p, r); break;
  case TRACE_EXCEPTION: faulted(p, r); break;
  case TRACE_RESET: ended(p); break;
  case TRACE_RAIL_FALL:
    if (threshold_resets(r->a)) ended(p);
    break;
  default: break;
  }
}

void places_init(struct places *p, const struct plan *plan,
                 const struct starts *starts, struct arena *arena,
                 const struct bus *bus, struct trace *tr)
{
  *p = (struct places){
      .plan = plan, .starts = starts, .arena = arena, .bus = bus};
  trace_listen(tr,
               TRACE_BIT(TRACE_VECTORS) | TRACE_BIT(TRACE_ENTER) |
                   TRACE_BIT(TRACE_WAITING) | TRACE_BIT(TRACE_MODE) |
                   TRACE_BIT(TRACE_EXCEPTION) | TRACE_BIT(TRACE_RESET) |
                   TRACE_BIT(TRACE_RAIL_FALL),
               fold, p);
}
