/* What a register write may set in motion, where more than one block has a
 * say. */
#include "chip/chip.h"

#include "chip/registers.h"

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

static void order_program(struct chip *c, struct moment now)
{
  struct flash *f = &c->flash;
  uint32_t word = option_word_at(c, f->target);
  if (word != PART_NONE) {
    flash_begin(f, FLASH_PROGRAM_OPTION, word, now, c->trace);
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
  else if (!memory_erased(&c->memory, region, offset, unit))
    flash_refuse(f, REFUSAL_NOT_ERASED, now, c->trace);
  else
    flash_begin(f, FLASH_PROGRAM, 0, now, c->trace);
}

void chip_order_flash(struct chip *c, enum flash_op op, struct moment now)
{
  uint32_t region, offset;
  if (op == FLASH_PROGRAM)
    order_program(c, now);
  else if (op == FLASH_ERASE_PAGE &&
           !flash_at(c, c->flash.target, &region, &offset))
    flash_refuse(&c->flash, REFUSAL_ADDRESS, now, c->trace);
  else
    flash_begin(&c->flash, op, 0, now, c->trace);
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
