#include <string.h>

#include "describe/names.h"
#include "describe/part.h"

uint32_t part_memory_named(const struct part *part, const char *name)
{
  for (uint32_t i = 0; i < part->memory_count; i++) {
    if (strcmp(part->memory[i].name, name) == 0) return i;
  }
  return PART_NONE;
}

uint32_t part_memory_of(const struct part *part, enum memory_kind kind)
{
  for (uint32_t i = 0; i < part->memory_count; i++) {
    if (part->memory[i].kind == kind) return i;
  }
  return PART_NONE;
}

bool part_region_is(const struct part *part, const char *asked,
                    const char *region)
{
  if (strcmp(asked, region) == 0) return true;
  uint32_t at = part_memory_named(part, region);
  return at != PART_NONE && part_memory_named(part, asked) == PART_NONE &&
         strcmp(memory_kind_word(part->memory[at].kind), asked) == 0;
}

bool part_has_region(const struct part *part, const char *asked)
{
  for (uint32_t i = 0; i < part->memory_count; i++)
    if (part_region_is(part, asked, part->memory[i].name)) return true;
  return false;
}

bool part_has_alias(const struct part *part)
{
  for (uint32_t i = 0; i < part->memory_count; i++) {
    if (part->memory[i].at == 0) return false;
  }
  return true;
}

uint32_t part_pin_named(const struct part *part, const char *name)
{
  for (uint32_t i = 0; i < part->pins.count; i++) {
    if (strcmp(part->pins.names[i], name) == 0) return i;
  }
  return PART_NONE;
}

uint32_t part_ports(const struct part *part)
{
  if (part->pins.more_transmit != PART_NONE) return 2;
  return part->pins.serial_transmit != PART_NONE ? 1 : 0;
}

struct part_port part_port(const struct part *part, uint32_t number)
{
  const struct part_pins *p = &part->pins;
  return number == 0
             ? (struct part_port){p->serial_transmit, p->serial_receive}
             : (struct part_port){p->more_transmit, p->more_receive};
}

const struct part_field *part_field_of(const struct part *part, enum role role,
                                       const struct part_register **reg)
{
  for (uint32_t i = 0; i < part->register_count; i++) {
    const struct part_register *candidate = &part->registers[i];
    for (uint32_t j = 0; j < candidate->field_count; j++) {
      if (candidate->fields[j].role != role) continue;
      if (reg) *reg = candidate;
      return &candidate->fields[j];
    }
  }
  return NULL;
}

static bool declares(const struct part_torn *torn)
{
  return torn->count > 1 || (torn->count == 1 && torn->kinds[0] != TORN_OLD);
}

bool part_declares_torn(const struct part *part)
{
  const struct part_flash *f = &part->flash;
  return declares(&f->torn_program) || declares(&f->torn_erase) ||
         declares(&f->torn_options);
}

bool part_option_named(const struct part *part, const char *name,
                       uint32_t *word, uint32_t *field)
{
  const char *dot = strchr(name, '.');
  if (dot == NULL) return false;
  size_t length = (size_t)(dot - name);
  for (uint32_t w = 0; w < part->options.word_count; w++) {
    const struct part_option_word *o = &part->options.words[w];
    if (strlen(o->name) != length || memcmp(o->name, name, length) != 0)
      continue;
    for (uint32_t f = 0; f < o->field_count; f++) {
      if (strcmp(o->fields[f].name, dot + 1) != 0) continue;
      *word = w;
      *field = f;
      return true;
    }
  }
  return false;
}

const char *part_option_value_name(const struct part *part, const char *name,
                                   const uint32_t *options)
{
  uint32_t word = 0, field = 0;
  part_option_named(part, name, &word, &field);
  const struct part_option_field *f = &part->options.words[word].fields[field];
  uint32_t mask = f->width >= 32 ? UINT32_MAX : (1u << f->width) - 1;
  uint32_t value = options[word] >> f->lsb & mask;
  for (uint32_t i = 0; i < f->value_count; i++)
    if (f->values[i].value == value) return f->values[i].name;
  return NULL;
}

uint32_t part_brown_out_level(const struct part *part, const uint32_t *options)
{
  const struct part_brown_out *b = &part->power.brown_out;
  const char *name = part_option_value_name(part, b->option, options);
  for (uint32_t i = 0; i < b->level_count; i++)
    if (name != NULL && strcmp(b->levels[i].name, name) == 0) return i;
  return PART_NONE;
}
