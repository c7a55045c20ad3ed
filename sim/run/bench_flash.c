/* Programming and erasing through the flash controller's registers. */
#include <assert.h>
#include <string.h>

#include "chip/roles.h"
#include "describe/trace_kinds.h"
#include "run/bench.h"
#include "run/bench_parts.h"
#include "run/engine.h"

/* --- a controller that the part file leaves out --- */

static bool is_controllers(enum role role)
{
  return role >= ROLE_FLASH_UNLOCK && role <= ROLE_FLASH_REFUSED;
}

static bool has_controller(const struct part *part)
{
  for (enum role r = ROLE_FLASH_UNLOCK; is_controllers(r); r++)
    if (part_field_of(part, r, NULL) != NULL) return true;
  return false;
}

/* What the register would set in motion. */
static void act(struct machine *m, enum role role, uint32_t index,
                uint32_t value)
{
  struct flash *f = &m->chip.flash;
  struct moment now = bench_now(m);
  f->locked = false;
  switch (role) {
  case ROLE_FLASH_TARGET: f->target = value; break;
  case ROLE_FLASH_DATA: f->data[index] = value; break;
  case ROLE_FLASH_PROGRAM:
    chip_order_flash(&m->chip, FLASH_PROGRAM, now);
    break;
  case ROLE_FLASH_ERASE_PAGE:
    chip_order_flash(&m->chip, FLASH_ERASE_PAGE, now);
    break;
  case ROLE_FLASH_ERASE_ALL:
    chip_order_flash(&m->chip, FLASH_ERASE_ALL, now);
    break;
  default: break;
  }
}

/* The probe brings a loader that knows the controller: common practice. Orders
 * take the time that the part file, or a default, gives them. */
static bool act_by_loader(struct machine *m, enum trace_action action,
                          enum role role, uint32_t index, uint32_t value)
{
  bench_pass(m, m->part->probe.transfer.typ);
  if (!bench_reaches_memory(m, action)) return false;
  act(m, role, index, value);
  bench_pass(m, 0);
  return true;
}

/* --- registers --- */

/* One register write through the debug port: the field with this role. */
static bool write_role(struct machine *m, enum trace_action action,
                       enum role role, uint32_t index, uint32_t value)
{
  addr_t at;
  uint32_t word;
  if (is_controllers(role) && !has_controller(m->part))
    return act_by_loader(m, action, role, index, value);
  if (!probe_role_word(m->part, role, index, value, &at, &word))
    return bench_fail(m, action, OBSTACLE_NO_REGISTER);
  bench_pass(m, m->part->probe.transfer.typ);
  if (!bench_reaches_memory(m, action)) return false;
  chip_register_write(&m->chip, at, word, m->now);
  bench_pass(m, 0);
  return true;
}

/* A write where nothing listens is no error on a bench: it has no effect. */
void bench_write_latch(struct machine *m, bool programmed)
{
  if (part_field_of(m->part, ROLE_LATCH, NULL) != NULL) {
    write_role(m, ACTION_WRITE, ROLE_LATCH, 0, programmed);
    return;
  }
  bench_pass(m, m->part->probe.transfer.typ);
  if (bench_reaches_memory(m, ACTION_WRITE))
    trace_add(&m->trace, bench_now(m), TRACE_LATCH_WRITE, programmed, 0);
}

/* --- lock and orders --- */

static bool unlock(struct machine *m, enum trace_action action)
{
  const struct part_field *f = part_field_of(m->part, ROLE_FLASH_UNLOCK, NULL);
  if (f == NULL || !m->chip.flash.locked) return true;
  for (uint32_t i = 0; i < f->key_count; i++)
    if (!write_role(m, action, ROLE_FLASH_UNLOCK, 0, f->keys[i])) return false;
  if (m->chip.flash.locked) return bench_fail(m, action, OBSTACLE_REFUSED);
  return true;
}

static void lock(struct machine *m, enum trace_action action)
{
  if (part_field_of(m->part, ROLE_FLASH_LOCK, NULL) != NULL)
    write_role(m, action, ROLE_FLASH_LOCK, 0, 1);
}

static bool flash_idle(void *context)
{
  const struct machine *m = context;
  return !flash_busy(&m->chip.flash);
}

/* Give an order and wait until the controller is free again. */
static bool order(struct machine *m, enum trace_action action, enum role role)
{
  m->chip.flash.refused = false;
  if (!write_role(m, action, role, 0, 1)) return false;
  if (m->chip.flash.refused) return bench_fail(m, action, OBSTACLE_REFUSED);
  engine_pass(m, ENGINE_END, flash_idle, m);
  bench_pass(m, m->part->probe.transfer.typ); /* sees that it is free */
  return true;
}

static bool order_at(struct machine *m, enum trace_action action,
                     enum role role, addr_t at)
{
  return write_role(m, action, ROLE_FLASH_TARGET, 0, at) &&
         order(m, action, role);
}

/* --- images --- */

static bool program_unit(struct machine *m, const struct image *image,
                         addr_t at, uint32_t unit, void *context)
{
  uint8_t bytes[FLASH_MAX_UNIT_WORDS * 4];
  (void)context;
  assert(unit <= sizeof(bytes));
  bench_unit_bytes(image, at, unit, bytes);
  for (uint32_t i = 0; i < unit; i += 4) {
    uint32_t word;
    memcpy(&word, bytes + i, 4);
    if (!write_role(m, ACTION_WRITE, ROLE_FLASH_DATA, i / 4, word))
      return false;
  }
  return order_at(m, ACTION_WRITE, ROLE_FLASH_PROGRAM, at);
}

static bool erase_block(struct machine *m, const struct image *image,
                        addr_t at, uint32_t block, void *context)
{
  (void)image, (void)block, (void)context;
  return order_at(m, ACTION_WRITE, ROLE_FLASH_ERASE_PAGE, at);
}

/* Units that the first 8 bytes of the image are in. */
static bool has_vectors(const struct image *image, addr_t at, uint32_t unit)
{
  addr_t first = image->segments[0].at;
  return at < first + 8 && first < at + unit;
}

static bool program_body(struct machine *m, const struct image *image,
                         addr_t at, uint32_t unit, void *context)
{
  return has_vectors(image, at, unit) ||
         program_unit(m, image, at, unit, context);
}

/* Behind all the rest they come downwards: the first word of an image is what
 * a blank check reads, if it reads but one. */
static bool program_vectors(struct machine *m, const struct image *image,
                            bool downwards)
{
  addr_t first = image->segments[0].at;
  uint32_t unit = bench_memory_of(m, first)->unit;
  uint32_t count = (first % unit + 8 + unit - 1) / unit;
  for (uint32_t i = 0; i < count; i++) {
    uint32_t n = downwards ? count - 1 - i : i;
    if (!program_unit(m, image, first - first % unit + n * unit, unit, NULL))
      return false;
  }
  return true;
}

static bool program_all(struct machine *m, const struct image *image,
                        enum write_order sequence)
{
  switch (sequence) {
  case ORDER_ASCENDING: break;
  case ORDER_VECTORS_FIRST:
    return program_vectors(m, image, false) &&
           bench_each_block(m, image, false, program_body, NULL);
  case ORDER_VECTORS_LAST:
    return bench_each_block(m, image, false, program_body, NULL) &&
           program_vectors(m, image, true);
  }
  return bench_each_block(m, image, false, program_unit, NULL);
}

static bool program_flash(struct machine *m, const struct image *image,
                          enum erase_extent erase, enum write_order sequence)
{
  if (!unlock(m, ACTION_WRITE)) return false;
  if (erase == ERASE_ALL && !order(m, ACTION_WRITE, ROLE_FLASH_ERASE_ALL))
    return false;
  if (erase == ERASE_PAGES &&
      !bench_each_block(m, image, true, erase_block, NULL))
    return false;
  return program_all(m, image, sequence);
}

static bool in_ram(const struct machine *m, const struct image *image)
{
  return bench_memory_of(m, image->segments[0].at)->kind == MEMORY_RAM;
}

static void tell_written(struct machine *m, const struct image *image)
{
  lock(m, ACTION_WRITE);
  for (uint32_t i = 0; i < image->segment_count; i++)
    trace_add(&m->trace, bench_now(m), TRACE_WRITE, image->segments[i].at,
              image->segments[i].size);
}

void bench_write_image(struct machine *m, const struct image *image,
                       enum erase_extent erase, enum write_order sequence)
{
  if (image->segment_count == 0) return; /* it has option cells only */
  if (!bench_reaches_memory(m, ACTION_WRITE)) return;
  if (in_ram(m, image) ? bench_load_ram(m, image)
                       : program_flash(m, image, erase, sequence))
    tell_written(m, image);
}

void bench_write_through(struct machine *m, const struct loader *loader,
                         const struct image *image, enum erase_extent erase)
{
  if (image->segment_count == 0) return; /* it has option cells only */
  if (!bench_reaches_memory(m, ACTION_WRITE)) return;
  if (in_ram(m, image) ? bench_load_ram(m, image)
                       : bench_by_loader(m, loader, image, erase))
    tell_written(m, image);
}

void bench_erase(struct machine *m, bool one_page, addr_t at)
{
  if (!bench_reaches_memory(m, ACTION_ERASE) || !unlock(m, ACTION_ERASE))
    return;
  if (one_page)
    order_at(m, ACTION_ERASE, ROLE_FLASH_ERASE_PAGE, at);
  else
    order(m, ACTION_ERASE, ROLE_FLASH_ERASE_ALL);
  lock(m, ACTION_ERASE);
}

/* --- options --- */

void bench_write_option(struct machine *m, uint32_t word, uint32_t value)
{
  addr_t cell;
  uint32_t unused;
  if (!bench_reaches_memory(m, ACTION_WRITE) || !unlock(m, ACTION_WRITE))
    return;
  if (!probe_role_word(m->part, ROLE_OPTIONS_CELL, word, 0, &cell, &unused))
    bench_fail(m, ACTION_WRITE, OBSTACLE_NO_REGISTER);
  else if (write_role(m, ACTION_WRITE, ROLE_FLASH_DATA, 0, value))
    order_at(m, ACTION_WRITE, ROLE_FLASH_PROGRAM, cell);
  lock(m, ACTION_WRITE);
}

void bench_reload_options(struct machine *m)
{
  if (!bench_reaches_memory(m, ACTION_RELOAD) || !unlock(m, ACTION_RELOAD))
    return;
  m->chip.flash.refused = false;
  if (write_role(m, ACTION_RELOAD, ROLE_OPTIONS_RELOAD, 0, 1) &&
      m->chip.flash.refused)
    bench_fail(m, ACTION_RELOAD, OBSTACLE_REFUSED);
}
