#include "run/outlook.h"

#include <string.h>

#include "describe/trace_kinds.h"
#include "run/engine.h"
#include "run/power.h"
#include "run/starts.h"
#include "run/whole.h"

/* Records of a branch: far above what a start needs. Assumed. */
#define BRANCH_LIMIT 2000000u

/* The rail is off for at least this long, and a source that a person switches
 * off for that long. Assumed. */
#define OFF_AT_LEAST PS_PER_MS
#define SOURCE_OFF   (60 * PS_PER_S)

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
  struct rail_segment s = {.at = m->now,
                           .until = m->now,
                           .from = rail_level(&m->chip.rail, m->now),
                           .to = level};
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

static void come_back(struct machine *m)
{
  supply_on(&m->supply, rail_level(&m->chip.rail, m->now),
            m->script->supply.ramp_ps, m->now);
  follow_source(m);
}

static void cut_power(struct machine *m)
{
  ps_t off = 2 * m->part->power.rearm_for.typ;
  supply_cut(&m->supply);
  pass(m, 0);
  let_go(m);
  pass(m, off > OFF_AT_LEAST ? off : OFF_AT_LEAST);
  supply_on(&m->supply, 0, m->script->supply.ramp_ps, m->now);
  follow_source(m);
}

static void fall_too_low(struct machine *m)
{
  if (!m->chip.rail.up) return;
  jump_rail(m, rail_too_low(&m->chip.rail));
  pass(m, 0);
}

static void dip(struct machine *m)
{
  fall_too_low(m);
  follow_source(m);
}

static void cycle_power(struct machine *m)
{
  let_go(m);
  pass(m, 0); /* what the probe fed is gone */
  enum power_loss loss = power_lost_in(m, SOURCE_OFF);
  if (loss == POWER_LOST) {
    cut_power(m);
    return;
  }
  supply_off(&m->supply, 0, m->now);
  if (loss == POWER_DIPPED) fall_too_low(m);
  come_back(m);
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
  else if (e->kind == OUTLOOK_CYCLE)
    cycle_power(m);
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
  uint32_t before;  /* starts that are none of the event's */
  bool clear;       /* where it got to */
  bool cut;         /* the event cut a flash order short, ... */
  enum flash_op op; /* ... this one */
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
  if (b->starts.count <= b->before) return false;
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
  if (r->kind == TRACE_FLASH_TORN && b->starts.count == 0) {
    b->cut = true;
    b->op = (enum flash_op)r->a;
  }
  if (!is_clear(b, r)) return;
  b->clear = true;
  b->o->machine->trace.stop = true;
}

static bool branch_is_clear(void *context)
{
  const struct branch *b = context;
  return b->clear;
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
    answer->class = whole_class(b->o->machine, b->o->plan, answer);
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
                   TRACE_BIT(TRACE_MARK) | TRACE_BIT(TRACE_MODE) |
                   TRACE_BIT(TRACE_FLASH_TORN),
               fold, b);
}

static void watch(struct branch *b, const struct outlook_event *event)
{
  struct machine *m = b->o->machine;
  b->before = b->starts.count;
  b->clear = false;
  happen(m, event);
  engine_pass(m, engine_later(m, b->o->patience), branch_is_clear, b);
}

/* Cells that are left weak read right at first: what they come to is seen
 * behind one more power-on. */
static void ask_with(const struct outlook *o,
                     const struct outlook_event *event, struct branch *b,
                     struct answer *answer)
{
  static const struct outlook_event again = {.kind = OUTLOOK_POWER};
  struct machine *m = o->machine;
  struct arena arena;
  *b = (struct branch){.o = o};
  arena_init(&arena);
  begin_folds(b, &arena);
  watch(b, event);
  if (b->cut && flash_left(&m->chip.flash, b->op) == TORN_WEAK)
    watch(b, &again);
  core_count(&m->chip.core, &m->chip.bus);
  starts_end(&b->starts, now_of(m));
  judge(b, answer);
  arena_free(&arena);
}

/* What comes of the n-th kind that the part declares for the order that is
 * cut; returns how many there are, or 1. */
static uint32_t ask_kind(const struct outlook *o,
                         const struct outlook_event *event, uint32_t n,
                         enum torn *kind, struct answer *answer)
{
  struct fork f;
  struct branch b;
  const struct flash *flash = &o->machine->chip.flash;
  uint32_t count = 1;
  fork_begin(&f, o->store, o->machine, BRANCH_LIMIT);
  o->machine->chip.flash.torn_choice = n;
  ask_with(o, event, &b, answer);
  if (b.cut) {
    count = flash_torn_kinds(flash, b.op);
    *kind = flash_left(flash, b.op);
  }
  fork_end(&f, o->store, o->machine);
  return count;
}

void outlook_ask(const struct outlook *o, const struct outlook_event *event,
                 struct answer *answer)
{
  enum torn kind = TORN_COUNT_;
  uint32_t count = ask_kind(o, event, 0, &kind, answer);
  if (kind == TORN_COUNT_) return;
  uint8_t left[ANSWER_KINDS] = {0};
  left[kind] = (uint8_t)(answer->class + 1);
  for (uint32_t n = 1; n < count; n++) {
    struct answer other;
    ask_kind(o, event, n, &kind, &other);
    left[kind] = (uint8_t)(other.class + 1);
    if (other.class > answer->class) *answer = other;
  }
  memcpy(answer->left, left, sizeof(left));
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

/* The order that a cut would tear, for the hash. */
static struct hash128 order_in_flight(const struct flash *f)
{
  uint32_t words[3 + FLASH_MAX_UNIT_WORDS] = {(uint32_t)f->op, f->op_at,
                                              f->op_word};
  memcpy(words + 3, f->op_data, sizeof(f->op_data));
  return hash_bytes(words, sizeof(words));
}

struct hash128 outlook_cells(const struct outlook *o)
{
  const struct chip *c = &o->machine->chip;
  struct hash128 parts[2 * PART_MAX_MEMORY + 3];
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
  if (c->flash.weak_count > 0)
    parts[count++] = hash_bytes(c->flash.weak, c->flash.weak_count *
                                                   sizeof(c->flash.weak[0]));
  if (flash_busy(&c->flash)) parts[count++] = order_in_flight(&c->flash);
  parts[count++] = hash_bytes(others, sizeof(others));
  return hash_bytes(parts, count * sizeof(parts[0]));
}
