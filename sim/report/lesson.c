#include "report/lesson.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "describe/names.h"
#include "describe/newcomer.h"
#include "describe/trace_kinds.h"
#include "report/text_glance.h"

/* --- the fold ------------------------------------------------------------ */

static void keep_state(struct lesson *l)
{
  if (l->count == l->room) {
    l->room = l->room == 0 ? 8 : l->room * 2;
    l->states = realloc(l->states, l->room * sizeof *l->states);
    if (!l->states) arena_no_memory();
  }
  l->states[l->count++] = l->now;
}

static void take(void *context, const struct trace_record *r)
{
  struct lesson *l = context;
  switch (r->kind) {
  case TRACE_OPTION:
  case TRACE_OPTION_FALLBACK:
    l->now.options[r->a] = r->b;
    l->now.options_known |= 1u << r->a;
    break;
  case TRACE_STRAP:
    l->now.straps_known |= 1u << r->a;
    l->now.straps &= ~(1u << r->a);
    l->now.straps |= r->b << r->a;
    break;
  default: keep_state(l); break;
  }
}

void lesson_listen(struct lesson *l, const struct part *part,
                   const struct case_script *script, struct trace *trace)
{
  memset(l, 0, sizeof *l);
  l->part = part;
  l->script = script;
  trace_listen(trace,
               TRACE_BIT(TRACE_OPTION) | TRACE_BIT(TRACE_OPTION_FALLBACK) |
                   TRACE_BIT(TRACE_STRAP) | TRACE_BIT(TRACE_START),
               take, l);
}

void lesson_free(struct lesson *l)
{
  free(l->states);
  memset(l, 0, sizeof *l);
}

/* --- questions ----------------------------------------------------------- */

bool lesson_asks(const struct start *start)
{
  return start->how == START_RESET;
}

/* True for the first rule that leads to its region. */
static bool is_first_of_region(const struct part *part, uint32_t rule)
{
  for (uint32_t i = 0; i < rule; i++) {
    if (part->rules[i].memory == part->rules[rule].memory) return false;
  }
  return true;
}

const char *lesson_region(const struct lesson *l, uint32_t index)
{
  for (uint32_t i = 0; i < l->part->rule_count; i++) {
    if (!is_first_of_region(l->part, i)) continue;
    if (index == 0) return l->part->memory[l->part->rules[i].memory].name;
    index--;
  }
  return NULL;
}

uint32_t lesson_rule(const struct lesson *l, const struct start *start)
{
  for (uint32_t i = 0; start->rule && i < l->part->rule_count; i++) {
    if (strcmp(l->part->rules[i].name, start->rule) == 0) return i + 1;
  }
  return 0;
}

bool lesson_may_keep(const struct lesson *l)
{
  for (uint32_t i = 0; i < CAUSE_COUNT_; i++) {
    const struct part_reset *r = &l->part->resets[i];
    if (r->present && !r->does[RESET_ALIAS]) return true;
  }
  return false;
}

/* --- head and rules ------------------------------------------------------ */

void lesson_head(struct page *page, const struct lesson *l)
{
  if (l->script->goal) {
    page_item(page, 0, 6, "Goal:");
    page_say(page, l->script->goal);
    page_end(page);
  }
  page_item(page, 0, 6, "Part:");
  page_say(page, l->part->name);
  if (l->part->about) {
    page_say(page, ". ");
    page_say(page, l->part->about);
  }
  page_end(page);
}

static void put_rule(struct page *page, struct arena *arena,
                     const struct part *part, uint32_t rule)
{
  page_format(page, "%" PRIu32 " ", rule + 1);
  page_say(page, part->rules[rule].name);
  page_say(page, ": ");
  page_say(page, rule_expert(arena, part, rule));
  page_say(page, ". To ");
  page_say(page, part->memory[part->rules[rule].memory].name);
  page_say(page, ".");
  page_end(page);
}

void lesson_rules(struct page *page, const struct lesson *l)
{
  struct arena arena;
  arena_init(&arena);
  page_line(page, 0, "The first of its start rules that holds decides:");
  for (uint32_t i = 0; i < l->part->rule_count; i++) {
    page_item(page, 2, 4, "");
    put_rule(page, &arena, l->part, i);
  }
  if (lesson_may_keep(l)) {
    page_item(page, 2, 4, "");
    page_say(page, "0 none: the reset keeps what the last start had chosen.");
    page_end(page);
  }
  arena_free(&arena);
}

/* --- answers ------------------------------------------------------------- */

void lesson_answer(struct page *page, const struct lesson *l,
                   const struct start *s)
{
  page_item(page, 0, 2, "");
  page_format(page, "Start %" PRIu32 " begins in ", s->number);
  page_say(page, s->region);
  if (!lesson_asks(s)) {
    page_say(page, s->how == START_PROBE
                       ? ": no reset, the probe set it going there."
                       : ": no reset, the program went there by itself.");
  } else {
    uint32_t rule = lesson_rule(l, s);
    if (rule > 0) page_format(page, ", by rule %" PRIu32 ", ", rule);
    if (rule > 0) page_say(page, s->rule);
    page_say(page, ". ");
    page_say(page, s->rule_newcomer);
  }
  page_say(page, " Then: ");
  text_doings(page, s);
  page_say(page, ".");
  page_end(page);
}

static void put_cause(struct page *page, const struct start *s)
{
  page_item(page, 2, 15, "cause");
  page_say(page, cause_word(s->cause));
  page_say(page, ". ");
  page_say(page, cause_newcomer(s->cause));
  page_end(page);
}

/* "options keep, latch keep, straps sample, alias select": what the reset
 * table says of the columns that decide a start. */
static void put_reset(struct page *page, const struct lesson *l,
                      const struct start *s)
{
  static const enum reset_column columns[] = {RESET_OPTIONS, RESET_LATCH,
                                              RESET_STRAPS, RESET_ALIAS};
  page_item(page, 2, 15, "this reset");
  for (size_t i = 0; i < sizeof columns / sizeof columns[0]; i++) {
    bool does = l->part->resets[s->cause].does[columns[i]];
    if (i > 0) page_say(page, ", ");
    page_say(page, column_key(columns[i]));
    page_say(page, " ");
    page_say(page, column_word(columns[i], does));
  }
  page_end(page);
}

static void put_latch(struct page *page, const struct start *s)
{
  if (!s->has_latch) return;
  page_item(page, 2, 15, "latch");
  page_say(page, latch_word(s->latch_programmed));
  page_say(page, s->stale ? ", stale: a fresh check would say "
                          : ", and a fresh check would say the same");
  if (s->stale) page_say(page, latch_word(!s->latch_programmed));
  page_end(page);
}

static void put_field(struct page *page, const struct part_option_word *word,
                      const struct part_option_field *field, uint32_t value)
{
  uint32_t mask = field->width < 32 ? (1u << field->width) - 1 : UINT32_MAX;
  uint32_t setting = value >> field->lsb & mask;
  page_item(page, 2, 15, "option");
  page_say(page, word->name);
  page_say(page, ".");
  page_say(page, field->name);
  page_say(page, " is ");
  for (uint32_t i = 0; i < field->value_count; i++) {
    if (field->values[i].value != setting) continue;
    page_say(page, field->values[i].name);
    page_end(page);
    return;
  }
  page_format(page, "%" PRIu32, setting);
  page_end(page);
}

static void put_options(struct page *page, const struct lesson *l,
                        const struct lesson_state *state)
{
  for (uint32_t w = 0; w < l->part->options.word_count; w++) {
    const struct part_option_word *word = &l->part->options.words[w];
    if (!(state->options_known >> w & 1)) continue;
    for (uint32_t f = 0; f < word->field_count; f++) {
      put_field(page, word, &word->fields[f], state->options[w]);
    }
  }
}

static void put_straps(struct page *page, const struct lesson *l,
                       const struct lesson_state *state)
{
  for (uint32_t i = 0; i < l->part->strap_count; i++) {
    if (!(state->straps_known >> i & 1)) continue;
    page_item(page, 2, 15, "strap");
    page_say(page, l->part->straps[i].name);
    page_say(page, state->straps >> i & 1 ? " was high" : " was low");
    page_end(page);
  }
}

/* Its state, counted among the starts after a reset. */
static const struct lesson_state *state_of(const struct lesson *l,
                                           const struct start *start)
{
  uint32_t index = 0;
  for (const struct start *s = l->result->starts; s < start; s++) {
    index += lesson_asks(s);
  }
  return index < l->count ? &l->states[index] : NULL;
}

void lesson_reasons(struct page *page, const struct lesson *l,
                    const struct start *s)
{
  const struct lesson_state *state = state_of(l, s);
  if (!lesson_asks(s) || !state) return;
  put_cause(page, s);
  put_reset(page, l, s);
  put_latch(page, s);
  put_options(page, l, state);
  put_straps(page, l, state);
}
