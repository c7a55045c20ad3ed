#include "run/vary.h"

#include <assert.h>
#include <inttypes.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define VERB_BIT(v) (1u << VERB_##v)

/* Keys of a step that are a quantity, and the verbs that have them. */
static const struct step_key {
  const char *key;
  size_t at;
  uint32_t verbs;
} step_keys[] = {
    {"for", offsetof(struct step, lasts), VERB_BIT(POWER)},
    {"run", offsetof(struct step, lasts), VERB_BIT(RUN)},
    {"hold", offsetof(struct step, lasts), VERB_BIT(RESET)},
    {"within", offsetof(struct step, within), VERB_BIT(EXPECT)},
    {"after", offsetof(struct step, after), VERB_BIT(PROBE)},
};
#define STEP_KEY_COUNT (sizeof(step_keys) / sizeof(step_keys[0]))

static const struct supply_key {
  const char *key;
  size_t at;
  enum unit unit;
} supply_keys[] = {
    {"source", offsetof(struct case_supply, source_uv), UNIT_VOLTAGE},
    {"source_resistance", offsetof(struct case_supply, resistance_mohm),
     UNIT_RESISTANCE},
    {"bulk", offsetof(struct case_supply, bulk_pf), UNIT_CAPACITANCE},
    {"ramp", offsetof(struct case_supply, ramp_ps), UNIT_TIME},
    {"load", offsetof(struct case_supply, load_na), UNIT_CURRENT},
};
#define SUPPLY_KEY_COUNT (sizeof(supply_keys) / sizeof(supply_keys[0]))

static enum sim_status refuse(struct sim_error *err, const char *text,
                              const char *what)
{
  const struct sim_place place = {.path = "--vary"};
  return sim_fail(err, SIM_USAGE, &place, "is %s; %s", text, what);
}

/* --- what is varied ------------------------------------------------------ */

static uint32_t step_named(const struct case_script *script, const char *label)
{
  char text[32];
  for (uint32_t i = 0; i < script->step_count; i++) {
    const struct step *s = &script->steps[i];
    snprintf(text, sizeof(text), "steps[%" PRIu32 "]", i);
    if (strcmp(text, label) == 0 ||
        (s->label != NULL && strcmp(s->label, label) == 0))
      return i;
  }
  return PART_NONE;
}

static bool find_supply_key(struct vary_axis *a, const char *key)
{
  for (size_t i = 0; i < SUPPLY_KEY_COUNT; i++) {
    if (strcmp(supply_keys[i].key, key) != 0) continue;
    a->at = supply_keys[i].at;
    a->unit = supply_keys[i].unit;
    return true;
  }
  return false;
}

static bool find_step_key(struct vary_axis *a,
                          const struct case_script *script, const char *key)
{
  uint32_t verb = 1u << script->steps[a->step].verb;
  for (size_t i = 0; i < STEP_KEY_COUNT; i++) {
    if (strcmp(step_keys[i].key, key) != 0) continue;
    a->at = step_keys[i].at;
    a->unit = UNIT_TIME;
    return step_keys[i].verbs & verb;
  }
  return false;
}

static enum sim_status find_target(struct vary_axis *a, struct arena *arena,
                                   const struct case_script *script,
                                   const char *name, struct sim_error *err)
{
  const char *dot = strrchr(name, '.');
  if (dot == NULL || dot == name)
    return refuse(err, name, "expected LABEL.key=FROM..TO/STEP");
  const char *label = arena_text_n(arena, name, (size_t)(dot - name));
  a->name = name;
  if (strcmp(label, "supply") == 0) {
    if (find_supply_key(a, dot + 1)) return SIM_OK;
    return refuse(err, name,
                  "expected source, source_resistance, bulk, ramp or load "
                  "of the supply");
  }
  a->in_step = true;
  a->step = step_named(script, label);
  if (a->step == PART_NONE)
    return refuse(err, name,
                  "expected the label of a step, steps[N], or supply");
  if (find_step_key(a, script, dot + 1)) return SIM_OK;
  return refuse(err, name,
                "expected a quantity that this step has: for of power, "
                "run of run, hold of reset, within of expect, after of probe");
}

/* --- its values ---------------------------------------------------------- */

static enum sim_status parse_range(struct vary_axis *a, struct arena *arena,
                                   const char *text, struct sim_error *err)
{
  const char *dots = strstr(text, "..");
  const char *slash = strchr(text, '/');
  if (dots == NULL || (slash != NULL && slash < dots))
    return refuse(err, text, "expected FROM..TO, or FROM..TO/STEP");
  size_t length =
      slash == NULL ? strlen(dots + 2) : (size_t)(slash - dots - 2);
  const char *from = arena_text_n(arena, text, (size_t)(dots - text));
  const char *to = arena_text_n(arena, dots + 2, length);
  a->by = 1;
  if (!units_parse(from, a->unit, &a->from) ||
      !units_parse(to, a->unit, &a->to) ||
      (slash != NULL && !units_parse(slash + 1, a->unit, &a->by))) {
    const struct sim_place place = {.path = "--vary"};
    return sim_fail(err, SIM_USAGE, &place,
                    "is %s; expected %s on both sides "
                    "of \"..\" and behind \"/\"",
                    text, units_expected(a->unit));
  }
  if (a->to < a->from || a->by <= 0)
    return refuse(err, text,
                  "expected FROM no larger than TO, and a STEP "
                  "larger than nothing");
  if (a->in_step && a->to > 90 * 24 * 3600 * PS_PER_S)
    return refuse(err, text, "expected at most 90 days");
  a->count = (uint64_t)(a->to - a->from) / (uint64_t)a->by + 1;
  return SIM_OK;
}

enum sim_status vary_add(struct vary *v, struct arena *arena,
                         const struct case_script *script, const char *text,
                         struct sim_error *err)
{
  const char *equals = strchr(text, '=');
  if (equals == NULL)
    return refuse(err, text, "expected LABEL.key=FROM..TO/STEP");
  if (v->axis_count == VARY_MAX_AXES)
    return refuse(err, text, "expected at most 4 of them");
  struct vary_axis *a = &v->axes[v->axis_count];
  memset(a, 0, sizeof(*a));
  const char *name = arena_text_n(arena, text, (size_t)(equals - text));
  enum sim_status status = find_target(a, arena, script, name, err);
  if (status == SIM_OK) status = parse_range(a, arena, equals + 1, err);
  if (status == SIM_OK) v->axis_count++;
  return status;
}

uint64_t vary_count(const struct vary *v)
{
  uint64_t count = 1;
  for (uint32_t i = 0; i < v->axis_count; i++) {
    if (count > UINT64_MAX / v->axes[i].count) return UINT64_MAX;
    count *= v->axes[i].count;
  }
  return count;
}

int64_t vary_value(const struct vary *v, uint32_t axis, uint64_t point)
{
  uint64_t index = point - 1;
  for (uint32_t i = v->axis_count; --i > axis;)
    index /= v->axes[i].count;
  const struct vary_axis *a = &v->axes[axis];
  return a->from + (int64_t)(index % a->count) * a->by;
}

const struct case_script *vary_script(const struct vary *v,
                                      struct arena *arena,
                                      const struct case_script *script,
                                      uint64_t point)
{
  struct case_script *copy = arena_get(arena, sizeof(*copy));
  *copy = *script;
  copy->steps = arena_array(arena, script->step_count, sizeof(*copy->steps));
  memcpy(copy->steps, script->steps,
         script->step_count * sizeof(*copy->steps));
  for (uint32_t i = 0; i < v->axis_count; i++) {
    const struct vary_axis *a = &v->axes[i];
    char *in =
        a->in_step ? (char *)&copy->steps[a->step] : (char *)&copy->supply;
    int64_t value = vary_value(v, i, point);
    memcpy(in + a->at, &value, sizeof(value));
  }
  return copy;
}

void vary_text(char *text, size_t size, const char *name, enum unit unit,
               int64_t value)
{
  char short_text[40];
  int64_t back;
  units_text(short_text, sizeof(short_text), unit, value);
  if (units_parse(short_text, unit, &back) && back == value) {
    snprintf(text, size, "%s=%s", name, short_text);
    return;
  }
  static const char *const kept_in[UNIT_COUNT_] = {
      [UNIT_TIME] = "ps",         [UNIT_VOLTAGE] = "uV",
      [UNIT_RESISTANCE] = "mohm", [UNIT_CAPACITANCE] = "pF",
      [UNIT_CURRENT] = "nA",      [UNIT_FREQUENCY] = "Hz",
      [UNIT_BYTES] = "B",         [UNIT_CYCLES] = " cycles"};
  snprintf(text, size, "%s=%" PRId64 "%s", name, value, kept_in[unit]);
}
