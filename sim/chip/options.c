#include "chip/options.h"

#include <assert.h>

#include "describe/trace_kinds.h"

static uint32_t field_mask(const struct part_option_field *f)
{
  return f->width >= 32 ? UINT32_MAX : (1u << f->width) - 1;
}

static uint32_t factory_word(const struct part_option_word *w)
{
  uint32_t value = 0;
  for (uint32_t i = 0; i < w->field_count; i++)
    value = options_with(&w->fields[i], value, w->fields[i].factory);
  return value;
}

void options_init(struct options *o, const struct part_options *part)
{
  *o = (struct options){.part = part};
  for (uint32_t i = 0; i < part->word_count; i++)
    o->cells[i] = factory_word(&part->words[i]);
}

void options_load(struct options *o, struct moment now, struct trace *tr)
{
  for (uint32_t i = 0; i < o->part->word_count; i++) {
    o->active[i] = o->cells[i];
    trace_add(tr, now, TRACE_OPTION, i, o->active[i]);
  }
}

void options_program(struct options *o, uint32_t word, uint32_t value,
                     struct moment now, struct trace *tr)
{
  assert(word < o->part->word_count);
  o->cells[word] = value;
  trace_add(tr, now, TRACE_OPTION_CELL, word, value);
}

uint32_t options_field(const struct options *o, uint32_t word, uint32_t field)
{
  const struct part_option_field *f = &o->part->words[word].fields[field];
  return (o->active[word] >> f->lsb) & field_mask(f);
}

uint32_t options_with(const struct part_option_field *field, uint32_t value,
                      uint32_t setting)
{
  uint32_t mask = field_mask(field) << field->lsb;
  return (value & ~mask) | ((setting << field->lsb) & mask);
}
