#include "run/plan.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "board/nets.h"
#include "describe/names.h"

/* What is being resolved, for messages. */
struct resolving {
  struct plan *plan;
  struct arena *arena;
  const struct step *step;
  char path[32]; /* of the step */
  struct sim_error *err;
};

static struct sim_place place_of(const struct resolving *r)
{
  return (struct sim_place){r->plan->script->file, r->path, r->step->line,
                            r->step->column};
}

/* --- watched addresses --- */

static bool hex_address(const char *name, addr_t *at)
{
  if (strncmp(name, "0x", 2) != 0) return false;
  size_t digits = strspn(name + 2, "0123456789abcdefABCDEF");
  if (digits == 0 || digits > 8 || name[2 + digits] != '\0') return false;
  *at = (addr_t)strtoul(name + 2, NULL, 16) & ~1u;
  return true;
}

/* How many different addresses the script's images have for it: 0, 1 or 2. */
static unsigned in_images(const struct plan *plan, const char *name,
                          addr_t *at)
{
  unsigned found = 0;
  for (uint32_t i = 0; i < plan->script->image_count; i++) {
    const struct image_symbol *s = image_symbol_named(plan->images[i], name);
    if (s == NULL) continue;
    if (found > 0 && s->at != *at) return 2;
    *at = s->at;
    found = 1;
  }
  return found;
}

/* The images come first: a ROM may have a `main` of its own. */
static unsigned symbol_address(const struct plan *plan, const char *name,
                               addr_t *at)
{
  unsigned found = in_images(plan, name, at);
  for (uint32_t i = 0; found == 0 && i < PART_MAX_MEMORY; i++) {
    if (plan->rom[i] == NULL) continue;
    const struct image_symbol *s = image_symbol_named(plan->rom[i], name);
    if (s == NULL) continue;
    *at = s->at;
    found = 1;
  }
  return found;
}

enum sim_status plan_watch(struct plan *plan, const char *name,
                           const struct sim_place *place, uint32_t *index,
                           struct sim_error *err)
{
  addr_t at;
  unsigned found =
      hex_address(name, &at) ? 1 : symbol_address(plan, name, &at);
  if (found == 0)
    return sim_fail(err, SIM_REFERENCE, place,
                    "no image has a symbol \"%s\"; expected one of them, or "
                    "an address such as \"0x04000100\"",
                    name);
  if (found > 1)
    return sim_fail(err, SIM_REFERENCE, place,
                    "symbol \"%s\" is at different addresses in two images; "
                    "expected an address such as \"0x04000100\"",
                    name);
  for (*index = 0; *index < plan->watch_count; ++*index)
    if (plan->watches[*index].at == at) return SIM_OK;
  if (plan->watch_count == BUS_MAX_WATCHES)
    return sim_fail(err, SIM_LIMIT, place,
                    "too many places are watched; expected at most %d",
                    BUS_MAX_WATCHES);
  plan->watches[plan->watch_count++] = (struct plan_watch){name, at};
  return SIM_OK;
}

static enum sim_status watch(struct resolving *r, const char *name,
                             uint32_t *index)
{
  struct sim_place place = place_of(r);
  return plan_watch(r->plan, name, &place, index, r->err);
}

/* `main` is told even where nobody asks for it, if it is one place. */
static void watch_main(struct plan *plan)
{
  addr_t at;
  if (symbol_address(plan, "main", &at) != 1) return;
  plan->watches[plan->watch_count++] = (struct plan_watch){"main", at};
}

/* --- expectations --- */

static enum sim_status resolve_expect(struct resolving *r,
                                      struct plan_step *out)
{
  const struct part *part = r->plan->part;
  out->expect = r->step->expect;
  for (uint32_t i = 0; i < r->step->on_count; i++)
    if (strcmp(r->step->on[i].part, part->name) == 0)
      out->expect = r->step->on[i].what;
  if (out->expect.reaches == NULL) return SIM_OK;
  return watch(r, out->expect.reaches, &out->reaches);
}

/* --- options --- */

static bool named_value(const struct part_option_field *f, const char *name,
                        uint32_t *value)
{
  for (uint32_t i = 0; i < f->value_count; i++)
    if (strcmp(f->values[i].name, name) == 0) {
      *value = f->values[i].value;
      return true;
    }
  char *end;
  unsigned long number = strtoul(name, &end, 10);
  uint64_t limit = UINT64_C(1) << f->width;
  *value = (uint32_t)number;
  return end != name && *end == '\0' && number < limit;
}

static bool find_field(const struct part *part, const char *name,
                       struct plan_setting *out)
{
  for (out->word = 0; out->word < part->options.word_count; out->word++) {
    const struct part_option_word *w = &part->options.words[out->word];
    size_t n = strlen(w->name);
    if (strncmp(name, w->name, n) != 0 || name[n] != '.') continue;
    for (out->field = 0; out->field < w->field_count; out->field++)
      if (strcmp(w->fields[out->field].name, name + n + 1) == 0) return true;
  }
  return false;
}

static enum sim_status resolve_setting(struct resolving *r,
                                       const struct option_setting *s,
                                       struct plan_setting *out)
{
  const struct part *part = r->plan->part;
  struct sim_place place = place_of(r);
  if (!find_field(part, s->field, out))
    return sim_fail(r->err, SIM_REFERENCE, &place,
                    "part %s has no option field \"%s\"; expected one of its "
                    "own, \"word.field\"",
                    part->name, s->field);
  const struct part_option_field *f =
      &part->options.words[out->word].fields[out->field];
  if (!named_value(f, s->value, &out->value))
    return sim_fail(r->err, SIM_REFERENCE, &place,
                    "option field \"%s\" has no value \"%s\"; expected the "
                    "name of one, or a number of %" PRIu32 " bit%s",
                    s->field, s->value, f->width, f->width > 1 ? "s" : "");
  return SIM_OK;
}

static enum sim_status resolve_options(struct resolving *r,
                                       struct plan_step *out)
{
  for (uint32_t i = 0; i < r->step->set_count; i++) {
    enum sim_status status =
        resolve_setting(r, &r->step->set[i], &out->set[i]);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

/* --- the other verbs --- */

/* A strap may be called by its own name. */
enum sim_status plan_pin(const struct plan *plan, const char *name,
                         const struct sim_place *place, uint32_t *pin,
                         struct sim_error *err)
{
  const struct part *part = plan->part;
  *pin = part_pin_named(part, name);
  for (uint32_t i = 0; *pin == PART_NONE && i < part->strap_count; i++)
    if (strcmp(part->straps[i].name, name) == 0) *pin = part->straps[i].pin;
  if (*pin != PART_NONE) return SIM_OK;
  return sim_fail(err, SIM_REFERENCE, place,
                  "part %s has no pin or strap \"%s\"; expected the name of "
                  "one",
                  part->name, name);
}

static enum sim_status resolve_pin(struct resolving *r, struct plan_step *out)
{
  struct sim_place place = place_of(r);
  const struct case_script *script = r->plan->script;
  if (nets_driver_named(script, r->step->pin, &out->net, &out->driver))
    return SIM_OK;
  return plan_pin(r->plan, r->step->pin, &place, &out->pin, r->err);
}

static enum sim_status resolve_reset(struct resolving *r)
{
  struct sim_place place = place_of(r);
  enum cause cause =
      r->step->reset == RESET_CAUSE ? r->step->cause : CAUSE_PIN;
  if (r->plan->part->resets[cause].present) return SIM_OK;
  return sim_fail(r->err, SIM_REFERENCE, &place,
                  "part %s has no reset cause \"%s\" in its table; expected "
                  "one that has a row",
                  r->plan->part->name, cause_word(cause));
}

/* Left out, it is the attached probe's work. */
static enum sim_status resolve_actor(struct resolving *r)
{
  struct sim_place place = place_of(r);
  if (r->step->by != BY_DEFAULT) return SIM_OK;
  for (const struct step *s = r->plan->script->steps; s < r->step; s++)
    if (s->verb == VERB_PROBE && s->probe == PROBE_ATTACH) return SIM_OK;
  return sim_fail(r->err, SIM_KEY, &place,
                  "no probe was attached before this step; expected \"by\": "
                  "\"preset\", or a step {\"probe\": \"attach\"} above");
}

/* The boot ROM's requests reach flash only. */
static enum sim_status resolve_host_image(struct resolving *r)
{
  struct sim_place place = place_of(r);
  const struct image *image = r->plan->images[r->step->image];
  const struct part *part = r->plan->part;
  for (uint32_t i = 0; i < part->memory_count; i++) {
    const struct part_memory *m = &part->memory[i];
    if (m->kind == MEMORY_FLASH && image->segments[0].at - m->at < m->size)
      return SIM_OK;
  }
  return sim_fail(r->err, SIM_REFERENCE, &place,
                  "image \"%s\" is not for flash; expected one that is: the "
                  "boot ROM's requests reach nothing else",
                  r->plan->script->images[r->step->image].name);
}

static enum sim_status resolve_send(struct resolving *r, struct plan_step *out)
{
  const struct step *s = r->step;
  uint32_t flash = part_memory_of(r->plan->part, MEMORY_FLASH);
  out->at = s->has_at ? s->at : r->plan->part->memory[flash].at;
  bool image = s->request == REQUEST_PUT || s->request == REQUEST_COMPARE;
  return image ? resolve_host_image(r) : SIM_OK;
}

static enum sim_status resolve_write(struct resolving *r,
                                     struct plan_step *out)
{
  enum sim_status status = resolve_actor(r);
  struct sim_place place = place_of(r);
  if (status == SIM_OK && r->step->has_through)
    return plan_loader(r->plan, r->step->through, &place, &out->loader,
                       r->err);
  if (status == SIM_OK && r->step->by == BY_HOST) return resolve_host_image(r);
  if (status != SIM_OK || r->step->target != WRITE_OPTIONS) return status;
  return resolve_options(r, out);
}

static enum sim_status resolve_power(struct resolving *r)
{
  struct sim_place place = place_of(r);
  if (r->step->power == POWER_ON || r->plan->script->supply.removable)
    return SIM_OK;
  return sim_fail(r->err, SIM_REFERENCE, &place,
                  "the supply of this board can't be switched off; expected "
                  "board.supply.removable to be true");
}

static enum sim_status resolve_step(struct resolving *r, struct plan_step *out)
{
  *out = (struct plan_step){.reaches = PART_NONE, .pin = PART_NONE};
  switch (r->step->verb) {
  case VERB_EXPECT: return resolve_expect(r, out);
  case VERB_RUN:
    return r->step->until == NULL ? SIM_OK
                                  : watch(r, r->step->until, &out->reaches);
  case VERB_DRIVE: return resolve_pin(r, out);
  case VERB_RESET: return resolve_reset(r);
  case VERB_POWER: return resolve_power(r);
  case VERB_WRITE: return resolve_write(r, out);
  case VERB_RELOAD: return resolve_actor(r);
  case VERB_SEND: return resolve_send(r, out);
  default: return SIM_OK;
  }
}

enum sim_status plan_make(struct plan *plan, struct arena *arena,
                          const struct case_script *script,
                          const struct part *part, struct sim_error *err)
{
  plan->script = script;
  plan->part = part;
  enum sim_status status = plan_images(plan, arena, err);
  if (status != SIM_OK) return status;
  watch_main(plan);
  plan->steps = arena_array(arena, script->step_count, sizeof(*plan->steps));
  for (uint32_t i = 0; i < script->step_count; i++) {
    struct resolving r = {
        .plan = plan, .arena = arena, .step = &script->steps[i], .err = err};
    snprintf(r.path, sizeof(r.path), "steps[%" PRIu32 "]", i);
    status = resolve_step(&r, &plan->steps[i]);
    if (status != SIM_OK) return status;
  }
  status = plan_nevers(plan, arena, err);
  return status == SIM_OK ? plan_measures(plan, arena, err) : status;
}
