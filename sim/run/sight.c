#include "run/sight.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "describe/names.h"
#include "run/sight_parts.h"

static const char *const words[] = {
#define X(name, word, subject, how) word,
#include "describe/sights.def"
#undef X
    NULL};

static const char *const subjects[] = {
#define X(name, word, subject, how) subject,
#include "describe/sights.def"
#undef X
};

static const char *const hows[] = {
#define X(name, word, subject, how) how,
#include "describe/sights.def"
#undef X
};

const char *sight_how(enum sight_kind kind)
{
  return hows[kind];
}

/* --- keys ---------------------------------------------------------------- */

static void put(char text[SIGHT_TEXT], const char *a, const char *b)
{
  snprintf(text, SIGHT_TEXT, "%s.%s", a, b);
}

void sight_key(const struct plan *plan, const struct sight *s,
               char text[SIGHT_TEXT])
{
  const struct part *part = plan->part;
  const char *word = words[s->kind];
  switch (s->kind) {
  case SIGHT_WORD:
    snprintf(text, SIGHT_TEXT, "%s.0x%08" PRIx32, word, s->at);
    break;
  case SIGHT_OPTION:
    snprintf(text, SIGHT_TEXT, "%s.%.40s.%.40s", word,
             part->options.words[s->index].name,
             part->options.words[s->index].fields[s->field].name);
    break;
  case SIGHT_FLAG: put(text, word, cause_word((enum cause)s->index)); break;
  case SIGHT_STRAP: put(text, word, part->straps[s->index].name); break;
  case SIGHT_PIN: put(text, word, part->pins.names[s->index]); break;
  case SIGHT_IMAGE:
    put(text, word, plan->script->images[s->index].name);
    break;
  case SIGHT_AFTER: put(text, word, sight_event_word(s->index)); break;
  default: snprintf(text, SIGHT_TEXT, "%s", word); break;
  }
}

const char *sight_event_word(uint32_t event)
{
  return event == CAUSE_POWER_ON ? "power_cycle"
                                 : cause_word((enum cause)event);
}

static enum sim_status refuse(const struct plan *plan,
                              const struct case_sight *said,
                              enum sim_status status, const char *expected,
                              struct sim_error *err)
{
  char path[SIGHT_TEXT + 16];
  snprintf(path, sizeof(path), "seen[\"%.80s\"]", said->key);
  const struct sim_place place = {.file = plan->script->file,
                                  .line = said->line,
                                  .column = said->column,
                                  .path = path};
  return sim_fail(err, status, &place, "is \"%.60s\"; expected %s",
                  said->value, expected);
}

/* Index of a name in a list that `name` gives, or PART_NONE. */
static uint32_t find(const char *subject, uint32_t count,
                     const char *(*name)(const struct plan *, uint32_t),
                     const struct plan *plan)
{
  for (uint32_t i = 0; i < count; i++) {
    const char *n = name(plan, i);
    if (n != NULL && strcmp(n, subject) == 0) return i;
  }
  return PART_NONE;
}

static const char *strap_name(const struct plan *plan, uint32_t i)
{
  return plan->part->straps[i].name;
}

static const char *image_name(const struct plan *plan, uint32_t i)
{
  return plan->script->images[i].name;
}

static const char *flag_name(const struct plan *plan, uint32_t i)
{
  return plan->part->resets[i].flag ? cause_word((enum cause)i) : NULL;
}

static const char *event_name(const struct plan *plan, uint32_t i)
{
  return plan->part->resets[i].present ? sight_event_word(i) : NULL;
}

static bool find_option(const struct plan *plan, const char *subject,
                        struct sight *s)
{
  char text[SIGHT_TEXT];
  for (s->index = 0; s->index < plan->part->options.word_count; s->index++) {
    uint32_t count = plan->part->options.words[s->index].field_count;
    for (s->field = 0; s->field < count; s->field++) {
      sight_key(plan, s, text);
      if (strcmp(strchr(text, '.') + 1, subject) == 0) return true;
    }
  }
  return false;
}

static bool find_word(const char *subject, struct sight *s)
{
  char *end;
  if (strncmp(subject, "0x", 2) != 0 || strlen(subject) > 10) return false;
  unsigned long at = strtoul(subject + 2, &end, 16);
  s->at = (addr_t)at;
  return *end == '\0' && end > subject + 2 && at % 4 == 0;
}

static bool find_subject(const struct plan *plan, const char *subject,
                         struct sight *s)
{
  switch (s->kind) {
  case SIGHT_WORD: return find_word(subject, s);
  case SIGHT_OPTION: return find_option(plan, subject, s);
  case SIGHT_PIN: s->index = part_pin_named(plan->part, subject); break;
  case SIGHT_STRAP:
    s->index = find(subject, plan->part->strap_count, strap_name, plan);
    break;
  case SIGHT_IMAGE:
    s->index = find(subject, plan->script->image_count, image_name, plan);
    break;
  case SIGHT_FLAG:
    s->index = find(subject, CAUSE_COUNT_, flag_name, plan);
    break;
  default: s->index = find(subject, CAUSE_COUNT_, event_name, plan); break;
  }
  return s->index != PART_NONE;
}

static bool find_kind(const char *key, struct sight *s, const char **subject)
{
  size_t length = strcspn(key, ".");
  *subject = key[length] == '.' ? key + length + 1 : NULL;
  for (unsigned k = 0; k < SIGHT_COUNT_; k++) {
    if (strlen(words[k]) != length || strncmp(words[k], key, length) != 0)
      continue;
    s->kind = (enum sight_kind)k;
    return (subjects[k][0] != '\0') == (*subject != NULL);
  }
  return false;
}

static const char *all_keys(char *text, size_t size)
{
  size_t used = 0;
  text[0] = '\0';
  for (unsigned k = 0; k < SIGHT_COUNT_ && used < size; k++)
    used += (size_t)snprintf(text + used, size - used, "%s%s%s%s",
                             k == 0 ? "one of the keys " : ", ", words[k],
                             subjects[k][0] != '\0' ? "." : "", subjects[k]);
  return text;
}

enum sim_status sight_resolve(const struct plan *plan,
                              const struct case_sight *said, struct sight *s,
                              struct sim_error *err)
{
  char text[512];
  const char *subject;
  *s = (struct sight){0};
  if (!find_kind(said->key, s, &subject))
    return refuse(plan, said, SIM_KEY, all_keys(text, sizeof(text)), err);
  if (subject != NULL && !find_subject(plan, subject, s)) {
    snprintf(text, sizeof(text), "in its key a %s that this part or case has",
             s->kind == SIGHT_WORD ? "multiple of 4 such as 0x04000000 as "
                                     "ADDRESS"
                                   : subjects[s->kind]);
    return refuse(plan, said, SIM_REFERENCE, text, err);
  }
  if (sight_value_fits(plan, s, said->value, text, sizeof(text)))
    return SIM_OK;
  return refuse(plan, said, SIM_RANGE, text, err);
}

/* --- all that can be measured -------------------------------------------- */

struct collection {
  struct sight *list;
  uint32_t count;
};

static void add(struct collection *c, enum sight_kind kind, uint32_t index)
{
  if (c->count < SIGHT_MAX)
    c->list[c->count++] = (struct sight){.kind = kind, .index = index};
}

/* The words that the blank check reads, the first two of flash, and what
 * address 0 shows. */
static void add_words(struct collection *c, const struct part *part)
{
  const struct part_blank_check *check = &part->blank_check;
  uint32_t flash = part_memory_of(part, MEMORY_FLASH);
  addr_t at[PART_MAX_READS + 2] = {part->memory[flash].at};
  uint32_t count = 1;
  for (uint32_t i = 0; i < check->read_count; i++)
    at[count++] =
        part->memory[check->reads[i].memory].at + check->reads[i].offset;
  if (part_has_alias(part)) at[count++] = 0;
  for (uint32_t i = 0; i < count; i++) {
    bool again = false;
    for (uint32_t k = 0; k < i; k++)
      again |= at[k] == at[i];
    if (again || c->count == SIGHT_MAX) continue;
    c->list[c->count++] = (struct sight){.kind = SIGHT_WORD, .at = at[i]};
  }
}

static bool has_readable(const struct part *part, enum role role)
{
  const struct part_field *f = part_field_of(part, role, NULL);
  return f != NULL && f->access != ACCESS_WO;
}

static void add_options(struct collection *c, const struct part *part)
{
  for (uint32_t w = 0; w < part->options.word_count; w++)
    for (uint32_t f = 0; f < part->options.words[w].field_count; f++) {
      add(c, SIGHT_OPTION, w);
      c->list[c->count - 1].field = f;
    }
}

static void add_causes(struct collection *c, const struct plan *plan)
{
  const struct part *part = plan->part;
  for (uint32_t i = 0; i < CAUSE_COUNT_; i++)
    if (part->resets[i].flag &&
        has_readable(part, (enum role)(ROLE_CAUSE_POWER_ON + i)))
      add(c, SIGHT_FLAG, i);
}

/* What nobody can bring about on this board is no measurement. */
static void add_events(struct collection *c, const struct plan *plan)
{
  for (uint32_t i = 0; i < CAUSE_COUNT_; i++) {
    bool possible = plan->part->resets[i].present;
    if (i == CAUSE_POWER_ON) possible &= plan->script->supply.removable;
    bool by_hand = i == CAUSE_POWER_ON || i == CAUSE_PIN ||
                   i == CAUSE_OPTION_RELOAD || i == CAUSE_SOFTWARE;
    if (possible && by_hand) add(c, SIGHT_AFTER, i);
  }
}

uint32_t sight_all(const struct plan *plan, struct sight list[SIGHT_MAX])
{
  const struct part *part = plan->part;
  struct collection c = {.list = list};
  add(&c, SIGHT_REGION, 0);
  add(&c, SIGHT_APPLICATION, 0);
  add(&c, SIGHT_OUTCOME, 0);
  add_words(&c, part);
  if (part_has_latch(part) && has_readable(part, ROLE_LATCH))
    add(&c, SIGHT_LATCH, 0);
  add_causes(&c, plan);
  add_options(&c, part);
  for (uint32_t i = 0; i < part->strap_count; i++)
    add(&c, SIGHT_STRAP, i);
  for (uint32_t i = 0; i < part->pins.count; i++)
    add(&c, SIGHT_PIN, i);
  for (uint32_t i = 0; i < plan->script->image_count; i++)
    add(&c, SIGHT_IMAGE, i);
  if (plan->script->supply.removable) add(&c, SIGHT_RAIL_LOW, 0);
  add_events(&c, plan);
  return c.count;
}
