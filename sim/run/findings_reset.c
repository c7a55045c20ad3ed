#include "run/findings_reset.h"

#include <inttypes.h>
#include <stdio.h>

#include "describe/trace_kinds.h"

static bool in_rom(const struct reset_facts *f)
{
  uint32_t region = f->starts->last_region;
  const struct part *part = f->plan->part;
  return region < part->memory_count &&
         part->memory[region].kind == MEMORY_ROM;
}

static enum starved why(const struct reset_facts *f)
{
  if (f->too_early) return STARVED_TOO_EARLY;
  if (f->flash_busy) return STARVED_BY_FLASH;
  return in_rom(f) ? STARVED_BY_ROM : STARVED_BY_PROGRAM;
}

static void expired(struct reset_facts *f, const struct trace_record *r)
{
  const struct start *start = starts_last(f->starts);
  enum starved w = why(f);
  f->too_early = false;
  if (f->count[w]++ > 0) return;
  f->us[w] = r->b;
  f->start[w] = start == NULL ? 0 : start->number;
}

static uint32_t last_number(const struct reset_facts *f)
{
  const struct start *start = starts_last(f->starts);
  return start == NULL ? 0 : start->number;
}

static void pulse_lost(struct reset_facts *f, const struct trace_record *r)
{
  if (f->pulses++ > 0) return;
  f->pulse_ns = r->a;
  f->pulse_start = last_number(f);
}

static void fight_begins(struct reset_facts *f, const struct trace_record *r)
{
  f->seen = false;
  if (f->fights++ > 0) return;
  f->fight_ma = r->a;
  f->fight_start = last_number(f);
}

static void fight_ends(struct reset_facts *f, const struct trace_record *r)
{
  f->fight_us += r->a;
  if (!f->seen) f->fights_unseen++;
}

static void fold(void *context, const struct trace_record *r)
{
  struct reset_facts *f = context;
  switch (r->kind) {
  case TRACE_FLASH_BEGIN: f->flash_busy = true; break;
  case TRACE_FLASH_END:
  case TRACE_FLASH_TORN: f->flash_busy = false; break;
  case TRACE_PULSE_LOST: pulse_lost(f, r); break;
  case TRACE_LINE_FIGHT: fight_begins(f, r); break;
  case TRACE_LINE_FIGHT_END: fight_ends(f, r); break;
  case TRACE_LINE_SEEN: f->seen |= r->a == 0; break;
  case TRACE_WATCHDOG:
    if (r->a == WATCHDOG_EXPIRED) expired(f, r);
    if (r->a == WATCHDOG_TOO_EARLY) f->too_early = true;
    break;
  default: break;
  }
}

void reset_facts_init(struct reset_facts *f, const struct plan *plan,
                      const struct starts *starts, struct trace *tr)
{
  *f = (struct reset_facts){.plan = plan, .starts = starts};
  trace_listen(tr,
               TRACE_BIT(TRACE_FLASH_BEGIN) | TRACE_BIT(TRACE_FLASH_END) |
                   TRACE_BIT(TRACE_FLASH_TORN) | TRACE_BIT(TRACE_WATCHDOG) |
                   TRACE_BIT(TRACE_PULSE_LOST) | TRACE_BIT(TRACE_LINE_FIGHT) |
                   TRACE_BIT(TRACE_LINE_FIGHT_END) |
                   TRACE_BIT(TRACE_LINE_SEEN),
               fold, f);
}

static const struct starved_row {
  const char *what;
  const char *remedies[2];
} rows[STARVED_COUNT_] = {
    [STARVED_BY_FLASH] =
        {"an order of the flash was under way, which takes longer than the "
         "watchdog waits",
         {"erase before the watchdog is started, or give it a longer time "
          "first",
          "run from RAM, and feed it, while the flash is busy"}},
    [STARVED_BY_ROM] =
        {"the boot ROM was running, which does not feed it",
         {"don't let the watchdog start by itself before an image is there",
          "attach with reset held, so that the ROM never runs"}},
    [STARVED_BY_PROGRAM] =
        {"the program did not feed it in time",
         {"feed it where the program does its work, not in a timer",
          "give it a longer time"}},
    [STARVED_TOO_EARLY] = {"the program fed it before its window was open",
                           {"feed it later", "open the window wider"}},
};

static void lost_pulses(struct findings *f, const struct reset_facts *facts)
{
  char text[400], lasted[32], needs[32], part[64] = "";
  if (facts->pulses == 0) return;
  if (f->plan->part->reset_line.pulse.typ > 0)
    snprintf(part, sizeof(part), "the part takes a low of %s at least, and ",
             units_text(needs, sizeof(needs), UNIT_TIME,
                        f->plan->part->reset_line.pulse.typ));
  snprintf(text, sizeof(text),
           "The reset line was pulled for %s, and the part did not see it: "
           "%swhat is on the line takes its time to go down. That happened "
           "%" PRIu32 " time%s.",
           units_text(lasted, sizeof(lasted), UNIT_TIME,
                      (ps_t)facts->pulse_ns * PS_PER_NS),
           part, facts->pulses, facts->pulses == 1 ? "" : "s");
  struct finding *finding =
      findings_add(f, FINDING_PULSE_LOST, facts->pulse_start, text);
  findings_remedy(f, finding, "hold the line for longer");
}

static void fights(struct findings *f, const struct reset_facts *facts)
{
  char text[500];
  if (facts->fights == 0) return;
  snprintf(
      text, sizeof(text),
      "A push-pull host held the reset line high while it was pulled low, "
      "%" PRIu32 " time%s, for %" PRIu64 " us in all, with %" PRIu32
      " mA. %s Contention can destroy parts.",
      facts->fights, facts->fights == 1 ? "" : "s", facts->fight_us,
      facts->fight_ma,
      facts->fights_unseen > 0
          ? "The line did not get low enough to be seen: other chips on "
            "it were not reset, and the part did not wait for them."
          : "The line was low all the same.");
  struct finding *finding =
      findings_add(f, FINDING_LINE_FOUGHT, facts->fight_start, text);
  findings_remedy(f, finding, "an open-drain output, or a diode, in the host");
  findings_remedy(f, finding, "a series resistance in the host's line");
}

void findings_reset(struct findings *f, const struct reset_facts *facts)
{
  lost_pulses(f, facts);
  fights(f, facts);
  for (unsigned i = 0; i < STARVED_COUNT_; i++) {
    char text[400], lasted[32];
    if (facts->count[i] == 0) continue;
    snprintf(text, sizeof(text),
             "The watchdog reset the part %s after it was fed last: %s. That "
             "happened %" PRIu32 " time%s.",
             units_text(lasted, sizeof(lasted), UNIT_TIME,
                        (ps_t)facts->us[i] * PS_PER_US),
             rows[i].what, facts->count[i], facts->count[i] == 1 ? "" : "s");
    struct finding *finding =
        findings_add(f, FINDING_WATCHDOG_RESET, facts->start[i], text);
    for (unsigned k = 0; k < 2; k++)
      findings_remedy(f, finding, rows[i].remedies[k]);
  }
}
