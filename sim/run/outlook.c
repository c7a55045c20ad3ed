#include "run/outlook.h"

#include <string.h>

#include "describe/trace_kinds.h"
#include "run/engine.h"
#include "run/starts.h"

/* Records of a branch: far above what a start needs. Assumed. */
#define BRANCH_LIMIT 2000000u

/* The rail is off for at least this long. Assumed. */
#define OFF_AT_LEAST PS_PER_MS

static struct moment now_of(const struct machine *m)
{
  return chip_moment(&m->chip, m->now);
}

static void pass(struct machine *m, ps_t lasts)
{
  engine_pass(m, engine_later(m, lasts), NULL, NULL);
}

/* --- what happens -------------------------------------------------------- */

static void let_go(struct machine *m)
{
  m->probe.attached = false;
  chip_pull_line(&m->chip, DRIVER_PROBE, false, m->now);
  chip_pull_line(&m->chip, DRIVER_BENCH, false, m->now);
}

/* The rail is somewhere else at once, and stays. */
static void jump_rail(struct machine *m, uv_t level)
{
  struct rail_segment s = {m->now, m->now, rail_level(&m->chip.rail, m->now),
                           level};
  rail_move(&m->chip.rail, &s);
}

/* From what the rail has now, as a `power` step does it. */
static void follow_source(struct machine *m)
{
  struct rail_segment s =
      supply_segment(&m->supply, rail_level(&m->chip.rail, m->now),
                     chip_load(&m->chip), m->now);
  rail_move(&m->chip.rail, &s);
}

static void cut_power(struct machine *m)
{
  ps_t off = 2 * m->part->power.rearm_for.typ;
  supply_switch(&m->supply, false);
  jump_rail(m, 0);
  pass(m, 0);
  let_go(m);
  pass(m, off > OFF_AT_LEAST ? off : OFF_AT_LEAST);
  supply_switch(&m->supply, true);
  follow_source(m);
}

static void dip(struct machine *m)
{
  if (!m->chip.rail.up) return;
  jump_rail(m, m->part->power.on_fall.typ - 1);
  pass(m, 0);
  follow_source(m);
}

static void pull_pin(struct machine *m, ps_t hold)
{
  bool held = m->chip.reset.pulled & (1u << DRIVER_BENCH);
  chip_pull_line(&m->chip, DRIVER_BENCH, true, m->now);
  pass(m, hold);
  if (!held) chip_pull_line(&m->chip, DRIVER_BENCH, false, m->now);
}

static void happen(struct machine *m, const struct outlook_event *e)
{
  if (e->kind == OUTLOOK_POWER)
    cut_power(m);
  else if (e->cause == CAUSE_PIN)
    pull_pin(m, e->hold);
  else if (e->cause == CAUSE_BROWN_OUT)
    dip(m);
  else
    chip_request_reset(&m->chip, e->cause);
}

/* --- what comes of it ---------------------------------------------------- */

struct branch {
  const struct outlook *o;
  struct starts starts;
  bool clear; /* where it got to */
};

static bool in_rom(const struct branch *b)
{
  uint32_t region = b->starts.last_region;
  const struct part *part = b->o->machine->part;
  return region < part->memory_count &&
         part->memory[region].kind == MEMORY_ROM;
}

static bool is_clear(const struct branch *b, const struct trace_record *r)
{
  if (b->starts.count == 0) return false;
  switch (r->kind) {
  case TRACE_LOCKUP:
  case TRACE_WAITING: return true;
  case TRACE_MARK: return !in_rom(b);
  case TRACE_MODE: return r->a == CORE_SLEEPING || r->a == CORE_HALTED;
  default: return false;
  }
}

/* The starts' fold has seen the record already. */
static void fold(void *context, const struct trace_record *r)
{
  struct branch *b = context;
  if (!is_clear(b, r)) return;
  b->clear = true;
  b->o->machine->trace.stop = true;
}

static bool branch_is_clear(void *context)
{
  const struct branch *b = context;
  return b->clear;
}

static bool holds_segment(const struct machine *m,
                          const struct image_segment *s)
{
  uint32_t offset;
  uint32_t region = memory_find(&m->chip.memory, s->at, s->size, &offset);
  return region != PART_NONE &&
         memcmp(m->chip.memory.bytes[region] + offset, s->bytes, s->size) == 0;
}

static bool in_flash(const struct machine *m, const struct image_segment *s)
{
  uint32_t offset;
  uint32_t region = memory_find(&m->chip.memory, s->at, s->size, &offset);
  return region != PART_NONE && m->part->memory[region].kind == MEMORY_FLASH;
}

/* Every segment that goes into flash is there; one at least does. */
bool outlook_holds(const struct machine *m, const struct image *image)
{
  bool any = false;
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *s = &image->segments[i];
    if (!in_flash(m, s)) continue;
    if (!holds_segment(m, s)) return false;
    any = true;
  }
  return any;
}

/* Images that the script writes, in order; each where it comes last. */
static uint32_t written_images(const struct plan *plan,
                               uint32_t written[CASE_MAX_IMAGES])
{
  uint32_t count = 0;
  for (uint32_t i = 0; i < plan->script->step_count; i++) {
    const struct step *s = &plan->script->steps[i];
    if (s->verb != VERB_WRITE || s->target != WRITE_IMAGE) continue;
    uint32_t kept = 0;
    for (uint32_t k = 0; k < count; k++)
      if (written[k] != s->image) written[kept++] = written[k];
    written[kept++] = s->image;
    count = kept;
  }
  return count;
}

static enum answer_class class_of_flash(const struct outlook *o,
                                        struct answer *answer)
{
  uint32_t written[CASE_MAX_IMAGES];
  uint32_t count = written_images(o->plan, written);
  for (uint32_t i = count; i-- > 0;) {
    if (!outlook_holds(o->machine, o->plan->images[written[i]])) continue;
    answer_text(answer->image, o->plan->script->images[written[i]].name);
    if (count == 1) return CLASS_APPLICATION;
    return i + 1 == count ? CLASS_NEW : CLASS_OLD;
  }
  return CLASS_TORN;
}

static bool starts_in_rom(const struct part *part, const struct start *s)
{
  uint32_t region = part_memory_named(part, s->region);
  return region != PART_NONE && part->memory[region].kind == MEMORY_ROM &&
         !s->landing.landed;
}

static void judge(const struct branch *b, struct answer *answer)
{
  const struct start *start = starts_last(&b->starts);
  answer_take(answer, start);
  if (start == NULL) return;
  if (start->outcome == OUTCOME_LOCKUP)
    answer->class = CLASS_LOCKUP;
  else if (starts_in_rom(b->o->machine->part, start))
    answer->class = CLASS_ROM;
  else
    answer->class = class_of_flash(b->o, answer);
}

/* What the fold would know if it had listened from the beginning. */
static void begin_folds(struct branch *b, struct arena *arena)
{
  struct machine *m = b->o->machine;
  starts_init(&b->starts, b->o->plan, arena, &m->trace);
  b->starts.latch_programmed = m->chip.latch.programmed;
  b->starts.fresh_programmed = m->chip.fresh;
  if (m->chip.bus.alias != BUS_NO_REGION) b->starts.region = m->chip.bus.alias;
  trace_listen(&m->trace,
               TRACE_BIT(TRACE_LOCKUP) | TRACE_BIT(TRACE_WAITING) |
                   TRACE_BIT(TRACE_MARK) | TRACE_BIT(TRACE_MODE),
               fold, b);
}

void outlook_ask(const struct outlook *o, const struct outlook_event *event,
                 struct answer *answer)
{
  struct machine *m = o->machine;
  struct arena arena;
  struct fork f;
  struct branch b = {.o = o};
  arena_init(&arena);
  fork_begin(&f, o->store, m, BRANCH_LIMIT);
  begin_folds(&b, &arena);
  happen(m, event);
  engine_pass(m, engine_later(m, o->patience), branch_is_clear, &b);
  core_count(&m->chip.core, &m->chip.bus);
  starts_end(&b.starts, now_of(m));
  judge(&b, answer);
  fork_end(&f, o->store, m);
  arena_free(&arena);
}

/* --- what outlives a full power loss ------------------------------------- */

bool outlook_forgets(const struct part *part)
{
  const bool *does = part->resets[CAUSE_POWER_ON].does;
  bool latch = part->blank_check.held == BLANK_NONE || does[RESET_LATCH];
  bool options = part->options.word_count == 0 || does[RESET_OPTIONS];
  bool straps = part->strap_count == 0 || does[RESET_STRAPS];
  return latch && options && straps && does[RESET_ALIAS] && does[RESET_RAM] &&
         does[RESET_DEBUG] && does[RESET_CLOCKS] && does[RESET_FLASH_LOCK] &&
         does[RESET_PINS];
}

uint64_t outlook_knowledge(const struct chip *c)
{
  const struct learn *l = &c->learn;
  return (uint64_t)l->known_count << 42 | (uint64_t)l->register_count << 21 |
         l->poll_count;
}

struct hash128 outlook_cells(const struct outlook *o)
{
  const struct chip *c = &o->machine->chip;
  struct hash128 parts[2 * PART_MAX_MEMORY + 2];
  uint32_t count = 0;
  uint64_t others[2 * PART_MAX_WORDS + 3] = {
      c->pins.outside, pins_standing(&c->pins), outlook_knowledge(c)};
  for (uint32_t i = 0; i < o->machine->part->memory_count; i++) {
    if (o->machine->part->memory[i].kind != MEMORY_FLASH) continue;
    uint32_t granules = memory_granule_bytes(&c->memory, i);
    parts[count++] =
        hash_bytes(c->memory.bytes[i], o->machine->part->memory[i].size);
    if (granules > 0)
      parts[count++] = hash_bytes(c->memory.granules[i], granules);
  }
  for (uint32_t i = 0; i < o->machine->part->options.word_count; i++) {
    others[i + 3] = c->options.cells[i];
    others[i + 3 + PART_MAX_WORDS] = c->options.check[i];
  }
  parts[count++] = hash_bytes(c->flash.weak,
                              c->flash.weak_count * sizeof(c->flash.weak[0]));
  parts[count++] = hash_bytes(others, sizeof(others));
  return hash_bytes(parts, count * sizeof(parts[0]));
}
