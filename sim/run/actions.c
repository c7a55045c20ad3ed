#include "run/actions.h"

#include <assert.h>

#include "describe/trace_kinds.h"
#include "run/bench.h"
#include "run/bench_host.h"
#include "run/engine.h"
#include "run/power.h"

static void pass(const struct acting *a, ps_t lasts)
{
  engine_pass(a->machine, engine_later(a->machine, lasts), NULL, NULL);
}

static struct moment now_of(const struct machine *m)
{
  return chip_moment(&m->chip, m->now);
}

/* --- power --- */

static void switch_power(const struct acting *a)
{
  power_take(a->machine, a->step);
}

/* --- reset --- */

static void pull_line(const struct acting *a, bool low)
{
  chip_pull_line(&a->machine->chip, DRIVER_BENCH, low, a->machine->now);
}

static void reset_part(const struct acting *a)
{
  switch (a->step->reset) {
  case RESET_HOLD: pull_line(a, true); break;
  case RESET_RELEASE: pull_line(a, false); break;
  case RESET_CAUSE:
    if (a->step->cause == CAUSE_PIN) {
      pull_line(a, true);
      pass(a, a->step->lasts);
      pull_line(a, false);
    } else {
      chip_request_reset(&a->machine->chip, a->step->cause);
    }
    break;
  }
  pass(a, 0);
}

/* --- write --- */

static void write_by_preset(const struct acting *a)
{
  struct machine *m = a->machine;
  const struct image *image = a->plan->images[a->step->image];
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *s = &image->segments[i];
    uint32_t offset;
    uint32_t region = memory_find(&m->chip.memory, s->at, s->size, &offset);
    assert(region != PART_NONE); /* plan.c saw to it */
    chip_preset(&m->chip, region, offset, s->bytes, s->size, m->now);
    trace_add(&m->trace, now_of(m), TRACE_WRITE, s->at, s->size);
  }
}

static void write_option(const struct acting *a, uint32_t word, uint32_t value)
{
  struct machine *m = a->machine;
  if (a->step->by == BY_PRESET)
    options_program(&m->chip.options, word, value, now_of(m), &m->trace);
  else
    bench_write_option(m, word, value);
}

/* What an image has for option cells. */
static void write_cells(const struct acting *a, const struct plan_cells *cells)
{
  for (uint32_t i = 0; i < cells->count; i++) {
    struct machine *m = a->machine;
    write_option(a, cells->words[i], cells->values[i]);
    trace_add(&m->trace, now_of(m), TRACE_WRITE, cells->at[i], 4);
  }
}

static uint32_t options_word(const struct acting *a, uint32_t word,
                             uint32_t value)
{
  const struct part *part = a->plan->part;
  for (uint32_t i = 0; i < a->step->set_count; i++) {
    const struct plan_setting *s = &a->resolved->set[i];
    if (s->word == word)
      value = options_with(&part->options.words[word].fields[s->field], value,
                           s->value);
  }
  return value;
}

static void write_options(const struct acting *a)
{
  struct machine *m = a->machine;
  for (uint32_t i = 0; i < a->plan->part->options.word_count; i++) {
    uint32_t before = m->chip.options.cells[i];
    uint32_t after = options_word(a, i, before);
    if (after != before || !options_sound(&m->chip.options, i))
      write_option(a, i, after);
  }
}

static void write_target(const struct acting *a)
{
  struct machine *m = a->machine;
  switch (a->step->target) {
  case WRITE_IMAGE:
    if (a->step->by == BY_PRESET)
      write_by_preset(a);
    else if (a->step->has_through)
      bench_write_through(m, &a->resolved->loader,
                          a->plan->images[a->step->image], a->step->erase);
    else if (a->step->by == BY_HOST)
      bench_host_write(m, a->plan->images[a->step->image], a->step->erase);
    else
      bench_write_image(m, a->plan->images[a->step->image], a->step->erase,
                        a->step->order);
    write_cells(a, &a->plan->cells[a->step->image]);
    break;
  case WRITE_LATCH: bench_write_latch(m, a->step->value != 0); break;
  case WRITE_OPTIONS: write_options(a); break;
  case WRITE_ADDRESS: bench_write_word(m, a->step->at, a->step->value); break;
  }
  pass(a, 0);
}

/* --- the other verbs --- */

static void reload_options(const struct acting *a)
{
  bench_reload_options(a->machine);
  pass(a, 0);
}

static addr_t table_of(const struct acting *a)
{
  return a->step->has_at ? a->step->at
                         : a->plan->images[a->step->image]->segments[0].at;
}

static void use_probe(const struct acting *a)
{
  struct machine *m = a->machine;
  switch (a->step->probe) {
  case PROBE_ATTACH: bench_attach(m, a->step->attach, a->step->after); break;
  case PROBE_DETACH: bench_detach(m, a->step->cleans); break;
  case PROBE_HALT: bench_halt(m); break;
  case PROBE_GO: bench_go(m); break;
  case PROBE_READ:
    if (a->step->has_reg)
      bench_read_register(m, (unsigned)a->step->reg);
    else
      bench_read(m, a->step->at);
    break;
  case PROBE_STEP: bench_step(m, a->step->count); break;
  case PROBE_SET:
    bench_set_register(m, (unsigned)a->step->reg, a->step->value);
    break;
  case PROBE_REGISTERS: bench_read_registers(m); break;
  case PROBE_RESET:
    bench_reset(m, a->step->way, a->step->catch, a->step->lasts);
    break;
  case PROBE_START: bench_start(m, table_of(a)); break;
  case PROBE_ERASE: bench_erase(m, a->step->has_at, a->step->at); break;
  }
  pass(a, 0);
}

/* A `run` step's place: reached in the start that goes on, which is none
 * while a boot sequence is under way. */
static bool place_reached(void *context)
{
  const struct acting *a = context;
  const struct chip *chip = &a->machine->chip;
  return !boot_busy(&chip->boot) &&
         (chip->marks_told >> a->resolved->reaches & 1u);
}

static void let_run(const struct acting *a)
{
  if (a->resolved->reaches == PART_NONE) {
    pass(a, a->step->lasts);
    return;
  }
  struct acting copy = *a;
  a->machine->expecting = true;
  engine_pass(a->machine, engine_later(a->machine, a->step->lasts),
              place_reached, &copy);
  a->machine->expecting = false;
}

static void drive_pin(const struct acting *a)
{
  struct machine *m = a->machine;
  const struct plan_step *to = a->resolved;
  if (to->pin == PART_NONE)
    nets_drive_output(&m->nets, to->net, to->driver, a->step->level,
                      now_of(m));
  else
    nets_drive(&m->nets, to->pin, a->step->level, now_of(m));
  pass(a, 0);
}

static void send(const struct acting *a)
{
  struct machine *m = a->machine;
  const struct step *s = a->step;
  switch (s->request) {
  case REQUEST_HELLO: bench_host_hello(m); break;
  case REQUEST_WIPE:
    bench_host_wipe(m, a->resolved->at,
                    s->has_at ? s->pages : PROTOCOL_ALL_PAGES);
    break;
  case REQUEST_PUT: bench_host_put(m, a->plan->images[s->image]); break;
  case REQUEST_GET: bench_host_get(m, s->at); break;
  case REQUEST_COMPARE:
    bench_host_compare(m, a->plan->images[s->image]);
    break;
  case REQUEST_LAUNCH: bench_host_launch(m, a->resolved->at); break;
  case REQUEST_BYTES: bench_host_say(m, &s->octets); break;
  case REQUEST_ATTACH:
  case REQUEST_DETACH: bench_host_plug(m, s->request == REQUEST_ATTACH); break;
  case REQUEST_WRITE:
  case REQUEST_COUNT_: assert(false); break;
  }
  pass(a, 0);
}

static void (*const actions[VERB_COUNT_])(const struct acting *) = {
    [VERB_POWER] = switch_power, [VERB_RESET] = reset_part,
    [VERB_WRITE] = write_target, [VERB_RELOAD] = reload_options,
    [VERB_PROBE] = use_probe,    [VERB_RUN] = let_run,
    [VERB_DRIVE] = drive_pin,    [VERB_SEND] = send,
};

void action_take(const struct acting *a)
{
  assert(actions[a->step->verb] != NULL);
  actions[a->step->verb](a);
}
