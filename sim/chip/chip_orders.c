/* What a register write may set in motion, where more than one block has a
 * say. */
#include "chip/chip.h"

#include <string.h>

#include "chip/chip_cells.h"
#include "chip/registers.h"
#include "chip/rules.h"

/* The option word whose cell is at this address, or PART_NONE. */
static uint32_t option_word_at(const struct chip *c, addr_t at)
{
  uint32_t reg = registers_at(c->part, at);
  if (reg == PART_NONE) return PART_NONE;
  const struct part_register *r = &c->part->registers[reg];
  for (uint32_t i = 0; i < r->field_count; i++)
    if (r->fields[i].role == ROLE_OPTIONS_CELL) return r->fields[i].index;
  return PART_NONE;
}

static bool flash_at(const struct chip *c, addr_t at, uint32_t *region,
                     uint32_t *offset)
{
  *region = memory_find(&c->memory, at, 1, offset);
  return *region != PART_NONE && c->part->memory[*region].kind == MEMORY_FLASH;
}

/* Protected pages, and locked flash for the debug port. */
static bool is_denied(const struct chip *c, uint32_t region, uint32_t offset,
                      uint32_t size)
{
  if (c->by_debug && c->part->protection.denies_debug &&
      chip_readout_locked(c))
    return true;
  return chip_protected(c, region, offset, size);
}

/* The lock is in force, and the cells would no longer ask for it. */
static bool lifts_readout_lock(const struct chip *c, uint32_t word,
                               uint32_t value)
{
  const struct part_protection *p = &c->part->protection;
  struct rule_inputs in = {0};
  memcpy(in.options, c->options.cells, sizeof(in.options));
  in.options[word] = value;
  return chip_readout_locked(c) &&
         !rules_hold(c->part, &in, p->readout, p->readout_count);
}

static void order_program(struct chip *c, struct moment now)
{
  struct flash *f = &c->flash;
  uint32_t word = option_word_at(c, f->target);
  if (word != PART_NONE) {
    bool unlocks = lifts_readout_lock(c, word, f->data[0]);
    flash_begin(f, unlocks ? FLASH_UNLOCK_OPTION : FLASH_PROGRAM_OPTION, word,
                now, c->trace);
    return;
  }
  uint32_t region, offset;
  if (!flash_at(c, f->target, &region, &offset)) {
    flash_refuse(f, REFUSAL_ADDRESS, now, c->trace);
    return;
  }
  uint32_t unit = c->part->memory[region].unit;
  if (offset % unit != 0)
    flash_refuse(f, REFUSAL_ALIGNMENT, now, c->trace);
  else if (is_denied(c, region, offset, unit))
    flash_refuse(f, REFUSAL_PROTECTED, now, c->trace);
  else if (!memory_unprogrammed(&c->memory, region, offset, unit))
    flash_refuse(f, REFUSAL_NOT_ERASED, now, c->trace);
  else
    flash_begin(f, FLASH_PROGRAM, 0, now, c->trace);
}

/* The cells that an erase of one region touches. */
static bool erase_denied(const struct chip *c, enum flash_op op,
                         uint32_t region, uint32_t offset)
{
  const struct part_memory *m = &c->part->memory[region];
  if (op == FLASH_ERASE_BANK) return is_denied(c, region, 0, m->size);
  return is_denied(c, region, offset - offset % m->page, m->page);
}

/* It is what the debug port may do to locked flash. */
static bool erase_all_denied(const struct chip *c)
{
  for (uint32_t i = 0; i < c->part->memory_count; i++)
    if (chip_protected(c, i, 0, c->part->memory[i].size)) return true;
  return false;
}

static void order_erase(struct chip *c, enum flash_op op, struct moment now)
{
  uint32_t region, offset;
  struct flash *f = &c->flash;
  bool all = op == FLASH_ERASE_ALL;
  if (!all && !flash_at(c, f->target, &region, &offset))
    flash_refuse(f, REFUSAL_ADDRESS, now, c->trace);
  else if (all ? erase_all_denied(c) : erase_denied(c, op, region, offset))
    flash_refuse(f, REFUSAL_PROTECTED, now, c->trace);
  else
    flash_begin(f, op, 0, now, c->trace);
}

void chip_order_flash(struct chip *c, enum flash_op op, struct moment now)
{
  if (op == FLASH_PROGRAM)
    order_program(c, now);
  else
    order_erase(c, op, now);
  chip_guard_flash(c);
}

void chip_order_reload(struct chip *c, struct moment now)
{
  if (c->flash.locked) {
    flash_refuse(&c->flash, REFUSAL_LOCKED, now, c->trace);
    return;
  }
  chip_request_reset(c, CAUSE_OPTION_RELOAD);
  core_attend(&c->core);
}

/* The latch takes a write only together with its key, if it has one. */
void chip_write_latch(struct chip *c, bool programmed, struct moment now)
{
  bool keyed = part_field_of(c->part, ROLE_LATCH_KEY, NULL) != NULL;
  bool taken = !keyed || c->latch_open;
  trace_add(c->trace, now, TRACE_LATCH_WRITE, programmed, taken);
  if (taken) latch_set(&c->latch, programmed, SAMPLER_REGISTER, now, c->trace);
}

void chip_select_clock(struct chip *c, uint32_t source, struct moment now)
{
  if (!clock_select(&c->clock, source, now)) return;
  trace_add(c->trace, now, TRACE_CLOCK, source, (uint32_t)c->clock.hz);
}
