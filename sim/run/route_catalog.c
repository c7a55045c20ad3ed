#include "run/route_catalog.h"

#include <assert.h>

#include "describe/names.h"
#include "run/route_catalog_parts.h"

uint32_t catalog_at_hand(const struct case_script *script)
{
  const struct route_spec *spec = script->route;
  uint32_t means = 0;
  if (!spec->says_at_hand) {
    means = MEANS_BIT(PROBE);
    if (!script->no_reset_line) means |= MEANS_BIT(RESET_LINE);
    if (script->host.present) means |= MEANS_BIT(HOST);
    return script->supply.removable ? means | MEANS_BIT(POWER) : means;
  }
  for (uint32_t i = 0; i < spec->at_hand_count; i++)
    means |= 1u << spec->at_hand[i];
  return means;
}

/* --- steps --------------------------------------------------------------- */

struct step *catalog_step(struct catalog *c, enum verb verb)
{
  assert(c->script.step_count < CATALOG_MAX_STEPS);
  struct step *s = &c->script.steps[c->script.step_count];
  *s = (struct step){.verb = verb,
                     .line = c->spec->line,
                     .column = c->spec->column,
                     .number = c->script.step_count++};
  return s;
}

static void add_goal(struct catalog *c)
{
  struct step *s = catalog_step(c, VERB_EXPECT);
  s->expect = c->spec->goal;
  s->within = c->spec->within;
}

void catalog_power(struct catalog *c, enum power_action action, ps_t lasts)
{
  struct step *s = catalog_step(c, VERB_POWER);
  s->power = action;
  s->lasts = lasts;
}

struct step *catalog_probe(struct catalog *c, enum probe_action action)
{
  struct step *s = catalog_step(c, VERB_PROBE);
  s->probe = action;
  return s;
}

void catalog_reset(struct catalog *c, enum cause cause)
{
  struct step *s = catalog_step(c, VERB_RESET);
  s->cause = cause;
  if (cause == CAUSE_PIN) s->lasts = CATALOG_HOLD;
}

struct catalog_range catalog_since(const struct catalog *c, uint32_t first)
{
  return (struct catalog_range){first, c->script.step_count - first};
}

/* --- in the field -------------------------------------------------------- */

/* Causes that come without a probe. core_only and option_reload are asked
 * for, lockup is the program's own doing. */
static bool comes_by_itself(const struct catalog *c, enum cause cause)
{
  switch (cause) {
  case CAUSE_POWER_ON: return c->script.supply.removable;
  case CAUSE_BROWN_OUT:
  case CAUSE_WATCHDOG:
  case CAUSE_SOFTWARE:
  case CAUSE_DEEP_SLEEP_EXIT:
  case CAUSE_PIN: return true;
  default: return false;
  }
}

static bool in_field(const struct catalog *c, enum cause cause)
{
  if (!c->part->resets[cause].present) return false;
  if (!c->spec->says_field) return comes_by_itself(c, cause);
  for (uint32_t i = 0; i < c->spec->field_count; i++)
    if (c->spec->field[i] == cause) return true;
  return false;
}

static void add_field(struct catalog *c)
{
  for (unsigned i = 0; i < CAUSE_COUNT_; i++) {
    enum cause cause = (enum cause)i;
    uint32_t first = c->script.step_count;
    if (!in_field(c, cause)) continue;
    if (cause == CAUSE_POWER_ON) {
      catalog_power(c, POWER_OFF, CATALOG_OFF_LONG);
      catalog_power(c, POWER_ON, 0);
    } else {
      catalog_reset(c, cause);
    }
    add_goal(c);
    c->field_names[c->field_count] = cause_word(cause);
    c->field[c->field_count++] = catalog_since(c, first);
  }
}

/* --- the end of a procedure ---------------------------------------------- */

static void add_ending(struct catalog *c)
{
  uint32_t first = c->script.step_count;
  c->goal = first;
  add_goal(c);
  first = c->script.step_count;
  catalog_probe(c, PROBE_DETACH);
  c->detach = catalog_since(c, first);
  first = c->script.step_count;
  if (c->script.host.present)
    catalog_step(c, VERB_SEND)->request = REQUEST_DETACH;
  c->unplug = catalog_since(c, first);
  for (uint32_t i = 0; i < c->part->strap_count; i++) {
    struct step *s = catalog_step(c, VERB_DRIVE);
    s->pin = c->part->straps[i].name;
    s->level = DRIVE_RELEASE;
    c->release[i] = (struct catalog_range){s->number, 1};
  }
  first = c->script.step_count;
  if (c->spec->pause > 0) catalog_step(c, VERB_RUN)->lasts = c->spec->pause;
  c->pause = catalog_since(c, first);
}

/* --- all of it ----------------------------------------------------------- */

enum sim_status catalog_make(struct catalog *c, struct arena *arena,
                             const struct case_script *script,
                             const struct part *part, uint32_t means,
                             struct sim_error *err)
{
  const struct sim_place whole = {.file = script->file};
  if (script->route == NULL)
    return sim_fail(err, SIM_KEY, &whole,
                    "has no \"route\"; expected an object with a \"goal\" and "
                    "the \"image\" to be written");
  *c = (struct catalog){
      .script = *script, .part = part, .spec = script->route, .means = means};
  c->script.steps =
      arena_array(arena, CATALOG_MAX_STEPS, sizeof(*c->script.steps));
  c->script.step_count = 0;
  c->script.measure_count = 0;
  c->script.never_from = NULL;
  enum sim_status status = catalog_states(c, arena, err);
  if (status != SIM_OK) return status;
  catalog_actions(c, arena);
  add_ending(c);
  add_field(c);
  return SIM_OK;
}

/* --- what can follow ----------------------------------------------------- */

/* States that differ in it count as without power: switching on what is on
 * changes nothing. */
struct catalog_bench catalog_bench(const struct catalog *c)
{
  struct catalog_bench bench = {.powered = true};
  for (uint32_t i = 0; i < c->state_count; i++) {
    bool on = false;
    const struct catalog_range *r = &c->states[i].steps;
    for (uint32_t k = r->first; k < r->first + r->count; k++)
      if (c->script.steps[k].verb == VERB_POWER)
        on = c->script.steps[k].power == POWER_ON;
    bench.powered &= on;
  }
  return bench;
}

static bool strap_follows(const struct catalog_action *a,
                          struct catalog_bench *b)
{
  uint8_t bit = (uint8_t)(1u << a->strap);
  bool driven = b->driven & bit, high = b->high & bit;
  b->driven = (uint8_t)(b->driven & ~bit);
  b->high = (uint8_t)(b->high & ~bit);
  if (a->level == DRIVE_RELEASE) return driven;
  b->driven |= bit;
  if (a->level == DRIVE_HIGH) b->high |= bit;
  return !driven || high != (a->level == DRIVE_HIGH);
}

bool catalog_follows(const struct catalog *c, uint32_t action,
                     struct catalog_bench *b)
{
  const struct catalog_action *a = &c->actions[action];
  bool attached = b->attached, powered = b->powered;
  switch (a->move.action) {
  case ROUTE_POWER_ON: b->powered = true; return !powered;
  case ROUTE_POWER_ON_HELD:
    b->powered = b->attached = true;
    return !powered && !attached;
  case ROUTE_POWER_CYCLE: return powered;
  case ROUTE_ATTACH_HELD: b->attached = true; return powered;
  case ROUTE_ATTACH_RUNNING: b->attached = true; return powered && !attached;
  case ROUTE_DETACH: b->attached = false; return attached;
  case ROUTE_HALT:
  case ROUTE_GO:
  case ROUTE_WRITE_IMAGE:
  case ROUTE_WRITE_ALL:
  case ROUTE_ERASE:
  case ROUTE_WRITE_LATCH:
  case ROUTE_WRITE_OPTION:
  case ROUTE_RELOAD:
  case ROUTE_SOFTWARE_RESET:
  case ROUTE_CORE_RESET: return attached;
  case ROUTE_PIN_RESET:
  case ROUTE_WRITE_BY_HOST:
  case ROUTE_LAUNCH:
  case ROUTE_WAKE:
  case ROUTE_WAIT: return powered;
  case ROUTE_STRAP: return strap_follows(a, b);
  case ROUTE_ACTION_COUNT_: break;
  }
  assert(false);
  return false;
}

/* --- the end of a procedure, as steps ------------------------------------ */

void catalog_add(struct catalog_ranges *r, struct catalog_range range)
{
  assert(r->count < CATALOG_MAX_RANGES);
  r->list[r->count++] = range;
}

ps_t catalog_ending(const struct catalog *c, const struct catalog_bench *bench,
                    struct catalog_ranges *r)
{
  ps_t person = 0;
  catalog_add(r, (struct catalog_range){c->goal, 1});
  if (bench->attached) {
    catalog_add(r, c->detach);
    person += route_action_time(ROUTE_DETACH);
  }
  catalog_add(r, c->unplug);
  for (uint32_t i = 0; i < c->part->strap_count; i++) {
    if (!(bench->driven >> i & 1u)) continue;
    catalog_add(r, c->release[i]);
    person += route_action_time(ROUTE_STRAP);
  }
  return person;
}

void catalog_shipped(const struct catalog *c, struct catalog_ranges *r)
{
  catalog_add(r, (struct catalog_range){c->goal, 1});
  for (uint32_t i = 0; i < c->field_count; i++)
    catalog_add(r, c->field[i]);
}
