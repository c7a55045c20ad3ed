#include "describe/part_check.h"

#include <assert.h>
#include <inttypes.h>
#include <string.h>

#include "describe/names.h"

/* --- finding one's way --------------------------------------------------- */

/* Go down one step of *path; NULL if it is left out. */
static const struct json *step_down(const struct json *from, const char **path)
{
  char key[32];
  size_t length = strcspn(*path, ".");
  assert(length < sizeof key);
  memcpy(key, *path, length);
  key[length] = '\0';
  *path += length;
  if (**path == '.') (*path)++;
  return json_get(from, key);
}

const struct json *part_node(const struct json *from, const char *path)
{
  while (from && *path) {
    from = step_down(from, &path);
  }
  return from;
}

const struct json *part_place(const struct json *from, const char *path)
{
  while (*path) {
    const struct json *next = step_down(from, &path);
    if (!next) break;
    from = next;
  }
  return from;
}

const struct json *part_nth(const struct json *list, uint32_t n)
{
  const struct json *child = list->child;
  for (; n > 0; n--) {
    child = child->next;
  }
  assert(child);
  return child;
}

/* --- names and bits ------------------------------------------------------ */

static const struct json *name_of(const struct json *child, const char *key)
{
  return key ? json_get(child, key) : child;
}

enum sim_status part_check_names(const struct json *list, const char *key,
                                 struct sim_error *err)
{
  if (!list) return SIM_OK;
  for (const struct json *b = list->child; b; b = b->next) {
    const struct json *name = name_of(b, key);
    for (const struct json *a = list->child; a != b; a = a->next) {
      const struct json *other = name_of(a, key);
      if (strcmp(name->text, other->text) != 0) continue;
      return json_fail(name, SIM_KEY, err,
                       "is \"%s\", as in line %" PRIu32
                       "; expected another name",
                       name->text, other->line);
    }
  }
  return SIM_OK;
}

enum sim_status part_fail_overlap(const struct json *field,
                                  struct sim_error *err)
{
  return json_fail(json_get(field, "bits"), SIM_RANGE, err,
                   "is \"%s\", part of which a field above has; expected "
                   "free bits",
                   json_get(field, "bits")->text);
}

/* --- core and clock ------------------------------------------------------ */

static bool is_v6m(const struct part *part)
{
  return part->core.kind < CORE_KIND_M3;
}

static enum sim_status check_multiplier(const struct part *part,
                                        const struct json *root,
                                        struct sim_error *err)
{
  const struct quantity *m = &part->core.multiplier;
  const int64_t cycles[] = {m->min, m->typ, m->max};
  for (size_t i = 0; i < 3; i++) {
    if (cycles[i] == 1 || (cycles[i] == 32 && is_v6m(part))) continue;
    return json_fail(part_node(root, "core.multiplier"), SIM_RANGE, err,
                     is_v6m(part) ? "is %" PRId64 " cycles; expected 1 or 32 "
                                    "(ARM DDI 0484C, 1.4.1)"
                                  : "is %" PRId64 " cycles; expected 1 "
                                    "(ARM DDI 0439D, Table 3-1)",
                     cycles[i]);
  }
  return SIM_OK;
}

static enum sim_status check_interrupts(const struct part *part,
                                        const struct json *root,
                                        struct sim_error *err)
{
  const struct part_core *core = &part->core;
  uint32_t bits = core->priority_bits;
  if (is_v6m(part) && core->interrupts > 32)
    return json_fail(part_node(root, "core.interrupts"), SIM_RANGE, err,
                     "is %" PRIu32 "; expected at most 32 on this core",
                     core->interrupts);
  if (bits != 0 && (is_v6m(part) ? bits != 2 : bits < 3))
    return json_fail(part_node(root, "core.priority_bits"), SIM_RANGE, err,
                     "is %" PRIu32 "; expected %s on this core", bits,
                     is_v6m(part) ? "2" : "3 to 8");
  return SIM_OK;
}

static enum sim_status check_core_options(const struct part *part,
                                          const struct json *root,
                                          struct sim_error *err)
{
  const struct part_core *core = &part->core;
  if (core->vector_base && core->kind == CORE_KIND_M0)
    return json_fail(part_node(root, "core.vector_base"), SIM_RANGE, err,
                     "is true; expected false, because a cortex-m0 has no "
                     "vector table offset register");
  if (core->bit_band && is_v6m(part))
    return json_fail(part_node(root, "core.bit_band"), SIM_RANGE, err,
                     "is true; expected false, because only a cortex-m3 or "
                     "cortex-m4 has bit-band aliases");
  if (core->io_port.size == 0) return SIM_OK;
  if (core->kind != CORE_KIND_M0PLUS)
    return json_fail(part_node(root, "core.io_port"), SIM_RANGE, err,
                     "is there; expected none, because only a cortex-m0+ has "
                     "a single-cycle I/O port");
  if (core->io_port.size - 1 > UINT32_MAX - core->io_port.at)
    return json_fail(part_node(root, "core.io_port.size"), SIM_RANGE, err,
                     "leaves the 32-bit address space");
  return SIM_OK;
}

static enum sim_status check_core(const struct part *part,
                                  const struct json *root,
                                  struct sim_error *err)
{
  enum sim_status status = check_multiplier(part, root, err);
  if (status == SIM_OK) status = check_interrupts(part, root, err);
  if (status == SIM_OK) status = check_core_options(part, root, err);
  return status;
}

static enum sim_status check_clock(const struct part *part,
                                   const struct json *root,
                                   struct sim_error *err)
{
  (void)part;
  return part_check_names(part_node(root, "clock.sources"), "name", err);
}

/* --- power --------------------------------------------------------------- */

static bool is_above(const struct quantity *low, const struct quantity *high)
{
  return low->min > high->min || low->typ > high->typ || low->max > high->max;
}

static enum sim_status check_power(const struct part *part,
                                   const struct json *root,
                                   struct sim_error *err)
{
  const struct part_power *p = &part->power;
  if (is_above(&p->on_fall, &p->on_rise)) {
    return json_fail(part_place(root, "power.on.fall"), SIM_RANGE, err,
                     part_node(root, "power.on.fall")
                         ? "is above \"rise\"; expected it no higher, in "
                           "each of min, typ and max"
                         : "has a \"rise\" below the usual \"fall\"; expected "
                           "\"fall\" as well");
  }
  if (is_above(&p->rearm_below, &p->on_fall)) {
    return json_fail(
        part_place(root, "power.rearm.below"), SIM_RANGE, err,
        part_node(root, "power.rearm.below")
            ? "is above \"power.on.fall\"; expected it no higher, "
              "in each of min, typ and max"
            : "has a \"fall\" below the usual re-arm level; "
              "expected \"rearm\" with \"below\" as well");
  }
  return SIM_OK;
}

static enum sim_status check_level(const struct part *part, uint32_t which,
                                   const struct json *node,
                                   struct sim_error *err)
{
  const struct part_brown_out_level *l = &part->power.brown_out.levels[which];
  if (is_above(&l->fall, &l->rise))
    return json_fail(json_get(node, "fall"), SIM_RANGE, err,
                     "is above \"rise\"; expected it no higher, in each of "
                     "min, typ and max");
  if (is_above(&part->power.on_fall, &l->fall))
    return json_fail(json_get(node, "fall"), SIM_RANGE, err,
                     "is below \"power.on.fall\"; expected it no lower, in "
                     "each of min, typ and max");
  if (is_above(&part->power.on_rise, &l->rise))
    return json_fail(json_get(node, "rise"), SIM_RANGE, err,
                     "is below \"power.on.rise\"; expected it no lower, in "
                     "each of min, typ and max");
  return SIM_OK;
}

/* A level that no value of the field names is one that nobody can choose. */
static bool has_value(const struct part *part, const char *option,
                      const char *value)
{
  uint32_t word = 0, field = 0;
  part_option_named(part, option, &word, &field);
  const struct part_option_field *f = &part->options.words[word].fields[field];
  for (uint32_t i = 0; i < f->value_count; i++)
    if (strcmp(f->values[i].name, value) == 0) return true;
  return false;
}

static enum sim_status check_brown_out(const struct part *part,
                                       const struct json *root,
                                       struct sim_error *err)
{
  const struct part_brown_out *b = &part->power.brown_out;
  const struct json *levels = part_node(root, "power.brown_out.levels");
  enum sim_status status = part_check_names(levels, "level", err);
  const struct json *option = part_node(root, "power.brown_out.option");
  uint32_t word, field;
  if (status == SIM_OK && b->option != NULL &&
      !part_option_named(part, b->option, &word, &field))
    return json_fail(option, SIM_REFERENCE, err,
                     "is \"%s\"; expected \"word.field\" of the options",
                     b->option);
  for (uint32_t i = 0; i < b->level_count && status == SIM_OK; i++) {
    const struct json *node = part_nth(levels, i);
    status = check_level(part, i, node, err);
    if (status != SIM_OK || b->option == NULL ||
        has_value(part, b->option, b->levels[i].name))
      continue;
    status = json_fail(json_get(node, "level"), SIM_REFERENCE, err,
                       "is \"%s\"; expected the name of a value of option "
                       "\"%s\"",
                       b->levels[i].name, b->option);
  }
  return status;
}

/* --- resets -------------------------------------------------------------- */

static const struct json *reset_row(const struct json *root, enum cause cause)
{
  const struct json *row = part_node(root, "resets")->child;
  while (strcmp(json_get(row, "cause")->text, cause_word(cause)) != 0) {
    row = row->next;
  }
  return row;
}

static enum sim_status check_causes(const struct part *part,
                                    const struct json *root,
                                    struct sim_error *err)
{
  static const enum cause needed[] = {CAUSE_POWER_ON, CAUSE_BROWN_OUT,
                                      CAUSE_PIN};
  for (size_t i = 0; i < sizeof needed / sizeof needed[0]; i++) {
    if (part->resets[needed[i]].present) continue;
    return json_fail(part_node(root, "resets"), SIM_KEY, err,
                     "has no row for \"%s\"; expected one, because it can "
                     "happen to any part",
                     cause_word(needed[i]));
  }
  return SIM_OK;
}

/* What holds its state only while there is power has lost it. */
static enum sim_status check_power_on(const struct part *part,
                                      const struct json *root,
                                      struct sim_error *err)
{
  static const enum reset_column lost[] = {
      RESET_OPTIONS,  RESET_STRAPS, RESET_ALIAS,      RESET_DEBUG,
      RESET_WATCHDOG, RESET_CLOCKS, RESET_FLASH_LOCK, RESET_PINS};
  for (size_t i = 0; i < sizeof lost / sizeof lost[0]; i++) {
    if (part->resets[CAUSE_POWER_ON].does[lost[i]]) continue;
    const struct json *row = reset_row(root, CAUSE_POWER_ON);
    return json_fail(json_get(row, column_key(lost[i])), SIM_RANGE, err,
                     "is \"%s\"; expected \"%s\", because nothing of this "
                     "outlives a loss of power",
                     column_word(lost[i], false), column_word(lost[i], true));
  }
  return SIM_OK;
}

/* What a row says about the latch must fit how the outcome is held. */
static enum sim_status check_latch_column(const struct part *part,
                                          const struct json *root,
                                          struct sim_error *err)
{
  for (enum cause c = 0; c < CAUSE_COUNT_; c++) {
    if (!part->resets[c].present) continue;
    enum blank_held held = part->blank_check.held;
    if (held == BLANK_LATCHED && c != CAUSE_POWER_ON) continue;
    bool wanted = held != BLANK_NONE;
    if (part->resets[c].does[RESET_LATCH] == wanted) continue;
    return json_fail(json_get(reset_row(root, c), "latch"), SIM_RANGE, err,
                     "is \"%s\"; expected \"%s\", because \"held\" is \"%s\"",
                     column_word(RESET_LATCH, !wanted),
                     column_word(RESET_LATCH, wanted), blank_held_words[held]);
  }
  return SIM_OK;
}

static enum sim_status check_resets(const struct part *part,
                                    const struct json *root,
                                    struct sim_error *err)
{
  if (!part_node(root, "resets")) {
    if (part->blank_check.held == BLANK_NONE) return SIM_OK;
    return json_fail(part_node(root, "blank_check"), SIM_KEY, err,
                     "stands without \"resets\"; expected them to say when "
                     "the check is made");
  }
  enum sim_status status = check_causes(part, root, err);
  if (status == SIM_OK) status = check_power_on(part, root, err);
  if (status == SIM_OK) status = check_latch_column(part, root, err);
  return status;
}

/* --- watchdog and deep sleep --------------------------------------------- */

/* What ends in a reset needs a row that says which. */
static enum sim_status check_row(const struct part *part,
                                 const struct json *node, enum cause cause,
                                 struct sim_error *err)
{
  if (part->resets[cause].present) return SIM_OK;
  return json_fail_key(node, SIM_KEY, err,
                       "stands without a row for \"%s\" in \"resets\"; "
                       "expected one",
                       cause_word(cause));
}

static enum sim_status check_watchdog(const struct part *part,
                                      const struct json *root,
                                      struct sim_error *err)
{
  const struct json *node = part_node(root, "watchdog");
  const struct part_watchdog *w = &part->watchdog;
  uint32_t word, field;
  if (node == NULL) return SIM_OK;
  enum sim_status status = check_row(part, node, CAUSE_WATCHDOG, err);
  if (status != SIM_OK) return status;
  if ((w->option == NULL) != (w->when == NULL))
    return json_fail(node, SIM_KEY, err,
                     "has only one of \"option\" and \"when\"; expected "
                     "both or none");
  if (w->option == NULL) return SIM_OK;
  if (!part_option_named(part, w->option, &word, &field))
    return json_fail(json_get(node, "option"), SIM_REFERENCE, err,
                     "is \"%s\"; expected \"word.field\" of the options",
                     w->option);
  if (has_value(part, w->option, w->when)) return SIM_OK;
  return json_fail(json_get(node, "when"), SIM_REFERENCE, err,
                   "is \"%s\"; expected the name of a value of option "
                   "\"%s\"",
                   w->when, w->option);
}

static enum sim_status check_deep_sleep(const struct part *part,
                                        const struct json *root,
                                        struct sim_error *err)
{
  const struct json *node = part_node(root, "deep_sleep");
  if (node == NULL) return SIM_OK;
  return check_row(part, node, CAUSE_DEEP_SLEEP_EXIT, err);
}

/* ------------------------------------------------------------------------- */

enum sim_status part_check(const struct part *part, const struct json *root,
                           struct sim_error *err)
{
  static enum sim_status (*const checks[])(
      const struct part *, const struct json *, struct sim_error *) = {
      check_core,       check_clock,          part_check_memory,
      check_power,      check_brown_out,      check_resets,
      part_check_start, part_check_registers, part_check_answers,
      check_watchdog,   check_deep_sleep};
  for (size_t i = 0; i < sizeof checks / sizeof checks[0]; i++) {
    enum sim_status status = checks[i](part, root, err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}
