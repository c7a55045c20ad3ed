/* What the option words have to do with it. */
#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>

#include "board/probe.h"
#include "run/why_parts.h"

/* --- building ------------------------------------------------------------ */

const char *why_format(const struct why_case *w, const char *format, ...)
{
  char text[1024];
  va_list args;
  va_start(args, format);
  vsnprintf(text, sizeof(text), format, args);
  va_end(args);
  return arena_text(w->arena, text);
}

struct proposal *why_begin(struct proposals *p, enum why_cause cause,
                           const char *detail)
{
  if (p->count == WHY_MAX_PROPOSALS) return NULL;
  struct proposal *new = &p->list[p->count++];
  *new = (struct proposal){.cause = cause, .detail = detail};
  return new;
}

void why_edit(struct proposal *p, enum case_edit_kind kind, uint32_t step,
              const char *text)
{
  if (p == NULL || p->count == WHY_MAX_EDITS) return;
  p->edits[p->count++] =
      (struct case_edit){.kind = kind, .step = step, .text = text};
}

/* --- settings ------------------------------------------------------------ */

/* "start.source": 1, ... for the terms that ask for options; NULL: none does.
 */
static const char *settings(const struct why_case *w,
                            const struct part_term *terms, uint32_t count)
{
  const char *set = NULL;
  for (uint32_t i = 0; i < count; i++) {
    const struct part_term *t = &terms[i];
    if (t->kind != TERM_OPTION) continue;
    const struct part_option_word *word = &w->part->options.words[t->index];
    set = why_format(w, "%s%s\"%s.%s\": %" PRIu32, set == NULL ? "" : set,
                     set == NULL ? "" : ", ", word->name,
                     word->fields[t->field].name, t->value);
  }
  return set;
}

static void preset(const struct why_case *w, struct proposal *p,
                   const char *set)
{
  why_edit(p, EDIT_FIRST, 0,
           why_format(w,
                      "[{\"write\": \"options\", \"by\": \"preset\","
                      " \"set\": {%s}}]",
                      set));
}

static void as_rules_ask(const struct why_case *w, struct proposals *p,
                         enum why_cause cause,
                         bool (*leads_there)(const struct why_case *,
                                             uint32_t memory))
{
  for (uint32_t r = 0; r < w->part->rule_count; r++) {
    const struct part_rule *rule = &w->part->rules[r];
    if (!leads_there(w, rule->memory)) continue;
    const char *set = settings(w, rule->terms, rule->term_count);
    if (set == NULL) continue;
    preset(w,
           why_begin(p, cause, why_format(w, "as rule %s asks", rule->name)),
           set);
  }
}

static bool is_rom(const struct why_case *w, uint32_t memory)
{
  return w->part->memory[memory].kind == MEMORY_ROM;
}

void why_start_option(const struct why_case *w, struct proposals *p)
{
  as_rules_ask(w, p, WHY_START_OPTION, is_rom);
}

static bool is_other_bank(const struct why_case *w, uint32_t memory)
{
  const struct part_memory *m = &w->part->memory[memory];
  return m->kind == MEMORY_FLASH &&
         w->bytes->segments[0].at - m->at >= m->size;
}

void why_wrong_bank(const struct why_case *w, struct proposals *p)
{
  as_rules_ask(w, p, WHY_WRONG_BANK, is_other_bank);
}

void why_locked(const struct why_case *w, struct proposals *p)
{
  const struct part_protection *lock = &w->part->protection;
  const char *set = settings(w, lock->readout, lock->readout_count);
  if (set != NULL) preset(w, why_begin(p, WHY_LOCKED, NULL), set);
}

void why_watchdog(const struct why_case *w, struct proposals *p)
{
  const struct part_watchdog *dog = &w->part->watchdog;
  if (!dog->present || dog->option == NULL) return;
  const char *set = why_format(w, "\"%s\": \"%s\"", dog->option, dog->when);
  preset(w, why_begin(p, WHY_WATCHDOG, "set from the first"), set);
  uint32_t detach = why_last_step(w, why_detaches);
  if (detach != PART_NONE)
    why_edit(why_begin(p, WHY_WATCHDOG, "written with the image"),
             EDIT_REPLACE, detach,
             why_format(w,
                        "[{\"write\": \"options\", \"by\": \"probe\","
                        " \"set\": {%s}}, {\"probe\": \"detach\"}]",
                        set));
}

/* The person who sets it sees nothing of it: it is in force as soon as it is
 * loaded, and that is behind the probe's last look. */
void why_locked_attached(const struct why_case *w, struct proposals *p)
{
  const struct part_protection *lock = &w->part->protection;
  const char *set = settings(w, lock->readout, lock->readout_count);
  uint32_t step = why_last_step(w, why_detaches);
  if (set == NULL || (w->whole && step == PART_NONE)) return;
  const char *locks = why_format(w,
                                 "{\"write\": \"options\", \"set\": {%s}},"
                                 " {\"reload\": \"options\"},"
                                 " {\"probe\": \"detach\"}]",
                                 set);
  struct proposal *new = why_begin(p, WHY_LOCKED_ATTACHED, NULL);
  if (step != PART_NONE)
    why_edit(new, EDIT_REPLACE, step, why_format(w, "[%s", locks));
  else
    why_edit(new, EDIT_PRELUDE, 0,
             why_format(w,
                        "[{\"write\": \"%s\", \"by\": \"preset\"},"
                        " {\"power\": \"on\", \"for\": \"3ms\"},"
                        " {\"probe\": \"attach\"}, %s",
                        w->image, locks));
}

/* --- a write that was cut ------------------------------------------------ */

/* A step that writes a register by its role; "" where the part has none. */
static const char *write_role(const struct why_case *w, enum role role,
                              uint32_t value)
{
  addr_t at;
  uint32_t word;
  if (!probe_role_word(w->part, role, 0, value, &at, &word)) return "";
  return why_format(
      w, " {\"write\": \"0x%08" PRIx32 "\", \"value\": \"0x%08" PRIx32 "\"},",
      at, word);
}

static const char *unlock(const struct why_case *w)
{
  const struct part_register *reg;
  const struct part_field *f = part_field_of(w->part, ROLE_FLASH_UNLOCK, &reg);
  const char *steps = "";
  for (uint32_t i = 0; f != NULL && i < f->key_count; i++)
    steps = why_format(w,
                       "%s {\"write\": \"0x%08" PRIx32
                       "\", \"value\": \"0x%08" PRIx32 "\"},",
                       steps, reg->at, f->keys[i] << f->lsb);
  return steps;
}

/* Every bit otherwise than the factory left it: of a word that is there
 * already nothing could be torn. */
static uint32_t another_word(const struct part_option_word *word)
{
  uint32_t value = 0;
  for (uint32_t i = 0; i < word->field_count; i++)
    value |= word->fields[i].factory << word->fields[i].lsb;
  return ~value;
}

/* Half of the time that it takes, then a reset; the options are loaded behind
 * it. Only where nothing is told of what went before. */
void why_options_cut(const struct why_case *w, struct proposals *p)
{
  const struct part *part = w->part;
  addr_t cell;
  uint32_t ignored;
  if (w->whole || part->options.integrity == INTEGRITY_NONE ||
      !probe_role_word(part, ROLE_OPTIONS_CELL, 0, 0, &cell, &ignored))
    return;
  const char *order = why_format(
      w, "%s%s%s%s", unlock(w), write_role(w, ROLE_FLASH_TARGET, cell),
      write_role(w, ROLE_FLASH_DATA, another_word(&part->options.words[0])),
      write_role(w, ROLE_FLASH_PROGRAM, 1));
  why_edit(
      why_begin(p, WHY_OPTIONS_CUT, NULL), EDIT_PRELUDE, 0,
      why_format(w,
                 "[{\"write\": \"%s\", \"by\": \"preset\"},"
                 " {\"power\": \"on\", \"for\": \"3ms\"},"
                 " {\"probe\": \"attach\"},%s {\"run\": \"%" PRId64 "us\"},"
                 " {\"reset\": \"pin\"}, {\"probe\": \"attach\"},"
                 " {\"reload\": \"options\"}, {\"probe\": \"detach\"}]",
                 w->image, order,
                 (int64_t)(part->flash.option_program.typ / 2 / PS_PER_US)));
}
