/* One base run, looked at from point to point. */
#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "describe/trace_kinds.h"
#include "run/play.h"
#include "run/sweep.h"
#include "run/visitor.h"

#define WRITE_KINDS                                                           \
  (TRACE_BIT(TRACE_FLASH_BEGIN) | TRACE_BIT(TRACE_FLASH_END) |                \
   TRACE_BIT(TRACE_FLASH_TORN))

/* After these the cells or the levels outside may be others. */
#define CHANGING_KINDS                                                        \
  (WRITE_KINDS | TRACE_BIT(TRACE_OPTION_CELL) | TRACE_BIT(TRACE_WRITE) |      \
   TRACE_BIT(TRACE_STEP) | TRACE_BIT(TRACE_STEP_END))

/* An answer that was asked for, and the cells that it was given for. */
struct known {
  struct hash128 cells;
  struct snapshot *as; /* owned */
  struct answer answer;
};

/* A record since the last look, of EVENT and WRITE. */
struct passed {
  ps_t at;
  uint32_t kind, a, b;
};

struct walk {
  const struct sweep *sweep;
  struct machine *machine;
  struct outlook outlook;
  struct page_store store;
  struct visitor visitor;
  const struct sweep_sink *sink;
  const struct sweep_range *ranges;
  uint32_t range_count, range; /* of them, the one being answered */
  uint64_t next;               /* point in it */
  bool forgets;                /* cells alone decide */
  bool changed;                /* they may differ from `last` */
  uint64_t knowledge;          /* at the last answer */
  uint64_t seen;               /* records of EVENT and WRITE so far */
  uint64_t looked;             /* of them, at the last look */
  struct passed *passed;       /* seen - looked of them; owned */
  size_t passed_room;
  struct known *known; /* owned */
  uint32_t known_count, known_room, last;
  bool stopped; /* the sink has had enough */
  struct hash128 history;
};

/* --- answers ------------------------------------------------------------- */

static void *grown(void *array, size_t room, size_t size)
{
  void *more = realloc(array, room * size);
  if (more == NULL) arena_no_memory();
  return more;
}

static bool same_order(const struct flash *a, const struct flash *b)
{
  return a->op == b->op && a->op_at == b->op_at && a->op_word == b->op_word &&
         memcmp(a->op_data, b->op_data, sizeof(a->op_data)) == 0;
}

static bool same_flash(const struct chip *a, const struct chip *b)
{
  return flash_busy(&a->flash) == flash_busy(&b->flash) &&
         (!flash_busy(&a->flash) || same_order(&a->flash, &b->flash)) &&
         a->flash.weak_count == b->flash.weak_count &&
         memcmp(a->flash.weak, b->flash.weak,
                a->flash.weak_count * sizeof(a->flash.weak[0])) == 0;
}

static bool same_levels(const struct chip *a, const struct chip *b)
{
  return memcmp(a->options.cells, b->options.cells,
                sizeof(a->options.cells)) == 0 &&
         memcmp(a->options.check, b->options.check,
                sizeof(a->options.check)) == 0 &&
         same_flash(a, b) && a->pins.outside == b->pins.outside &&
         pins_standing(&a->pins) == pins_standing(&b->pins) &&
         outlook_knowledge(a) == outlook_knowledge(b);
}

/* What outlook_cells is a hash of. Equal pages of one store are one page. */
static bool same_cells(const struct walk *w, const struct snapshot *a,
                       const struct snapshot *b)
{
  const struct part *part = w->sweep->part;
  const struct stored_page *const *of_a, *const *of_b;
  uint32_t count;
  for (uint32_t i = 0; i < part->memory_count; i++) {
    if (part->memory[i].kind != MEMORY_FLASH) continue;
    of_a = snapshot_pages(a, i, &count);
    of_b = snapshot_pages(b, i, &count);
    if (memcmp(of_a, of_b, count * sizeof(*of_a)) != 0) return false;
  }
  of_a = snapshot_granules(a, &count);
  of_b = snapshot_granules(b, &count);
  if (memcmp(of_a, of_b, count * sizeof(*of_a)) != 0) return false;
  struct chip chip_a, chip_b;
  snapshot_chip(a, &chip_a);
  snapshot_chip(b, &chip_b);
  return same_levels(&chip_a, &chip_b);
}

static bool find_known(struct walk *w, struct hash128 cells,
                       const struct snapshot *as)
{
  for (uint32_t i = w->known_count; i-- > 0;) {
    const struct known *k = &w->known[i];
    if (k->cells.low != cells.low || k->cells.high != cells.high) continue;
    if (!same_cells(w, k->as, as)) continue;
    w->last = i;
    return true;
  }
  return false;
}

static void ask(struct walk *w, uint64_t point, struct answer *answer)
{
  w->sink->asking(w->sink->context, point);
  outlook_ask(&w->outlook, &w->sweep->fault, answer);
  w->sink->asking(w->sink->context, 0);
}

/* The answer for the cells as they are; asked only if they are new. */
static const struct known *answer_for_cells(struct walk *w, uint64_t point)
{
  uint64_t knowledge = outlook_knowledge(&w->machine->chip);
  if (!w->changed && w->known_count > 0 && knowledge == w->knowledge)
    return &w->known[w->last];
  w->knowledge = knowledge;
  struct hash128 cells = outlook_cells(&w->outlook);
  struct snapshot *as = snapshot_take(&w->store, w->machine);
  w->changed = false;
  if (find_known(w, cells, as)) {
    snapshot_free(&w->store, as);
    return &w->known[w->last];
  }
  if (w->known_count == w->known_room) {
    w->known_room = w->known_room == 0 ? 64 : w->known_room * 2;
    w->known = grown(w->known, w->known_room, sizeof(*w->known));
  }
  struct known *k = &w->known[w->known_count];
  *k = (struct known){.cells = cells, .as = as};
  ask(w, point, &k->answer);
  w->last = w->known_count++;
  return k;
}

static void fill_answer(struct walk *w, struct sweep_record *r)
{
  if (w->sweep->fault.kind == OUTLOOK_POWER) r->has_cells = 1;
  if (w->forgets && !w->sweep->naive) {
    const struct known *k = answer_for_cells(w, r->first);
    r->cells = k->cells;
    r->answer = k->answer;
    return;
  }
  if (r->has_cells) r->cells = outlook_cells(&w->outlook);
  ask(w, r->first, &r->answer);
}

/* --- points -------------------------------------------------------------- */

static void next_range(struct walk *w)
{
  w->range++;
  w->next = w->range < w->range_count ? w->ranges[w->range].first : UINT64_MAX;
}

static void send(struct walk *w, const struct sweep_record *r)
{
  w->next = r->last + 1;
  if (w->next > w->ranges[w->range].last) next_range(w);
  if (!w->sink->record(w->sink->context, r)) w->stopped = true;
}

/* One argument of a record, as far as this folder can name it. */
static void describe_argument(const char *info, uint32_t value, char *text,
                              size_t size)
{
  const char *colon = strchr(info, ':');
  const char *word = colon != NULL ? trace_word(colon + 1, value) : NULL;
  text[0] = '\0';
  if (colon == NULL) return;
  if (word != NULL)
    snprintf(text, size, " %s", word);
  else if (strcmp(colon + 1, "hex") == 0)
    snprintf(text, size, " 0x%08" PRIx32, value);
  else
    snprintf(text, size, " %" PRIu32, value);
}

static void describe(const struct passed *p, char what[SWEEP_WHAT])
{
  const struct trace_kind_info *info = &trace_kinds[p->kind];
  char a[32], b[32];
  describe_argument(info->a, p->a, a, sizeof(a));
  describe_argument(info->b, p->b, b, sizeof(b));
  snprintf(what, SWEEP_WHAT, "%.30s%s%s", info->text, a, b);
}

static void look_at_records(struct walk *w)
{
  while (w->next <= w->seen && !w->stopped) {
    const struct passed *p = &w->passed[w->next - w->looked - 1];
    struct sweep_record r;
    memset(&r, 0, sizeof(r));
    r.first = r.last = w->next;
    r.at_first = r.at_last = p->at;
    r.margin = PS_NEVER;
    describe(p, r.what);
    fill_answer(w, &r);
    send(w, &r);
  }
  w->looked = w->seen;
}

static ps_t time_of(const struct walk *w, uint64_t cycle, uint64_t now)
{
  if (cycle <= now) return w->machine->now;
  return clock_time(&w->machine->chip.clock, (cycle_t)cycle);
}

/* As far as the cycles go through which nothing changes. */
static uint64_t quiet_cycle(const struct walk *w, uint64_t now, ps_t until)
{
  const struct chip *c = &w->machine->chip;
  bool idle = c->core.mode != CORE_RUNNING && c->rail.up;
  if (!idle || !w->forgets || w->sweep->naive) return now;
  cycle_t quiet = chip_moment(c, until - 1).cycle;
  return (uint64_t)quiet > now ? (uint64_t)quiet : now;
}

static void look_at_cycles(struct walk *w, ps_t until)
{
  struct machine *m = w->machine;
  uint64_t now = (uint64_t)chip_moment(&m->chip, m->now).cycle;
  uint64_t quiet = w->next == UINT64_MAX ? 0 : quiet_cycle(w, now, until);
  while (w->next <= quiet && !w->stopped) {
    struct sweep_record r;
    memset(&r, 0, sizeof(r));
    uint64_t last = w->ranges[w->range].last;
    r.first = w->next;
    r.last = last < quiet ? last : quiet;
    r.at_first = time_of(w, r.first, now);
    r.at_last = time_of(w, r.last, now);
    r.margin = PS_NEVER;
    fill_answer(w, &r);
    send(w, &r);
  }
  w->visitor.next = w->next > INT64_MAX ? CYCLE_NEVER : (cycle_t)w->next;
}

static void look(void *context, ps_t until)
{
  struct walk *w = context;
  if (w->sweep->kind == SWEEP_CYCLE)
    look_at_cycles(w, until);
  else
    look_at_records(w);
  if (!w->stopped && w->range < w->range_count) return;
  w->visitor.next = CYCLE_NEVER;
  if (w->range_count > 0) w->machine->trace.full = true; /* all answered */
}

/* --- what passes by ------------------------------------------------------ */

static bool is_point(const struct walk *w, uint32_t kind)
{
  return w->sweep->kind == SWEEP_EVENT ||
         (w->sweep->kind == SWEEP_WRITE && (WRITE_KINDS & TRACE_BIT(kind)));
}

static void pass_by(struct walk *w, const struct trace_record *r)
{
  size_t count = w->seen - w->looked;
  if (count == w->passed_room) {
    w->passed_room = count == 0 ? 64 : count * 2;
    w->passed = grown(w->passed, w->passed_room, sizeof(*w->passed));
  }
  w->passed[count] = (struct passed){r->at, r->kind, r->a, r->b};
  w->seen++;
}

/* The core pauses at the next boundary for a look at the point. */
static void pause_here(struct chip *c, cycle_t cycle)
{
  c->pause_at = cycle;
  if (c->core.deadline > cycle) c->core.deadline = cycle;
}

static void fold(void *context, const struct trace_record *r)
{
  struct walk *w = context;
  const uint64_t words[] = {w->history.high,
                            w->history.low,
                            (uint64_t)r->at,
                            (uint64_t)r->cycle,
                            (uint64_t)r->kind << 32 | r->a,
                            r->b};
  if (w->range_count == 0) w->history = hash_bytes(words, sizeof(words));
  if (CHANGING_KINDS & TRACE_BIT(r->kind)) w->changed = true;
  if (!is_point(w, r->kind)) return;
  pass_by(w, r);
  if (w->range_count > 0) pause_here(&w->machine->chip, r->cycle);
}

/* --- the run ------------------------------------------------------------- */

static void begin(struct walk *w, struct play *play)
{
  w->machine = play_machine(play);
  w->outlook = (struct outlook){.machine = w->machine,
                                .plan = play_plan(play),
                                .store = &w->store,
                                .patience = w->sweep->patience};
  w->forgets =
      w->sweep->fault.kind == OUTLOOK_POWER && outlook_forgets(w->sweep->part);
  w->changed = true;
  w->next = w->range_count > 0 ? w->ranges[0].first : UINT64_MAX;
  w->visitor =
      (struct visitor){.look = look, .context = w, .next = CYCLE_NEVER};
  w->machine->visitor = &w->visitor;
  pages_init(&w->store);
  trace_listen(play_trace(play), TRACE_ALL, fold, w);
}

static void end(struct walk *w)
{
  for (uint32_t i = 0; i < w->known_count; i++)
    snapshot_free(&w->store, w->known[i].as);
  free(w->known);
  free(w->passed);
  pages_free(&w->store);
}

enum sim_status sweep_walk(const struct sweep *s,
                           const struct sweep_range *ranges,
                           uint32_t range_count, const struct sweep_sink *sink,
                           struct sweep_base *base, struct sim_error *err)
{
  const struct play_options how = {.judge = false, .engine = s->engine};
  struct walk w = {
      .sweep = s, .ranges = ranges, .range_count = range_count, .sink = sink};
  struct play *play;
  enum sim_status status = play_prepare(s->script, s->part, &how, &play, err);
  if (status != SIM_OK) return status;
  begin(&w, play);
  play_run(play);
  if (w.range < w.range_count) look(&w, w.machine->now + 1);
  uint64_t cycles =
      (uint64_t)chip_moment(&w.machine->chip, w.machine->now).cycle;
  if (base != NULL)
    *base = (struct sweep_base){.point_count =
                                    s->kind == SWEEP_CYCLE ? cycles : w.seen,
                                .end = w.machine->now,
                                .setup = w.history};
  end(&w);
  play_free(play);
  return SIM_OK;
}
