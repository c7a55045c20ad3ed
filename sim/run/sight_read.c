/* What a bench shows of each sight, and whether it is what was said. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "describe/names.h"
#include "describe/trace_kinds.h"
#include "run/after.h"
#include "run/machine.h"
#include "run/outlook.h"
#include "run/sight_parts.h"
#include "run/whole.h"

/* --- listening ----------------------------------------------------------- */

static void fold(void *context, const struct trace_record *r)
{
  struct sight_reader *reader = context;
  reader->rail_low = (uv_t)r->a * 1000;
}

void sight_listen(struct sight_reader *r, struct play *play,
                  const struct plan *told)
{
  *r = (struct sight_reader){.play = play, .rail_low = -1};
  r->plan = *play_plan(play);
  memcpy(r->plan.images, told->images, sizeof(r->plan.images));
  trace_listen(play_trace(play), TRACE_BIT(TRACE_RAIL_DIP), fold, r);
}

/* --- where the core is --------------------------------------------------- */

/* Index of the region that an address is in, seen through the window at 0; or
 * PART_NONE. */
static uint32_t region_of(const struct chip *c, addr_t at)
{
  unsigned region = bus_find(&c->bus, at, NULL);
  return region < c->part->memory_count ? region : PART_NONE;
}

static bool is_on(const struct chip *c)
{
  return c->core.mode != CORE_OFF && c->core.mode != CORE_HELD;
}

static const char *region_name(const struct plan *plan, const struct chip *c,
                               addr_t at)
{
  uint32_t region = is_on(c) ? region_of(c, at) : PART_NONE;
  return region == PART_NONE ? "none" : plan->part->memory[region].name;
}

static bool application_runs(const struct chip *c)
{
  uint32_t region = is_on(c) ? region_of(c, c->core.r[15]) : PART_NONE;
  bool goes_on = c->core.mode == CORE_RUNNING || c->core.mode == CORE_SLEEPING;
  return goes_on && region != PART_NONE &&
         c->part->memory[region].kind != MEMORY_ROM;
}

static const char *outcome(const struct sight_reader *r)
{
  if (r->result->start_count == 0) return "no start";
  return outcome_word(
      start_doing(&r->result->starts[r->result->start_count - 1]));
}

/* --- memory and options -------------------------------------------------- */

static void word_text(const struct chip *c, addr_t at, char value[SIGHT_TEXT])
{
  uint32_t word;
  if (bus_peek(&c->bus, at, 4, &word))
    snprintf(value, SIGHT_TEXT, "0x%08" PRIx32, word);
  else
    snprintf(value, SIGHT_TEXT, "nothing there");
}

static void option_text(const struct chip *c, const struct sight *s,
                        char value[SIGHT_TEXT])
{
  const struct part_option_field *f =
      &c->part->options.words[s->index].fields[s->field];
  uint32_t mask = f->width >= 32 ? UINT32_MAX : (1u << f->width) - 1;
  uint32_t v = c->options.cells[s->index] >> f->lsb & mask;
  snprintf(value, SIGHT_TEXT, "%" PRIu32, v);
  for (uint32_t i = 0; i < f->value_count; i++)
    if (f->values[i].value == v)
      snprintf(value, SIGHT_TEXT, "%s", f->values[i].name);
}

/* --- the rest ------------------------------------------------------------ */

static bool strap_is_high(const struct chip *c, uint32_t strap)
{
  return pins_sense(&c->pins) >> c->part->straps[strap].pin & 1u;
}

static bool part_drives(const struct chip *c, uint32_t pin)
{
  return c->pins.shown >> pin & 1u;
}

static void rail_text(const struct sight_reader *r, char value[SIGHT_TEXT])
{
  if (r->rail_low < 0)
    snprintf(value, SIGHT_TEXT, "none");
  else
    units_text(value, SIGHT_TEXT, UNIT_VOLTAGE, r->rail_low);
}

const struct after *sight_after(struct sight_reader *r)
{
  if (!r->asked) after_ask(play_machine(r->play), &r->plan, &r->after);
  r->asked = true;
  return &r->after;
}

static void after_text(struct sight_reader *r, uint32_t event,
                       char value[SIGHT_TEXT])
{
  const char *word =
      event == CAUSE_POWER_ON ? "power cycle" : cause_word((enum cause)event);
  const struct after *after = sight_after(r);
  snprintf(value, SIGHT_TEXT, "%s", answer_class_words[CLASS_NONE]);
  for (uint32_t i = 0; i < after->count; i++)
    if (strcmp(after->rows[i].event, word) == 0)
      snprintf(value, SIGHT_TEXT, "%s",
               answer_class_words[after->rows[i].answer.class]);
}

void sight_read(struct sight_reader *r, const struct sight *s,
                char value[SIGHT_TEXT])
{
  const struct chip *c = &play_machine(r->play)->chip;
  const struct plan *plan = &r->plan;
  const char *text = "";
  switch (s->kind) {
  case SIGHT_PC:
    snprintf(value, SIGHT_TEXT, "0x%08" PRIx32, c->core.r[15]);
    return;
  case SIGHT_WORD: word_text(c, s->at, value); return;
  case SIGHT_OPTION: option_text(c, s, value); return;
  case SIGHT_RAIL_LOW: rail_text(r, value); return;
  case SIGHT_AFTER: after_text(r, s->index, value); return;
  case SIGHT_REGION: text = region_name(plan, c, c->core.r[15]); break;
  case SIGHT_APPLICATION: text = application_runs(c) ? "yes" : "no"; break;
  case SIGHT_OUTCOME: text = outcome(r); break;
  case SIGHT_LATCH: text = latch_word(c->latch.programmed); break;
  case SIGHT_FLAG:
    text = c->reset.flags >> s->index & 1u ? "set" : "clear";
    break;
  case SIGHT_STRAP: text = strap_is_high(c, s->index) ? "high" : "low"; break;
  case SIGHT_PIN:
    text = part_drives(c, s->index) ? "driven" : "released";
    break;
  case SIGHT_IMAGE:
    text = whole_holds(play_machine(r->play), plan->images[s->index])
               ? "whole"
               : "not whole";
    break;
  case SIGHT_COUNT_: break;
  }
  snprintf(value, SIGHT_TEXT, "%s", text);
}

/* --- is it what was said? ------------------------------------------------ */

static bool address(const char *text, addr_t *at)
{
  char *end;
  if (strncmp(text, "0x", 2) != 0 || strlen(text) < 3 || strlen(text) > 10)
    return false;
  *at = (addr_t)strtoul(text + 2, &end, 16);
  return *end == '\0';
}

static uint32_t plain_region(const struct part *part, addr_t at)
{
  for (uint32_t i = 0; i < part->memory_count; i++)
    if (at - part->memory[i].at < part->memory[i].size) return i;
  return PART_NONE;
}

static bool word_agrees(const char *said, const char *shown)
{
  addr_t a, b;
  bool has = address(shown, &b);
  if (strcmp(said, "erased") == 0) return has && b == UINT32_MAX;
  if (strcmp(said, "programmed") == 0) return has && b != UINT32_MAX;
  return has && address(said, &a) && a == b;
}

static bool voltage_agrees(const char *said, const char *shown)
{
  int64_t a, b;
  if (!units_parse(said, UNIT_VOLTAGE, &a) ||
      !units_parse(shown, UNIT_VOLTAGE, &b))
    return strcmp(said, shown) == 0;
  int64_t off = a > b ? a - b : b - a;
  return off * 10 <= a;
}

static bool option_agrees(const struct plan *plan, const struct sight *s,
                          const char *said, const char *shown)
{
  const struct part_option_field *f =
      &plan->part->options.words[s->index].fields[s->field];
  if (strcmp(said, shown) == 0) return true;
  for (uint32_t i = 0; i < f->value_count; i++)
    if (strcmp(f->values[i].name, shown) == 0)
      return said[0] >= '0' && said[0] <= '9' &&
             strtoul(said, NULL, 0) == f->values[i].value;
  return false;
}

bool sight_agrees(const struct plan *plan, const struct sight *s,
                  const char *said, const char *shown)
{
  addr_t a, b;
  switch (s->kind) {
  case SIGHT_WORD: return word_agrees(said, shown);
  case SIGHT_REGION: return part_region_is(plan->part, said, shown);
  case SIGHT_RAIL_LOW: return voltage_agrees(said, shown);
  case SIGHT_OPTION: return option_agrees(plan, s, said, shown);
  case SIGHT_PC:
    return address(said, &a) && address(shown, &b) &&
           plain_region(plan->part, a) == plain_region(plan->part, b);
  default: return strcmp(said, shown) == 0;
  }
}

/* --- what may be said ---------------------------------------------------- */

static bool one_of(const char *value, const char *const *list, char *expected,
                   size_t size)
{
  size_t used = 0;
  expected[0] = '\0';
  for (; *list != NULL; list++) {
    if (strcmp(value, *list) == 0) return true;
    if (used < size)
      used += (size_t)snprintf(expected + used, size - used, "%s\"%s\"",
                               used == 0 ? "" : ", ", *list);
  }
  return false;
}

static bool region_fits(const struct plan *plan, const char *value,
                        char *expected, size_t size)
{
  const char *names[PART_MAX_MEMORY + 2] = {NULL};
  for (uint32_t i = 0; i < plan->part->memory_count; i++)
    names[i] = plan->part->memory[i].name;
  names[plan->part->memory_count] = "none";
  return one_of(value, names, expected, size) ||
         part_has_region(plan->part, value);
}

static bool option_fits(const struct plan *plan, const struct sight *s,
                        const char *value, char *expected, size_t size)
{
  const struct part_option_field *f =
      &plan->part->options.words[s->index].fields[s->field];
  const char *names[PART_MAX_VALUES + 1] = {NULL};
  for (uint32_t i = 0; i < f->value_count; i++)
    names[i] = f->values[i].name;
  char *end;
  strtoul(value, &end, 0);
  bool number = value[0] >= '0' && value[0] <= '9' && *end == '\0';
  bool named = one_of(value, names, expected, size);
  if (f->value_count == 0) snprintf(expected, size, "a number");
  return number || named;
}

static bool other_fits(enum sight_kind kind, const char *value, char *expected,
                       size_t size)
{
  static const char *const yes_no[] = {"yes", "no", NULL};
  static const char *const set_clear[] = {"set", "clear", NULL};
  static const char *const levels[] = {"high", "low", NULL};
  static const char *const drives[] = {"driven", "released", NULL};
  static const char *const wholes[] = {"whole", "not whole", NULL};
  static const char *const outcomes[] = {
      "running", "waiting", "sleeping", "halted", "lockup", "no start", NULL};
  const char *const *lists[SIGHT_COUNT_] = {[SIGHT_APPLICATION] = yes_no,
                                            [SIGHT_FLAG] = set_clear,
                                            [SIGHT_STRAP] = levels,
                                            [SIGHT_PIN] = drives,
                                            [SIGHT_IMAGE] = wholes,
                                            [SIGHT_OUTCOME] = outcomes,
                                            [SIGHT_AFTER] = answer_class_words,
                                            [SIGHT_LATCH] = latch_words};
  return one_of(value, lists[kind], expected, size);
}

bool sight_value_fits(const struct plan *plan, const struct sight *s,
                      const char *value, char *expected, size_t size)
{
  addr_t at;
  int64_t level;
  switch (s->kind) {
  case SIGHT_REGION: return region_fits(plan, value, expected, size);
  case SIGHT_OPTION: return option_fits(plan, s, value, expected, size);
  case SIGHT_PC:
    snprintf(expected, size, "an address such as \"0x04000100\"");
    return address(value, &at);
  case SIGHT_WORD:
    snprintf(expected, size,
             "\"erased\", \"programmed\" or a word such as \"0x20001000\"");
    return strcmp(value, "erased") == 0 || strcmp(value, "programmed") == 0 ||
           address(value, &at);
  case SIGHT_RAIL_LOW:
    snprintf(expected, size, "a voltage such as \"0.62V\", or \"none\"");
    return strcmp(value, "none") == 0 ||
           units_parse(value, UNIT_VOLTAGE, &level);
  default: return other_fits(s->kind, value, expected, size);
  }
}
