/* Two engines in lockstep: our own leads, Unicorn repeats each instruction
 * on memory of its own, and the first difference ends it all.
 *
 * Only the leader reaches the chip. What it asked of the bus, what it was
 * told and what that changed in the core is kept; the follower must ask the
 * same and is told the same. Compared after each instruction: how it ended,
 * the core, what was asked, and all memory that can be stored to.
 *
 * Memory that the chip changes while it answers is shown to the follower
 * after the instruction, and cells that a guarded read has waited for at once.
 */
#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "core/difference.h"
#include "core/engine.h"
#include "core/own_table.h"

/* Questions of one instruction: the accesses of a list and what they bring
 * about, every watch at one address, a new region. */
#define MAX_EVENTS 64u

#define MAX_ASKED 6u

enum question_kind { ASK_ACCESS, ASK_ENTER, ASK_REPORT, ASK_GUARD };

static const struct {
  const char *word;
  const char *names[MAX_ASKED];
} kinds[] = {
    [ASK_ACCESS] = {"access", {"at", "value", "stamp", "pc", "size", "write"}},
    [ASK_ENTER] = {"enter", {"region", "pc", "cycle"}},
    [ASK_REPORT] = {"report", {"cycle", "kind", "a", "b"}},
    [ASK_GUARD] = {"guard", {"region", "offset", "words", "cycle"}},
};

struct question {
  enum question_kind kind;
  int64_t asked[MAX_ASKED];
};

struct event {
  struct question question;
  struct bus_answer answer;
  struct core before, after; /* the callback */
};

struct both {
  struct cpu cpu; /* first */
  struct cpu *leader, *follower;
  struct bus leads, follows;        /* the bus as each of them sees it */
  uint8_t *copies[BUS_MAX_REGIONS]; /* the follower's memory; owned */
  unsigned copy_count;
  bool stale; /* more than RAM may have changed */

  struct core *core;      /* the leader's */
  struct core shadow;     /* the follower's */
  addr_t at;              /* the instruction */
  cycle_t deadline, soon; /* what was asked for; one instruction on */
  struct event events[MAX_EVENTS];
  unsigned event_count, repeated;

  bool disagree;
  char text[512];
};

/* --- the disagreement --------------------------------------------------- */

static void disagree(struct both *b, const char *what)
{
  uint32_t opcode = 0;
  if (b->disagree) return; /* the first one counts */
  b->disagree = true;
  bool fetched = bus_peek(&b->follows, b->at, 2, &opcode);
  snprintf(b->text, sizeof(b->text),
           "the two engines (own, unicorn) disagree at 0x%08" PRIx32
           " (0x%04" PRIx32 ", %s): %s",
           b->at, opcode,
           fetched ? own_table[own_table_find((uint16_t)opcode)].syntax
                   : "not fetched",
           what);
}

static void question_text(const struct question *q, char *text, size_t size)
{
  size_t length = (size_t)snprintf(text, size, "%s", kinds[q->kind].word);
  for (unsigned i = 0; i < MAX_ASKED && length < size; i++) {
    const char *name = kinds[q->kind].names[i];
    if (name == NULL) continue;
    length += (size_t)snprintf(text + length, size - length, " %s 0x%" PRIx64,
                               name, (uint64_t)q->asked[i]);
  }
}

static void disagree_on(struct both *b, const struct question *own,
                        const struct question *other)
{
  char left[160] = "nothing", right[160] = "nothing", what[360];
  if (own != NULL) question_text(own, left, sizeof(left));
  if (other != NULL) question_text(other, right, sizeof(right));
  snprintf(what, sizeof(what), "asked was %s; %s", left, right);
  disagree(b, what);
}

/* --- the leader's questions --------------------------------------------- */

/* The chip sees the deadline that was asked for, and may set another. */
static struct event *begin_event(struct both *b, const struct question *q)
{
  assert(b->event_count < MAX_EVENTS);
  struct event *e = &b->events[b->event_count++];
  e->question = *q;
  e->answer = (struct bus_answer){0};
  e->before = *b->core;
  b->core->deadline = b->deadline;
  return e;
}

static void end_event(struct both *b, struct event *e)
{
  b->deadline = b->core->deadline;
  b->core->deadline = b->soon;
  e->after = *b->core;
}

static struct question access_question(const struct bus_access *a)
{
  return (struct question){
      ASK_ACCESS, {a->at, a->value, a->stamp, a->pc, a->size, a->write}};
}

static struct question enter_question(unsigned region, addr_t pc,
                                      cycle_t cycle)
{
  return (struct question){ASK_ENTER, {region, pc, cycle}};
}

static struct question report_question(cycle_t cycle, unsigned kind,
                                       uint32_t a, uint32_t b)
{
  return (struct question){ASK_REPORT, {cycle, kind, a, b}};
}

static struct question guard_question(unsigned region, uint32_t offset,
                                      unsigned words, cycle_t cycle)
{
  return (struct question){ASK_GUARD, {region, offset, words, cycle}};
}

static struct bus_answer lead_access(void *chip, const struct bus_access *a)
{
  struct both *b = chip;
  struct question q = access_question(a);
  struct event *e = begin_event(b, &q);
  e->answer = b->cpu.bus->access(b->cpu.bus->chip, a);
  end_event(b, e);
  return e->answer;
}

static cycle_t lead_enter(void *chip, unsigned region, addr_t pc,
                          cycle_t cycle)
{
  struct both *b = chip;
  struct question q = enter_question(region, pc, cycle);
  struct event *e = begin_event(b, &q);
  e->answer.stall = b->cpu.bus->enter(b->cpu.bus->chip, region, pc, cycle);
  end_event(b, e);
  return e->answer.stall;
}

static void lead_report(void *chip, cycle_t cycle, unsigned kind, uint32_t a,
                        uint32_t b)
{
  struct both *both = chip;
  struct question q = report_question(cycle, kind, a, b);
  struct event *e = begin_event(both, &q);
  both->cpu.bus->report(both->cpu.bus->chip, cycle, kind, a, b);
  end_event(both, e);
}

static struct bus_answer lead_guard(void *chip, unsigned region,
                                    uint32_t offset, unsigned words,
                                    cycle_t cycle)
{
  struct both *b = chip;
  struct question q = guard_question(region, offset, words, cycle);
  struct event *e = begin_event(b, &q);
  e->answer =
      b->cpu.bus->guard(b->cpu.bus->chip, region, offset, words, cycle);
  end_event(b, e);
  return e->answer;
}

/* --- the follower's ----------------------------------------------------- */

static bool same_question(const struct question *a, const struct question *b)
{
  return a->kind == b->kind &&
         memcmp(a->asked, b->asked, sizeof(a->asked)) == 0;
}

/* The follower asks: it must be what the leader asked, with a core that is
 * the same, and is answered alike. */
static struct bus_answer repeat(struct both *b, const struct question *q)
{
  char what[160];
  bool more = b->repeated < b->event_count;
  const struct event *e = more ? &b->events[b->repeated++] : NULL;
  if (e == NULL || !same_question(&e->question, q)) {
    disagree_on(b, e == NULL ? NULL : &e->question, q);
    return (struct bus_answer){0};
  }
  if (difference_find(&e->before, &b->shadow, what, sizeof(what)))
    disagree(b, what);
  difference_apply(&b->shadow, &e->before, &e->after);
  return e->answer;
}

static struct bus_answer follow_access(void *chip, const struct bus_access *a)
{
  struct question q = access_question(a);
  return repeat(chip, &q);
}

static cycle_t follow_enter(void *chip, unsigned region, addr_t pc,
                            cycle_t cycle)
{
  struct question q = enter_question(region, pc, cycle);
  return repeat(chip, &q).stall;
}

static void follow_report(void *chip, cycle_t cycle, unsigned kind, uint32_t a,
                          uint32_t b)
{
  struct question q = report_question(cycle, kind, a, b);
  repeat(chip, &q);
}

/* What the read waited for may have changed what it reads. */
static void show_cells(struct both *b)
{
  for (unsigned i = 0; i < b->copy_count; i++) {
    const struct bus_region *r = &b->leads.regions[i];
    if (r->writable || memcmp(b->copies[i], r->bytes, r->size) == 0) continue;
    memcpy(b->copies[i], r->bytes, r->size);
    cpu_invalidate(b->follower, r->at, r->size);
  }
}

static struct bus_answer follow_guard(void *chip, unsigned region,
                                      uint32_t offset, unsigned words,
                                      cycle_t cycle)
{
  struct question q = guard_question(region, offset, words, cycle);
  struct bus_answer answer = repeat(chip, &q);
  show_cells(chip);
  return answer;
}

/* --- memory ------------------------------------------------------------- */

static void see_bus(struct both *b)
{
  b->leads = b->follows = *b->cpu.bus;
  b->leads.chip = b->follows.chip = b;
  b->leads.access = lead_access;
  b->leads.enter = lead_enter;
  b->leads.report = lead_report;
  b->leads.guard = lead_guard;
  b->follows.access = follow_access;
  b->follows.enter = follow_enter;
  b->follows.report = follow_report;
  b->follows.guard = follow_guard;
  for (unsigned i = 0; i < b->follows.region_count; i++)
    b->follows.regions[i].bytes = b->copies[i];
}

static void free_copies(struct both *b)
{
  for (unsigned i = 0; i < b->copy_count; i++)
    free(b->copies[i]);
  b->copy_count = 0;
}

static bool same_sizes(const struct both *b)
{
  const struct bus *bus = b->cpu.bus;
  if (b->copy_count != bus->region_count) return false;
  for (unsigned i = 0; i < b->copy_count; i++)
    if (b->follows.regions[i].size != bus->regions[i].size) return false;
  return true;
}

static void make_copies(struct both *b)
{
  const struct bus *bus = b->cpu.bus;
  free_copies(b);
  for (; b->copy_count < bus->region_count; b->copy_count++) {
    const struct bus_region *r = &bus->regions[b->copy_count];
    b->copies[b->copy_count] = malloc(r->size);
    if (b->copies[b->copy_count] == NULL) arena_no_memory();
    memcpy(b->copies[b->copy_count], r->bytes, r->size);
  }
}

/* Exception frames and the like go to RAM unannounced. */
static void refresh(struct both *b)
{
  for (unsigned i = 0; i < b->copy_count; i++) {
    const struct bus_region *r = &b->leads.regions[i];
    if (!r->writable && !b->stale) continue;
    if (memcmp(b->copies[i], r->bytes, r->size) == 0) continue;
    memcpy(b->copies[i], r->bytes, r->size);
    if (b->stale) cpu_invalidate(b->follower, r->at, r->size);
  }
  b->stale = false;
}

static void compare_memory(struct both *b)
{
  char what[80];
  for (unsigned i = 0; i < b->copy_count && !b->stale; i++) {
    const struct bus_region *r = &b->leads.regions[i];
    if (!r->writable || memcmp(b->copies[i], r->bytes, r->size) == 0) continue;
    uint32_t at = 0;
    while (b->copies[i][at] == r->bytes[at])
      at++;
    snprintf(what, sizeof(what),
             "the byte at 0x%08" PRIx32 " is 0x%02x, 0x%02x", r->at + at,
             r->bytes[at], b->copies[i][at]);
    disagree(b, what);
  }
}

/* --- the engine --------------------------------------------------------- */

/* It may come back before it did anything, for reasons of its own. */
static enum cpu_exit follow(struct both *b, uint64_t instructions)
{
  enum cpu_exit exit = cpu_execute(b->follower, &b->shadow, &b->follows);
  bool again = exit == CPU_BOUNDARY && b->shadow.boundary &&
               b->shadow.instructions < instructions;
  if (!again) return exit;
  b->shadow.boundary = false;
  return cpu_execute(b->follower, &b->shadow, &b->follows);
}

static void compare(struct both *b, enum cpu_exit own, enum cpu_exit other)
{
  char what[160];
  if (own != other) {
    snprintf(what, sizeof(what), "it ended with exit %d, %d", own, other);
    disagree(b, what);
  }
  if (difference_find(b->core, &b->shadow, what, sizeof(what)))
    disagree(b, what);
  if (b->repeated < b->event_count)
    disagree_on(b, &b->events[b->repeated].question, NULL);
  compare_memory(b);
}

/* One instruction at a time: an engine may always come back early. */
static enum cpu_exit execute(struct cpu *cpu, struct core *core)
{
  struct both *b = (struct both *)cpu;
  if (b->disagree) {
    core_attend(core);
    return CPU_BOUNDARY;
  }
  see_bus(b);
  refresh(b);
  b->core = core;
  b->at = core->r[15];
  b->event_count = b->repeated = 0;
  b->deadline = core->deadline;
  b->soon = core->cycle < b->deadline ? core->cycle + 1 : b->deadline;
  core->deadline = b->soon;
  cycle_t break_at = core->break_at;
  if (break_at == 0)
    core->break_at = core->alarm < b->deadline ? core->alarm : b->deadline;
  b->shadow = *core;
  enum cpu_exit exit = cpu_execute(b->leader, core, &b->leads);
  compare(b, exit, follow(b, core->instructions));
  core->deadline = b->deadline;
  core->break_at = break_at;
  if (b->disagree) core_attend(core);
  return exit;
}

static void map(struct cpu *cpu)
{
  struct both *b = (struct both *)cpu;
  if (!same_sizes(b)) make_copies(b);
  see_bus(b);
  b->stale = true;
  cpu_map(b->leader, &b->leads);
  cpu_map(b->follower, &b->follows);
}

static void forget(struct cpu *cpu, addr_t at, uint32_t size)
{
  struct both *b = (struct both *)cpu;
  (void)at;
  (void)size;
  b->stale = true;
}

static const char *disagreement(const struct cpu *cpu)
{
  const struct both *b = (const struct both *)cpu;
  return b->disagree ? b->text : NULL;
}

static void close_engine(struct cpu *cpu)
{
  struct both *b = (struct both *)cpu;
  cpu_close(b->leader);
  cpu_close(b->follower);
  free_copies(b);
  free(b);
}

static const struct cpu_ops ops = {.close = close_engine,
                                   .map = map,
                                   .forget = forget,
                                   .execute = execute,
                                   .disagreement = disagreement};

enum sim_status cpu_open_both(struct cpu **cpu, const struct part_core *part,
                              struct sim_error *err)
{
  struct both *b = calloc(1, sizeof(*b));
  if (b == NULL) arena_no_memory();
  b->cpu.ops = &ops;
  enum sim_status status = cpu_open_own(&b->leader, part, err);
  if (status == SIM_OK) status = cpu_open_unicorn(&b->follower, part, err);
  if (status != SIM_OK) {
    close_engine(&b->cpu);
    return status;
  }
  *cpu = &b->cpu;
  return SIM_OK;
}
