#include "chip/rules.h"

static uint32_t option_value(const struct part *part,
                             const struct rule_inputs *in, uint32_t word,
                             uint32_t field)
{
  const struct part_option_field *f = &part->options.words[word].fields[field];
  uint32_t mask = f->width >= 32 ? UINT32_MAX : (1u << f->width) - 1;
  return (in->options[word] >> f->lsb) & mask;
}

static bool term_holds(const struct part *part, const struct rule_inputs *in,
                       const struct part_term *t)
{
  switch (t->kind) {
  case TERM_OPTION:
    return option_value(part, in, t->index, t->field) == t->value;
  case TERM_LATCH: return in->latch_programmed == (t->value != 0);
  case TERM_STRAP: return ((in->straps >> t->index) & 1u) == t->value;
  }
  return false;
}

bool rules_hold(const struct part *part, const struct rule_inputs *in,
                const struct part_term *terms, uint32_t count)
{
  for (uint32_t i = 0; i < count; i++)
    if (!term_holds(part, in, &terms[i])) return false;
  return true;
}

uint32_t rules_choose(const struct part *part, const struct rule_inputs *in)
{
  for (uint32_t i = 0; i < part->rule_count; i++)
    if (rules_hold(part, in, part->rules[i].terms, part->rules[i].term_count))
      return i;
  return PART_NONE;
}
