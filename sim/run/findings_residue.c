#include "run/findings_residue.h"

#include <assert.h>
#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>

#include "describe/trace_kinds.h"

/* --- what is told -------------------------------------------------------- */

struct text {
  char at[600];
  size_t used;
};

static void put(struct text *to, const char *format, ...) SIM_PRINTF(2, 3);

static void put(struct text *to, const char *format, ...)
{
  va_list args;
  va_start(args, format);
  int n =
      vsnprintf(to->at + to->used, sizeof(to->at) - to->used, format, args);
  va_end(args);
  to->used += (size_t)n;
  assert(n >= 0 && to->used < sizeof(to->at));
}

static void put_exception(struct text *to, uint32_t number)
{
  const char *word = trace_word("exception", number);
  if (word != NULL)
    put(to, " (%s)", word);
  else
    put(to, " (exception %" PRIu32 ")", number);
}

/* Where nothing lies there by itself, it is what is seen at address 0. */
static void put_base(struct text *to, const struct residue_facts *f,
                     addr_t base)
{
  const struct part *part = f->findings->plan->part;
  uint32_t region = f->seen_at_0;
  const char *lies = "seen";
  for (uint32_t i = 0; i < part->memory_count; i++) {
    if (base - part->memory[i].at >= part->memory[i].size) continue;
    region = i;
    lies = "lies";
  }
  put(to, ", that at 0x%08" PRIx32, base);
  if (region < part->memory_count)
    put(to, ", where %s %s%s", part->memory[region].name,
        lies[0] == 's' ? "is " : "", lies);
}

static void put_clock(struct text *to, const struct part *part,
                      uint32_t source)
{
  char hz[32];
  const struct part_clock_source *clock = &part->clock.sources[source];
  units_text(hz, sizeof(hz), UNIT_FREQUENCY, clock->frequency.typ);
  put(to, " but %s, %s", clock->name, hz);
}

static void put_detail(struct text *to, const struct residue_facts *f,
                       const struct trace_record *r)
{
  switch ((enum residue)r->a) {
  case RESIDUE_CLOCK: put_clock(to, f->findings->plan->part, r->b); break;
  case RESIDUE_HANDLER:
  case RESIDUE_ENABLED:
  case RESIDUE_PENDING: put_exception(to, r->b); break;
  case RESIDUE_BREAKPOINTS: put(to, " (at 0x%08" PRIx32 ")", r->b); break;
  case RESIDUE_BASEPRI:
  case RESIDUE_PROCESS_STACK:
  case RESIDUE_STACK: put(to, " (it was 0x%08" PRIx32 ")", r->b); break;
  case RESIDUE_VECTORS: put_base(to, f, r->b); break;
  case RESIDUE_SYSTICK:
    put(to, " with a period of %" PRIu32 " cycles", r->b + 1);
    break;
  case RESIDUE_PINS: put(to, ", %" PRIu32 " of them", r->b); break;
  default: break;
  }
}

/* A boot ROM that goes on to the program is still in its own start. */
static void put_beginning(struct text *to, const struct start *s)
{
  bool landed = s->how == START_RESET && s->landing.landed;
  if (landed)
    put(to,
        "In start %" PRIu32 " the boot ROM handed over to 0x%08" PRIx32
        ", and no reset came between: ",
        s->number, s->landing.pc);
  else
    put(to, "Start %" PRIu32 " %s: ", s->number,
        s->how == START_RESET ? "began with what the reset keeps"
                              : "was no reset");
}

static bool has_vector_base(const struct part *part)
{
  return part->core.vector_base || part->core.kind >= CORE_KIND_M3;
}

static const char *remedy_of(const struct part *part, enum residue item)
{
  if (item == RESIDUE_VECTORS && !has_vector_base(part))
    return "start it by a reset: this part has no register for the vector "
           "base";
  const char *by_program = residue_remedy(item);
  if (by_program != NULL) return by_program;
  return residue_of_debugger(item)
             ? "have the probe leave nothing behind when it detaches"
             : "start it by a reset, which ends this";
}

/* --- when it is told ----------------------------------------------------- */

static bool told(struct residue_facts *f, uint32_t item)
{
  bool before = f->told >> item & 1u;
  f->told |= UINT32_C(1) << item;
  return before;
}

static void left(struct residue_facts *f, const struct trace_record *r)
{
  enum residue item = (enum residue)r->a;
  const struct start *s = starts_last(f->findings->starts);
  bool debugger = f->probe || f->on_line;
  if (s == NULL || (residue_of_debugger(item) && debugger) || told(f, item))
    return;
  struct text text = {.used = 0};
  put_beginning(&text, s);
  put(&text, "%s", residue_sentence(item));
  put_detail(&text, f, r);
  put(&text, ".");
  struct finding *finding =
      findings_add(f->findings, FINDING_RESIDUE, s->number, text.at);
  finding->residue = item;
  findings_remedy(f->findings, finding,
                  remedy_of(f->findings->plan->part, item));
}

/* Debug enable is as the last detach left it, until a reset clears it. */
static void use_probe(struct residue_facts *f, const struct trace_record *r)
{
  if (r->a == ACTION_ATTACH) f->debug = false;
  if (r->a == ACTION_DETACH) f->debug = r->b != 0;
  if (r->a != ACTION_ATTACH && r->a != ACTION_DETACH) return;
  f->probe = r->a == ACTION_ATTACH;
  f->on_line = false;
}

/* A reset that clears debug enable takes the probe's attachment with it. */
static void reset(struct residue_facts *f, const struct trace_record *r)
{
  if (!f->findings->plan->part->resets[r->a].does[RESET_DEBUG]) return;
  f->debug = f->probe = false;
}

static void tell_debug(struct residue_facts *f)
{
  const struct start *s = starts_last(f->findings->starts);
  if (!f->debug || f->on_line || told(f, RESIDUE_DEBUG)) return;
  struct text text = {.used = 0};
  put(&text,
      "Start %" PRIu32 " began with debug enable still set by the probe "
      "that was detached: a breakpoint instruction halts the core for "
      "good, where in the shipped unit it is a fault.",
      s->number);
  struct finding *finding =
      findings_add(f->findings, FINDING_RESIDUE, s->number, text.at);
  finding->residue = RESIDUE_DEBUG;
  findings_remedy(f->findings, finding,
                  remedy_of(f->findings->plan->part, RESIDUE_DEBUG));
  findings_remedy(
      f->findings, finding,
      f->findings->plan->script->supply.removable
          ? "a power-on"
          : "a power-on (this board's supply can't be switched off)");
}

static void fold(void *context, const struct trace_record *r)
{
  struct residue_facts *f = context;
  switch (r->kind) {
  case TRACE_PROBE: use_probe(f, r); break;
  case TRACE_RESET_LINE: f->on_line |= r->b == DRIVER_PROBE; break;
  case TRACE_RESET: reset(f, r); break;
  case TRACE_MAP: f->seen_at_0 = r->a; break;
  case TRACE_START: tell_debug(f); break;
  case TRACE_RESIDUE: left(f, r); break;
  case TRACE_ENTER: f->on_line = false; break;
  default: break;
  }
}

void residue_facts_init(struct residue_facts *f, struct findings *findings,
                        struct trace *tr)
{
  *f = (struct residue_facts){.findings = findings, .seen_at_0 = PART_NONE};
  trace_listen(tr,
               TRACE_BIT(TRACE_PROBE) | TRACE_BIT(TRACE_RESET_LINE) |
                   TRACE_BIT(TRACE_RESET) | TRACE_BIT(TRACE_MAP) |
                   TRACE_BIT(TRACE_START) | TRACE_BIT(TRACE_RESIDUE) |
                   TRACE_BIT(TRACE_ENTER),
               fold, f);
}
