/* Programming by a loader that runs on the core: loader.h. */
#include <assert.h>
#include <string.h>

#include "chip/roles.h"
#include "core/core.h"
#include "describe/trace_kinds.h"
#include "run/bench.h"
#include "run/bench_parts.h"
#include "run/engine.h"

/* The words of a job, in the order of images/ram-loader/job.h. */
enum {
  JOB_WORK,
  JOB_AT,
  JOB_BYTES,
  JOB_UNIT,
  JOB_REFUSED,
  JOB_DONE,
  JOB_TARGET_REGISTER,
  JOB_ORDER_REGISTER,
  JOB_ORDER_WORD,
  JOB_BUSY_REGISTER,
  JOB_BUSY_MASK,
  JOB_REFUSED_REGISTER,
  JOB_REFUSED_MASK,
  JOB_KEY_REGISTER,
  JOB_KEY_COUNT,
  JOB_KEYS,
  JOB_DATA = JOB_KEYS + PART_MAX_KEYS,
  JOB_PAGE = JOB_DATA + FLASH_MAX_UNIT_WORDS,
  JOB_PAGE_WORDS = 256
};
enum { WORK_UNLOCK = 1, WORK_ORDER, WORK_PROGRAM };

/* A job that has not ended by then never will: longer than any order takes.
 * Assumed. */
#define JOB_PATIENCE (100 * PS_PER_S)

struct loading {
  struct machine *m;
  const struct loader *loader;
  const struct image *image;
  uint32_t kept[CORE_CONTROL + 1]; /* registers of the core */
  addr_t page_at;                  /* what stands in the loader's page */
  uint32_t filled;
};

/* --- words of the job ---------------------------------------------------- */

/* One word of RAM. */
static bool put(struct loading *l, uint32_t index, uint32_t value)
{
  struct machine *m = l->m;
  bench_pass(m, m->part->probe.transfer.typ);
  if (!bench_reaches_memory(m, ACTION_WRITE)) return false;
  return probe_write(&m->chip, l->loader->job + 4 * index, value, m->now) ||
         bench_fail(m, ACTION_WRITE, OBSTACLE_OUTSIDE);
}

static bool get(struct loading *l, uint32_t index, uint32_t *value)
{
  struct machine *m = l->m;
  bench_pass(m, m->part->probe.transfer.typ);
  if (!bench_reaches_memory(m, ACTION_WRITE)) return false;
  return probe_read(&m->chip, l->loader->job + 4 * index, m->now, value) ||
         bench_fail(m, ACTION_WRITE, OBSTACLE_OUTSIDE);
}

/* A register, by the role of a field; and the word that sets that field. */
static bool put_role(struct loading *l, enum role role, uint32_t index,
                     uint32_t reg, uint32_t word)
{
  addr_t at;
  uint32_t value;
  if (!probe_role_word(l->m->part, role, index, UINT32_MAX, &at, &value))
    return bench_fail(l->m, ACTION_WRITE, OBSTACLE_NO_REGISTER);
  return put(l, reg, at) && (word == 0 || put(l, word, value));
}

/* An order is given by a 1, whatever else its field could hold. */
static bool put_order(struct loading *l, enum role role)
{
  addr_t at;
  uint32_t value;
  if (!probe_role_word(l->m->part, role, 0, 1, &at, &value))
    return bench_fail(l->m, ACTION_WRITE, OBSTACLE_NO_REGISTER);
  return put(l, JOB_ORDER_REGISTER, at) && put(l, JOB_ORDER_WORD, value);
}

/* A part that has no flag for a refusal is not asked for one. */
static bool put_refused(struct loading *l)
{
  if (part_field_of(l->m->part, ROLE_FLASH_REFUSED, NULL) == NULL)
    return put(l, JOB_REFUSED_REGISTER, l->loader->job) &&
           put(l, JOB_REFUSED_MASK, 0);
  return put_role(l, ROLE_FLASH_REFUSED, 0, JOB_REFUSED_REGISTER,
                  JOB_REFUSED_MASK);
}

static bool put_data(struct loading *l, uint32_t unit_words)
{
  for (uint32_t i = 0; i < unit_words; i++)
    if (!put_role(l, ROLE_FLASH_DATA, i, JOB_DATA + i, 0)) return false;
  return put(l, JOB_UNIT, unit_words);
}

/* --- the core ------------------------------------------------------------ */

static bool set_register(struct loading *l, unsigned number, uint32_t value)
{
  bench_pass(l->m, 3 * l->m->part->probe.transfer.typ);
  if (!bench_reaches_memory(l->m, ACTION_WRITE)) return false;
  core_set_register(&l->m->chip.core, number, value);
  return true;
}

static bool set_up_core(struct loading *l)
{
  uint32_t thumb = core_register(&l->m->chip.core, CORE_XPSR) | CORE_THUMB;
  return set_register(l, CORE_CONTROL, 0) &&
         set_register(l, CORE_MSP, l->loader->stack) &&
         set_register(l, CORE_PRIMASK, 1) &&
         set_register(l, CORE_XPSR, thumb) &&
         set_register(l, 15, l->loader->run);
}

/* Halted, or somewhere else altogether. */
static bool job_over(void *context)
{
  const struct machine *m = context;
  return m->chip.core.mode != CORE_RUNNING || boot_busy(&m->chip.boot);
}

/* The probe looks again and again; it sees the end one look after it. */
static bool run_job(struct loading *l, uint32_t work)
{
  struct machine *m = l->m;
  uint32_t refused;
  if (!put(l, JOB_WORK, work) || !set_up_core(l)) return false;
  bench_pass(m, m->part->probe.transfer.typ);
  chip_go(&m->chip, m->now);
  engine_pass(m, engine_later(m, JOB_PATIENCE), job_over, m);
  bench_pass(m, m->part->probe.transfer.typ);
  if (m->chip.core.mode != CORE_HALTED)
    return bench_fail(m, ACTION_WRITE, OBSTACLE_LOST);
  return get(l, JOB_REFUSED, &refused) &&
         (refused == 0 || bench_fail(m, ACTION_WRITE, OBSTACLE_REFUSED));
}

/* --- the jobs ------------------------------------------------------------ */

static bool unlock(struct loading *l)
{
  const struct part_field *f =
      part_field_of(l->m->part, ROLE_FLASH_UNLOCK, NULL);
  if (f == NULL || !l->m->chip.flash.locked) return true;
  if (!put_role(l, ROLE_FLASH_UNLOCK, 0, JOB_KEY_REGISTER, 0) ||
      !put(l, JOB_KEY_COUNT, f->key_count))
    return false;
  for (uint32_t i = 0; i < f->key_count; i++)
    if (!put(l, JOB_KEYS + i, f->keys[i])) return false;
  return run_job(l, WORK_UNLOCK) &&
         (!l->m->chip.flash.locked ||
          bench_fail(l->m, ACTION_WRITE, OBSTACLE_REFUSED));
}

static bool erase_all(struct loading *l)
{
  return put(l, JOB_TARGET_REGISTER, 0) &&
         put_order(l, ROLE_FLASH_ERASE_ALL) && run_job(l, WORK_ORDER);
}

static bool erase_block(struct machine *m, const struct image *image,
                        addr_t at, uint32_t block, void *context)
{
  struct loading *l = context;
  (void)m, (void)image, (void)block;
  return put(l, JOB_AT, at) && run_job(l, WORK_ORDER);
}

static bool erase_pages(struct loading *l)
{
  return put_role(l, ROLE_FLASH_TARGET, 0, JOB_TARGET_REGISTER, 0) &&
         put_order(l, ROLE_FLASH_ERASE_PAGE) &&
         bench_each_block(l->m, l->image, true, erase_block, l);
}

/* What stands in the page goes to flash. */
static bool program_page(struct loading *l)
{
  uint32_t bytes = l->filled;
  l->filled = 0;
  return bytes == 0 || (put(l, JOB_AT, l->page_at) &&
                        put(l, JOB_BYTES, bytes) && run_job(l, WORK_PROGRAM));
}

/* One more unit into the page, behind the last, or at the front of a new one.
 */
static bool fill_page(struct machine *m, const struct image *image, addr_t at,
                      uint32_t unit, void *context)
{
  struct loading *l = context;
  uint8_t bytes[FLASH_MAX_UNIT_WORDS * 4];
  (void)m;
  assert(unit <= sizeof(bytes));
  bool fits =
      at == l->page_at + l->filled && l->filled + unit <= JOB_PAGE_WORDS * 4;
  if (!fits && !program_page(l)) return false;
  if (l->filled == 0) l->page_at = at;
  bench_unit_bytes(image, at, unit, bytes);
  for (uint32_t i = 0; i < unit; i += 4) {
    uint32_t word;
    memcpy(&word, bytes + i, 4);
    if (!put(l, JOB_PAGE + (l->filled + i) / 4, word)) return false;
  }
  l->filled += unit;
  return true;
}

static bool program_all(struct loading *l)
{
  return put_role(l, ROLE_FLASH_TARGET, 0, JOB_TARGET_REGISTER, 0) &&
         put_order(l, ROLE_FLASH_PROGRAM) &&
         bench_each_block(l->m, l->image, false, fill_page, l) &&
         program_page(l);
}

static bool tell_registers(struct loading *l)
{
  uint32_t unit = bench_memory_of(l->m, l->image->segments[0].at)->unit;
  return put_role(l, ROLE_FLASH_BUSY, 0, JOB_BUSY_REGISTER, JOB_BUSY_MASK) &&
         put_refused(l) && put_data(l, unit / 4);
}

static bool do_all(struct loading *l, enum erase_extent erase)
{
  if (!tell_registers(l) || !unlock(l)) return false;
  if (erase == ERASE_ALL && !erase_all(l)) return false;
  if (erase == ERASE_PAGES && !erase_pages(l)) return false;
  return program_all(l);
}

/* --- from begin to end --------------------------------------------------- */

static void keep_registers(struct loading *l)
{
  for (unsigned i = 0; i <= CORE_CONTROL; i++)
    l->kept[i] = core_register(&l->m->chip.core, i);
  bench_pass(l->m, (CORE_CONTROL + 1) * 3 * l->m->part->probe.transfer.typ);
}

/* The stacks by their own names: which of them r13 is follows from CONTROL. */
static void put_registers_back(struct loading *l)
{
  struct core *core = &l->m->chip.core;
  static const unsigned order[] = {CORE_CONTROL, CORE_MSP, CORE_PSP,
                                   CORE_PRIMASK, CORE_XPSR};
  bench_pass(l->m, (CORE_CONTROL + 1) * 3 * l->m->part->probe.transfer.typ);
  if (core->mode != CORE_HALTED) return;
  for (size_t i = 0; i < sizeof(order) / sizeof(order[0]); i++)
    core_set_register(core, order[i], l->kept[order[i]]);
  for (unsigned i = 0; i <= 15; i++)
    if (i != 13) core_set_register(core, i, l->kept[i]);
}

bool bench_by_loader(struct machine *m, const struct loader *loader,
                     const struct image *image, enum erase_extent erase)
{
  struct loading l = {.m = m, .loader = loader, .image = image};
  if (m->chip.core.mode != CORE_HALTED)
    return bench_fail(m, ACTION_WRITE, OBSTACLE_RUNNING);
  if (!bench_load_ram(m, loader->image)) return false;
  keep_registers(&l);
  core_count(&m->chip.core, &m->chip.bus);
  bench_tell(m, ACTION_LOADER, 1);
  bool done = do_all(&l, erase);
  put_registers_back(&l);
  core_count(&m->chip.core, &m->chip.bus);
  bench_tell(m, ACTION_LOADER, 0);
  return done;
}
