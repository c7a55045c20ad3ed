/* What is told of an explanation that agrees: read from its run. */
#include <string.h>

#include "describe/names.h"
#include "run/why_parts.h"

static const struct start *last_start(const struct why_trial *t)
{
  uint32_t count = t->result->start_count;
  return count == 0 ? NULL : &t->result->starts[count - 1];
}

static bool is_about_the_end(const struct why_trial *t,
                             const struct finding *f)
{
  const struct start *last = last_start(t);
  return f->start == 0 || (last != NULL && f->start == last->number);
}

static void add_remedy(struct explanation *e, struct arena *arena,
                       const char *text)
{
  for (uint32_t i = 0; i < e->remedy_count; i++)
    if (strcmp(e->remedies[i], text) == 0) return;
  if (e->remedy_count < WHY_MAX_REMEDIES)
    e->remedies[e->remedy_count++] = arena_text(arena, text);
}

static bool is_cause_of(const struct explanation *e, enum why_cause cause)
{
  for (uint32_t i = 0; i < e->cause_count; i++)
    if (e->causes[i] == cause) return true;
  return false;
}

/* What a debugger left is as a rule no cause of anything. */
static bool is_residue(const struct why_trial *t, const struct finding *f)
{
  return f->kind == FINDING_RESIDUE && is_about_the_end(t, f) &&
         !residue_of_debugger(f->residue);
}

static const struct finding *first_residue(const struct why_trial *t)
{
  for (uint32_t i = 0; i < t->result->finding_count; i++)
    if (is_residue(t, &t->result->findings[i])) return &t->result->findings[i];
  return NULL;
}

/* With nothing assumed the run itself names the causes; what is left by a
 * hand-over comes last, for it belongs to a start that has causes of its own.
 */
static void name_causes(struct explanation *e, const struct why_trial *t)
{
  for (uint32_t i = 0; i < t->result->finding_count; i++) {
    const struct finding *f = &t->result->findings[i];
    enum why_cause cause = why_cause_of(f->kind);
    if (cause == WHY_COUNT_ || !is_about_the_end(t, f)) continue;
    if (f->kind == FINDING_RESIDUE) continue;
    if (e->cause_count < WHY_MAX_CAUSES && !is_cause_of(e, cause))
      e->causes[e->cause_count++] = cause;
  }
  const struct start *last = last_start(t);
  bool into_rom =
      last != NULL && last->how == START_HANDOVER && !last->launched;
  if (e->cause_count < WHY_MAX_CAUSES && !into_rom && first_residue(t) != NULL)
    e->causes[e->cause_count++] = WHY_HANDOVER_RESIDUE;
}

/* What a finding tells of the causes comes before what it tells of anything
 * else. */
static void tell_shown(struct explanation *e, const struct why_trial *t,
                       struct arena *arena)
{
  const struct finding *told = NULL;
  for (uint32_t i = 0; i < t->result->finding_count; i++) {
    const struct finding *f = &t->result->findings[i];
    if (f->kind == FINDING_RESIDUE) continue;
    bool named = is_cause_of(e, why_cause_of(f->kind));
    bool ends = is_about_the_end(t, f);
    if (named || (ends && told == NULL)) told = f;
    if (named) break;
  }
  if (told == NULL || is_cause_of(e, WHY_HANDOVER_RESIDUE)) {
    const struct finding *residue = first_residue(t);
    told = residue != NULL ? residue : told;
  }
  for (uint32_t i = 0; i < e->cause_count; i++)
    add_remedy(e, arena, why_cause_mends(e->causes[i]));
  if (told == NULL) return;
  e->shown = arena_text(arena, told->text);
  for (uint32_t i = 0; i < told->remedy_count; i++)
    add_remedy(e, arena, told->remedies[i]);
}

/* What a person can bring about on this board. */
static bool by_hand(const struct why_trial *t, const char *event)
{
  static const enum cause causes[] = {CAUSE_PIN, CAUSE_OPTION_RELOAD,
                                      CAUSE_SOFTWARE};
  for (size_t i = 0; i < sizeof(causes) / sizeof(causes[0]); i++)
    if (strcmp(event, cause_word(causes[i])) == 0) return true;
  return strcmp(event, "power cycle") == 0 &&
         play_script(t->play)->supply.removable;
}

static void tell_mended(struct explanation *e, struct why_trial *t,
                        struct arena *arena)
{
  const struct after *after = sight_after(&t->reader);
  for (uint32_t i = 0; i < after->count; i++) {
    enum answer_class class = after->rows[i].answer.class;
    if (!by_hand(t, after->rows[i].event)) continue;
    if (class == CLASS_APPLICATION || class == CLASS_NEW)
      e->mended_by[e->mended_by_count++] =
          arena_text(arena, after->rows[i].event);
  }
}

void why_tell(struct explanation *e, struct why_trial *t, struct arena *arena)
{
  if (e->assumed == 0) name_causes(e, t);
  answer_take(&e->start, last_start(t));
  tell_shown(e, t, arena);
  tell_mended(e, t, arena);
}
