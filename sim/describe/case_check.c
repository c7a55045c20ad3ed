#include <assert.h>
#include <inttypes.h>
#include <string.h>

#include "describe/case_shape.h"
#include "describe/names.h"

/* --- steps in their order ------------------------------------------------ */

/* What is known about the bench without running anything. */
struct bench {
  const struct case_script *script;
  bool power_on;
  bool probe_attached;
  bool line_held;
};

static enum sim_status check_power(struct bench *bench,
                                   const struct step *step,
                                   const struct json *node,
                                   struct sim_error *err)
{
  bool was_on = bench->power_on;
  if (step->power == POWER_DIP && !was_on) {
    return json_fail(json_get(node, "power"), SIM_RANGE, err,
                     "is \"dip\"; expected \"on\" before it, because a "
                     "source that is off can't sag");
  }
  bench->power_on = step->power != POWER_OFF;
  if (step->power != POWER_OFF || bench->script->supply.removable) {
    return SIM_OK;
  }
  return json_fail(json_get(node, "power"), SIM_RANGE, err,
                   "is \"off\"; expected no such step, because "
                   "board.supply.removable is false");
}

static enum sim_status check_reset(struct bench *bench,
                                   const struct step *step,
                                   const struct json *node,
                                   struct sim_error *err)
{
  const struct json *reset = json_get(node, "reset");
  bool pulls = step->reset == RESET_HOLD ||
               (step->reset == RESET_CAUSE && step->cause == CAUSE_PIN);
  if (pulls && bench->line_held) {
    return json_fail(reset, SIM_RANGE, err,
                     "is \"%s\"; expected \"release\" first, because a step "
                     "above holds the line",
                     reset->text);
  }
  if (step->reset == RESET_RELEASE && !bench->line_held) {
    return json_fail(reset, SIM_RANGE, err,
                     "is \"release\"; expected \"hold\" before it");
  }
  if (step->reset != RESET_CAUSE) bench->line_held = pulls;
  return SIM_OK;
}

static enum sim_status refuse_without_probe(const struct json *at,
                                            const char *otherwise,
                                            struct sim_error *err)
{
  return json_fail(at, SIM_RANGE, err,
                   "needs a probe, and none is attached here; expected "
                   "\"probe\": \"attach\" before it%s",
                   otherwise);
}

static enum sim_status check_host(const struct bench *bench,
                                  const struct json *at, struct sim_error *err)
{
  if (bench->script->host.present) return SIM_OK;
  return json_fail(at, SIM_RANGE, err,
                   "needs a serial host, and the board has none; expected "
                   "\"host\" in \"board\"");
}

static enum sim_status check_send(struct bench *bench, const struct step *step,
                                  const struct json *node,
                                  struct sim_error *err)
{
  const struct json *pages = json_get(node, "pages");
  (void)step;
  if (pages && !json_get(node, "at"))
    return json_fail_key(pages, SIM_KEY, err,
                         "stands alone; expected \"at\" beside it: the "
                         "first page");
  return check_host(bench, json_get(node, "send"), err);
}

/* Only a probe that orders each unit by itself has a say in which is first. */
static enum sim_status check_order(const struct step *step,
                                   const struct json *node,
                                   struct sim_error *err)
{
  const struct json *order = json_get(node, "order");
  if (!order) return SIM_OK;
  if (step->has_through) {
    return json_fail_key(order, SIM_KEY, err,
                         "does not go with \"through\"; a loader has an order "
                         "of its own");
  }
  if (step->by == BY_HOST || step->by == BY_PRESET) {
    return json_fail_key(order, SIM_KEY, err,
                         "does not go with \"by\": \"%s\"; expected the "
                         "probe to write",
                         step->by == BY_HOST ? "host" : "preset");
  }
  return SIM_OK;
}

static enum sim_status check_by(struct bench *bench, const struct step *step,
                                const struct json *node, struct sim_error *err)
{
  if (step->by == BY_PRESET && step->has_through) {
    return json_fail_key(json_get(node, "through"), SIM_KEY, err,
                         "does not go with \"by\": \"preset\"; expected the "
                         "probe to bring the loader");
  }
  enum sim_status status = check_order(step, node, err);
  if (status != SIM_OK) return status;
  const struct json *by = json_get(node, "by");
  if (step->by == BY_HOST) return check_host(bench, by, err);
  if (step->by == BY_PRESET || bench->probe_attached) return SIM_OK;
  const char *otherwise =
      step->verb == VERB_WRITE ? ", or \"by\": \"preset\"" : "";
  return refuse_without_probe(by ? by : json_get(node, verb_word(step->verb)),
                              otherwise, err);
}

static enum sim_status refuse_two(const struct json *node, const char *one,
                                  const char *other, struct sim_error *err)
{
  return json_fail(node, SIM_KEY, err,
                   "does not say one place; expected %s or %s, and not both",
                   one, other);
}

static enum sim_status check_probe(struct bench *bench,
                                   const struct step *step,
                                   const struct json *node,
                                   struct sim_error *err)
{
  if (step->probe != PROBE_ATTACH && !bench->probe_attached) {
    return refuse_without_probe(json_get(node, "probe"), "", err);
  }
  if (step->probe == PROBE_READ && step->has_at == step->has_reg) {
    return refuse_two(node, "\"at\"", "\"register\"", err);
  }
  if (step->probe == PROBE_START && step->has_at == step->has_image) {
    return refuse_two(node, "\"image\"", "\"at\"", err);
  }
  if (step->probe == PROBE_ATTACH) bench->probe_attached = true;
  if (step->probe == PROBE_DETACH) bench->probe_attached = false;
  return SIM_OK;
}

bool case_asks(const struct expectation *e)
{
  return e->region || e->landing || e->rule || e->symbol || e->reaches ||
         e->has_cause || e->has_outcome || e->has_latch || e->has_stale ||
         e->has_sp || e->has_pc || e->has_exit_status ||
         e->has_rom_instructions || e->has_pins_driven || e->has_read ||
         e->has_host;
}

enum sim_status case_refuse_empty(const struct json *expectation,
                                  struct sim_error *err)
{
  return json_fail(expectation, SIM_KEY, err,
                   "asks for nothing; expected at least one of what a start "
                   "can be asked, such as \"region\"");
}

static enum sim_status check_expect(struct bench *bench,
                                    const struct step *step,
                                    const struct json *node,
                                    struct sim_error *err)
{
  (void)bench;
  if (step->on_count == 0 && !case_asks(&step->expect)) {
    return case_refuse_empty(json_get(node, "expect"), err);
  }
  const struct json *on = json_get(node, "on");
  const struct json *entry = on ? on->child : NULL;
  for (uint32_t i = 0; i < step->on_count; i++) {
    if (!case_asks(&step->on[i].what)) return case_refuse_empty(entry, err);
    entry = entry->next;
  }
  return SIM_OK;
}

static enum sim_status (*const checks[VERB_COUNT_])(struct bench *,
                                                    const struct step *,
                                                    const struct json *,
                                                    struct sim_error *) = {
    [VERB_POWER] = check_power,   [VERB_RESET] = check_reset,
    [VERB_WRITE] = check_by,      [VERB_RELOAD] = check_by,
    [VERB_PROBE] = check_probe,   [VERB_SEND] = check_send,
    [VERB_EXPECT] = check_expect,
};

static enum sim_status check_label(const struct step *steps,
                                   const struct step *step,
                                   const struct json *node,
                                   struct sim_error *err)
{
  if (!step->label) return SIM_OK;
  for (uint32_t i = 0; i < step->number; i++) {
    const struct step *other = &steps[i];
    if (!other->label || strcmp(other->label, step->label) != 0) continue;
    return json_fail(json_get(node, "label"), SIM_KEY, err,
                     "is the label of the step in line %" PRIu32
                     " too; expected another one",
                     other->line);
  }
  return SIM_OK;
}

enum sim_status case_check_steps(const struct case_script *script,
                                 const struct step *steps, uint32_t count,
                                 const struct json *list,
                                 struct sim_error *err)
{
  struct bench bench = {.script = script};
  const struct json *node = list->child;
  for (uint32_t i = 0; i < count; i++) {
    const struct step *step = &steps[i];
    enum sim_status status = check_label(steps, step, node, err);
    if (status == SIM_OK && checks[step->verb]) {
      status = checks[step->verb](&bench, step, node, err);
    }
    if (status != SIM_OK) return status;
    node = node->next;
  }
  return SIM_OK;
}

static enum sim_status check_never_from(const struct case_script *script,
                                        const struct json *root,
                                        struct sim_error *err)
{
  const struct json *from = json_get(root, "never_from");
  if (!from) return SIM_OK;
  for (uint32_t i = 0; i < script->step_count; i++) {
    const char *label = script->steps[i].label;
    if (label && strcmp(label, script->never_from) == 0) return SIM_OK;
  }
  return json_fail(from, SIM_REFERENCE, err,
                   "is \"%s\"; expected the label of a step", from->text);
}

/* ------------------------------------------------------------------------- */

enum sim_status case_check(const struct case_script *script,
                           const struct json *root, struct sim_error *err)
{
  enum sim_status status = case_check_nets(root, err);
  if (status == SIM_OK) status = case_check_nevers(script, root, err);
  if (status == SIM_OK)
    status = case_check_steps(script, script->steps, script->step_count,
                              json_get(root, "steps"), err);
  if (status == SIM_OK) status = check_never_from(script, root, err);
  if (status == SIM_OK) status = case_check_measures(script, root, err);
  if (status == SIM_OK) status = case_check_route(script, root, err);
  return status;
}
