#include "chip/chip_cells.h"

#include <assert.h>
#include <string.h>

#include "chip/rules.h"

void chip_bytes_changed(struct chip *c, uint32_t region, uint32_t offset,
                        uint32_t size)
{
  cpu_invalidate(c->cpu, c->part->memory[region].at + offset, size);
}

/* --- what option fields ask for ------------------------------------------ */

bool chip_options_hold(const struct chip *c, const struct part_term *terms,
                       uint32_t count)
{
  struct rule_inputs in = {0};
  memcpy(in.options, c->options.active, sizeof(in.options));
  return rules_hold(c->part, &in, terms, count);
}

bool chip_readout_locked(const struct chip *c)
{
  const struct part_protection *p = &c->part->protection;
  return p->readout_count > 0 &&
         chip_options_hold(c, p->readout, p->readout_count);
}

bool chip_protected(const struct chip *c, uint32_t region, uint32_t offset,
                    uint32_t size)
{
  const struct part_protection *p = &c->part->protection;
  for (uint32_t i = 0; i < p->page_count; i++) {
    const struct part_span *s = &p->pages[i];
    bool touches = s->memory == region && offset < s->offset + s->bytes &&
                   s->offset < offset + size;
    if (touches && chip_options_hold(c, s->terms, s->term_count)) return true;
  }
  return false;
}

/* --- reading ------------------------------------------------------------- */

/* What a read by the part itself finds; corrected ones are counted. */
static enum memory_granule read_cells(struct chip *c, uint32_t region,
                                      uint32_t offset, uint32_t size,
                                      struct moment now)
{
  enum memory_granule worst = memory_worst(&c->memory, region, offset, size);
  if (worst < GRANULE_CORRECTED) return worst;
  if (worst == GRANULE_CORRECTED) flash_count(&c->flash);
  trace_add(c->trace, now, TRACE_ECC, worst,
            c->part->memory[region].at + offset);
  return worst;
}

static bool is_blank(struct chip *c, const struct part_span *s, bool tell,
                     struct moment now)
{
  const struct part_blank_check *b = &c->part->blank_check;
  enum memory_granule worst =
      tell ? read_cells(c, s->memory, s->offset, s->bytes, now)
           : memory_worst(&c->memory, s->memory, s->offset, s->bytes);
  if (worst == GRANULE_BAD) return b->bad_is_blank;
  return b->ones_are_blank
             ? memory_erased(&c->memory, s->memory, s->offset, s->bytes)
             : memory_unprogrammed(&c->memory, s->memory, s->offset, s->bytes);
}

bool chip_first_words_blank(struct chip *c, bool tell, struct moment now)
{
  const struct part_blank_check *b = &c->part->blank_check;
  for (uint32_t i = 0; i < b->read_count; i++) {
    const struct part_span *s = &b->reads[i];
    if (!chip_options_hold(c, s->terms, s->term_count)) continue;
    if (!is_blank(c, s, tell, now)) return false;
  }
  return true;
}

void chip_judge_afresh(struct chip *c, struct moment now)
{
  if (c->part->blank_check.held == BLANK_NONE) return;
  bool programmed = !chip_first_words_blank(c, false, now);
  if (programmed == c->fresh) return;
  c->fresh = programmed;
  trace_add(c->trace, now, TRACE_FRESH, programmed, 0);
}

bool chip_memory_read(struct chip *c, addr_t at, ps_t now, uint32_t *value)
{
  uint32_t offset;
  uint32_t region = bus_find(&c->bus, at, &offset);
  if (region >= c->part->memory_count) return false;
  if (c->part->memory[region].kind == MEMORY_FLASH) {
    if (c->part->protection.denies_debug && chip_readout_locked(c))
      return false;
    if (offset > c->part->memory[region].size - 4 ||
        read_cells(c, region, offset, 4, chip_moment(c, now)) == GRANULE_BAD)
      return false;
  }
  return bus_peek(&c->bus, at, 4, value);
}

/* --- starts -------------------------------------------------------------- */

/* The region that a start begins in. */
static uint32_t start_region(const struct chip *c, uint32_t *offset)
{
  uint32_t region = bus_find(&c->bus, c->vectors, offset);
  return region < c->part->memory_count ? region : PART_NONE;
}

bool chip_read_vectors(struct chip *c, struct moment now)
{
  uint32_t offset;
  uint32_t region = start_region(c, &offset);
  flash_see_weak(&c->flash);
  return region == PART_NONE ||
         read_cells(c, region, offset, 8, now) != GRANULE_BAD;
}

void chip_show_flash(struct chip *c)
{
  uint32_t offset;
  uint32_t region = start_region(c, &offset);
  bool elsewhere =
      region != PART_NONE && c->part->memory[region].kind != MEMORY_FLASH;
  bool hide =
      elsewhere && c->part->protection.denies_starts && chip_readout_locked(c);
  if (hide == c->flash_hidden) return;
  c->flash_hidden = hide;
  for (uint32_t i = 0; i < c->part->memory_count; i++)
    if (c->part->memory[i].kind == MEMORY_FLASH)
      c->bus.regions[i].bytes = hide ? c->memory.zeros : c->memory.bytes[i];
  cpu_map(c->cpu, &c->bus);
}

/* --- busy ---------------------------------------------------------------- */

bool chip_flash_busy(const struct chip *c, uint32_t region)
{
  const struct flash *f = &c->flash;
  if (!flash_busy(f) || c->part->memory[region].kind != MEMORY_FLASH)
    return false;
  if (!c->part->flash.read_while_write) return true;
  uint32_t offset;
  bool one = f->op == FLASH_PROGRAM || f->op == FLASH_ERASE_PAGE ||
             f->op == FLASH_ERASE_BANK;
  return !one || memory_find(&c->memory, f->op_at, 1, &offset) == region;
}

/* --- a program's reads ----------------------------------------------------
 */

void chip_guard_flash(struct chip *c)
{
  bool guarded = flash_busy(&c->flash) || c->memory.flawed > 0;
  if (guarded && !c->bus.guarded) c->core.boundary = true;
  c->bus.guarded = guarded;
}

/* What it waits for has an effect before it reads. */
static bool wait_for_flash(struct chip *c, struct moment now, cycle_t *stall)
{
  if (c->part->flash.while_busy == WHILE_BUSY_FAULT) return false;
  cycle_t free_at = clock_edge(&c->clock, c->flash.ends_at);
  *stall = free_at > now.cycle ? free_at - now.cycle : 0;
  chip_follow_flash(c, (struct moment){c->flash.ends_at, now.cycle + *stall});
  return true;
}

struct bus_answer chip_guarded_read(struct chip *c, uint32_t region,
                                    uint32_t offset, uint32_t words,
                                    struct moment now)
{
  struct bus_answer answer = {0};
  const struct part_memory *m = &c->part->memory[region];
  chip_follow_flash(c, now);
  if (chip_flash_busy(c, region))
    answer.fault = !wait_for_flash(c, now, &answer.stall);
  if (answer.fault || c->flash_hidden || m->kind != MEMORY_FLASH)
    return answer;
  uint32_t first = offset & ~3u, size = words * 4;
  if (size > m->size - first) size = m->size - first;
  answer.fault = read_cells(c, region, first, size, now) == GRANULE_BAD;
  return answer;
}

/* --- orders -------------------------------------------------------------- */

static void change(struct chip *c, uint32_t region, uint32_t offset,
                   const uint8_t *goal, uint32_t size, enum torn left)
{
  memory_change(&c->memory, region, offset, goal, size, left);
  chip_guard_flash(c);
  chip_bytes_changed(c, region, offset, size);
}

/* Programming clears bits only. */
static void program_unit(struct chip *c, addr_t at, const uint32_t *data,
                         enum torn left)
{
  uint8_t goal[FLASH_MAX_UNIT_WORDS * 4];
  uint32_t offset;
  uint32_t region = memory_find(&c->memory, at, 1, &offset);
  uint32_t unit = c->part->memory[region].unit;
  const uint8_t *cells = c->memory.bytes[region] + offset;
  for (uint32_t i = 0; i < unit; i++)
    goal[i] = (uint8_t)(cells[i] & (data[i / 4] >> (i % 4 * 8)));
  change(c, region, offset, goal, unit, left);
}

static void erase_page(struct chip *c, addr_t at, enum torn left)
{
  uint32_t offset;
  uint32_t region = memory_find(&c->memory, at, 1, &offset);
  uint32_t page = c->part->memory[region].page;
  change(c, region, offset - offset % page, NULL, page, left);
}

static void erase_bank(struct chip *c, addr_t at, enum torn left)
{
  uint32_t offset;
  uint32_t region = memory_find(&c->memory, at, 1, &offset);
  change(c, region, 0, NULL, c->part->memory[region].size, left);
}

static void erase_all(struct chip *c, enum torn left)
{
  for (uint32_t i = 0; i < c->part->memory_count; i++)
    if (c->part->memory[i].kind == MEMORY_FLASH)
      change(c, i, 0, NULL, c->part->memory[i].size, left);
}

static void change_flash(struct chip *c, enum flash_op op, addr_t at,
                         const uint32_t *data, enum torn left)
{
  switch (op) {
  case FLASH_PROGRAM: program_unit(c, at, data, left); break;
  case FLASH_ERASE_PAGE: erase_page(c, at, left); break;
  case FLASH_ERASE_BANK: erase_bank(c, at, left); break;
  case FLASH_ERASE_ALL:
  case FLASH_UNLOCK_OPTION: erase_all(c, left); break;
  case FLASH_PROGRAM_OPTION:
  case FLASH_IDLE: break;
  }
}

bool chip_follow_flash(struct chip *c, struct moment now)
{
  struct flash *f = &c->flash;
  enum flash_op op = flash_advance(f, now, c->trace);
  if (op == FLASH_IDLE) return false;
  chip_guard_flash(c);
  change_flash(c, op, f->op_at, f->op_data, TORN_NEW);
  if (op == FLASH_PROGRAM_OPTION || op == FLASH_UNLOCK_OPTION)
    options_program(&c->options, f->op_word, f->op_data[0], now, c->trace);
  chip_judge_afresh(c, now);
  return true;
}

/* An erase that unlocks comes before the option word, which is not reached.
 */
void chip_cut_flash(struct chip *c, bool lock, struct moment now)
{
  struct flash *f = &c->flash;
  enum flash_op op = flash_reset(f, lock, now, c->trace);
  if (op == FLASH_IDLE) return;
  chip_guard_flash(c);
  enum torn left = flash_left(f, op);
  if (op == FLASH_PROGRAM_OPTION) {
    options_tear(&c->options, f->op_word, f->op_data[0], left, now, c->trace);
    return;
  }
  bool weak = left == TORN_WEAK;
  change_flash(c, op, f->op_at, f->op_data, weak ? TORN_NEW : left);
  if (weak) flash_weaken(f, op);
  chip_judge_afresh(c, now);
}

/* A unit that was erased or programmed since is weak no more; of erased cells
 * memory_change sees to it. */
static bool still_there(const struct chip *c, const struct flash_weak *w)
{
  if (w->op != FLASH_PROGRAM) return true;
  uint32_t offset;
  uint32_t region = memory_find(&c->memory, w->at, 1, &offset);
  const uint8_t *cells = c->memory.bytes[region] + offset;
  for (uint32_t i = 0; i < c->part->memory[region].unit; i++)
    if (cells[i] != (uint8_t)(w->data[i / 4] >> (i % 4 * 8))) return false;
  return true;
}

void chip_fade_cells(struct chip *c, struct moment now)
{
  struct flash_weak weak;
  bool faded = false;
  while (flash_fade(&c->flash, &weak)) {
    if (!still_there(c, &weak)) continue;
    change_flash(c, weak.op, weak.at, weak.data, TORN_WEAK);
    trace_add(c->trace, now, TRACE_FLASH_FADED, weak.op, weak.at);
    faded = true;
  }
  if (faded) chip_judge_afresh(c, now);
}
