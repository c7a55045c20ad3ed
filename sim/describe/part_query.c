#include <string.h>

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
