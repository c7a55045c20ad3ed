#include "cli/sweep_request.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/engine_word.h"
#include "cli/folders.h"
#include "describe/names.h"
#include "run/sweep_workers.h"

static enum sim_status usage(struct sim_error *err, const char *option,
                             const char *what)
{
  const struct sim_place where = {.path = option};
  return sim_fail(err, SIM_USAGE, &where, "%s", what);
}

static bool is_given(const struct given *given, size_t option)
{
  return given->options[option].count > 0;
}

/* Whole number up to `most`, without sign. */
static bool number_of(const char *text, size_t length, uint64_t most,
                      uint64_t *number)
{
  *number = 0;
  if (length == 0) return false;
  for (size_t i = 0; i < length; i++) {
    if (text[i] < '0' || text[i] > '9') return false;
    uint64_t digit = (uint64_t)(text[i] - '0');
    if (*number > (most - digit) / 10) return false;
    *number = *number * 10 + digit;
  }
  return true;
}

/* --- case and part ------------------------------------------------------- */

static enum sim_status load(struct sweep_request *r, const struct given *given,
                            struct sim_error *err)
{
  r->loaded = firstfetch_open();
  if (given->word_count != 1)
    return usage(err, "sweep", "plays one case; expected its file");
  const char *file = given->words[0];
  enum sim_status status =
      firstfetch_case(r->loaded, file, &r->sweep.script, err);
  if (status != SIM_OK) return status;
  struct firstfetch_search search =
      folders_search(given->arena, &given->options[SWEEP_MODELS], file);
  const char *part = options_value(given, SWEEP_PART);
  status =
      firstfetch_part(r->loaded, &search, part ? part : r->sweep.script->part,
                      part ? NULL : file, &r->sweep.part, err);
  if (status != SIM_OK) return status;
  return engine_word(options_value(given, SWEEP_ENGINE),
                     cpu_engine_for_forks(r->sweep.part->core.kind),
                     &r->sweep.engine, err);
}

/* --- what happens, and where --------------------------------------------- */

/* "each-cycle" or "cycle" */
static bool kind_of(const char *word, enum sweep_kind *kind)
{
  if (strncmp(word, "each-", 5) == 0) word += 5;
  for (unsigned i = 0; i < SWEEP_VARY; i++) {
    if (strcmp(sweep_kind_words[i], word) != 0) continue;
    *kind = (enum sweep_kind)i;
    return true;
  }
  return false;
}

static enum sim_status take_cut(struct sweep_request *r, const char *value,
                                struct sim_error *err)
{
  r->sweep.fault.kind = OUTLOOK_POWER;
  if (kind_of(value, &r->sweep.kind)) return SIM_OK;
  return usage(err, "--cut", "expected each-write, each-event or each-cycle");
}

static bool cause_named(const char *word, enum cause *cause)
{
  for (unsigned i = 0; i < CAUSE_COUNT_; i++) {
    if (strcmp(cause_words[i], word) != 0) continue;
    *cause = (enum cause)i;
    return true;
  }
  return false;
}

/* "pin", "pin:each-cycle" */
static enum sim_status take_reset(struct sweep_request *r, struct arena *arena,
                                  const char *value, struct sim_error *err)
{
  size_t length = strcspn(value, ":");
  const char *word = arena_text_n(arena, value, length);
  r->sweep.fault.kind = OUTLOOK_CAUSE;
  r->sweep.kind = SWEEP_EVENT;
  if (!cause_named(word, &r->sweep.fault.cause) ||
      r->sweep.fault.cause == CAUSE_POWER_ON ||
      !r->sweep.part->resets[r->sweep.fault.cause].present)
    return usage(err, "--reset",
                 "expected a cause of the part's reset table but power_on, "
                 "which is --cut");
  if (value[length] == '\0' || kind_of(value + length + 1, &r->sweep.kind))
    return SIM_OK;
  return usage(err, "--reset",
               "expected each-write, each-event or each-cycle behind the "
               "cause");
}

static enum sim_status take_values(struct sweep_request *r,
                                   const struct given *given,
                                   struct sim_error *err)
{
  const struct given_option *values = &given->options[SWEEP_VALUES];
  r->sweep.kind = SWEEP_VARY;
  for (size_t i = 0; i < values->count; i++) {
    enum sim_status status = vary_add(&r->sweep.vary, given->arena,
                                      r->sweep.script, values->values[i], err);
    if (status != SIM_OK) return status;
  }
  if (r->edge && r->sweep.vary.axis_count != 1)
    return usage(err, "--edge", "expected --vary once");
  if (!r->edge && vary_count(&r->sweep.vary) > VARY_MAX_POINTS)
    return usage(err, "--vary",
                 "makes more than a million points; expected a larger STEP, "
                 "or --edge");
  return SIM_OK;
}

/* "cut:cycle:17", "reset:event:3", "vary:5". What the id says need not be
 * given again. */
static enum sim_status take_point(struct sweep_request *r,
                                  const struct given *given,
                                  struct sim_error *err)
{
  const char *id = options_value(given, SWEEP_POINT);
  const char *last = strrchr(id, ':');
  const char *what = "expected an id as a sweep prints it, cut:cycle:17";
  if (last == NULL ||
      !number_of(last + 1, strlen(last + 1), INT64_MAX - 1, &r->point) ||
      r->point == 0)
    return usage(err, "--point", what);
  const char *lead = arena_text_n(given->arena, id, (size_t)(last - id));
  if (strcmp(lead, sweep_kind_words[SWEEP_VARY]) == 0)
    return is_given(given, SWEEP_VALUES)
               ? SIM_OK
               : usage(err, "--point", "expected --vary as well");
  if (strncmp(lead, "cut:", 4) == 0 && kind_of(lead + 4, &r->sweep.kind)) {
    r->sweep.fault.kind = OUTLOOK_POWER;
    return SIM_OK;
  }
  if (strncmp(lead, "reset:", 6) != 0) return usage(err, "--point", what);
  if (!is_given(given, SWEEP_RESET)) {
    enum sim_status status = take_reset(r, given->arena, "pin", err);
    if (status != SIM_OK) return status;
  }
  if (kind_of(lead + 6, &r->sweep.kind)) return SIM_OK;
  return usage(err, "--point", what);
}

static enum sim_status take_kind(struct sweep_request *r,
                                 const struct given *given,
                                 struct sim_error *err)
{
  int kinds = is_given(given, SWEEP_CUT) + is_given(given, SWEEP_RESET) +
              is_given(given, SWEEP_VALUES) + is_given(given, SWEEP_CORNERS);
  enum sim_status status = SIM_OK;
  r->corners = is_given(given, SWEEP_CORNERS);
  r->edge = is_given(given, SWEEP_EDGE);
  if (kinds > 1 || (kinds == 0 && !is_given(given, SWEEP_POINT)))
    return usage(err, "sweep",
                 "needs to know over what; expected one of --cut, --reset, "
                 "--vary and --corners");
  if (r->edge && !is_given(given, SWEEP_VALUES))
    return usage(err, "--edge", "expected --vary as well");
  if (is_given(given, SWEEP_CUT))
    status = take_cut(r, options_value(given, SWEEP_CUT), err);
  else if (is_given(given, SWEEP_RESET))
    status =
        take_reset(r, given->arena, options_value(given, SWEEP_RESET), err);
  else if (is_given(given, SWEEP_VALUES))
    status = take_values(r, given, err);
  if (status == SIM_OK && is_given(given, SWEEP_POINT))
    status = take_point(r, given, err);
  return status;
}

/* A picture and a page are of all points. */
static enum sim_status check_whole(const struct given *given,
                                   struct sim_error *err)
{
  static const char *const message =
      "is of all points; expected none of --point, --edge and --corners";
  if (!is_given(given, SWEEP_POINT) && !is_given(given, SWEEP_EDGE) &&
      !is_given(given, SWEEP_CORNERS))
    return SIM_OK;
  if (is_given(given, SWEEP_SVG)) return usage(err, "--svg", message);
  if (is_given(given, SWEEP_HTML)) return usage(err, "--html", message);
  return SIM_OK;
}

/* --- numbers ------------------------------------------------------------- */

static enum sim_status take_time(const struct given *given, size_t option,
                                 const char *name, ps_t usual, ps_t *time,
                                 struct sim_error *err)
{
  const char *value = options_value(given, option);
  *time = usual;
  if (value == NULL) return SIM_OK;
  if (units_parse(value, UNIT_TIME, time) && *time > 0 &&
      *time <= 3600 * PS_PER_S)
    return SIM_OK;
  return usage(err, name, "expected a time such as \"20us\", at most 3600s");
}

static enum sim_status take_jobs(struct sweep_request *r, const char *value,
                                 struct sim_error *err)
{
  uint64_t jobs;
  if (value == NULL) {
    long processors = sysconf(_SC_NPROCESSORS_ONLN);
    jobs = processors < 1 ? 1 : (uint64_t)processors;
    if (jobs > SWEEP_MAX_JOBS) jobs = SWEEP_MAX_JOBS;
  } else if (!number_of(value, strlen(value), SWEEP_MAX_JOBS, &jobs) ||
             jobs == 0) {
    return usage(err, "--jobs", "expected a number from 1 to 64");
  }
  r->jobs = (uint32_t)jobs;
  return SIM_OK;
}

static enum sim_status take_shard(struct sweep_request *r, const char *value,
                                  struct sim_error *err)
{
  uint64_t shard = 1, shards = 1;
  if (value != NULL) {
    size_t length = strcspn(value, "/");
    if (value[length] != '/' || !number_of(value, length, 100000, &shard) ||
        !number_of(value + length + 1, strlen(value + length + 1), 100000,
                   &shards) ||
        shard == 0 || shard > shards)
      return usage(err, "--shard", "expected I/N, with I from 1 to N");
  }
  r->shard = (uint32_t)shard;
  r->shards = (uint32_t)shards;
  return SIM_OK;
}

enum sim_status sweep_classes(struct arena *arena, const char *list,
                              uint32_t *classes, struct sim_error *err)
{
  *classes = 0;
  while (list != NULL) {
    size_t length = strcspn(list, ",");
    const char *word = arena_text_n(arena, list, length);
    unsigned class = 0;
    while (class < CLASS_COUNT_ &&
           strcmp(answer_class_words[class], word) != 0)
      class ++;
    if (class == CLASS_COUNT_)
      return usage(err, "--allow",
                   "expected classes as a sweep prints them, \"application,"
                   "rom\"");
    *classes |= 1u << class;
    list = list[length] == ',' ? list + length + 1 : NULL;
  }
  return SIM_OK;
}

/* --- all of it ----------------------------------------------------------- */

/* "power cut at each cycle, judged for 10 ms" */
static const char *how_text(const struct sweep_request *r, struct arena *arena)
{
  char text[400], time[32];
  const struct sweep *s = &r->sweep;
  if (s->kind == SWEEP_VARY) {
    snprintf(text, sizeof(text), "over");
    for (uint32_t i = 0; i < s->vary.axis_count; i++)
      snprintf(text + strlen(text), sizeof(text) - strlen(text), " %s",
               s->vary.axes[i].name);
  } else {
    units_text(time, sizeof(time), UNIT_TIME, s->patience);
    snprintf(text, sizeof(text), "%s at each %s, judged for %s",
             s->fault.kind == OUTLOOK_POWER ? "power cut"
                                            : cause_word(s->fault.cause),
             sweep_kind_words[s->kind], time);
  }
  return arena_text(arena, text);
}

enum sim_status sweep_request_make(struct sweep_request *r,
                                   const struct given *given,
                                   struct sim_error *err)
{
  memset(r, 0, sizeof(*r));
  enum sim_status status = load(r, given, err);
  if (status == SIM_OK) status = take_kind(r, given, err);
  if (status == SIM_OK) status = check_whole(given, err);
  if (status == SIM_OK)
    status = take_time(given, SWEEP_HOLD, "--hold", OUTLOOK_HOLD,
                       &r->sweep.fault.hold, err);
  if (status == SIM_OK)
    status = take_time(given, SWEEP_FOR, "--for", OUTLOOK_PATIENCE,
                       &r->sweep.patience, err);
  if (status == SIM_OK)
    status = take_jobs(r, options_value(given, SWEEP_JOBS), err);
  if (status == SIM_OK)
    status = take_shard(r, options_value(given, SWEEP_SHARD), err);
  if (status == SIM_OK)
    status = sweep_classes(given->arena, options_value(given, SWEEP_ALLOW),
                           &r->allowed, err);
  if (status == SIM_OK) r->how = how_text(r, given->arena);
  return status;
}

void sweep_request_free(struct sweep_request *r)
{
  firstfetch_close(r->loaded);
}
