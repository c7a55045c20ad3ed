#include "chip/options.h"

#include <assert.h>

#include "describe/trace_kinds.h"

static uint32_t field_mask(const struct part_option_field *f)
{
  return f->width >= 32 ? UINT32_MAX : (1u << f->width) - 1;
}

static uint32_t word_of(const struct part_option_word *w, bool factory)
{
  uint32_t value = 0;
  for (uint32_t i = 0; i < w->field_count; i++) {
    const struct part_option_field *f = &w->fields[i];
    value = options_with(f, value, factory ? f->factory : f->fallback);
  }
  return value;
}

/* --- the check ----------------------------------------------------------- */

/* Where the check of a word stands. */
static uint32_t check_of(const struct options *o, uint32_t word)
{
  return o->part->integrity == INTEGRITY_COMPLEMENT ? word : 0;
}

static uint32_t expected_check(const struct options *o, uint32_t word)
{
  if (o->part->integrity == INTEGRITY_COMPLEMENT) return ~o->cells[word];
  uint32_t sum = 0;
  for (uint32_t i = 0; i < o->part->word_count; i++)
    sum += o->cells[i];
  return ~sum;
}

bool options_sound(const struct options *o, uint32_t word)
{
  return o->part->integrity == INTEGRITY_NONE ||
         o->check[check_of(o, word)] == expected_check(o, word);
}

static void write_check(struct options *o, uint32_t word)
{
  o->check[check_of(o, word)] = expected_check(o, word);
}

/* ------------------------------------------------------------------------- */

void options_init(struct options *o, const struct part_options *part)
{
  *o = (struct options){.part = part};
  for (uint32_t i = 0; i < part->word_count; i++)
    o->cells[i] = word_of(&part->words[i], true);
  for (uint32_t i = 0; i < part->word_count; i++)
    write_check(o, i);
}

void options_load(struct options *o, struct moment now, struct trace *tr)
{
  for (uint32_t i = 0; i < o->part->word_count; i++) {
    bool sound = options_sound(o, i);
    o->active[i] = sound ? o->cells[i] : word_of(&o->part->words[i], false);
    if (!sound) trace_add(tr, now, TRACE_OPTION_FALLBACK, i, o->active[i]);
    trace_add(tr, now, TRACE_OPTION, i, o->active[i]);
  }
}

void options_program(struct options *o, uint32_t word, uint32_t value,
                     struct moment now, struct trace *tr)
{
  assert(word < o->part->word_count);
  o->cells[word] = value;
  write_check(o, word);
  trace_add(tr, now, TRACE_OPTION_CELL, word, value);
}

/* --- cells on their way -------------------------------------------------- */

/* Bits without a pattern that depend on the place only; odd constants of our
 * own. */
static uint32_t pattern(uint32_t place)
{
  uint32_t h = (place + 1) * 0xb5297a4du;
  h = (h ^ h >> 15) * 0x68e31da5u;
  return h ^ h >> 13;
}

static uint32_t torn_word(uint32_t old, uint32_t goal, enum torn left,
                          uint32_t place)
{
  uint32_t bits = pattern(place);
  switch (left) {
  case TORN_OLD: return old;
  case TORN_NEW:
  case TORN_WEAK: return goal;
  case TORN_PART: return (old & bits) | (goal & ~bits);
  case TORN_ONES: return UINT32_MAX;
  case TORN_ZEROS: return 0;
  case TORN_COUNT_: break;
  }
  assert(0 && "a kind");
  return old;
}

void options_tear(struct options *o, uint32_t word, uint32_t value,
                  enum torn left, struct moment now, struct trace *tr)
{
  assert(word < o->part->word_count);
  uint32_t old = o->cells[word], *check = &o->check[check_of(o, word)];
  uint32_t old_check = *check;
  o->cells[word] = value;
  write_check(o, word);
  o->cells[word] = torn_word(old, value, left, 2 * word);
  *check = torn_word(old_check, *check, left, 2 * word + 1);
  if (o->cells[word] != old)
    trace_add(tr, now, TRACE_OPTION_CELL, word, o->cells[word]);
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
