#include "serve/monitor_tell.h"

#include <inttypes.h>

#include "base/arena.h"
#include "describe/names.h"
#include "report/rows.h"
#include "report/text_glance.h"
#include "run/remedies.h"
#include "run/starts.h"

/* Where the words of a row begin. */
#define HANG 13

static void begin(struct page *page, const char *lead)
{
  page_item(page, 0, HANG, lead);
}

static void line(struct page *page, const char *lead, const char *text)
{
  begin(page, lead);
  page_say(page, text);
  page_end(page);
}

static void say_quantity(struct page *page, enum unit unit, int64_t value)
{
  char text[64];
  page_together(page, units_text(text, sizeof text, unit, value));
}

/* --- the core ------------------------------------------------------------ */

static const char *mode_word(const struct chip *c)
{
  static const char *const words[] = {
      [CORE_OFF] = "off",         [CORE_HELD] = "held in reset",
      [CORE_RUNNING] = "running", [CORE_SLEEPING] = "sleeping",
      [CORE_HALTED] = "halted",   [CORE_LOCKUP] = "locked up"};
  return c->rail.up ? words[c->core.mode] : "without power";
}

static bool executes(const struct chip *c)
{
  return c->rail.up && c->core.mode != CORE_OFF && c->core.mode != CORE_HELD;
}

static void say_pc(struct page *page, struct target *t)
{
  const struct chip *c = &t->machine->chip;
  const char *symbol = play_symbol(t->play, c->core.r[15]);
  unsigned region = bus_find(&c->bus, c->core.r[15], NULL);
  page_say(page, " at ");
  page_address(page, c->core.r[15]);
  if (symbol != NULL) {
    page_say(page, " ");
    page_say(page, symbol);
  }
  if (region != BUS_NO_REGION) {
    page_say(page, " in ");
    page_say(page, c->bus.regions[region].name);
  }
}

static void say_core(struct page *page, struct target *t)
{
  const struct chip *c = &t->machine->chip;
  const struct start *start = starts_last(play_starts(t->play));
  page_say(page, mode_word(c));
  if (!executes(c) || start == NULL) return;
  say_pc(page, t);
  page_format(page, ", start %" PRIu32 " (%s)", start->number,
              rows_why(start));
}

void monitor_tell_place(struct target *t, FILE *to)
{
  struct page page;
  page_open(&page, to);
  page_item(&page, 0, 2, "");
  say_core(&page, t);
  page_say(&page, ", at ");
  say_quantity(&page, UNIT_TIME, t->machine->now);
  page_end(&page);
}

/* --- the starts ---------------------------------------------------------- */

void monitor_tell_starts(struct target *t, FILE *to)
{
  struct page page;
  const struct starts *starts = play_starts(t->play);
  core_count(&t->machine->chip.core, &t->machine->chip.bus);
  page_open(&page, to);
  if (starts->count == 0) {
    page_line(&page, 0, "no start: nothing ever began to execute");
    return;
  }
  const struct result result = {.starts = starts->list,
                                .start_count = starts->count};
  text_glance(&page, &result, TEXT_NEWCOMER);
}

/* --- the blank latch ----------------------------------------------------- */

static bool is_stale(const struct chip *c)
{
  return part_has_latch(c->part) && c->latch.valid &&
         c->latch.programmed != c->fresh;
}

static void say_latch(struct page *page, const struct chip *c)
{
  if (c->part->blank_check.held == BLANK_NONE) {
    page_say(page, "this part makes no blank check");
    return;
  }
  page_say(page, c->latch.valid ? latch_word(c->latch.programmed)
                                : "not sampled yet");
  if (is_stale(c)) page_say(page, ", stale");
  page_say(page, "; a fresh check would say ");
  page_say(page, latch_word(c->fresh));
}

static void put_remedies(struct page *page, struct target *t)
{
  struct arena arena;
  struct finding told = {.kind = FINDING_STALE_LATCH};
  arena_init(&arena);
  remedies_for_latch(play_plan(t->play), &arena, &told);
  page_line(page, 0, "What refreshes it on this part:");
  for (uint32_t i = 0; i < told.remedy_count; i++) {
    page_item(page, 2, 4, "-");
    page_say(page, told.remedies[i]);
    page_end(page);
  }
  arena_free(&arena);
}

void monitor_tell_latch(struct target *t, FILE *to)
{
  struct page page;
  page_open(&page, to);
  page_item(&page, 0, 2, "");
  say_latch(&page, &t->machine->chip);
  page_end(&page);
  if (is_stale(&t->machine->chip)) put_remedies(&page, t);
}

/* --- everything ---------------------------------------------------------- */

static void put_time(struct page *page, const struct target *t)
{
  const struct machine *m = t->machine;
  struct moment now = chip_moment(&m->chip, m->now);
  begin(page, "time");
  say_quantity(page, UNIT_TIME, now.at);
  page_format(page, ", cycle %" PRId64, now.cycle);
  page_end(page);
}

static void put_supply(struct page *page, const struct target *t)
{
  const struct machine *m = t->machine;
  begin(page, "supply");
  page_say(page, m->supply.on ? "on" : "off");
  page_say(page, ", rail ");
  say_quantity(page, UNIT_VOLTAGE, rail_level(&m->chip.rail, m->now));
  page_end(page);
}

static void put_core(struct page *page, struct target *t)
{
  begin(page, "core");
  say_core(page, t);
  page_end(page);
}

static void put_alias(struct page *page, const struct chip *c)
{
  if (!part_has_alias(c->part)) return;
  line(page, "address 0",
       c->bus.alias == BUS_NO_REGION ? "nothing yet"
                                     : c->bus.regions[c->bus.alias].name);
}

static const char *value_name(const struct part_option_field *f,
                              uint32_t value)
{
  for (uint32_t i = 0; i < f->value_count; i++)
    if (f->values[i].value == value) return f->values[i].name;
  return NULL;
}

static void put_option(struct page *page, const struct chip *c, uint32_t word,
                       uint32_t field)
{
  const struct part_option_word *w = &c->part->options.words[word];
  const struct part_option_field *f = &w->fields[field];
  uint32_t value = options_field(&c->options, word, field);
  const char *name = value_name(f, value);
  begin(page, "option");
  page_say(page, w->name);
  page_say(page, ".");
  page_say(page, f->name);
  page_say(page, " ");
  if (name != NULL)
    page_say(page, name);
  else
    page_format(page, "%" PRIu32, value);
  if (c->options.cells[word] != c->options.active[word])
    page_say(page, "; the cells of this word say something else, from the "
                   "next load on");
  page_end(page);
}

static void put_options(struct page *page, const struct chip *c)
{
  for (uint32_t i = 0; i < c->part->options.word_count; i++)
    for (uint32_t k = 0; k < c->part->options.words[i].field_count; k++)
      put_option(page, c, i, k);
}

static void put_straps(struct page *page, const struct chip *c)
{
  for (uint32_t i = 0; i < c->part->strap_count; i++) {
    begin(page, "strap");
    page_say(page, c->part->straps[i].name);
    page_say(page, c->straps >> i & 1u ? " high" : " low");
    page_say(page, " when last sampled");
    page_end(page);
  }
}

static void put_flash(struct page *page, const struct chip *c)
{
  begin(page, "flash");
  page_say(page, c->flash.locked ? "locked" : "unlocked");
  page_say(page, flash_busy(&c->flash) ? ", busy" : ", idle");
  page_end(page);
}

static void put_probe(struct page *page, const struct target *t)
{
  const struct machine *m = t->machine;
  begin(page, "probe");
  page_say(page, m->chip.core.debug_enabled ? "debug enable is set"
                                            : "debug enable is not set");
  page_format(page, "; %d of %" PRIu32 " comparators hold breakpoints",
              __builtin_popcount(t->breaks.used),
              breaks_comparators(&t->breaks));
  page_end(page);
}

void monitor_tell_state(struct target *t, FILE *to)
{
  struct page page;
  const struct chip *c = &t->machine->chip;
  page_open(&page, to);
  put_time(&page, t);
  put_supply(&page, t);
  line(&page, "reset line", reset_line_low(&c->reset) ? "low" : "high");
  put_core(&page, t);
  put_alias(&page, c);
  begin(&page, "latch");
  say_latch(&page, c);
  page_end(&page);
  put_options(&page, c);
  put_straps(&page, c);
  put_flash(&page, c);
  put_probe(&page, t);
}
