/* The states in which a part arrives, as steps. */
#include <assert.h>
#include <inttypes.h>
#include <stdio.h>

#include "run/route_catalog_parts.h"

static struct catalog_state *begin(struct catalog *c, const char *name)
{
  struct catalog_state *s = &c->states[c->state_count++];
  s->name = name;
  s->steps.first = c->script.step_count;
  return s;
}

static void preset_image(struct catalog *c)
{
  struct step *s = catalog_step(c, VERB_WRITE);
  s->target = WRITE_IMAGE;
  s->by = BY_PRESET;
  s->image = c->spec->old;
}

/* With a battery that is soldered in, the part had power before anybody came.
 */
static void fit_battery(struct catalog *c)
{
  if (!c->script.supply.removable) catalog_power(c, POWER_ON, CATALOG_SETTLE);
}

/* Power, a look at an erased flash that the latch does not know of. */
static void rework(struct catalog *c)
{
  preset_image(c);
  catalog_power(c, POWER_ON, CATALOG_SETTLE);
  catalog_probe(c, PROBE_ATTACH)->attach = ATTACH_HELD;
  catalog_probe(c, PROBE_ERASE);
  catalog_probe(c, PROBE_DETACH);
  if (c->script.supply.removable)
    catalog_power(c, POWER_OFF, CATALOG_OFF_LONG);
}

/* --- option fields that a state sets ------------------------------------- */

static const char *value_name(const struct part_option_field *f,
                              uint32_t value, struct arena *arena)
{
  char text[16];
  for (uint32_t i = 0; i < f->value_count; i++)
    if (f->values[i].value == value) return f->values[i].name;
  snprintf(text, sizeof(text), "%" PRIu32, value);
  return arena_text(arena, text);
}

struct option_setting catalog_setting(const struct part *part, uint32_t word,
                                      uint32_t field, uint32_t value,
                                      struct arena *arena)
{
  char text[160];
  const struct part_option_word *w = &part->options.words[word];
  const struct part_option_field *f = &w->fields[field];
  snprintf(text, sizeof(text), "%s.%s", w->name, f->name);
  return (struct option_setting){arena_text(arena, text),
                                 value_name(f, value, arena)};
}

/* By nobody, before: options as `terms` ask for. False: some term asks for
 * something else. */
static bool preset_options(struct catalog *c, const struct part_term *terms,
                           uint32_t count, struct arena *arena)
{
  for (uint32_t i = 0; i < count; i++)
    if (terms[i].kind != TERM_OPTION) return false;
  if (count == 0) return false;
  struct step *s = catalog_step(c, VERB_WRITE);
  s->target = WRITE_OPTIONS;
  s->by = BY_PRESET;
  for (uint32_t i = 0; i < count; i++)
    s->set[s->set_count++] = catalog_setting(
        c->part, terms[i].index, terms[i].field, terms[i].value, arena);
  return true;
}

/* The first rule by which options alone choose a boot ROM. */
static bool choose_rom(struct catalog *c, struct arena *arena)
{
  for (uint32_t i = 0; i < c->part->rule_count; i++) {
    const struct part_rule *r = &c->part->rules[i];
    if (c->part->memory[r->memory].kind == MEMORY_ROM &&
        preset_options(c, r->terms, r->term_count, arena))
      return true;
  }
  return false;
}

static bool lock(struct catalog *c, struct arena *arena)
{
  const struct part_protection *p = &c->part->protection;
  return preset_options(c, p->readout, p->readout_count, arena);
}

/* --- all states ---------------------------------------------------------- */

static enum sim_status add_known(struct catalog *c,
                                 enum route_incoming_kind kind,
                                 struct arena *arena, struct sim_error *err)
{
  struct catalog_state *s = begin(c, route_incoming_words[kind]);
  bool can = true;
  switch (kind) {
  case INCOMING_FACTORY_BLANK: fit_battery(c); break;
  case INCOMING_REWORKED: rework(c); break;
  case INCOMING_OLD_IMAGE:
    preset_image(c);
    fit_battery(c);
    break;
  case INCOMING_OPTIONS_CHANGED:
    preset_image(c);
    can = choose_rom(c, arena);
    fit_battery(c);
    break;
  case INCOMING_LOCKED:
    preset_image(c);
    can = lock(c, arena);
    fit_battery(c);
    break;
  case INCOMING_COUNT_: assert(false);
  }
  s->steps = catalog_since(c, s->steps.first);
  if (can) return SIM_OK;
  const struct sim_place place = {c->script.file, "route.with", c->spec->line,
                                  c->spec->column};
  return sim_fail(err, SIM_REFERENCE, &place,
                  "says \"%s\", but part %s has no %s; expected a state that "
                  "it can be in",
                  s->name, c->part->name,
                  kind == INCOMING_LOCKED
                      ? "readout lock"
                      : "start rule by which options alone choose a boot ROM");
}

static void add_own(struct catalog *c, const struct route_incoming *own)
{
  struct catalog_state *s = begin(c, own->name);
  for (uint32_t i = 0; i < own->step_count; i++) {
    struct step *step = catalog_step(c, own->steps[i].verb);
    uint32_t number = step->number;
    *step = own->steps[i];
    step->number = number;
    step->label = NULL;
    if (step->by == BY_DEFAULT) step->by = BY_PROBE;
  }
  s->steps = catalog_since(c, s->steps.first);
}

enum sim_status catalog_states(struct catalog *c, struct arena *arena,
                               struct sim_error *err)
{
  for (uint32_t i = 0; i < c->spec->with_count; i++) {
    enum sim_status status = add_known(c, c->spec->with[i], arena, err);
    if (status != SIM_OK) return status;
  }
  for (uint32_t i = 0; i < c->spec->own_count; i++)
    add_own(c, &c->spec->own[i]);
  if (c->state_count > 0) return SIM_OK;
  return add_known(c, INCOMING_FACTORY_BLANK, arena, err);
}
