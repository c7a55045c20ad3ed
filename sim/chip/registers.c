#include "chip/registers.h"

#include <stddef.h>

#include "chip/chip.h"
#include "chip/roles.h"

uint32_t registers_at(const struct part *part, addr_t at)
{
  uint32_t low = 0, high = part->register_count;
  while (low < high) {
    uint32_t middle = low + (high - low) / 2;
    if (part->registers[middle].at < at)
      low = middle + 1;
    else
      high = middle;
  }
  return low < part->register_count && part->registers[low].at == at
             ? low
             : PART_NONE;
}

static uint32_t shown(const struct touch *t, uint32_t stored)
{
  if (t->field->access == ACCESS_WO) return 0;
  role_reading read = roles[t->field->role].read;
  uint32_t value = read != NULL ? read(t) : stored >> t->field->lsb;
  return (value & roles_field_mask(t->field)) << t->field->lsb;
}

uint32_t registers_read(struct chip *chip, uint32_t reg, struct moment now)
{
  const struct part_register *r = &chip->part->registers[reg];
  uint32_t value = 0;
  for (uint32_t i = 0; i < r->field_count; i++) {
    const struct part_field *f = &r->fields[i];
    struct touch t = {chip, f, now};
    value |= shown(&t, chip->stored[reg]);
    if (f->access == ACCESS_RC)
      chip->stored[reg] &= ~(roles_field_mask(f) << f->lsb);
  }
  return value;
}

/* The field's bits after `written` arrived, by its kind of access. */
static uint32_t kept(const struct part_field *f, uint32_t before,
                     uint32_t written)
{
  switch (f->access) {
  case ACCESS_RW:
  case ACCESS_WO: return written;
  case ACCESS_W1C: return before & ~written;
  case ACCESS_W1S: return before | written;
  case ACCESS_RO:
  case ACCESS_RC: break;
  }
  return before;
}

/* Fields that start something are read back as 0: the part clears them. */
static void store(struct chip *chip, uint32_t reg, const struct part_field *f,
                  uint32_t value)
{
  if (f->access == ACCESS_W1S && f->role != ROLE_NONE) return;
  uint32_t mask = roles_field_mask(f) << f->lsb;
  chip->stored[reg] = (chip->stored[reg] & ~mask) | (value << f->lsb);
}

static void write_field(const struct touch *t, uint32_t reg, uint32_t value)
{
  const struct part_field *f = t->field;
  if (f->access == ACCESS_RO || f->access == ACCESS_RC) return;
  uint32_t written = (value >> f->lsb) & roles_field_mask(f);
  uint32_t before =
      (roles[f->role].read != NULL ? roles[f->role].read(t)
                                   : t->chip->stored[reg] >> f->lsb) &
      roles_field_mask(f);
  uint32_t after = kept(f, before, written);
  store(t->chip, reg, f, after);
  if (roles[f->role].write == NULL) return;
  /* an order is carried out by what was written, not by what is shown */
  roles[f->role].write(t, f->access == ACCESS_W1S ? written : after);
}

void registers_write(struct chip *chip, uint32_t reg, uint32_t value,
                     struct moment now)
{
  const struct part_register *r = &chip->part->registers[reg];
  chip->latch_open = false;
  for (unsigned phase = 0; phase < ROLE_PHASES; phase++)
    for (uint32_t i = 0; i < r->field_count; i++) {
      if (roles[r->fields[i].role].phase != phase) continue;
      struct touch t = {chip, &r->fields[i], now};
      write_field(&t, reg, value);
    }
}

void registers_reset(struct chip *chip)
{
  for (uint32_t i = 0; i < chip->part->register_count; i++)
    chip->stored[i] = chip->part->registers[i].reset;
}
