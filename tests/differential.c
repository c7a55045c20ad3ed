#include "differential.h"

#include <inttypes.h>

#include "core/difference.h"
#include "core/own_table.h"
#include "random_state.h"

#define WORLD 1024u /* states before parts and memory are chosen afresh */
#define EXITS 8u    /* of enum cpu_exit */
#define STOPS 6u    /* of enum core_stop */

enum { OWN, UNICORN, TWINS };

struct twin {
  struct bench *bench;
  uint8_t near[NEAR_SIZE], next[NEXT_SIZE];
  int ended;           /* enum cpu_exit or enum core_stop */
  uint64_t broken_off; /* requests that came within an instruction */
};

struct differential {
  struct dice dice;
  struct twin twins[TWINS];
  uint64_t done;
  uint64_t exits[EXITS], stops[STOPS];
  uint64_t rows[OWN_ROWS]; /* first instructions that were completed */
  uint64_t instructions, interrupts, broken_off;
};

static void open_twin(struct twin *t, const struct bench *like, int which)
{
  struct sim_error err;
  struct bench *b = t->bench = bench_new(like->part.kind, 1);
  t->broken_off = 0;
  b->part = like->part;
  b->bus = like->bus;
  b->bus.chip = b;
  b->bus.regions[IN_FLASH].bytes = b->flash;
  b->bus.regions[IN_ROM].bytes = b->rom;
  b->bus.regions[IN_RAM].bytes = b->ram;
  b->bus.regions[IN_NEAR].bytes = t->near;
  b->bus.regions[IN_NEXT].bytes = t->next;
  memcpy(b->flash, like->flash, sizeof(b->flash));
  memcpy(b->rom, like->rom, sizeof(b->rom));
  memcpy(b->ram, like->ram, sizeof(b->ram));
  memset(t->near, 0x44, sizeof(t->near));
  memset(t->next, 0xe0, sizeof(t->next)); /* branches on */
  enum sim_status status = which == OWN
                               ? cpu_open_own(&b->cpu, &b->part, &err)
                               : cpu_open_unicorn(&b->cpu, &b->part, &err);
  assert_int_equal(status, SIM_OK);
  cpu_map(b->cpu, &b->bus);
}

static void begin_world(struct differential *d)
{
  struct bench *b = random_world(&d->dice);
  for (int i = 0; i < TWINS; i++)
    open_twin(&d->twins[i], b, i);
  bench_free(b);
}

static void end_world(struct differential *d)
{
  d->broken_off += d->twins[OWN].broken_off;
  for (int i = 0; i < TWINS; i++)
    bench_free(d->twins[i].bench);
}

/* --- executed and compared ---------------------------------------------- */

/* Exception frames of states before have changed RAM unannounced. */
static void put_code(struct bench *b, addr_t at, const struct random_state *s)
{
  cpu_invalidate(b->cpu, RAM, RAM_SIZE);
  bench_put(b, at, &s->code[0], 2);
  if (bus_find(&b->bus, at + 2, NULL) != BUS_NO_REGION)
    bench_put(b, at + 2, &s->code[1], 2);
}

/* An engine may come to a boundary for reasons of its own. */
static enum cpu_exit execute_alone(struct bench *b)
{
  struct core *c = &b->core;
  enum cpu_exit exit;
  do {
    c->boundary = false;
    exit = cpu_execute(b->cpu, c, &b->bus);
  } while (exit == CPU_BOUNDARY && c->boundary && !c->attention &&
           c->cycle < c->deadline && (c->xpsr & CORE_THUMB));
  return exit;
}

/* Time passes, asleep or not. */
static enum core_stop pass(struct bench *b, cycle_t until)
{
  struct core *c = &b->core;
  enum core_stop stop = CORE_STOP_DEADLINE;
  while (c->cycle < until) {
    if (c->mode == CORE_SLEEPING) {
      stop = CORE_STOP_SLEEP;
      cycle_t next = core_next(c) < until ? core_next(c) : until;
      core_idle(c, next > c->cycle ? next : c->cycle);
      core_wake(c, &b->bus);
      continue;
    }
    stop = core_run(c, b->cpu, &b->bus, until);
    if (stop != CORE_STOP_DEADLINE && stop != CORE_STOP_SLEEP) break;
  }
  return stop;
}

#define SYSTICK_CONTROL 0xe000e010u
#define SYSTICK_RELOAD  0xe000e014u
#define SYSTICK_CURRENT 0xe000e018u

static void start_ticks(struct bench *b, uint32_t cycles)
{
  if (cycles == 0) return;
  core_scs_write(&b->core, &b->bus, SYSTICK_RELOAD, cycles - 1, false);
  core_scs_write(&b->core, &b->bus, SYSTICK_CURRENT, 0, false);
  core_scs_write(&b->core, &b->bus, SYSTICK_CONTROL, 7, false);
}

/* A stretch ends early where the device or the code wants it to. */
static enum core_stop execute_interrupted(struct twin *t,
                                          const struct random_state *s)
{
  struct bench *b = t->bench;
  start_ticks(b, s->tick);
  for (unsigned i = 0; i < s->request_count; i++) {
    enum core_stop stop = pass(b, s->requests[i].at);
    if (stop != CORE_STOP_DEADLINE && stop != CORE_STOP_SLEEP) return stop;
    t->broken_off += b->core.progress.begun;
    core_pend(&b->core, &b->bus, s->requests[i].number);
  }
  return pass(b, s->until);
}

static void execute(struct twin *t, const struct random_state *s)
{
  struct bench *b = t->bench;
  b->access_count = b->report_count = b->enters = 0;
  b->core = s->core;
  b->core.part = &b->part;
  put_code(b, s->core.r[15], s);
  b->core.deadline = s->until;
  if (s->alone)
    t->ended = (int)execute_alone(b);
  else
    t->ended = (int)execute_interrupted(t, s);
}

static bool same_access(const struct bus_access *a, const struct bus_access *b)
{
  return a->at == b->at && a->value == b->value && a->stamp == b->stamp &&
         a->pc == b->pc && a->size == b->size && a->write == b->write;
}

/* The logs hold 512 entries; no state fills them. */
static bool same_accesses(const struct bench *a, const struct bench *b,
                          char *what, size_t size)
{
  for (unsigned i = 0; i < a->access_count || i < b->access_count; i++) {
    const struct bus_access *x = &a->accesses[i], *y = &b->accesses[i];
    snprintf(what, size,
             "access %u of %u, %u: 0x%08" PRIx32 " at cycle %" PRId64
             ", 0x%08" PRIx32 " at %" PRId64,
             i, a->access_count, b->access_count, x->at, x->stamp, y->at,
             y->stamp);
    if (i >= a->access_count || i >= b->access_count || !same_access(x, y))
      return false;
  }
  return true;
}

static bool same_reports(const struct bench *a, const struct bench *b,
                         char *what, size_t size)
{
  for (unsigned i = 0; i < a->report_count || i < b->report_count; i++) {
    const struct bench_report *x = &a->reports[i], *y = &b->reports[i];
    snprintf(what, size,
             "report %u of %u, %u: %u %" PRIx32 " %" PRIx32 " at %" PRId64
             ", %u %" PRIx32 " %" PRIx32 " at %" PRId64,
             i, a->report_count, b->report_count, x->kind, x->a, x->b,
             x->cycle, y->kind, y->a, y->b, y->cycle);
    if (i >= a->report_count || i >= b->report_count || x->cycle != y->cycle ||
        x->kind != y->kind || x->a != y->a || x->b != y->b)
      return false;
  }
  return true;
}

static bool same_memory(const struct twin *a, const struct twin *b)
{
  return memcmp(a->bench->flash, b->bench->flash, FLASH_SIZE) == 0 &&
         memcmp(a->bench->rom, b->bench->rom, ROM_SIZE) == 0 &&
         memcmp(a->bench->ram, b->bench->ram, RAM_SIZE) == 0 &&
         memcmp(a->near, b->near, NEAR_SIZE) == 0 &&
         memcmp(a->next, b->next, NEXT_SIZE) == 0;
}

static bool agree(const struct differential *d, char *what, size_t size)
{
  const struct twin *a = &d->twins[OWN], *b = &d->twins[UNICORN];
  if (a->ended != b->ended) {
    snprintf(what, size, "ended with %d, %d", a->ended, b->ended);
    return false;
  }
  if (difference_find(&a->bench->core, &b->bench->core, what, size))
    return false;
  if (!same_accesses(a->bench, b->bench, what, size) ||
      !same_reports(a->bench, b->bench, what, size))
    return false;
  snprintf(what, size, "memory");
  return same_memory(a, b);
}

static void print_state(const struct differential *d,
                        const struct random_state *s, const char *what)
{
  const struct core *c = &s->core;
  print_error("state %" PRIu64 " (%s): 0x%08" PRIx32 " holds 0x%04x 0x%04x\n"
              "own, unicorn: %s\n",
              d->done, s->alone ? "engine" : "core", c->r[15], s->code[0],
              s->code[1], what);
  for (unsigned i = 0; i < 16; i++)
    print_error("r%-2u %08" PRIx32 "%s", i, c->r[i], i % 4 == 3 ? "\n" : "  ");
  print_error("xpsr %08" PRIx32 "  primask %" PRIu32 "  control %" PRIu32
              "  alias %u  wait states %" PRIu32 "  kind %d\n",
              c->xpsr, c->primask, c->control, d->twins[OWN].bench->bus.alias,
              d->twins[OWN].bench->bus.regions[IN_FLASH].wait_states,
              (int)c->part->kind);
}

static void count_outcome(struct differential *d, const struct random_state *s)
{
  const struct twin *t = &d->twins[OWN];
  d->instructions += t->bench->core.instructions - s->core.instructions;
  for (unsigned i = 0; i < t->bench->report_count; i++) {
    const struct bench_report *r = &t->bench->reports[i];
    bool asynchronous = r->a == EXCEPTION_NMI || r->a >= EXCEPTION_PENDSV;
    d->interrupts += r->kind == TRACE_EXCEPTION && asynchronous;
  }
  if (!s->alone) {
    d->stops[t->ended]++;
    return;
  }
  d->exits[t->ended]++;
  if (t->bench->core.instructions > s->core.instructions)
    d->rows[own_table_find(s->code[0])]++;
}

static bool one_state(struct differential *d)
{
  char what[160];
  struct random_state s = random_state(&d->dice, d->twins[OWN].bench);
  for (int i = 0; i < TWINS; i++)
    execute(&d->twins[i], &s);
  count_outcome(d, &s);
  if (agree(d, what, sizeof(what))) return true;
  print_state(d, &s, what);
  return false;
}

/* The row that was completed least often. */
static unsigned rarest(const struct differential *d, uint64_t *least)
{
  unsigned found = 0;
  *least = UINT64_MAX;
  for (unsigned row = 0; row < OWN_ROWS; row++) {
    bool executed = own_table[row].execute != op_system;
    if (!executed || d->rows[row] >= *least) continue;
    *least = d->rows[row];
    found = row;
  }
  return found;
}

static void summarize(const struct differential *d)
{
  static const char *const exits[EXITS] = {
      "completed", "for the system", "exception return", "undefined",
      "not Thumb", "unaligned",      "data fault",       "fetch fault"};
  static const char *const stops[STOPS] = {"deadline", "attention", "sleep",
                                           "halted",   "lockup",    "reset"};
  uint64_t least;
  unsigned row = rarest(d, &least);
  printf("%" PRIu64 " states, %" PRIu64 " instructions, %" PRIu64
         " interrupts (%" PRIu64 " requests within an instruction), no "
         "difference\nby the engine alone:\n",
         d->done, d->instructions, d->interrupts, d->broken_off);
  for (unsigned i = 0; i < EXITS; i++)
    printf("  %-18s %" PRIu64 "\n", exits[i], d->exits[i]);
  printf("with exceptions and faults taken:\n");
  for (unsigned i = 0; i < STOPS; i++)
    printf("  %-18s %" PRIu64 "\n", stops[i], d->stops[i]);
  printf("completed least often: %s, %" PRIu64 " times\n",
         own_table[row].syntax, least);
}

/* Every instruction had its turn, every outcome came up. */
static bool covered(const struct differential *d)
{
  uint64_t least;
  rarest(d, &least);
  for (unsigned i = 0; i < EXITS; i++)
    if (d->exits[i] < least) least = d->exits[i];
  for (unsigned i = 0; i <= CORE_STOP_LOCKUP; i++)
    if (d->stops[i] < least) least = d->stops[i];
  return least > 0 && d->interrupts > 0 && d->broken_off > 0;
}

bool differential_run(uint64_t seed, uint64_t count, bool print_summary)
{
  struct differential d = {.dice.state = seed * 2 + 1};
  bool agreed = true;
  while (agreed && d.done < count) {
    begin_world(&d);
    for (unsigned i = 0; agreed && i < WORLD && d.done < count; i++) {
      agreed = one_state(&d);
      if (agreed) d.done++;
    }
    end_world(&d);
  }
  if (agreed && print_summary) summarize(&d);
  if (agreed && !covered(&d)) print_error("something never came up\n");
  return agreed && covered(&d);
}
