#include "run/findings_flash.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>

#include "chip/memory.h"
#include "describe/trace_kinds.h"

static void say(struct flash_finding *out, enum finding_kind kind,
                const char *format, ...) SIM_PRINTF(3, 4);

static void say(struct flash_finding *out, enum finding_kind kind,
                const char *format, ...)
{
  va_list args;
  out->kind = kind;
  va_start(args, format);
  vsnprintf(out->text, sizeof(out->text), format, args);
  va_end(args);
}

static void remedy(struct flash_finding *out, const char *text)
{
  out->remedies[out->remedy_count++] = text;
}

static void refused(const struct trace_record *r, struct flash_finding *out)
{
  static const char *const remedies[] = {
      [REFUSAL_LOCKED] = "give all keys in their order first",
      [REFUSAL_BUSY] = "wait until the controller is no longer busy",
      [REFUSAL_WRONG_KEY] = "reset the part, then give the keys in order",
      [REFUSAL_NOT_ERASED] = "erase the page first",
      [REFUSAL_ALIGNMENT] = "program whole units, at their own addresses",
      [REFUSAL_ADDRESS] = "give an address in flash",
      [REFUSAL_PROTECTED] = "write the option that protects it, then reload",
  };
  say(out, FINDING_WRITE_REFUSED,
      "The flash controller refused an order for 0x%08" PRIx32 ": %s.", r->b,
      trace_word("refusal", r->a));
  remedy(out, remedies[r->a]);
}

/* Two records: the order that was cut, and what its cells were left as. */
static void left(const struct plan *plan, const struct trace_record *r,
                 struct flash_finding *out)
{
  static const char *const what[] = {
      [TORN_OLD] = "the old content",
      [TORN_NEW] = "the new content, whole",
      [TORN_PART] = "of each cell the old or the new content",
      [TORN_ONES] = "all ones",
      [TORN_ZEROS] = "all zeros",
      [TORN_WEAK] = "cells that read right for now, and differently later",
  };
  say(out, FINDING_TORN,
      "A flash order at 0x%08" PRIx32 " was cut short. Here it left %s; %s",
      r->b, what[r->a],
      part_declares_torn(plan->part)
          ? "the part may leave other things, which a sweep shows."
          : "the part file does not say what it leaves, a real part may leave "
            "worse.");
  remedy(out, "erase and program again what was being written, whatever it "
              "reads as");
}

static void faded(const struct trace_record *r, struct flash_finding *out)
{
  say(out, FINDING_WEAK,
      "Cells at 0x%08" PRIx32 " that a cut order left weak read differently "
      "since this power-on: they had verified before.",
      r->b);
  remedy(out, "after an order that may have been cut, erase and program "
              "again without trusting a read");
}

static void fallback(const struct plan *plan, const struct trace_record *r,
                     struct flash_finding *out)
{
  say(out, FINDING_OPTIONS_FALLBACK,
      "The cells of option word %s failed their check: the fallback value "
      "0x%08" PRIx32 " was loaded.",
      plan->part->options.words[r->a].name, r->b);
  remedy(out, "write the option words again, and reload them");
}

static void ecc(const struct trace_record *r, struct flash_finding *out)
{
  if (r->a == GRANULE_CORRECTED) {
    say(out, FINDING_ECC_CORRECTED,
        "A read of 0x%08" PRIx32 " had one wrong bit, which ECC corrected and "
        "counted.",
        r->b);
    remedy(out, "write the page again before a second bit goes");
    return;
  }
  say(out, FINDING_ECC,
      "A read of 0x%08" PRIx32 " found more wrong bits than ECC corrects.",
      r->b);
  remedy(out, "erase the page and write it again");
}

static bool is_cell(const struct plan *plan, addr_t at)
{
  for (uint32_t i = 0; i < plan->script->image_count; i++)
    for (uint32_t k = 0; k < plan->cells[i].count; k++)
      if (plan->cells[i].at[k] == at) return true;
  return false;
}

static bool cells_in_image(const struct plan *plan,
                           const struct trace_record *r,
                           struct flash_finding *out)
{
  if (!is_cell(plan, r->a)) return false;
  say(out, FINDING_OPTIONS_IN_IMAGE,
      "The image carries a record for the option cell at 0x%08" PRIx32
      ": writing the image wrote the option word, too.",
      r->a);
  remedy(out, "take the record out of the file, if the options are not meant "
              "to change with the image");
  return true;
}

bool flash_finding_of(const struct plan *plan, const struct trace_record *r,
                      struct flash_finding *out)
{
  out->remedy_count = 0;
  switch (r->kind) {
  case TRACE_FLASH_REFUSED: refused(r, out); return true;
  case TRACE_FLASH_LEFT: left(plan, r, out); return true;
  case TRACE_FLASH_FADED: faded(r, out); return true;
  case TRACE_OPTION_FALLBACK: fallback(plan, r, out); return true;
  case TRACE_ECC: ecc(r, out); return true;
  case TRACE_WRITE: return cells_in_image(plan, r, out);
  default: return false;
  }
}
