#include "run/findings.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "describe/names.h"
#include "describe/trace_kinds.h"
#include "run/findings_flash.h"
#include "run/findings_host.h"
#include "run/probe_findings.h"
#include "run/remedies.h"

struct finding *findings_add(struct findings *f, enum finding_kind kind,
                             uint32_t start, const char *text)
{
  if (f->count == f->room) {
    uint32_t room = f->room == 0 ? 16 : f->room * 2;
    struct finding *list = arena_array(f->arena, room, sizeof(*list));
    if (f->count > 0) memcpy(list, f->list, f->count * sizeof(*list));
    f->list = list;
    f->room = room;
  }
  struct finding *finding = &f->list[f->count++];
  *finding = (struct finding){
      .kind = kind, .start = start, .text = arena_text(f->arena, text)};
  return finding;
}

static struct finding *add(struct findings *f, enum finding_kind kind,
                           uint32_t start, const char *format, ...)
    SIM_PRINTF(4, 5);

static struct finding *add(struct findings *f, enum finding_kind kind,
                           uint32_t start, const char *format, ...)
{
  char text[900];
  va_list args;
  va_start(args, format);
  vsnprintf(text, sizeof(text), format, args);
  va_end(args);
  return findings_add(f, kind, start, text);
}

void findings_remedy(struct findings *f, struct finding *finding,
                     const char *text)
{
  const uint32_t most =
      sizeof(finding->remedies) / sizeof(finding->remedies[0]);
  if (finding->remedy_count < most)
    finding->remedies[finding->remedy_count++] = arena_text(f->arena, text);
}

static void remedy(struct findings *f, struct finding *finding,
                   const char *text)
{
  findings_remedy(f, finding, text);
}

/* True the first time it is asked for a kind. */
static bool once(struct findings *f, enum finding_kind kind)
{
  bool first = !((f->told >> kind) & 1u);
  f->told |= UINT64_C(1) << kind;
  return first;
}

static uint32_t last_number(const struct findings *f)
{
  const struct start *s = starts_last(f->starts);
  return s == NULL ? 0 : s->number;
}

/* --- told by one record --- */

static void latch_write(struct findings *f, const struct trace_record *r)
{
  if (r->b != 0) return;
  bool exists = part_field_of(f->plan->part, ROLE_LATCH, NULL) != NULL;
  struct finding *finding =
      add(f, FINDING_LATCH_WRITE_LOST, last_number(f),
          "The write to the latch had no effect: %s.",
          exists ? "it came without the right key"
                 : "this part has no register that reaches it");
  if (part_has_latch(f->plan->part))
    remedies_for_latch(f->plan, f->arena, finding);
}

static void about_flash(struct findings *f, const struct trace_record *r)
{
  struct flash_finding told;
  if (!flash_finding_of(f->plan, r, &told)) return;
  bool many = told.kind == FINDING_ECC || told.kind == FINDING_ECC_CORRECTED;
  if (many && !once(f, told.kind)) return; /* a program reads it in loops */
  struct finding *finding = add(f, told.kind, last_number(f), "%s", told.text);
  for (uint32_t i = 0; i < told.remedy_count; i++)
    remedy(f, finding, told.remedies[i]);
}

static void lockup(struct findings *f, const struct trace_record *r)
{
  const struct start *s = starts_last(f->starts);
  bool erased = s != NULL && s->alias_word == UINT32_MAX;
  const char *source = plan_source(f->plan, f->arena, f->starts->region, r->a);
  add(f, FINDING_LOCKUP, last_number(f),
      "The core locked up (PC 0x%08" PRIx32 "%s%s).%s", r->a,
      source != NULL ? ", " : "", source != NULL ? source : "",
      erased ? " It had started erased flash: stack pointer and reset vector "
               "are all-ones."
             : "");
}

static void overload(struct findings *f, const struct trace_record *r)
{
  add(f, FINDING_CONTENTION, last_number(f),
      "The pins together carried %" PRIu32 " mA, more than the %" PRIu32
      " mA that this part allows in total. Contention can destroy parts: "
      "limit the current on first power-up.",
      r->a, r->b);
}

static void unmodelled(struct findings *f, const struct trace_record *r)
{
  static const char *const effects[] = {
      [UNKNOWN_LEARN] = "it reads as written; polls are answered by trial",
      [UNKNOWN_ZERO] = "it reads 0 and takes no writes",
      [UNKNOWN_FAULT] = "it is a bus error"};
  if (!once(f, FINDING_UNMODELLED)) return;
  const char *name = svd_name(f->plan->svd, r->a);
  add(f, FINDING_UNMODELLED, last_number(f),
      "The program at 0x%08" PRIx32 " used address 0x%08" PRIx32
      "%s%s, which the part file does not describe; %s. What follows may "
      "differ on the real part.",
      r->b, r->a, name == NULL ? "" : " ", name == NULL ? "" : name,
      effects[f->plan->part->unknown]);
}

static void stopped(struct findings *f, const struct trace_record *r)
{
  static const char *const why[] = {
      [STOP_TRACE_LIMIT] = "more happened than a trace can hold",
      [STOP_INSTRUCTION_LIMIT] = "more instructions ran than a run may take",
      [STOP_TIME_LIMIT] = "simulated time reached its end",
  };
  add(f, FINDING_RUNAWAY, last_number(f),
      "The run was stopped: %s. Steps after that were not played.", why[r->a]);
}

static void freshly_judged(struct findings *f, const struct trace_record *r)
{
  f->fresh_programmed = r->a;
  if (f->fresh_programmed) f->base_blank = false;
}

/* An image (not a single word) is in place: are the first words, too? */
static void written(struct findings *f, const struct trace_record *r)
{
  if (r->b > 4 && !f->fresh_programmed) f->base_blank = true;
}

static void host_ended(struct findings *f, const struct trace_record *r)
{
  struct host_failure failure;
  if (!host_failed(&f->host, f->plan, f->starts, r, &failure)) return;
  struct finding *finding =
      add(f, failure.kind, last_number(f), "%s", failure.text);
  for (uint32_t i = 0; i < failure.remedy_count; i++)
    remedy(f, finding, failure.remedies[i]);
}

static void fold(void *context, const struct trace_record *r)
{
  struct findings *f = context;
  switch (r->kind) {
  case TRACE_LATCH_WRITE: latch_write(f, r); break;
  case TRACE_PROBE_FAILED: probe_findings_failed(f, r); break;
  case TRACE_LOCKUP: lockup(f, r); break;
  case TRACE_OVERLOAD: overload(f, r); break;
  case TRACE_UNMODELLED: unmodelled(f, r); break;
  case TRACE_STOPPED: stopped(f, r); break;
  case TRACE_FRESH: freshly_judged(f, r); break;
  case TRACE_WRITE: written(f, r); break;
  case TRACE_VECTORS:
  case TRACE_RECEIVED:
  case TRACE_SERIAL_LOST: host_story_take(&f->host, r); break;
  case TRACE_HOST_END: host_ended(f, r); break;
  default: break;
  }
  about_flash(f, r);
}

static const enum trace_kind wanted[] = {
    TRACE_LATCH_WRITE,     TRACE_FLASH_REFUSED, TRACE_FLASH_LEFT,
    TRACE_OPTION_FALLBACK, TRACE_ECC,           TRACE_PROBE_FAILED,
    TRACE_LOCKUP,          TRACE_OVERLOAD,      TRACE_UNMODELLED,
    TRACE_STOPPED,         TRACE_FRESH,         TRACE_WRITE,
    TRACE_VECTORS,         TRACE_RECEIVED,      TRACE_SERIAL_LOST,
    TRACE_HOST_END,        TRACE_FLASH_FADED,
};

void findings_init(struct findings *f, const struct plan *plan,
                   const struct starts *starts, struct arena *arena,
                   struct trace *tr)
{
  *f = (struct findings){.plan = plan, .starts = starts, .arena = arena};
  trace_mask mask = 0;
  for (size_t i = 0; i < sizeof(wanted) / sizeof(wanted[0]); i++)
    mask |= TRACE_BIT(wanted[i]);
  trace_listen(tr, mask, fold, f);
}

/* --- told by a start --- */

static void stale(struct findings *f, const struct start *s)
{
  if (!s->stale || s->how == START_PROBE || s->launched)
    return; /* nobody asked the latch */
  struct finding *finding;
  if (s->latch_programmed)
    finding = add(f, FINDING_STALE_ERASED, s->number,
                  "The latch still said programmed, but the first words of "
                  "flash were erased by then: start %" PRIu32
                  " went to erased flash.",
                  s->number);
  else
    finding = add(f, FINDING_STALE_LATCH, s->number,
                  "The latch still said blank, although the first words of "
                  "flash were programmed by then: this reset does not sample "
                  "it again, so start %" PRIu32 " went to the boot ROM.",
                  s->number);
  remedies_for_latch(f->plan, f->arena, finding);
}

/* Those that the boot ROM drove: what it landed in may drive others. */
static void put_pins(const struct start *s, char *text, size_t size)
{
  text[0] = '\0';
  for (uint32_t i = 0; i < s->pin_count && i < 16; i++) {
    if (s->landing.landed && s->pins[i].at >= s->landing.at) break;
    size_t used = strlen(text);
    char when[32];
    units_text(when, sizeof(when), UNIT_TIME, s->pins[i].at - s->at);
    snprintf(text + used, size - used, "%s%s %s after %s", i > 0 ? ", " : "",
             s->pins[i].pin, s->pins[i].high ? "high" : "low", when);
  }
}

/* One that drove nothing and left is only the way to where it landed. */
static void rom_ran(struct findings *f, const struct start *s)
{
  if (s->rom_instructions == 0) return;
  char pins[400];
  put_pins(s, pins, sizeof(pins));
  bool drove = pins[0] != '\0';
  if (s->landing.landed && !drove) return;
  add(f, FINDING_ROM_RAN, s->number,
      "The boot ROM ran: %" PRIu64 " instructions%s%s.", s->rom_instructions,
      drove ? "; it drove " : " and it drove no pin", pins);
}

static bool decided_by(const struct findings *f, const struct start *s,
                       enum term_kind kind)
{
  const struct part *part = f->plan->part;
  for (uint32_t i = 0; i < part->rule_count; i++) {
    const struct part_rule *rule = &part->rules[i];
    if (s->rule == NULL || strcmp(rule->name, s->rule) != 0) continue;
    for (uint32_t k = 0; k < rule->term_count; k++)
      if (rule->terms[k].kind == kind) return true;
  }
  return false;
}

static bool begins_in_rom(const struct findings *f, const struct start *s)
{
  uint32_t region = part_memory_named(f->plan->part, s->region);
  return region != PART_NONE &&
         f->plan->part->memory[region].kind == MEMORY_ROM;
}

static void why_rom(struct findings *f, const struct start *s)
{
  if (!begins_in_rom(f, s)) return;
  if (s->how == START_HANDOVER)
    add(f, FINDING_ROM_HANDOVER, s->number,
        "A program jumped into the boot ROM at 0x%08" PRIx32
        " by itself: no reset, no start rule.",
        s->pc);
  else if (decided_by(f, s, TERM_STRAP))
    remedy(f,
           add(f, FINDING_STRAP_ROM, s->number,
               "A strap chose the boot ROM (rule %s).", s->rule),
           "hold the strap at its other level while reset is released");
  else if (decided_by(f, s, TERM_OPTION) && !decided_by(f, s, TERM_LATCH))
    remedy(f,
           add(f, FINDING_OPTION_ROM, s->number,
               "An option word chose the boot ROM (rule %s).", s->rule),
           "write the option word, then reload the options");
}

static void base_blank(struct findings *f)
{
  if (!f->base_blank || f->plan->part->blank_check.held == BLANK_NONE) return;
  const struct part_span *r = &f->plan->part->blank_check.reads[0];
  struct finding *finding =
      add(f, FINDING_BASE_BLANK, 0,
          "An image was written, but the words at 0x%08" PRIx32
          " that the blank check reads are still erased: to this part the "
          "flash is blank.",
          f->plan->part->memory[r->memory].at + r->offset);
  remedy(f, finding, "link or load the image at the base of flash");
  remedy(f, finding, "write a first-stage loader at the base");
}

static void contention(struct findings *f, const struct fight *fight)
{
  char text[600];
  fights_text(fight, text, sizeof(text));
  struct finding *finding =
      add(f, FINDING_CONTENTION, fight->start, "%s", text);
  snprintf(text, sizeof(text),
           "about %" PRId64
           " ohm more in series with the pin; `check` on this "
           "case tells it for the worst part, pin by pin",
           fights_series_ohm(fight, f->plan->script->supply.source_uv));
  remedy(f, finding, text);
  remedy(f, finding, "a procedure in which nothing drives the pin");
}

void findings_end(struct findings *f, const struct fights *fights)
{
  for (uint32_t i = 0; i < fights->count; i++)
    contention(f, &fights->list[i]);
  for (uint32_t i = 0; i < f->starts->count; i++) {
    const struct start *s = &f->starts->list[i];
    stale(f, s);
    why_rom(f, s);
    probe_findings_start(f, s);
    rom_ran(f, s);
  }
  base_blank(f);
}
