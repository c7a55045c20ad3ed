#include "run/probe_findings.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>

#include "describe/trace_kinds.h"

static struct finding *add(struct findings *f, enum finding_kind kind,
                           uint32_t start, const char *format, ...)
    SIM_PRINTF(4, 5);

static struct finding *add(struct findings *f, enum finding_kind kind,
                           uint32_t start, const char *format, ...)
{
  char text[600];
  va_list args;
  va_start(args, format);
  vsnprintf(text, sizeof(text), format, args);
  va_end(args);
  return findings_add(f, kind, start, text);
}

static uint32_t last_number(const struct findings *f)
{
  const struct start *s = starts_last(f->starts);
  return s == NULL ? 0 : s->number;
}

const char *probe_findings_why(enum trace_obstacle obstacle)
{
  static const char *const why[] = {
      [OBSTACLE_NO_POWER] = "the part has no power",
      [OBSTACLE_IN_RESET] = "the part is in reset",
      [OBSTACLE_NOT_ATTACHED] = "the probe is not attached",
      [OBSTACLE_RUNNING] = "the core is not halted",
      [OBSTACLE_NO_REGISTER] = "the part has no register for it",
      [OBSTACLE_OUTSIDE] = "nothing is there that takes it",
      [OBSTACLE_REFUSED] = "the part refused",
      [OBSTACLE_ASLEEP] = "the program sleeps deeply, and the debug port of "
                          "this part with it",
      [OBSTACLE_PINS_TAKEN] = "the program has taken the pins of the debug "
                              "port for itself",
      [OBSTACLE_ROM] = "the debug port of this part is shut until the boot "
                       "ROM has gone elsewhere",
      [OBSTACLE_NO_LINE] = "it has no reset line on this board",
      [OBSTACLE_LOST] = "the loader did not come back",
  };
  return why[obstacle];
}

void probe_findings_failed(struct findings *f, const struct trace_record *r)
{
  struct finding *finding =
      add(f, FINDING_PROBE_FAILED, last_number(f),
          "The probe could not do what was asked (%s): %s.",
          trace_word("action", r->a),
          probe_findings_why((enum trace_obstacle)r->b));
  if (r->b == OBSTACLE_ASLEEP || r->b == OBSTACLE_PINS_TAKEN)
    findings_remedy(
        f, finding,
        f->plan->script->no_reset_line
            ? "attach in the time between a reset and the program's taking "
              "hold; this probe has no reset line to stop it"
            : "attach with reset held: the program does not run then");
  if (r->b == OBSTACLE_NO_LINE)
    findings_remedy(
        f, finding,
        "{\"probe\": \"reset\", \"by\": \"request\", \"catch\": true} once "
        "attached; what ran before that has run");
}

/* The first start after it that a reset made, or NULL. */
static const struct start *next_reset(const struct findings *f, uint32_t from)
{
  for (uint32_t i = from; i < f->starts->count; i++)
    if (f->starts->list[i].how == START_RESET) return &f->starts->list[i];
  return NULL;
}

void probe_findings_start(struct findings *f, const struct start *s)
{
  if (s->how != START_PROBE) return;
  char then[160] = "";
  const struct start *next = next_reset(f, s->number);
  if (next != NULL)
    snprintf(then, sizeof(then),
             " Start %" PRIu32 ", after the next reset, began in %s.",
             next->number, next->region);
  findings_remedy(
      f,
      add(f, FINDING_LOAD_AND_GO, s->number,
          "The probe set stack pointer, program counter and vector base "
          "and let the core go: start %" PRIu32
          " shows that the program runs from the debugger, not that it "
          "starts alone.%s",
          s->number, then),
      "reset the part with the probe detached, and look where it starts");
}
