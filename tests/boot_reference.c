#include "boot_reference.h"

#include <assert.h>
#include <string.h>

#define ERASED 0xffffffffu

static uint32_t field_mask(const struct part_option_field *field)
{
  uint32_t ones = field->width == 32 ? ERASED : (1u << field->width) - 1;
  return ones << field->lsb;
}

static uint32_t with_field(const struct part_option_field *field,
                           uint32_t word, uint32_t value)
{
  return (word & ~field_mask(field)) | value << field->lsb;
}

void reference_init(struct reference *r, const struct part *part,
                    const uint32_t rom[2])
{
  memset(r, 0, sizeof *r);
  r->part = part;
  r->flash[0] = r->flash[1] = ERASED;
  memcpy(r->rom, rom, sizeof r->rom);
  for (uint32_t w = 0; w < part->options.word_count; w++) {
    const struct part_option_word *word = &part->options.words[w];
    for (uint32_t f = 0; f < word->field_count; f++) {
      const struct part_option_field *field = &word->fields[f];
      r->cells[w] = with_field(field, r->cells[w], field->factory);
    }
  }
}

void reference_option(struct reference *r, uint32_t word, uint32_t field,
                      const char *value)
{
  const struct part_option_field *f =
      &r->part->options.words[word].fields[field];
  for (uint32_t v = 0; v < f->value_count; v++) {
    if (strcmp(f->values[v].name, value) != 0) continue;
    r->cells[word] = with_field(f, r->cells[word], f->values[v].value);
    return;
  }
  assert(false);
}

/* --- what the columns say ------------------------------------------------ */

/* The criterion of the parts this is used on: the first word of flash. */
static bool check_finds_programmed(const struct reference *r)
{
  assert(r->part->blank_check.read_count == 1);
  assert(r->part->blank_check.reads[0].offset == 0);
  assert(r->part->blank_check.reads[0].bytes == 4);
  return r->flash[0] != ERASED;
}

/* A pin that nobody drives follows its pull; one without floats, and is
 * read as low. */
static bool strap_high(const struct reference *r, uint32_t strap)
{
  const struct part_strap *s = &r->part->straps[strap];
  if (r->driven[s->pin]) return r->driven_high[s->pin];
  return s->pull > 0;
}

static void sample_straps(struct reference *r)
{
  r->straps = 0;
  for (uint32_t s = 0; s < r->part->strap_count; s++) {
    if (strap_high(r, s)) r->straps |= 1u << s;
  }
}

static bool term_holds(const struct reference *r, const struct part_term *term)
{
  if (term->kind == TERM_LATCH) return r->programmed == (term->value != 0);
  if (term->kind == TERM_STRAP) {
    return (r->straps >> term->index & 1u) == term->value;
  }
  const struct part_option_field *field =
      &r->part->options.words[term->index].fields[term->field];
  uint32_t loaded = r->loaded[term->index] & field_mask(field);
  return loaded == term->value << field->lsb;
}

static bool rule_holds(const struct reference *r, const struct part_rule *rule)
{
  for (uint32_t t = 0; t < rule->term_count; t++) {
    if (!term_holds(r, &rule->terms[t])) return false;
  }
  return true;
}

/* The first rule that holds maps its region; the last one always does. */
static const char *select_region(struct reference *r)
{
  const struct part_rule *rule = r->part->rules;
  while (!rule_holds(r, rule)) {
    rule++;
  }
  r->region = rule->memory;
  return rule->name;
}

/* Everything that the row takes away is gone. */
static void lose(struct reference *r, const struct part_reset *row,
                 bool powered)
{
  if (row->does[RESET_RAM] || !powered) r->marker = false;
  if (row->does[RESET_DEBUG]) r->debug_enabled = r->catch_armed = false;
  if (row->does[RESET_CLOCKS]) r->fast = false;
  if (row->does[RESET_FLASH_LOCK]) r->unlocked = false;
  if (row->does[RESET_PINS]) r->pin_driven = false;
}

/* Options first, then the check, then the straps: the rules read all three. */
static const char *find_region(struct reference *r,
                               const struct part_reset *row)
{
  if (row->does[RESET_OPTIONS]) memcpy(r->loaded, r->cells, sizeof r->loaded);
  if (row->does[RESET_LATCH]) r->programmed = check_finds_programmed(r);
  if (row->does[RESET_STRAPS]) sample_straps(r);
  return row->does[RESET_ALIAS] ? select_region(r) : "alias kept";
}

struct reference_start reference_reset(struct reference *r, enum cause cause,
                                       bool powered)
{
  const struct part_reset *row = &r->part->resets[cause];
  assert(row->present);
  if (!powered) r->flags = 0;
  if (row->flag) r->flags |= 1u << cause;
  lose(r, row, powered);
  const char *rule = find_region(r, row);
  const struct part_memory *memory = &r->part->memory[r->region];
  const uint32_t *vectors = memory->kind == MEMORY_ROM ? r->rom : r->flash;
  return (struct reference_start){
      .cause = cause,
      .programmed = r->programmed,
      .stale = r->programmed != check_finds_programmed(r),
      .rule = rule,
      .region = memory->name,
      .first_word = vectors[0],
      .sp = vectors[0] & ~3u, /* ARM DDI 0419E B1.5.5 */
      .pc = vectors[1] & ~1u,
      .halted = r->debug_enabled && r->catch_armed,
      .catch_armed = r->catch_armed,
      .ram_kept = r->marker,
      .straps_sampled = row->does[RESET_STRAPS],
      .flagged = row->flag,
      .flags = r->flags,
      .pin_driven = r->pin_driven,
      .fast = r->fast,
      .unlocked = r->unlocked,
      .line_pulled = row->does[RESET_LINE],
  };
}

bool reference_same(const struct reference_start *a,
                    const struct reference_start *b)
{
  return a->cause == b->cause && a->programmed == b->programmed &&
         a->stale == b->stale && strcmp(a->rule, b->rule) == 0 &&
         strcmp(a->region, b->region) == 0 && a->first_word == b->first_word &&
         a->sp == b->sp && a->pc == b->pc && a->halted == b->halted &&
         a->catch_armed == b->catch_armed && a->ram_kept == b->ram_kept &&
         a->straps_sampled == b->straps_sampled && a->flagged == b->flagged &&
         a->flags == b->flags && a->pin_driven == b->pin_driven &&
         a->fast == b->fast && a->unlocked == b->unlocked &&
         (a->line_pulled == b->line_pulled || a->cause == CAUSE_PIN);
}
