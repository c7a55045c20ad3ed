/* Snapshots and side branches: looking at a run, and tearing the machine apart
 * in between, changes nothing of it; pages that are equal are one page. */
#include <stdio.h>

#include "board/nets.h"
#include "describe/trace_kinds.h"
#include "played.h"
#include "run/engine.h"
#include "run/fork.h"
#include "run/outlook.h"
#include "run/visitor.h"

/* --- records, kept for comparison ---------------------------------------- */

struct recording {
  struct trace_record *list;
  size_t count, room;
};

static void record(void *context, const struct trace_record *r)
{
  struct recording *to = context;
  if (to->count == to->room) {
    to->room = to->room == 0 ? 256 : to->room * 2;
    to->list = realloc(to->list, to->room * sizeof *to->list);
    assert_non_null(to->list);
  }
  to->list[to->count] = (struct trace_record){0};
  to->list[to->count].at = r->at;
  to->list[to->count].cycle = r->cycle;
  to->list[to->count].kind = r->kind;
  to->list[to->count].a = r->a;
  to->list[to->count++].b = r->b;
}

static void assert_same(const struct recording *a, const struct recording *b)
{
  for (size_t i = 0; i < a->count && i < b->count; i++) {
    if (memcmp(&a->list[i], &b->list[i], sizeof a->list[i]) != 0)
      fail_msg("record %zu: %s at %lld ps, cycle %lld; undisturbed %s at %lld "
               "ps, cycle %lld",
               i, trace_kinds[a->list[i].kind].text, (long long)a->list[i].at,
               (long long)a->list[i].cycle, trace_kinds[b->list[i].kind].text,
               (long long)b->list[i].at, (long long)b->list[i].cycle);
  }
  assert_int_equal(a->count, b->count);
}

/* --- a visitor that leaves no stone on another --------------------------- */

struct wrecker {
  struct machine *machine;
  const struct plan *plan;
  struct page_store store;
  struct visitor visitor;
  cycle_t every;
  unsigned looks;
};

static void wreck(struct wrecker *w)
{
  static const struct outlook_event events[] = {
      {OUTLOOK_POWER, CAUSE_POWER_ON, 0},
      {OUTLOOK_CAUSE, CAUSE_PIN, 20 * PS_PER_US},
      {OUTLOOK_CAUSE, CAUSE_OPTION_RELOAD, 0},
      {OUTLOOK_CAUSE, CAUSE_BROWN_OUT, 0},
  };
  const struct outlook o = {w->machine, w->plan, &w->store, 2 * PS_PER_MS};
  struct answer answer;
  outlook_ask(&o, &events[w->looks % ROWS_COUNT(events)], &answer);
}

/* Memory, too: every byte other than it was. */
static void scribble(struct wrecker *w)
{
  struct fork f;
  struct machine *m = w->machine;
  fork_begin(&f, &w->store, m, 1000);
  for (uint32_t i = 0; i < m->part->memory_count; i++)
    for (uint32_t k = 0; k < m->part->memory[i].size; k++)
      m->chip.memory.bytes[i][k] ^= 0x5a;
  m->chip.core.r[15] = 0;
  m->chip.pins.output = UINT64_MAX;
  fork_end(&f, &w->store, m);
}

static void look(void *context, ps_t until)
{
  struct wrecker *w = context;
  cycle_t now = chip_moment(&w->machine->chip, w->machine->now).cycle;
  (void)until;
  wreck(w);
  if (w->looks % 5 == 0) scribble(w);
  w->looks++;
  w->visitor.next = now + w->every;
}

static void play_case(struct played_bench *bench, const char *name,
                      const char *part, cycle_t every, struct recording *to,
                      unsigned *looks)
{
  struct wrecker w = {.every = every};
  const struct case_script *script = played_case(
      bench, played_format(bench, FIRSTFETCH_ROOT "/traces/%s.jsonc", name));
  struct play *play = played_prepare(
      script,
      played_part(bench, played_format(
                             bench, FIRSTFETCH_ROOT "/models/%s.json", part)));
  w.machine = play_machine(play);
  w.plan = play_plan(play);
  w.visitor = (struct visitor){look, &w, 1};
  pages_init(&w.store);
  if (every > 0) w.machine->visitor = &w.visitor;
  trace_listen(play_trace(play), TRACE_ALL, record, to);
  play_run(play);
  play_free(play);
  pages_free(&w.store); /* asserts that every page was let go */
  *looks = w.looks;
}

/* --- the run is undisturbed ---------------------------------------------- */

static const struct undisturbed_row {
  const char *name;
  const char *script, *part;
  cycle_t every;
  unsigned at_least; /* looks */
} undisturbed_rows[] = {
    {"looks at odd cycles change nothing", "still-boots-rom", "latched", 997,
     200},
    {"nor do looks at every few instructions", "app-asks-for-rom", "latched",
     7, 100},
    {"nor where the supply goes", "mended-by-power-cycle", "latched", 1009,
     200},
    {"nor where it only dips", "power-cycle-that-was-none", "latched", 1013,
     200},
    {"nor where the core locks up", "erased-under-a-stale-latch", "latched",
     499, 50},
    {"nor where a strap decides", "strap-forces-rom", "strapped", 11, 100},
    {"nor where a host and a neighbour talk", "neighbour-locks-the-rom",
     "strapped", 1019, 100},
    {"nor in the middle of a frame", "host-bad-frames-refused", "latched",
     3001, 100},
    {"nor where a register mends", "mended-by-register", "latched-clearable",
     1999, 100},
};

static void undisturbed(void **state)
{
  struct played_bench *bench = *state;
  const struct undisturbed_row *row = bench->row;
  struct recording alone = {0}, looked_at = {0};
  unsigned looks;
  play_case(bench, row->script, row->part, 0, &alone, &looks);
  assert_int_equal(looks, 0);
  play_case(bench, row->script, row->part, row->every, &looked_at, &looks);
  assert_true(looks >= row->at_least);
  assert_same(&looked_at, &alone);
  free(alone.list);
  free(looked_at.list);
}

/* --- on from a snapshot, twice ------------------------------------------- */

struct twice {
  struct wrecker w;
  unsigned compared;
};

static void run_on(struct twice *t, struct recording *to)
{
  struct fork f;
  struct machine *m = t->w.machine;
  fork_begin(&f, &t->w.store, m, 100000);
  trace_listen(&m->trace, TRACE_ALL, record, to);
  engine_pass(m, engine_later(m, PS_PER_MS), NULL, NULL);
  fork_end(&f, &t->w.store, m);
}

static void look_twice(void *context, ps_t until)
{
  struct twice *t = context;
  struct recording first = {0}, second = {0};
  cycle_t now = chip_moment(&t->w.machine->chip, t->w.machine->now).cycle;
  (void)until;
  run_on(t, &first);
  wreck(&t->w);
  t->w.looks++;
  run_on(t, &second);
  assert_same(&second, &first);
  if (first.count > 0) t->compared++;
  free(first.list);
  free(second.list);
  t->w.visitor.next = now + 3001;
}

static void a_snapshot_goes_on_as_the_original_did(void **state)
{
  struct played_bench *bench = *state;
  struct twice t = {0};
  struct play *play = played_prepare(
      played_case(bench, FIRSTFETCH_ROOT "/traces/still-boots-rom.jsonc"),
      played_part(bench, PLAYED_LATCHED));
  t.w.machine = play_machine(play);
  t.w.plan = play_plan(play);
  t.w.visitor = (struct visitor){look_twice, &t, 1};
  pages_init(&t.w.store);
  t.w.machine->visitor = &t.w.visitor;
  play_run(play);
  assert_true(t.compared > 20);
  play_free(play);
  pages_free(&t.w.store);
}

/* --- pages --------------------------------------------------------------- */

static void equal_pages_are_one(void **state)
{
  struct page_store store;
  uint8_t bytes[PAGE_BYTES] = {1};
  (void)state;
  pages_init(&store);
  struct stored_page *a = pages_keep(&store, bytes);
  struct stored_page *b = pages_keep(&store, bytes);
  bytes[PAGE_BYTES - 1] = 1;
  struct stored_page *c = pages_keep(&store, bytes);
  assert_ptr_equal(a, b);
  assert_ptr_not_equal(a, c);
  assert_int_equal(store.page_count, 2);
  pages_let_go(&store, a);
  assert_int_equal(store.page_count, 2);
  pages_let_go(&store, b);
  assert_int_equal(store.page_count, 1);
  pages_let_go(&store, c);
  pages_free(&store);
}

static void many_pages_are_found_again(void **state)
{
  enum { MANY = 3000 };
  static struct stored_page *kept[MANY];
  struct page_store store;
  uint8_t bytes[PAGE_BYTES] = {0};
  (void)state;
  pages_init(&store);
  for (int round = 0; round < 2; round++) {
    for (uint32_t i = 0; i < MANY; i++) {
      memcpy(bytes, &i, sizeof i);
      struct stored_page *page = pages_keep(&store, bytes);
      if (round == 1) assert_ptr_equal(page, kept[i]);
      kept[i] = page;
    }
  }
  assert_int_equal(store.page_count, MANY);
  for (uint32_t i = 0; i < MANY; i++) {
    pages_let_go(&store, kept[i]);
    pages_let_go(&store, kept[i]);
  }
  pages_free(&store);
}

/* Blank flash is one page, however many there are of it. */
static void snapshots_share_what_is_equal(void **state)
{
  struct played_bench *bench = *state;
  struct page_store store;
  struct play *play = played_prepare(
      played_case(bench, FIRSTFETCH_ROOT "/traces/still-boots-rom.jsonc"),
      played_part(bench, PLAYED_LATCHED));
  struct machine *m = play_machine(play);
  uint32_t count;
  pages_init(&store);
  struct snapshot *one = snapshot_take(&store, m);
  size_t pages = store.page_count;
  struct snapshot *two = snapshot_take(&store, m);
  uint32_t flash = part_memory_named(m->part, "flash");
  const struct stored_page *const *of_flash =
      snapshot_pages(one, flash, &count);
  assert_int_equal(store.page_count, pages);
  assert_int_equal(count, m->part->memory[flash].size / PAGE_BYTES);
  for (uint32_t i = 1; i < count; i++)
    assert_ptr_equal(of_flash[i], of_flash[0]);
  m->chip.memory.bytes[flash][0] = 0;
  struct snapshot *three = snapshot_take(&store, m);
  assert_int_equal(store.page_count, pages + 1);
  snapshot_restore(one, m);
  assert_int_equal(m->chip.memory.bytes[flash][0], 0xff);
  snapshot_free(&store, one);
  snapshot_free(&store, two);
  snapshot_free(&store, three);
  pages_free(&store);
  play_free(play);
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(undisturbed_rows) + 4] = {
      PLAYED_TEST(a_snapshot_goes_on_as_the_original_did),
      PLAYED_TEST(equal_pages_are_one),
      PLAYED_TEST(many_pages_are_found_again),
      PLAYED_TEST(snapshots_share_what_is_equal)};
  PLAYED_ADD(tests + 4, undisturbed, undisturbed_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
