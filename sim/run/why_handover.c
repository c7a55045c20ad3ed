/* What a start that was no reset, and a probe that is gone, have to do with
 * it. */
#include <inttypes.h>

#include "run/why_parts.h"

/* --- load and go --------------------------------------------------------- */

static bool starts(const struct step *s)
{
  return s->verb == VERB_PROBE && s->probe == PROBE_START;
}

void why_started_by_probe(const struct why_case *w, struct proposals *p)
{
  why_edit(why_begin(p, WHY_STARTED_BY_PROBE, NULL), EDIT_LAST, 0,
           why_format(w,
                      "[{\"probe\": \"attach\"},"
                      " {\"probe\": \"start\", \"image\": \"%s\"}]",
                      w->image));
}

static const char *start_again(const struct why_case *w, const struct step *s)
{
  if (s->has_at)
    return why_format(w, "{\"probe\": \"start\", \"at\": \"0x%08" PRIx32 "\"}",
                      s->at);
  return why_format(w, "{\"probe\": \"start\", \"image\": \"%s\"}",
                    w->script->images[s->image].name);
}

/* --- what it leaves ------------------------------------------------------ */

/* Registers that the core had when it was halted, and that a start leaves. */
static const struct {
  const char *detail, *name;
  unsigned value;
} registers[] = {
    {"interrupts were masked", "primask", 1},
    {"the process stack was in use", "control", 2},
};

static void registers_left(const struct why_case *w, struct proposals *p,
                           uint32_t step)
{
  for (size_t i = 0; i < sizeof(registers) / sizeof(registers[0]); i++)
    why_edit(why_begin(p, WHY_HANDOVER_RESIDUE, registers[i].detail),
             EDIT_REPLACE, step,
             why_format(w,
                        "[{\"probe\": \"set\", \"register\": \"%s\","
                        " \"value\": \"0x%x\"}, %s]",
                        registers[i].name, registers[i].value,
                        start_again(w, &w->script->steps[step])));
}

static addr_t table_of(const struct why_case *w, const struct step *s)
{
  if (s->has_at) return s->at;
  return w->plan->images[s->image]->segments[0].at;
}

/* As a debugger's jump does it: PC alone. */
static void only_pc_set(const struct why_case *w, struct proposals *p,
                        uint32_t step)
{
  const struct step *s = &w->script->steps[step];
  uint32_t entry;
  if (!why_word_at(w->bytes, table_of(w, s) + 4, &entry)) return;
  why_edit(why_begin(p, WHY_HANDOVER_RESIDUE,
                     "stack, vector base and clock were as they had been"),
           EDIT_REPLACE, step,
           why_format(w,
                      "[{\"probe\": \"set\", \"register\": \"pc\","
                      " \"value\": \"0x%08" PRIx32 "\"}, {\"probe\": \"go\"}]",
                      entry & ~1u));
}

/* The word of a breakpoint comparator (ARM DDI 0419E C1.8; of ARMv7-M, ARM DDI
 * 0403E C1.11, from memory): enabled, on one halfword. */
static uint32_t comparator(addr_t at)
{
  return (at & 0x1ffffffcu) | (at & 2u ? 0x80000000u : 0x40000000u) | 1u;
}

/* It was started, halted in its handler of SysTick, and started again. The
 * comparators reach no higher than the code region. */
static void handler_left(const struct why_case *w, struct proposals *p,
                         uint32_t step)
{
  enum { SYSTICK = 15, CODE_REGION = 0x20000000 };
  const struct step *s = &w->script->steps[step];
  uint32_t handler;
  if (!why_word_at(w->bytes, table_of(w, s) + 4 * SYSTICK, &handler) ||
      !(handler & 1u) || handler >= CODE_REGION)
    return;
  const char *start = start_again(w, s);
  why_edit(
      why_begin(p, WHY_HANDOVER_RESIDUE,
                "a handler was active: it had been halted in that of SysTick"),
      EDIT_REPLACE, step,
      why_format(w,
                 "[%s, {\"write\": \"0xE0002008\", \"value\": \"0x%08" PRIx32
                 "\"}, {\"write\": \"0xE0002000\", \"value\": \"0x3\"},"
                 " {\"run\": \"5ms\"},"
                 " {\"write\": \"0xE0002000\", \"value\": \"0x2\"},"
                 " {\"probe\": \"halt\"}, %s]",
                 start, comparator(handler & ~1u), start));
}

void why_handover_residue(const struct why_case *w, struct proposals *p)
{
  uint32_t step = why_last_step(w, starts);
  if (step == PART_NONE) return;
  registers_left(w, p, step);
  only_pc_set(w, p, step);
  handler_left(w, p, step);
}

/* --- a launch ------------------------------------------------------------ */

static bool launches(const struct step *s)
{
  return s->verb == VERB_SEND && s->request == REQUEST_LAUNCH;
}

void why_launched(const struct why_case *w, struct proposals *p)
{
  if (!w->script->host.present || why_last_step(w, launches) != PART_NONE)
    return;
  why_edit(why_begin(p, WHY_LAUNCHED, NULL), EDIT_LAST, 0,
           why_format(w,
                      "[{\"run\": \"3ms\"}, {\"send\": \"hello\"},"
                      " {\"send\": \"launch\", \"at\": \"0x%08" PRIx32 "\"}]",
                      w->bytes->segments[0].at));
}

/* --- a probe that is gone ------------------------------------------------ */

static bool uses_probe(const struct step *s)
{
  return s->verb == VERB_PROBE;
}

/* The one that was told did not clean up; or one was there before. */
void why_debug_left(const struct why_case *w, struct proposals *p)
{
  uint32_t step = why_last_step(w, why_detaches);
  if (step != PART_NONE && w->script->steps[step].cleans)
    why_edit(why_begin(p, WHY_DEBUG_LEFT, NULL), EDIT_REPLACE, step,
             "{\"probe\": \"detach\", \"leaves\": \"debug\"}");
  if (w->whole || why_last_step(w, uses_probe) != PART_NONE) return;
  why_edit(why_begin(p, WHY_DEBUG_LEFT, NULL), EDIT_PRELUDE, 0,
           why_format(w,
                      "[{\"write\": \"%s\", \"by\": \"preset\"},"
                      " {\"power\": \"on\", \"for\": \"3ms\"},"
                      " {\"probe\": \"attach\"}, {\"probe\": \"detach\"}]",
                      w->image));
}
