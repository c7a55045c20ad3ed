#include "run/review.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "describe/names.h"
#include "describe/trace_kinds.h"
#include "run/machine.h"
#include "run/play.h"

/* Steps of the script that is made up: a strap or a word each term, then two.
 */
#define MAX_STEPS (PART_MAX_TERMS + 2)

/* --- what the ROM does --------------------------------------------------- */

struct watch {
  struct arena *arena;
  const struct part *part;
  struct play *play;
  struct review *review;
  uint32_t region; /* that execution is in */
  ps_t rom_at;     /* its first instruction; PS_NEVER: not yet */
  uint32_t of_pin[PART_MAX_PINS]; /* entry of the review, or PART_NONE */
};

static bool in_rom(const struct watch *w)
{
  return w->region < w->part->memory_count &&
         w->part->memory[w->region].kind == MEMORY_ROM;
}

static void enters(struct watch *w, const struct trace_record *r)
{
  w->region = r->a;
  if (!in_rom(w) || w->rom_at != PS_NEVER) return;
  w->rom_at = r->at;
  w->review->rom_ran = true;
}

static struct review_pin *pin_of(struct watch *w, const struct trace_record *r)
{
  struct review *review = w->review;
  if (w->of_pin[r->a] != PART_NONE) return &review->pins[w->of_pin[r->a]];
  addr_t pc = play_machine(w->play)->chip.pins.by;
  bool known = pc != PINS_BY_NONE;
  w->of_pin[r->a] = review->pin_count;
  struct review_pin *pin = &review->pins[review->pin_count++];
  *pin =
      (struct review_pin){.pin = w->part->pins.names[r->a],
                          .first_high = r->b == PIN_DRIVEN_HIGH,
                          .after = r->at - w->rom_at,
                          .pc = known ? pc : 0,
                          .symbol = known ? play_symbol(w->play, pc) : NULL};
  return pin;
}

static void drives(struct watch *w, const struct trace_record *r)
{
  if (!in_rom(w) || r->b == PIN_RELEASED) return;
  struct review_pin *pin = pin_of(w, r);
  pin->high |= r->b == PIN_DRIVEN_HIGH;
  pin->low |= r->b == PIN_DRIVEN_LOW;
}

static void fold(void *context, const struct trace_record *r)
{
  struct watch *w = context;
  switch (r->kind) {
  case TRACE_RESET: w->region = PART_NONE; break;
  case TRACE_ENTER: enters(w, r); break;
  case TRACE_PIN: drives(w, r); break;
  case TRACE_RULE:
    if (w->rom_at == PS_NEVER) w->review->rule = w->part->rules[r->a].name;
    break;
  default: break;
  }
}

/* --- what its pins meet -------------------------------------------------- */

static const char *net_of(const struct case_script *script, const char *pin)
{
  for (uint32_t i = 0; i < script->net_count; i++)
    for (uint32_t k = 0; k < script->nets[i].pin_count; k++)
      if (strcmp(script->nets[i].pins[k], pin) == 0)
        return script->nets[i].name;
  return NULL;
}

/* V / I is all the resistance there is; V / I_limit what there must be. */
static int64_t series(const struct net_meeting *m, int64_t limit_na)
{
  if (m->current_na <= limit_na) return 0;
  wide_t scale = 1000000; /* uV / nA = 10^-6 milliohm */
  wide_t must = ((wide_t)m->across_uv * scale + limit_na - 1) / limit_na;
  wide_t is = (wide_t)m->across_uv * scale / m->current_na;
  return (int64_t)(must > is ? must - is : 0);
}

static void take_level(struct review *review, struct review_pin *pin,
                       const struct net_meeting *m, bool high)
{
  if (m->current_na < pin->current_na) return;
  pin->worst_high = high;
  pin->current_na = m->current_na;
  pin->part_nw = m->part_nw;
  pin->net_nw = m->net_nw;
  pin->series_mohm = series(m, review->limit_na);
}

static void measure(struct watch *w, const struct case_script *script)
{
  struct review *review = w->review;
  struct nets *nets = &play_machine(w->play)->nets;
  for (uint32_t i = 0; i < w->part->pins.count; i++) {
    if (w->of_pin[i] == PART_NONE) continue;
    struct review_pin *pin = &review->pins[w->of_pin[i]];
    pin->net = net_of(script, pin->pin);
    for (int high = 0; high <= 1; high++) {
      if (!(high ? pin->high : pin->low)) continue;
      struct net_meeting m = nets_meet(nets, i, high, review->driver_mohm);
      take_level(review, pin, &m, high);
    }
    review->sum_na += pin->current_na;
    review->harmful += pin->series_mohm > 0;
  }
}

/* --- the script that starts it ------------------------------------------- */

static bool leads_to_rom(const struct part *part, uint32_t rule)
{
  return part->memory[part->rules[rule].memory].kind == MEMORY_ROM;
}

static void set_strap(const struct part *part, const struct part_term *t,
                      struct step *step)
{
  *step = (struct step){.verb = VERB_DRIVE,
                        .pin = part->straps[t->index].name,
                        .level = t->value ? DRIVE_HIGH : DRIVE_LOW};
}

static void set_option(struct arena *arena, const struct part *part,
                       const struct part_term *t, struct step *step)
{
  const struct part_option_word *word = &part->options.words[t->index];
  char field[160], value[16];
  snprintf(field, sizeof(field), "%s.%s", word->name,
           word->fields[t->field].name);
  snprintf(value, sizeof(value), "%" PRIu32, t->value);
  *step = (struct step){.verb = VERB_WRITE,
                        .target = WRITE_OPTIONS,
                        .by = BY_PRESET,
                        .set_count = 1};
  step->set[0] = (struct option_setting){arena_text(arena, field),
                                         arena_text(arena, value)};
}

/* The terms of a rule made true, then power; false if it asks for what a blank
 * part does not have. `rule` PART_NONE: nothing is set. */
static bool make_steps(struct arena *arena, const struct part *part,
                       uint32_t rule, struct case_script *script)
{
  script->steps = arena_array(arena, MAX_STEPS, sizeof(*script->steps));
  script->step_count = 0;
  uint32_t terms = rule == PART_NONE ? 0 : part->rules[rule].term_count;
  for (uint32_t i = 0; i < terms; i++) {
    const struct part_term *t = &part->rules[rule].terms[i];
    struct step *step = &script->steps[script->step_count];
    if (t->kind == TERM_LATCH) {
      if (t->value != 0) return false;
      continue;
    }
    if (t->kind == TERM_STRAP)
      set_strap(part, t, step);
    else
      set_option(arena, part, t, step);
    script->step_count++;
  }
  script->steps[script->step_count++] =
      (struct step){.verb = VERB_POWER, .power = POWER_ON};
  script->steps[script->step_count++] =
      (struct step){.verb = VERB_RUN, .lasts = REVIEW_WATCHED};
  for (uint32_t i = 0; i < script->step_count; i++)
    script->steps[i].number = i;
  return true;
}

/* A strap is let go again before its own net is looked at. */
static void let_straps_go(struct watch *w)
{
  struct machine *m = play_machine(w->play);
  for (uint32_t i = 0; i < w->part->strap_count; i++)
    nets_drive(&m->nets, w->part->straps[i].pin, DRIVE_RELEASE,
               chip_moment(&m->chip, m->now));
}

static enum sim_status try_once(struct arena *arena,
                                const struct case_script *script,
                                const struct part *part, struct review *review,
                                struct sim_error *err)
{
  const struct play_options how = {0};
  struct watch w = {.arena = arena,
                    .part = part,
                    .review = review,
                    .region = PART_NONE,
                    .rom_at = PS_NEVER};
  memset(w.of_pin, 0xff, sizeof(w.of_pin));
  enum sim_status status = play_prepare(script, part, &how, &w.play, err);
  if (status != SIM_OK) return status;
  trace_listen(play_trace(w.play),
               TRACE_BIT(TRACE_RESET) | TRACE_BIT(TRACE_ENTER) |
                   TRACE_BIT(TRACE_PIN) | TRACE_BIT(TRACE_RULE),
               fold, &w);
  ps_t end = play_run(w.play)->end;
  let_straps_go(&w);
  measure(&w, script);
  if (review->rom_ran) review->watched = end - w.rom_at;
  for (uint32_t i = 0; i < review->pin_count; i++)
    if (review->pins[i].symbol != NULL)
      review->pins[i].symbol = arena_text(arena, review->pins[i].symbol);
  play_free(w.play);
  return SIM_OK;
}

static void begin(struct arena *arena, const struct case_script *script,
                  const struct part *part, struct review *review)
{
  *review = (struct review){
      .supply_uv = script->supply.source_uv,
      .driver_mohm = part->pins.drive_resistance.min,
      .limit_na = part->pins.current_limit.min,
      .total_limit_na = part->pins.total_limit.min,
      .undefined_below = part->pins.undefined_below,
  };
  review->pins = arena_array(arena, PART_MAX_PINS, sizeof(*review->pins));
}

enum sim_status review_make(struct arena *arena,
                            const struct case_script *script,
                            const struct part *part, struct review *review,
                            struct sim_error *err)
{
  struct case_script *made = arena_get(arena, sizeof(*made));
  *made = *script;
  made->image_count = made->never_count = made->measure_count = 0;
  begin(arena, script, part, review);
  make_steps(arena, part, PART_NONE, made);
  enum sim_status status = try_once(arena, made, part, review, err);
  for (uint32_t i = 0; i < part->rule_count; i++) {
    if (status != SIM_OK || review->rom_ran) break;
    if (!leads_to_rom(part, i) || !make_steps(arena, part, i, made)) continue;
    begin(arena, script, part, review);
    review->forced = true;
    status = try_once(arena, made, part, review, err);
  }
  return status;
}
