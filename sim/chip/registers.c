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

static void store(struct chip *chip, uint32_t reg, const struct part_field *f,
                  uint32_t value)
{
  uint32_t mask = roles_field_mask(f) << f->lsb;
  chip->stored[reg] = (chip->stored[reg] & ~mask) | (value << f->lsb);
}

/* Reading cleared it; only a setting can be cleared, an order is none. */
static void clear_field(const struct touch *t, uint32_t reg)
{
  const struct role_functions *role = &roles[t->field->role];
  store(t->chip, reg, t->field, 0);
  if (role->write != NULL && role->phase == ROLE_PHASE_SETTINGS)
    role->write(t, 0);
}

uint32_t registers_read(struct chip *chip, uint32_t reg, uint32_t lanes,
                        struct moment now)
{
  const struct part_register *r = &chip->part->registers[reg];
  uint32_t value = 0;
  for (uint32_t i = 0; i < r->field_count; i++) {
    struct touch t = {chip, &r->fields[i], now};
    if ((lanes >> t.field->lsb & roles_field_mask(t.field)) == 0) continue;
    value |= shown(&t, chip->stored[reg]);
    if (t.field->access == ACCESS_RC) clear_field(&t, reg);
  }
  return value;
}

/* A clock becomes ready without an event; reading data takes it away. */
bool registers_steady(const struct part *part, uint32_t reg, uint32_t lanes)
{
  const struct part_register *r = &part->registers[reg];
  for (uint32_t i = 0; i < r->field_count; i++) {
    const struct part_field *f = &r->fields[i];
    if ((lanes >> f->lsb & roles_field_mask(f)) == 0) continue;
    if (f->access == ACCESS_RC || f->role == ROLE_CLOCK_READY ||
        f->role == ROLE_SERIAL_DATA)
      return false;
  }
  return true;
}

/* The field's bits before a write, as they are inside the part. */
static uint32_t present(const struct touch *t, uint32_t reg)
{
  role_reading read = roles[t->field->role].read;
  uint32_t bits =
      read != NULL ? read(t) : t->chip->stored[reg] >> t->field->lsb;
  return bits & roles_field_mask(t->field);
}

/* What becomes of the field when `written` arrives in the bits of `reached`.
 * False: nothing, by its kind of access. The present bits are asked for only
 * where they count, because a role's reading may have an effect. */
static bool becomes(const struct touch *t, uint32_t reg, uint32_t reached,
                    uint32_t written, uint32_t *after)
{
  switch (t->field->access) {
  case ACCESS_RW:
  case ACCESS_WO:
    *after = written;
    if (reached != roles_field_mask(t->field))
      *after |= present(t, reg) & ~reached;
    return true;
  case ACCESS_W1C:
    if (written != 0) *after = present(t, reg) & ~written;
    return written != 0;
  case ACCESS_W1S:
    if (written != 0) *after = present(t, reg) | written;
    return written != 0;
  case ACCESS_RO:
  case ACCESS_RC: break;
  }
  return false;
}

static void write_field(const struct touch *t, uint32_t reg, uint32_t lanes,
                        uint32_t value)
{
  const struct part_field *f = t->field;
  const struct role_functions *role = &roles[f->role];
  uint32_t reached = (lanes >> f->lsb) & roles_field_mask(f);
  uint32_t written = (value >> f->lsb) & reached, after = 0;
  if (reached == 0 || !becomes(t, reg, reached, written, &after)) return;
  /* the part clears a bit that starts something: it is read back as 0 */
  bool starts = f->access == ACCESS_W1S && role->phase == ROLE_PHASE_START;
  if (!starts) store(t->chip, reg, f, after);
  if (role->write != NULL) role->write(t, after);
}

void registers_write(struct chip *chip, uint32_t reg, uint32_t lanes,
                     uint32_t value, struct moment now)
{
  const struct part_register *r = &chip->part->registers[reg];
  chip->latch_open = false;
  for (unsigned phase = 0; phase < ROLE_PHASES; phase++)
    for (uint32_t i = 0; i < r->field_count; i++) {
      if (roles[r->fields[i].role].phase != phase) continue;
      struct touch t = {chip, &r->fields[i], now};
      write_field(&t, reg, lanes, value);
    }
}

/* Flash target and data are such settings. */
static void put_in_force(struct chip *chip, uint32_t reg)
{
  const struct part_register *r = &chip->part->registers[reg];
  for (uint32_t i = 0; i < r->field_count; i++) {
    struct touch t = {chip, &r->fields[i], {0, 0}};
    const struct role_functions *role = &roles[t.field->role];
    if (role->phase != ROLE_PHASE_SETTINGS || role->read != NULL) continue;
    if (role->write != NULL) role->write(&t, present(&t, reg));
  }
}

void registers_reset(struct chip *chip)
{
  for (uint32_t i = 0; i < chip->part->register_count; i++) {
    chip->stored[i] = chip->part->registers[i].reset;
    put_in_force(chip, i);
  }
}
