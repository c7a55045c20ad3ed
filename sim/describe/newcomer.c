#include "describe/newcomer.h"

#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "describe/names.h"

const char *finding_newcomer(enum finding_kind kind)
{
  static const char *const sentences[FINDING_COUNT_] = {
#define FINDING(name, sentence) [FINDING_##name] = sentence,
#define CAUSE(name, sentence)
#define RESIDUE(name, sentence)
#include "describe/newcomer.inc"
#undef FINDING
#undef CAUSE
#undef RESIDUE
  };
  return sentences[kind];
}

const char *residue_newcomer(enum residue item)
{
  static const char *const sentences[RESIDUE_COUNT_] = {
#define FINDING(name, sentence)
#define CAUSE(name, sentence)
#define RESIDUE(name, sentence) [RESIDUE_##name] = sentence,
#include "describe/newcomer.inc"
#undef FINDING
#undef CAUSE
#undef RESIDUE
  };
  return sentences[item];
}

const char *finding_meaning(const struct finding *f)
{
  return f->kind == FINDING_RESIDUE ? residue_sentence(f->residue)
                                    : finding_sentence(f->kind);
}

const char *finding_explained(const struct finding *f)
{
  return f->kind == FINDING_RESIDUE ? residue_newcomer(f->residue)
                                    : finding_newcomer(f->kind);
}

const char *cause_newcomer(enum cause cause)
{
  static const char *const sentences[CAUSE_COUNT_] = {
#define FINDING(name, sentence)
#define CAUSE(name, sentence) [CAUSE_##name] = sentence,
#define RESIDUE(name, sentence)
#include "describe/newcomer.inc"
#undef FINDING
#undef CAUSE
#undef RESIDUE
  };
  return sentences[cause];
}

/* --- rules --------------------------------------------------------------- */

/* PART_MAX_TERMS terms of at most three names of 63 characters. */
#define RULE_TEXT 2600

struct line {
  char text[RULE_TEXT];
  size_t used;
};

static void put(struct line *to, const char *text)
{
  size_t length = strlen(text);
  assert(to->used + length < sizeof to->text);
  memcpy(to->text + to->used, text, length + 1);
  to->used += length;
}

static void put_option(struct line *to, const struct part *part,
                       const struct part_term *term)
{
  const struct part_option_word *word = &part->options.words[term->index];
  const struct part_option_field *field = &word->fields[term->field];
  char number[16];
  snprintf(number, sizeof number, "%" PRIu32, term->value);
  const char *value = number;
  for (uint32_t i = 0; i < field->value_count; i++) {
    if (field->values[i].value == term->value) value = field->values[i].name;
  }
  put(to, word->name);
  put(to, ".");
  put(to, field->name);
  put(to, " is ");
  put(to, value);
}

static void put_term(struct line *to, const struct part *part,
                     const struct part_term *term, bool newcomer)
{
  switch (term->kind) {
  case TERM_OPTION:
    put(to, newcomer ? "the option " : "option ");
    put_option(to, part, term);
    break;
  case TERM_LATCH:
    put(to, part_has_latch(part)
                ? newcomer ? "the blank latch says " : "the latch says "
                : "the blank check says ");
    put(to, latch_word(term->value));
    break;
  case TERM_STRAP:
    put(to, "strap ");
    put(to, part->straps[term->index].name);
    put(to, term->value ? " is high" : " is low");
    break;
  }
}

static void put_terms(struct line *to, const struct part *part,
                      const struct part_rule *rule, bool newcomer)
{
  for (uint32_t i = 0; i < rule->term_count; i++) {
    if (i > 0) put(to, i + 1 == rule->term_count ? ", and " : ", ");
    put_term(to, part, &rule->terms[i], newcomer);
  }
}

const char *rule_expert(struct arena *arena, const struct part *part,
                        uint32_t rule)
{
  const struct part_rule *r = &part->rules[rule];
  struct line line = {.used = 0};
  if (r->about) return r->about;
  put_terms(&line, part, r, false);
  if (r->term_count == 0)
    put(&line, rule == 0 ? "always" : "no rule above it");
  return arena_text(arena, line.text);
}

/* "the boot ROM", "the program in flash": the memory's kind, and its own name
 * where it is another. */
static void put_region(struct line *to, const struct part_memory *memory)
{
  static const char *const kinds[] = {
      [MEMORY_FLASH] = "the program in flash",
      [MEMORY_ROM] = "its boot ROM",
      [MEMORY_RAM] = "the program in RAM",
      [MEMORY_INFO] = "the information words",
  };
  const char *usual = memory_kind_word(memory->kind);
  put(to, kinds[memory->kind]);
  if (strcmp(memory->name, usual) == 0) return;
  put(to, " (");
  put(to, memory->name);
  put(to, ")");
}

const char *rule_newcomer(struct arena *arena, const struct part *part,
                          uint32_t rule)
{
  const struct part_rule *r = &part->rules[rule];
  struct line line = {.used = 0};
  if (r->newcomer) return r->newcomer;
  if (r->term_count > 0) {
    put(&line, "Because ");
    put_terms(&line, part, r, true);
    put(&line, ", the part starts ");
  } else if (rule == 0) {
    put(&line, "This part always starts ");
  } else {
    put(&line, "No other rule applies, so the part starts ");
  }
  put_region(&line, &part->memory[r->memory]);
  put(&line, ".");
  return arena_text(arena, line.text);
}
