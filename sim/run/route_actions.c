/* The actions that this part and this board offer, as steps. */
#include <assert.h>
#include <stdio.h>
#include <string.h>

#include "describe/names.h"
#include "run/route_catalog_parts.h"

struct adding {
  struct catalog *c;
  struct arena *arena;
  enum route_action kind;
};

static void put(struct adding *a, uint32_t first, const char *name,
                const char *detail)
{
  struct catalog *c = a->c;
  assert(c->action_count < CATALOG_MAX_ACTIONS);
  c->actions[c->action_count++] =
      (struct catalog_action){.move = {a->kind, arena_text(a->arena, name),
                                       arena_text(a->arena, detail)},
                              .steps = catalog_since(c, first)};
}

/* An action that is one step or a few, without variants. */
static void put_plain(struct adding *a, uint32_t first, const char *detail)
{
  put(a, first, route_action_words[a->kind], detail);
}

static const char *image_name(const struct catalog *c)
{
  return c->script.images[c->spec->image].name;
}

static void write_image(struct adding *a, enum erase_extent erase)
{
  char name[160], detail[256];
  uint32_t first = a->c->script.step_count;
  struct step *s = catalog_step(a->c, VERB_WRITE);
  s->target = WRITE_IMAGE;
  s->by = BY_PROBE;
  s->image = a->c->spec->image;
  s->erase = erase;
  snprintf(name, sizeof(name), "%s %s", route_action_words[a->kind],
           image_name(a->c));
  snprintf(detail, sizeof(detail),
           "Have the probe erase %s and write the image %s.",
           erase == ERASE_ALL ? "the whole flash" : "the pages of the image",
           image_name(a->c));
  put(a, first, name, detail);
}

static void cycle_power(struct adding *a, ps_t off)
{
  char name[64], detail[128], time[32];
  uint32_t first = a->c->script.step_count;
  catalog_power(a->c, POWER_OFF, off);
  catalog_power(a->c, POWER_ON, 0);
  units_text(time, sizeof(time), UNIT_TIME, off);
  snprintf(name, sizeof(name), "%s, off for %s", route_action_words[a->kind],
           time);
  snprintf(detail, sizeof(detail),
           "Switch the supply off, wait %s, switch it on.", time);
  put(a, first, name, detail);
}

/* --- options ------------------------------------------------------------- */

static void write_option(struct adding *a, const struct option_setting *o)
{
  char name[256], detail[320];
  uint32_t first = a->c->script.step_count;
  struct step *s = catalog_step(a->c, VERB_WRITE);
  s->target = WRITE_OPTIONS;
  s->by = BY_PROBE;
  s->set[0] = *o;
  s->set_count = 1;
  snprintf(name, sizeof(name), "%s %s = %s", route_action_words[a->kind],
           o->field, o->value);
  snprintf(detail, sizeof(detail),
           "Have the probe write the option field %s: %s. It acts once the "
           "option words are loaded again.",
           o->field, o->value);
  put(a, first, name, detail);
}

static bool asked_before(const struct part *part, uint32_t rule, uint32_t term)
{
  const struct part_term *t = &part->rules[rule].terms[term];
  for (uint32_t i = 0; i <= rule; i++)
    for (uint32_t k = 0; k < part->rules[i].term_count; k++) {
      const struct part_term *other = &part->rules[i].terms[k];
      if (other == t) return false;
      if (other->kind == TERM_OPTION && other->index == t->index &&
          other->field == t->field)
        return true;
    }
  return false;
}

static void write_field(struct adding *a, const struct part_term *t)
{
  const struct part *part = a->c->part;
  const struct part_option_field *f =
      &part->options.words[t->index].fields[t->field];
  for (uint32_t i = 0; i < f->value_count; i++) {
    struct option_setting o = catalog_setting(part, t->index, t->field,
                                              f->values[i].value, a->arena);
    write_option(a, &o);
  }
}

static void write_options(struct adding *a)
{
  const struct part *part = a->c->part;
  for (uint32_t i = 0; i < a->c->spec->option_count; i++)
    write_option(a, &a->c->spec->options[i]);
  if (a->c->spec->option_count > 0) return;
  for (uint32_t i = 0; i < part->rule_count; i++)
    for (uint32_t k = 0; k < part->rules[i].term_count; k++)
      if (part->rules[i].terms[k].kind == TERM_OPTION &&
          !asked_before(part, i, k))
        write_field(a, &part->rules[i].terms[k]);
}

/* --- straps -------------------------------------------------------------- */

static void drive_strap(struct adding *a, uint32_t strap,
                        enum drive_level level)
{
  char name[128], detail[160];
  const char *strap_name = a->c->part->straps[strap].name;
  uint32_t first = a->c->script.step_count;
  struct step *s = catalog_step(a->c, VERB_DRIVE);
  s->pin = strap_name;
  s->level = level;
  snprintf(name, sizeof(name), "%s %s %s", route_action_words[a->kind],
           strap_name, drive_words[level]);
  snprintf(detail, sizeof(detail),
           level == DRIVE_RELEASE ? "Let go of the strap %s."
                                  : "Tie the strap %s %s.",
           strap_name, drive_words[level]);
  put(a, first, name, detail);
  a->c->actions[a->c->action_count - 1].strap = strap;
  a->c->actions[a->c->action_count - 1].level = level;
}

static void drive_straps(struct adding *a)
{
  for (uint32_t i = 0; i < a->c->part->strap_count; i++) {
    drive_strap(a, i, DRIVE_LOW);
    drive_strap(a, i, DRIVE_HIGH);
    drive_strap(a, i, DRIVE_RELEASE);
  }
}

/* --- one kind at a time -------------------------------------------------- */

static void attach(struct adding *a, enum attach_reset how, bool powers)
{
  uint32_t first = a->c->script.step_count;
  if (powers) catalog_power(a->c, POWER_ON, 0);
  catalog_probe(a->c, PROBE_ATTACH)->attach = how;
  put_plain(a, first,
            powers ? "Have the probe hold the reset line low, switch the "
                     "supply on, and have the probe halt the core at its "
                     "vector."
            : how == ATTACH_HELD
                ? "Attach the probe with reset held: it pulls the line, and "
                  "halts the core at its vector."
                : "Attach the probe and halt the core where it is.");
}

static void use_probe(struct adding *a, enum probe_action action,
                      const char *detail)
{
  uint32_t first = a->c->script.step_count;
  catalog_probe(a->c, action);
  put_plain(a, first, detail);
}

static void reset(struct adding *a, enum cause cause, const char *detail)
{
  uint32_t first = a->c->script.step_count;
  if (!a->c->part->resets[cause].present) return;
  catalog_reset(a->c, cause);
  put_plain(a, first, detail);
}

static void reset_by_probe(struct adding *a, enum reset_way way,
                           const char *detail)
{
  uint32_t first = a->c->script.step_count;
  struct step *s = catalog_probe(a->c, PROBE_RESET);
  s->way = way;
  s->lasts = CATALOG_HOLD;
  put_plain(a, first, detail);
}

static void write_latch(struct adding *a)
{
  uint32_t first = a->c->script.step_count;
  struct step *s = catalog_step(a->c, VERB_WRITE);
  s->target = WRITE_LATCH;
  s->by = BY_PROBE;
  s->value = 1;
  put_plain(a, first, "Have the probe set the blank latch to programmed.");
}

static void reload(struct adding *a)
{
  uint32_t first = a->c->script.step_count;
  struct step *s = catalog_step(a->c, VERB_RELOAD);
  s->target = WRITE_OPTIONS;
  s->by = BY_PROBE;
  put_plain(a, first,
            "Have the probe ask for an option reload; the part resets.");
}

static void write_by_host(struct adding *a)
{
  char detail[256];
  uint32_t first = a->c->script.step_count;
  struct step *s = catalog_step(a->c, VERB_WRITE);
  s->target = WRITE_IMAGE;
  s->by = BY_HOST;
  s->image = a->c->spec->image;
  snprintf(detail, sizeof(detail),
           "Have the serial host write the image %s through the boot ROM.",
           image_name(a->c));
  put_plain(a, first, detail);
}

static void launch(struct adding *a)
{
  uint32_t first = a->c->script.step_count;
  catalog_step(a->c, VERB_SEND)->request = REQUEST_LAUNCH;
  put_plain(a, first,
            "Have the serial host ask the boot ROM to start the image.");
}

static void wait(struct adding *a)
{
  uint32_t first = a->c->script.step_count;
  catalog_step(a->c, VERB_RUN)->lasts = 10 * CATALOG_SETTLE;
  put_plain(a, first, "Wait.");
}

static void power_on(struct adding *a)
{
  uint32_t first = a->c->script.step_count;
  catalog_power(a->c, POWER_ON, 0);
  put_plain(a, first, "Switch the supply on.");
}

static void add(struct adding *a)
{
  switch (a->kind) {
  case ROUTE_POWER_ON: power_on(a); break;
  case ROUTE_POWER_ON_HELD: attach(a, ATTACH_HELD, true); break;
  case ROUTE_POWER_CYCLE:
    cycle_power(a, CATALOG_OFF_SHORT);
    cycle_power(a, CATALOG_OFF_LONG);
    break;
  case ROUTE_PIN_RESET:
    reset(a, CAUSE_PIN, "Pull the reset line low for 20 us and let it go.");
    break;
  case ROUTE_ATTACH_HELD: attach(a, ATTACH_HELD, false); break;
  case ROUTE_ATTACH_RUNNING: attach(a, ATTACH_RUNNING, false); break;
  case ROUTE_DETACH: use_probe(a, PROBE_DETACH, "Detach the probe."); break;
  case ROUTE_HALT: use_probe(a, PROBE_HALT, "Halt the core."); break;
  case ROUTE_GO: use_probe(a, PROBE_GO, "Let the core go on."); break;
  case ROUTE_WRITE_IMAGE: write_image(a, ERASE_PAGES); break;
  case ROUTE_WRITE_ALL: write_image(a, ERASE_ALL); break;
  case ROUTE_ERASE:
    use_probe(a, PROBE_ERASE, "Have the probe erase the whole flash.");
    break;
  case ROUTE_WRITE_LATCH: write_latch(a); break;
  case ROUTE_WRITE_OPTION: write_options(a); break;
  case ROUTE_RELOAD: reload(a); break;
  case ROUTE_SOFTWARE_RESET:
    reset_by_probe(a, RESET_BY_REQUEST,
                   "Have the probe ask for a system reset (AIRCR).");
    break;
  case ROUTE_CORE_RESET:
    if (a->c->part->resets[CAUSE_CORE_ONLY].present)
      reset_by_probe(a, RESET_OF_CORE, "Have the probe reset the core alone.");
    break;
  case ROUTE_WRITE_BY_HOST: write_by_host(a); break;
  case ROUTE_LAUNCH: launch(a); break;
  case ROUTE_WAKE:
    reset(a, CAUSE_DEEP_SLEEP_EXIT,
          "Send the part to deep sleep and wake it.");
    break;
  case ROUTE_STRAP: drive_straps(a); break;
  case ROUTE_WAIT: wait(a); break;
  case ROUTE_ACTION_COUNT_: assert(false);
  }
}

/* Where nobody says which, those that lead nowhere by themselves are left
 * out: they only lengthen what the others do. */
static bool allowed(const struct route_spec *spec, enum route_action kind)
{
  if (spec->action_count == 0)
    return kind != ROUTE_HALT && kind != ROUTE_GO && kind != ROUTE_WAIT;
  for (uint32_t i = 0; i < spec->action_count; i++)
    if (spec->actions[i] == kind) return true;
  return false;
}

void catalog_actions(struct catalog *c, struct arena *arena)
{
  if (!c->script.host.present) c->means &= ~MEANS_BIT(HOST);
  for (unsigned i = 0; i < ROUTE_ACTION_COUNT_; i++) {
    struct adding a = {c, arena, (enum route_action)i};
    uint32_t needed = route_action_means(a.kind);
    if ((c->means & needed) == needed && allowed(c->spec, a.kind)) add(&a);
  }
}
