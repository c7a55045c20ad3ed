/* What each cause does to the case that was told. */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "describe/names.h"
#include "run/why_parts.h"

static void edit_image(struct proposal *p, const struct why_case *w,
                       const char *members)
{
  why_edit(p, EDIT_IMAGE, 0, members);
  if (p != NULL) p->edits[p->count - 1].name = w->image;
}

/* --- what went before ---------------------------------------------------- */

struct proposal why_base(const struct why_case *w)
{
  struct proposal base = {.cause = WHY_COUNT_};
  if (!w->whole)
    why_edit(&base, EDIT_PRELUDE, 0,
             why_format(w,
                        "[{\"write\": \"%s\", \"by\": \"preset\"},"
                        " {\"power\": \"on\", \"for\": \"3ms\"}]",
                        w->image));
  return base;
}

static void stale_latch(const struct why_case *w, struct proposals *p)
{
  if (w->whole || !part_has_latch(w->part)) return;
  why_edit(why_begin(p, WHY_STALE_LATCH, NULL), EDIT_PRELUDE, 0,
           why_format(w,
                      "[{\"power\": \"on\", \"for\": \"3ms\"},"
                      " {\"probe\": \"attach\", \"reset\": \"held\"},"
                      " {\"write\": \"%s\", \"by\": \"probe\"},"
                      " {\"probe\": \"detach\"}]",
                      w->image));
}

static void erased_since(const struct why_case *w, struct proposals *p)
{
  if (w->whole || !part_has_latch(w->part)) return;
  why_edit(why_begin(p, WHY_ERASED_SINCE, NULL), EDIT_PRELUDE, 0,
           why_format(w,
                      "[{\"write\": \"%s\", \"by\": \"preset\"},"
                      " {\"power\": \"on\", \"for\": \"3ms\"},"
                      " {\"probe\": \"attach\"}, {\"probe\": \"erase\"},"
                      " {\"probe\": \"detach\"}]",
                      w->image));
}

static bool writes_image(const struct step *s)
{
  return s->verb == VERB_WRITE && s->target == WRITE_IMAGE;
}

static void not_programmed(const struct why_case *w, struct proposals *p)
{
  uint32_t step = why_last_step(w, writes_image);
  if (step != PART_NONE)
    why_edit(why_begin(p, WHY_NOT_PROGRAMMED, NULL), EDIT_DROP, step, NULL);
  else if (!w->whole)
    why_edit(why_begin(p, WHY_NOT_PROGRAMMED, NULL), EDIT_PRELUDE, 0,
             "[{\"power\": \"on\", \"for\": \"3ms\"}]");
}

/* --- steps that were not what they seemed -------------------------------- */

static bool reloads(const struct step *s)
{
  return s->verb == VERB_RELOAD;
}

static void reload_lost(const struct why_case *w, struct proposals *p)
{
  uint32_t step = why_last_step(w, reloads);
  if (step != PART_NONE)
    why_edit(why_begin(p, WHY_RELOAD_LOST, NULL), EDIT_DROP, step, NULL);
}

static bool writes_latch(const struct step *s)
{
  return s->verb == VERB_WRITE && s->target == WRITE_LATCH;
}

static void latch_write_lost(const struct why_case *w, struct proposals *p)
{
  uint32_t step = why_last_step(w, writes_latch);
  if (step != PART_NONE)
    why_edit(why_begin(p, WHY_LATCH_WRITE_LOST, NULL), EDIT_DROP, step, NULL);
}

static bool resets(const struct step *s)
{
  return s->verb == VERB_RESET && s->reset == RESET_CAUSE;
}

static void other_reset(const struct why_case *w, struct proposals *p)
{
  static const enum cause others[] = {CAUSE_CORE_ONLY, CAUSE_SOFTWARE};
  uint32_t step = why_last_step(w, resets);
  if (step == PART_NONE) return;
  for (size_t i = 0; i < sizeof(others) / sizeof(others[0]); i++) {
    if (w->script->steps[step].cause == others[i] ||
        !w->part->resets[others[i]].present)
      continue;
    why_edit(why_begin(p, WHY_OTHER_RESET, cause_word(others[i])),
             EDIT_REPLACE, step,
             why_format(w, "{\"reset\": \"%s\"}", cause_word(others[i])));
  }
}

static bool attaches_held(const struct step *s)
{
  return s->verb == VERB_PROBE && s->probe == PROBE_ATTACH &&
         s->attach == ATTACH_HELD;
}

static void attached_late(const struct why_case *w, struct proposals *p)
{
  uint32_t step = why_last_step(w, attaches_held);
  if (step != PART_NONE)
    why_edit(why_begin(p, WHY_ATTACHED_LATE, NULL), EDIT_REPLACE, step,
             "{\"probe\": \"attach\"}");
}

bool why_detaches(const struct step *s)
{
  return s->verb == VERB_PROBE && s->probe == PROBE_DETACH;
}

static void probe_left(const struct why_case *w, struct proposals *p)
{
  uint32_t step = why_last_step(w, why_detaches);
  if (step != PART_NONE)
    why_edit(why_begin(p, WHY_PROBE_LEFT, NULL), EDIT_DROP, step, NULL);
}

static bool holds_line(const struct step *s)
{
  return s->verb == VERB_RESET && s->reset != RESET_CAUSE;
}

static void line_held(const struct why_case *w, struct proposals *p)
{
  uint32_t step = why_last_step(w, holds_line);
  bool held = step != PART_NONE && w->script->steps[step].reset == RESET_HOLD;
  if (!held)
    why_edit(why_begin(p, WHY_LINE_HELD, NULL), EDIT_LAST, 0,
             "[{\"reset\": \"hold\"}]");
}

/* --- straps -------------------------------------------------- */

/* Both levels of each strap but the one that it has by itself. */
static void straps(const struct why_case *w, struct proposals *p, bool moved)
{
  for (uint32_t i = 0; i < w->part->strap_count; i++) {
    const struct part_strap *s = &w->part->straps[i];
    const char *level = s->pull > 0 ? "low" : "high";
    struct proposal *new =
        why_begin(p, moved ? WHY_STRAP_MOVED : WHY_STRAP_LEVEL,
                  why_format(w, "%s %s", s->name, level));
    why_edit(new, EDIT_FIRST, 0,
             why_format(w, "[{\"drive\": \"%s\", \"level\": \"%s\"}]", s->name,
                        level));
    if (moved)
      why_edit(new, EDIT_LAST, 0,
               why_format(w,
                          "[{\"run\": \"5ms\"},"
                          " {\"drive\": \"%s\", \"level\": \"release\"}]",
                          s->name));
  }
}

static void strap_level(const struct why_case *w, struct proposals *p)
{
  straps(w, p, false);
}

static void strap_moved(const struct why_case *w, struct proposals *p)
{
  straps(w, p, true);
}

/* --- another image ------------------------------------------------------- */

static const struct part_memory *flash_of(const struct why_case *w)
{
  return &w->part->memory[part_memory_of(w->part, MEMORY_FLASH)];
}

static uint32_t extent(const struct image *image)
{
  const struct image_segment *last =
      &image->segments[image->segment_count - 1];
  return last->at + last->size - image->segments[0].at;
}

/* By one page: a page further, and by four. */
static void image_elsewhere(const struct why_case *w, struct proposals *p)
{
  const struct part_memory *flash = flash_of(w);
  uint32_t offset = 4 * flash->page;
  if (extent(w->bytes) + offset > flash->size) offset = flash->page;
  if (extent(w->bytes) + offset > flash->size) return;
  edit_image(why_begin(p, WHY_IMAGE_ELSEWHERE,
                       why_format(w, "%" PRIu32 " bytes higher", offset)),
             w, why_format(w, "{\"offset\": \"%" PRIu32 "B\"}", offset));
}

static void head_erased(const struct why_case *w, struct proposals *p)
{
  uint32_t bytes = 4;
  for (uint32_t i = 0; i < w->part->blank_check.read_count; i++) {
    const struct part_span *r = &w->part->blank_check.reads[i];
    if (r->offset + r->bytes > bytes) bytes = r->offset + r->bytes;
  }
  if (bytes >= extent(w->bytes)) return;
  edit_image(why_begin(p, WHY_HEAD_ERASED, NULL), w,
             why_format(w, "{\"without\": \"%" PRIu32 "B\"}", bytes));
}

static void torn(const struct why_case *w, struct proposals *p)
{
  uint32_t half = extent(w->bytes) / 2 & ~3u;
  if (half == 0) return;
  edit_image(why_begin(p, WHY_TORN, NULL), w,
             why_format(w, "{\"keep\": \"%" PRIu32 "B\"}", half));
}

bool why_word_at(const struct image *image, addr_t at, uint32_t *word)
{
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *s = &image->segments[i];
    if (at < s->at || at - s->at + UINT64_C(4) > s->size) continue;
    *word = 0;
    for (uint32_t b = 0; b < 4; b++)
      *word |= (uint32_t)s->bytes[at - s->at + b] << (8 * b);
    return true;
  }
  return false;
}

static bool entry_of(const struct why_case *w, addr_t *entry)
{
  uint32_t vector, ignored;
  if (!why_word_at(w->bytes, w->bytes->segments[0].at + 4, &vector))
    return false;
  *entry = vector & ~1u;
  return why_word_at(w->bytes, *entry & ~3u, &ignored);
}

static void bad_vectors(const struct why_case *w, struct proposals *p)
{
  addr_t at = w->bytes->segments[0].at + 4;
  uint32_t ignored;
  if (!why_word_at(w->bytes, at, &ignored)) return;
  edit_image(why_begin(p, WHY_BAD_VECTORS, NULL), w,
             why_format(w,
                        "{\"patch\": [{\"at\": \"0x%08" PRIx32 "\","
                        " \"word\": \"0x00000000\"}]}",
                        at));
}

/* BKPT #0 is 0xbe00 (ARM DDI 0419E, A6.7.12). */
static void breakpoint_left(const struct why_case *w, struct proposals *p)
{
  addr_t entry;
  uint32_t word;
  if (!entry_of(w, &entry) || !why_word_at(w->bytes, entry & ~3u, &word))
    return;
  word =
      entry & 2 ? (word & 0xffff) | 0xbe000000u : (word & ~0xffffu) | 0xbe00;
  edit_image(why_begin(p, WHY_BREAKPOINT_LEFT, NULL), w,
             why_format(w,
                        "{\"patch\": [{\"at\": \"0x%08" PRIx32 "\","
                        " \"word\": \"0x%08" PRIx32 "\"}]}",
                        entry & ~3u, word));
}

/* From its first aligned word on:
 *   ldr r0, [pc, #12]; ldr r1, [r0]; mov sp, r1; ldr r0, [r0, #4]; bx r0;
 *   nop; nop; nop; the base of the ROM
 * behind a nop where the entry is not aligned (encodings: ARM DDI 0419E). */
static void jumps_to_rom(const struct why_case *w, struct proposals *p)
{
  uint32_t rom = part_memory_of(w->part, MEMORY_ROM), old = 0;
  addr_t entry;
  if (rom == PART_NONE || !entry_of(w, &entry)) return;
  addr_t at = (entry + 3) & ~3u;
  const uint32_t code[] = {0x68014803, 0x6840468d, 0xbf004700, 0xbf00bf00,
                           w->part->memory[rom].at};
  const char *list = "";
  if (entry & 2) {
    if (!why_word_at(w->bytes, entry & ~3u, &old)) return;
    list = why_format(
        w, "{\"at\": \"0x%08" PRIx32 "\", \"word\": \"0x%08" PRIx32 "\"}, ",
        entry & ~3u, (old & 0xffff) | 0xbf000000u);
  }
  for (uint32_t i = 0; i < sizeof(code) / sizeof(code[0]); i++) {
    if (!why_word_at(w->bytes, at + 4 * i, &old)) return;
    list = why_format(
        w, "%s%s{\"at\": \"0x%08" PRIx32 "\", \"word\": \"0x%08" PRIx32 "\"}",
        list, i == 0 ? "" : ", ", at + 4 * i, code[i]);
  }
  edit_image(why_begin(p, WHY_JUMPS_TO_ROM, NULL), w,
             why_format(w, "{\"patch\": [%s]}", list));
}

/* ------------------------------------------------------------------------- */

static void (*const proposers[WHY_COUNT_])(const struct why_case *,
                                           struct proposals *) = {
    [WHY_STALE_LATCH] = stale_latch,
    [WHY_NO_POWER_CYCLE] = why_no_power_cycle,
    [WHY_BACK_POWERED] = why_back_powered,
    [WHY_RESET_LOST] = why_reset_lost,
    [WHY_RELOAD_LOST] = reload_lost,
    [WHY_LATCH_WRITE_LOST] = latch_write_lost,
    [WHY_IMAGE_ELSEWHERE] = image_elsewhere,
    [WHY_HEAD_ERASED] = head_erased,
    [WHY_ERASED_SINCE] = erased_since,
    [WHY_NOT_PROGRAMMED] = not_programmed,
    [WHY_TORN] = torn,
    [WHY_STRAP_LEVEL] = strap_level,
    [WHY_STRAP_MOVED] = strap_moved,
    [WHY_START_OPTION] = why_start_option,
    [WHY_OPTIONS_CUT] = why_options_cut,
    [WHY_WRONG_BANK] = why_wrong_bank,
    [WHY_LOCKED] = why_locked,
    [WHY_LOCKED_ATTACHED] = why_locked_attached,
    [WHY_WATCHDOG] = why_watchdog,
    [WHY_OTHER_RESET] = other_reset,
    [WHY_ATTACHED_LATE] = attached_late,
    [WHY_PROBE_LEFT] = probe_left,
    [WHY_STARTED_BY_PROBE] = why_started_by_probe,
    [WHY_LAUNCHED] = why_launched,
    [WHY_HANDOVER_RESIDUE] = why_handover_residue,
    [WHY_DEBUG_LEFT] = why_debug_left,
    [WHY_LINE_HELD] = line_held,
    [WHY_JUMPS_TO_ROM] = jumps_to_rom,
    [WHY_BAD_VECTORS] = bad_vectors,
    [WHY_BREAKPOINT_LEFT] = breakpoint_left,
};

void why_propose(const struct why_case *w, struct proposals *p)
{
  p->count = 0;
  for (int c = 0; c < WHY_COUNT_; c++)
    proposers[c](w, p);
}
