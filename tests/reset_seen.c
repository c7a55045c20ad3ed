#include "reset_seen.h"

#include <inttypes.h>

#include "describe/names.h"
#include "describe/trace_kinds.h"

#define MHZ INT64_C(1000000)

/* --- what is seen of a run ----------------------------------------------- */

/* Core clocks since the reset say which clock ran meanwhile. */
static bool was_fast(const struct trace_record *reset,
                     const struct trace_record *start)
{
  int64_t edges = (int64_t)(start->cycle - reset->cycle);
  int64_t hz = edges * PS_PER_S / (start->at - reset->at);
  bool fast = hz > 16 * MHZ;
  int64_t wanted = fast ? 24 * MHZ : 8 * MHZ;
  assert_in_range(hz, wanted - wanted / 20, wanted + wanted / 20);
  return fast;
}

static void see_start(struct reset_seen *seen, const struct trace_record *r)
{
  assert_true(seen->count < RESET_SCRIPT_STARTS);
  struct reference_start *start = &seen->starts[seen->count++];
  *start = seen->next;
  start->fast = was_fast(&seen->reset, r);
  seen->next.flagged = seen->next.line_pulled = false;
  seen->next.straps_sampled = false;
  seen->start = *r;
}

static void see_read(struct reset_seen *seen, uint32_t at, uint32_t value)
{
  uint32_t last = seen->count - 1;
  struct reference_start *start = &seen->starts[last];
  if (at == 0) start->first_word = value;
  if (at == SCRIPT_MARKER) seen->marker[last] = value;
  if (at == SCRIPT_FLAGS) seen->flags[last] = value;
  if (at == SCRIPT_DEMCR) start->catch_armed = value & 1u;
}

/* By the vector catch only if it is at the instant of the start. */
static void see_mode(struct reset_seen *seen, const struct trace_record *r)
{
  if (seen->count == 0 || r->at != seen->start.at) return;
  const char *mode = trace_word("mode", r->a);
  seen->starts[seen->count - 1].halted = strcmp(mode, "halted") == 0;
}

void reset_see(void *context, const struct trace_record *r)
{
  struct reset_seen *seen = context;
  switch (r->kind) {
  case TRACE_RESET: seen->reset = *r; break;
  case TRACE_FLAG:
    if (r->b && r->a == seen->reset.a) seen->next.flagged = true;
    break;
  case TRACE_STRAP: seen->next.straps_sampled = true; break;
  case TRACE_PIN:
    if (r->a == SCRIPT_PIN) seen->next.pin_driven = r->b != PIN_RELEASED;
    break;
  case TRACE_FLASH_LOCK: seen->next.unlocked = !r->a; break;
  case TRACE_RESET_LINE:
    if (!r->a && r->b == DRIVER_PART) seen->next.line_pulled = true;
    break;
  case TRACE_START: see_start(seen, r); break;
  case TRACE_MODE: see_mode(seen, r); break;
  case TRACE_READ: see_read(seen, r->a, r->b); break;
  default: break;
  }
}

/* --- comparing ----------------------------------------------------------- */

/* Which start of which script an answer is about. */
struct place {
  const struct part *part;
  const struct reset_script *script;
  uint32_t n; /* from 0 */
};

static void same(const struct place *p, const char *what, uint64_t simulated,
                 uint64_t reference)
{
  if (simulated == reference) return;
  fail_msg("start %" PRIu32 " (%s): %s is 0x%" PRIx64
           "; the reference has 0x%" PRIx64,
           p->n + 1, cause_word(p->script->expected[p->n].cause), what,
           simulated, reference);
}

static void same_text(const struct place *p, const char *what,
                      const char *simulated, const char *reference)
{
  if (simulated && strcmp(simulated, reference) == 0) return;
  fail_msg("start %" PRIu32 " (%s): %s is %s; the reference has %s", p->n + 1,
           cause_word(p->script->expected[p->n].cause), what,
           simulated ? simulated : "missing", reference);
}

/* Flags that the part has a register field for. */
static uint32_t readable_flags(const struct part *part, uint32_t flags)
{
  uint32_t word = 0;
  for (enum cause cause = 0; cause < CAUSE_COUNT_; cause++) {
    const struct part_field *field =
        part_field_of(part, (enum role)(ROLE_CAUSE_POWER_ON + cause), NULL);
    if (field && (flags >> cause & 1u)) word |= 1u << field->lsb;
  }
  return word;
}

static void same_result(const struct place *p, const struct start *simulated)
{
  const struct reference_start *e = &p->script->expected[p->n];
  assert_int_equal(simulated->how, START_RESET);
  same(p, "cause", simulated->cause, e->cause);
  assert_true(simulated->has_latch);
  same(p, "latch", simulated->latch_programmed, e->programmed);
  same(p, "stale", simulated->stale, e->stale);
  same_text(p, "rule", simulated->rule, e->rule);
  same_text(p, "region", simulated->region, e->region);
  same(p, "word at 0", simulated->alias_word, e->first_word);
  same(p, "stack pointer", simulated->sp, e->sp);
  same(p, "first fetch", simulated->pc, e->pc);
}

static void same_seen(const struct place *p, const struct reset_seen *seen)
{
  const struct reference_start *e = &p->script->expected[p->n];
  const struct reference_start *s = &seen->starts[p->n];
  bool kept = seen->marker[p->n] == p->script->marker[p->n];
  same(p, "word read at 0", s->first_word, e->first_word);
  same(p, "RAM kept", kept, e->ram_kept);
  same(p, "flags", seen->flags[p->n], readable_flags(p->part, e->flags));
  same(p, "its own flag", s->flagged, e->flagged);
  same(p, "halted at once", s->halted, e->halted);
  same(p, "vector catch", s->catch_armed, e->catch_armed);
  same(p, "straps sampled", s->straps_sampled, e->straps_sampled);
  same(p, "output kept", s->pin_driven, e->pin_driven);
  same(p, "clock kept", s->fast, e->fast);
  same(p, "flash still open", s->unlocked, e->unlocked);
  if (e->cause == CAUSE_PIN) return; /* the bench holds the line */
  same(p, "line pulled", s->line_pulled, e->line_pulled);
}

/* Halted at once is no instruction, and the next reset finds it there. */
static void same_halt(const struct place *p, const struct start *simulated)
{
  if (!p->script->expected[p->n].halted) return;
  same(p, "instructions", simulated->instructions, 0);
}

void reset_same(const struct part *part, const struct reset_script *script,
                const struct result *result, const struct reset_seen *seen)
{
  struct place p = {part, script, 0};
  for (; p.n < script->count && p.n < result->start_count; p.n++) {
    same_result(&p, &result->starts[p.n]);
    same_seen(&p, seen);
    same_halt(&p, &result->starts[p.n]);
  }
  assert_int_equal(result->start_count, script->count);
  assert_int_equal(seen->count, script->count);
}
