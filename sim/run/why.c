#include "run/why.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "describe/names.h"
#include "run/machine.h"
#include "run/why_parts.h"

/* How long the last start is watched. Assumed. */
#define WATCHED "[{\"run\": \"5ms\"}]"

/* One cause alone, as it went. */
struct single {
  bool possible, explains;
  uint64_t looks; /* like what: equal for two runs that start alike */
};

struct asker {
  struct why_case w;
  const struct why_options *options;
  struct diagnosis *d;
  struct proposal base;
  struct proposals causes;
  struct single singles[WHY_MAX_PROPOSALS];
  struct sight said[CASE_MAX_SEEN];
  struct sight keys[SIGHT_MAX]; /* what else could be measured */
  uint32_t key_count;
  struct why_view *views;
  uint64_t looks[WHY_MAX_LISTED];
  uint32_t done, all;
};

#define MAX_EDITS ((WHY_MAX_CAUSES + 1) * WHY_MAX_EDITS + 1)

/* --- one hypothesis ------------------------------------------------------ */

struct hypothesis {
  const struct proposal *parts[WHY_MAX_CAUSES];
  uint32_t count;
};

static uint32_t collect(const struct asker *a, const struct hypothesis *h,
                        struct case_edit *edits)
{
  uint32_t count = 0;
  for (uint32_t i = 0; i < a->base.count; i++)
    edits[count++] = a->base.edits[i];
  for (uint32_t p = 0; p < h->count; p++)
    for (uint32_t i = 0; i < h->parts[p]->count; i++)
      edits[count++] = h->parts[p]->edits[i];
  edits[count++] = (struct case_edit){.kind = EDIT_LAST, .text = WATCHED};
  return count;
}

/* False if such a case can't be: a step that needs what another took away, a
 * patch outside of the image. */
static bool trial_run(struct asker *a, const struct hypothesis *h,
                      struct why_trial *t)
{
  struct case_edit edits[MAX_EDITS];
  const struct case_script *script;
  struct sim_error err;
  const struct play_options how = {
      .engine = a->w.part->core.kind <= CORE_KIND_M0PLUS ? CPU_ENGINE_OWN
                                                         : CPU_ENGINE_UNICORN};
  memset(t, 0, sizeof(*t));
  arena_init(&t->arena);
  t->document =
      case_edit(a->w.root, edits, collect(a, h, edits), NULL, &t->arena);
  if (case_from_out(&t->arena, a->w.script->file, t->document, &script,
                    &err) != SIM_OK)
    return false;
  if (play_prepare(script, a->w.part, &how, &t->play, &err) != SIM_OK)
    return false;
  sight_listen(&t->reader, t->play, a->w.plan);
  t->result = play_run(t->play);
  t->reader.result = t->result;
  return true;
}

static void trial_end(struct why_trial *t)
{
  if (t->play != NULL) play_free(t->play);
  if (t->document != NULL) json_out_free(t->document);
  arena_free(&t->arena);
}

/* Of what was seen, the first that the run does not show, and what it shows in
 * its place; seen_count: it shows all. */
static uint32_t differs(struct asker *a, struct why_trial *t,
                        char shown[SIGHT_TEXT])
{
  uint32_t i = 0;
  for (; i < a->w.script->seen_count; i++) {
    sight_read(&t->reader, &a->said[i], shown);
    if (!sight_agrees(play_plan(t->play), &a->said[i],
                      a->w.script->seen[i].value, shown))
      break;
  }
  return i;
}

_Static_assert(WHY_MAX_DROPPED == WHY_MAX_PROPOSALS + 1,
               "each cause alone, and what was told");

/* Pairs are too many to be told. */
static void drop(struct asker *a, const struct hypothesis *h, uint32_t seen,
                 const char *shown)
{
  struct diagnosis *d = a->d;
  if (h->count > 1) return;
  assert(d->dropped_count < WHY_MAX_DROPPED);
  struct why_dropped *out = &d->dropped[d->dropped_count++];
  *out = (struct why_dropped){.told = h->count == 0,
                              .seen = d->seen[seen],
                              .shown = arena_text(a->w.arena, shown)};
  if (h->count == 0) return;
  out->cause = h->parts[0]->cause;
  out->detail = h->parts[0]->detail;
}

/* --- what is told of one that agrees ------------------------------------- */

static void look_at_all(struct asker *a, struct why_trial *t,
                        struct why_view *view)
{
  for (uint32_t k = 0; k < a->key_count; k++)
    sight_read(&t->reader, &a->keys[k], view->values[k]);
}

static void keep_bench(struct asker *a, const struct hypothesis *h,
                       struct explanation *e)
{
  struct case_edit edits[MAX_EDITS];
  if (a->options->folder != NULL)
    e->bench = case_edit(a->w.root, edits, collect(a, h, edits),
                         a->options->folder, a->w.arena);
}

/* Two stories of one cause that lead to the same starts are one. */
static bool is_listed(const struct asker *a, const struct hypothesis *h,
                      uint64_t looks)
{
  for (uint32_t i = 0; i < a->d->count; i++) {
    const struct explanation *e = &a->d->list[i];
    bool same = e->assumed == h->count && a->looks[i] == looks;
    for (uint32_t c = 0; c < h->count && same; c++)
      same = e->causes[c] == h->parts[c]->cause;
    if (same) return true;
  }
  return false;
}

static void list(struct asker *a, const struct hypothesis *h, uint64_t looks,
                 struct why_trial *t)
{
  struct diagnosis *d = a->d;
  if (is_listed(a, h, looks)) return;
  if (d->count == WHY_MAX_LISTED) {
    d->unlisted++;
    return;
  }
  struct explanation *e = &d->list[d->count];
  *e = (struct explanation){.assumed = h->count, .cause_count = h->count};
  for (uint32_t i = 0; i < h->count; i++) {
    e->causes[i] = h->parts[i]->cause;
    e->details[i] = h->parts[i]->detail;
  }
  a->looks[d->count] = looks;
  look_at_all(a, t, &a->views[d->count]);
  why_tell(e, t, a->w.arena);
  if (d->count == 0) {
    d->assumed_numbers = t->result->assumed;
    d->touched = t->result->touched;
  }
  keep_bench(a, h, e);
  d->count++;
}

/* --- one after the other ------------------------------------------------- */

/* Two runs that start alike need not both be paired with others. */
static uint64_t looks_of(const struct why_trial *t)
{
  uint64_t h = 1;
  for (uint32_t i = 0; i < t->result->start_count; i++) {
    const struct start *s = &t->result->starts[i];
    h = (h ^ s->pc) * UINT64_C(0x9e3779b97f4a7c15);
    h = (h ^ ((uint64_t)s->cause << 8 | (uint64_t)s->latch_programmed << 4 |
              (uint64_t)start_doing(s))) *
        UINT64_C(0x9e3779b97f4a7c15);
  }
  return h;
}

static struct single try(struct asker *a, const struct hypothesis *h)
{
  struct single s = {0};
  struct why_trial t;
  char shown[SIGHT_TEXT];
  if (a->options->progress != NULL)
    a->options->progress(a->options->context, a->done, a->all);
  a->done++;
  if (trial_run(a, h, &t)) {
    s.possible = true;
    s.looks = looks_of(&t);
    uint32_t seen = differs(a, &t, shown);
    s.explains = seen == a->d->seen_count;
    if (s.explains)
      list(a, h, s.looks, &t);
    else
      drop(a, h, seen, shown);
  }
  trial_end(&t);
  return s;
}

static bool clash(const struct proposal *x, const struct proposal *y)
{
  for (uint32_t i = 0; i < x->count; i++)
    for (uint32_t k = 0; k < y->count; k++)
      if (case_edits_clash(&x->edits[i], &y->edits[k])) return true;
  return x->cause == y->cause;
}

/* Possible, not enough alone, and unlike all earlier of the same cause. */
static bool may_pair(const struct asker *a, uint32_t i)
{
  if (!a->singles[i].possible || a->singles[i].explains) return false;
  for (uint32_t k = 0; k < i; k++)
    if (a->causes.list[k].cause == a->causes.list[i].cause &&
        a->singles[k].looks == a->singles[i].looks)
      return false;
  return true;
}

static bool pairs(const struct asker *a, uint32_t i, uint32_t k)
{
  return may_pair(a, i) && may_pair(a, k) &&
         !clash(&a->causes.list[i], &a->causes.list[k]);
}

static void try_singles(struct asker *a)
{
  for (uint32_t i = 0; i < a->causes.count; i++) {
    const struct hypothesis h = {{&a->causes.list[i]}, 1};
    a->singles[i] = try(a, &h);
    a->d->singles += a->singles[i].possible;
  }
}

static void try_pairs(struct asker *a)
{
  for (uint32_t i = 0; i < a->causes.count; i++)
    for (uint32_t k = 0; k < i; k++)
      a->all += pairs(a, i, k);
  for (uint32_t k = 0; k < a->causes.count; k++)
    for (uint32_t i = k + 1; i < a->causes.count; i++) {
      if (!pairs(a, i, k)) continue;
      const struct hypothesis h = {{&a->causes.list[k], &a->causes.list[i]},
                                   2};
      a->d->pairs += try(a, &h).possible;
    }
}

/* Where what was told explains it as it is, every pair would contain that
 * explanation; single causes are tried all the same, for what was told may be
 * wrong. */
static void try_all(struct asker *a)
{
  const struct hypothesis nothing = {.count = 0};
  a->all = 1 + a->causes.count;
  bool enough = try(a, &nothing).explains;
  try_singles(a);
  if (!enough) try_pairs(a);
}

/* --- the case ------------------------------------------------------------ */

static bool tells_all(const struct case_script *script)
{
  for (uint32_t i = 0; i < script->step_count; i++)
    if (script->steps[i].verb == VERB_POWER &&
        script->steps[i].power == POWER_ON)
      return true;
  return false;
}

/* The image that should start: written last, else the first of the case. */
static uint32_t image_of(const struct case_script *script)
{
  for (uint32_t i = script->step_count; i-- > 0;)
    if (script->steps[i].verb == VERB_WRITE &&
        script->steps[i].target == WRITE_IMAGE)
      return script->steps[i].image;
  return 0;
}

static enum sim_status check(const struct case_script *script,
                             struct sim_error *err)
{
  struct sim_place place = {.file = script->file, .path = "seen"};
  if (script->seen_count == 0)
    return sim_fail(err, SIM_KEY, &place,
                    "is not there; expected what was seen after the steps, "
                    "such as { \"region\": \"rom\" }");
  place.path = "images";
  if (script->image_count == 0)
    return sim_fail(err, SIM_KEY, &place,
                    "is not there; expected the image that should start");
  return SIM_OK;
}

static enum sim_status resolve(struct asker *a, const struct plan *plan,
                               struct sim_error *err)
{
  const struct case_script *script = a->w.script;
  struct sight all[SIGHT_MAX];
  for (uint32_t i = 0; i < script->seen_count; i++) {
    enum sim_status status =
        sight_resolve(plan, &script->seen[i], &a->said[i], err);
    if (status != SIM_OK) return status;
    a->d->seen[i] =
        (struct why_fact){script->seen[i].key, script->seen[i].value};
    a->d->seen_how[i] = sight_how(a->said[i].kind);
  }
  a->d->seen_count = script->seen_count;
  uint32_t count = sight_all(plan, all);
  for (uint32_t k = 0; k < count; k++) {
    bool known = false;
    for (uint32_t i = 0; i < script->seen_count; i++)
      known |= memcmp(&all[k], &a->said[i], sizeof(all[k])) == 0;
    if (!known) a->keys[a->key_count++] = all[k];
  }
  return SIM_OK;
}

static void ask(struct asker *a, const struct plan *plan)
{
  a->w.plan = plan;
  a->w.whole = a->d->whole = tells_all(a->w.script);
  a->w.image = a->w.script->images[image_of(a->w.script)].name;
  a->w.bytes = plan->images[image_of(a->w.script)];
  a->base = why_base(&a->w);
  why_propose(&a->w, &a->causes);
  try_all(a);
  why_split(plan, a->keys, a->key_count, a->views, a->d, a->w.arena);
}

enum sim_status why_ask(const struct json *root,
                        const struct case_script *script,
                        const struct part *part,
                        const struct why_options *options, struct arena *arena,
                        struct diagnosis *d, struct sim_error *err)
{
  *d = (struct diagnosis){
      .title = script->title, .case_file = script->file, .part = part->name};
  enum sim_status status = check(script, err);
  if (status != SIM_OK) return status;
  struct asker *a = arena_get(arena, sizeof(*a));
  *a = (struct asker){
      .w = {root, script, part, .arena = arena},
      .options = options,
      .d = d,
      .views = arena_array(arena, WHY_MAX_LISTED, sizeof(struct why_view))};
  struct play *told;
  status = play_prepare(script, part, &(struct play_options){0}, &told, err);
  if (status != SIM_OK) return status;
  status = resolve(a, play_plan(told), err);
  if (status == SIM_OK) ask(a, play_plan(told));
  play_free(told);
  return status;
}

void why_free(struct diagnosis *d)
{
  for (uint32_t i = 0; i < d->count; i++)
    json_out_free(d->list[i].bench);
}
