/* Which causes explain what was seen?
 *
 * Nothing outside tells the answer, so it is fed its own: a cause is played as
 * the truth, what the bench then shows is given as seen, and the cause must be
 * found again. What a stale latch looks like, and what mends it, is common
 * practice, no source.
 */
#include "run/why.h"

#include "describe/case_edit.h"
#include "played.h"
#include "run/sight.h"
#include "run/why_parts.h"

struct bench {
  struct played_bench *played;
  const struct json *root;
  const struct case_script *script;
  const struct part *part;
};

static const struct json *parse(struct played_bench *b, const char *file)
{
  const struct json *root;
  struct sim_error err;
  assert_int_equal(json_read(&b->arena, file, &root, &err), SIM_OK);
  return root;
}

static struct bench open_bench(struct played_bench *b, const char *file,
                               const char *part)
{
  return (struct bench){
      b, parse(b, file), played_case(b, file),
      played_part(b,
                  played_format(b, FIRSTFETCH_ROOT "/models/%s.json", part))};
}

static struct diagnosis *ask(const struct bench *b, const char *folder)
{
  struct diagnosis *d = arena_get(&b->played->arena, sizeof *d);
  const struct why_options how = {.folder = folder};
  struct sim_error err;
  char text[1200];
  if (why_ask(b->root, b->script, b->part, &how, &b->played->arena, d, &err) !=
      SIM_OK)
    fail_msg("%s", sim_error_text(&err, text, sizeof text));
  return d;
}

static bool names(const struct explanation *e, enum why_cause cause)
{
  for (uint32_t i = 0; i < e->cause_count; i++)
    if (e->causes[i] == cause) return true;
  return false;
}

static struct diagnosis *ask_committed(struct played_bench *b,
                                       const char *name, const char *part)
{
  const struct bench bench = open_bench(
      b, played_format(b, FIRSTFETCH_ROOT "/traces/%s.jsonc", name), part);
  return ask(&bench, NULL);
}

/* --- the reports of the line --------------------------------------------- */

static const struct report_row {
  const char *name, *file, *part;
  enum why_cause first, second; /* WHY_COUNT_: none */
  uint32_t assumed;
} reports[] = {
    {"two facts: the stale latch comes first", "why-only-the-pc", "latched",
     WHY_STALE_LATCH, WHY_COUNT_, 1},
    {"the same where a register could mend it", "why-only-the-pc",
     "latched-clearable", WHY_STALE_LATCH, WHY_COUNT_, 1},
    {"no stale latch where there is no latch", "why-only-the-pc", "checked",
     WHY_START_OPTION, WHY_COUNT_, 1},
    {"the power cycle was none", "why-power-cycle", "latched",
     WHY_NO_POWER_CYCLE, WHY_COUNT_, 1},
    {"a signal fed the rail while the cell was out", "why-back-powered",
     "latched", WHY_NO_POWER_CYCLE, WHY_COUNT_, 1},
    {"an option that starts the watchdog came with the image", "why-watchdog",
     "latched-clearable", WHY_WATCHDOG, WHY_COUNT_, 1},
    {"the probe started it, and the ROM has its interrupts",
     "why-started-by-probe", "latched", WHY_STARTED_BY_PROBE, WHY_COUNT_, 1},
    {"as told, for the hand-over left interrupts masked", "why-handed-over",
     "../images/handover/part", WHY_HANDOVER_RESIDUE, WHY_COUNT_, 0},
    {"strap and option together", "why-strap-and-option", "latched",
     WHY_STRAP_LEVEL, WHY_START_OPTION, 2},
    {"an option write that was cut: fallback values", "why-options-cut",
     "latched-banked", WHY_OPTIONS_CUT, WHY_COUNT_, 1},
    {"a stale latch that hides a torn image", "why-torn-and-stale", "latched",
     WHY_STALE_LATCH, WHY_TORN, 2},
};

static void report_is_explained(void **state)
{
  struct played_bench *b = *state;
  const struct report_row *row = b->row;
  const struct diagnosis *d = ask_committed(b, row->file, row->part);
  assert_true(d->count > 0);
  assert_int_equal(d->list[0].assumed, row->assumed);
  assert_true(names(&d->list[0], row->first));
  if (row->second != WHY_COUNT_) assert_true(names(&d->list[0], row->second));
  assert_true(d->list[0].remedy_count > 0);
}

static void a_report_against_itself_has_no_explanation(void **state)
{
  const struct diagnosis *d =
      ask_committed(*state, "why-nothing-fits", "latched");
  assert_int_equal(d->count, 0);
  assert_true(d->singles > 10 && d->pairs > 10);
}

/* The battery is soldered in: of what mends a stale latch, only the reload is
 * at hand. */
static void only_what_is_at_hand_mends(void **state)
{
  const struct diagnosis *d =
      ask_committed(*state, "why-only-the-pc", "latched");
  assert_int_equal(d->list[0].mended_by_count, 1);
  assert_string_equal(d->list[0].mended_by[0], "option_reload");
}

/* --- a truth is found again ---------------------------------------------- */

static const char *const parts[] = {"latched", "latched-clearable", "checked",
                                    "strapped"};

/* A whole procedure, so that steps can have gone wrong. */
static const char procedure[] =
    "{ \"case\": \"As the line does it\", \"part\": \"%s\",\n"
    "  \"images\": { \"app\": \"" FIRSTFETCH_ROOT
    "/images/logger/logger.elf\" },\n"
    "  \"steps\": [ %s ], \"seen\": { %s } }\n";

static const char *const told[] = {
    "{\"reset\": \"pin\"}",
    "{\"power\": \"on\", \"for\": \"2ms\"},"
    " {\"probe\": \"attach\", \"reset\": \"held\"}, {\"write\": \"app\"},"
    " {\"reload\": \"options\"}, {\"probe\": \"detach\"},"
    " {\"power\": \"off\", \"for\": \"60s\"},"
    " {\"power\": \"on\", \"for\": \"2ms\"}, {\"reset\": \"pin\"}"};

static struct bench write_bench(struct played_bench *b, const char *part,
                                const char *steps, const char *seen)
{
  const char *file = played_text_file(
      b, "case.json", played_format(b, procedure, part, steps, seen));
  return open_bench(b, file, part);
}

/* What the bench shows with this cause, as the member "seen". */
static const char *shown_with(const struct bench *b, const struct plan *plan,
                              const struct proposal *base,
                              const struct proposal *truth, const char *skip,
                              const char **region)
{
  struct played_bench *p = b->played;
  struct case_edit edits[2 * WHY_MAX_EDITS + 1];
  uint32_t count = 0;
  for (uint32_t i = 0; i < base->count; i++)
    edits[count++] = base->edits[i];
  for (uint32_t i = 0; i < truth->count; i++)
    edits[count++] = truth->edits[i];
  edits[count++] =
      (struct case_edit){.kind = EDIT_LAST, .text = "[{\"run\": \"5ms\"}]"};
  struct json_out *document =
      case_edit(b->root, edits, count, NULL, &p->arena);
  const struct case_script *script;
  struct sim_error err;
  enum sim_status status =
      case_from_out(&p->arena, b->script->file, document, &script, &err);
  json_out_free(document);
  if (status != SIM_OK) return NULL;
  struct play *play;
  const struct play_options how = {
      .engine = cpu_engine_for_forks(b->part->core.kind)};
  if (play_prepare(script, b->part, &how, &play, &err) != SIM_OK) return NULL;
  struct sight_reader reader;
  sight_listen(&reader, play, plan);
  reader.result = play_run(play);
  struct sight keys[SIGHT_MAX];
  uint32_t key_count = sight_all(plan, keys);
  const char *text = "";
  for (uint32_t k = 0; k < key_count; k++) {
    char key[SIGHT_TEXT], value[SIGHT_TEXT];
    sight_key(plan, &keys[k], key);
    sight_read(&reader, &keys[k], value);
    if (strcmp(key, "region") == 0) *region = arena_text(&p->arena, value);
    if (skip != NULL && strstr(skip, key) != NULL) continue;
    text = played_format(p, "%s%s\"%s\": \"%s\"", text,
                         text[0] == '\0' ? "" : ", ", key, value);
  }
  play_free(play);
  return text;
}

/* The truth, or less than the truth that shows the same. */
static bool is_found(const struct diagnosis *d, enum why_cause truth)
{
  for (uint32_t i = 0; i < d->count; i++)
    if (d->list[i].assumed == 0 || names(&d->list[i], truth)) return true;
  return false;
}

static void splits(const struct diagnosis *d)
{
  if (d->split.key == NULL) return;
  assert_true(d->split.group_count >= 2);
  uint32_t all = 0;
  for (uint32_t i = 0; i < d->split.group_count; i++) {
    assert_int_equal(all & d->split.groups[i].members, 0);
    all |= d->split.groups[i].members;
  }
  assert_int_equal(all, d->count == 32 ? UINT32_MAX : (1u << d->count) - 1);
}

static struct proposals *propose(const struct bench *b,
                                 const struct plan *plan,
                                 struct proposal *base, bool whole)
{
  struct proposals *all =
      arena_get(&b->played->arena, sizeof(struct proposals));
  struct why_case *w = arena_get(&b->played->arena, sizeof *w);
  *w = (struct why_case){.root = b->root,
                         .script = b->script,
                         .part = b->part,
                         .plan = plan,
                         .arena = &b->played->arena,
                         .whole = whole,
                         .image = "app",
                         .bytes = plan->images[0]};
  *base = why_base(w);
  why_propose(w, all);
  return all;
}

/* Every sixth cause of this part and procedure, another share each time. */
static void truths_are_found(void **state, const char *part, size_t how)
{
  struct played_bench *p = *state;
  const struct bench b =
      write_bench(p, part, told[how], "\"region\": \"rom\"");
  struct play *play = played_prepare(b.script, b.part);
  const struct plan *plan = play_plan(play);
  struct proposal base;
  const struct proposals *all = propose(&b, plan, &base, how == 1);
  assert_true(all->count > 8);
  uint32_t asked = 0;
  for (uint32_t i = (uint32_t)how; i < all->count; i += 6) {
    const char *region = "";
    const char *seen =
        shown_with(&b, plan, &base, &all->list[i], NULL, &region);
    if (seen == NULL) continue;
    const struct bench full = write_bench(p, part, told[how], seen);
    const struct diagnosis *d = ask(&full, NULL);
    if (!is_found(d, all->list[i].cause))
      fail_msg("%s: %s is not found from {%s}", part,
               why_cause_word(all->list[i].cause), seen);
    splits(d);
    asked++;
  }
  assert_true(asked > 0);
  play_free(play);
}

static void truths_are_found_in_a_report_without_history(void **state)
{
  for (size_t i = 0; i < 2; i++)
    truths_are_found(state, parts[i], 0);
}

static void truths_are_found_in_a_whole_procedure(void **state)
{
  for (size_t i = 2; i < sizeof parts / sizeof parts[0]; i++)
    truths_are_found(state, parts[i], 1);
}

/* --- hand-overs, and probes that are gone -------------------------------- */

#define TICKER FIRSTFETCH_ROOT "/images/ticker/ticker.elf"
/* Its first instruction, a BKPT (ARM DDI 0419E A6.7.12). */
#define BROKEN                                                                \
  "{ \"file\": \"" TICKER "\", \"patch\": [ { \"at\": \"0x04000044\", "       \
  "\"word\": \"0x4685BE00\" } ] }"
#define HELD "{\"probe\": \"attach\", \"reset\": \"held\"}"

static const struct truth_row {
  const char *name, *part, *image, *board, *steps;
  enum why_cause cause;
  uint32_t stories; /* that many of this cause there are */
} truth_rows[] = {
    {"what a load and go left", "latched", "\"" TICKER "\"", "",
     "{\"power\": \"on\", \"for\": \"2ms\"}, " HELD
     ", {\"write\": \"app\"}, {\"probe\": \"start\", \"image\": \"app\"}",
     WHY_HANDOVER_RESIDUE, 4},
    {"debug enable, where a probe said that it cleaned up", "checked", BROKEN,
     "",
     "{\"power\": \"on\", \"for\": \"2ms\"}, " HELD
     ", {\"write\": \"app\"}, {\"probe\": \"detach\", \"leaves\": "
     "\"nothing\"}, {\"reset\": \"pin\"}",
     WHY_DEBUG_LEFT, 1},
    {"debug enable, of a probe that nobody told of", "checked", BROKEN, "",
     "{\"reset\": \"pin\"}", WHY_DEBUG_LEFT, 1},
    {"a launch by the host", "latched", "\"" TICKER "\"",
     "\"board\": { \"host\": {} }, ",
     "{\"power\": \"on\", \"for\": \"2ms\"}, " HELD
     ", {\"write\": \"app\"}, {\"probe\": \"detach\"}",
     WHY_LAUNCHED, 1},
    {"a lock that came with the debugger attached", "latched-banked",
     "\"" TICKER "\"", "", "{\"reset\": \"pin\"}", WHY_LOCKED_ATTACHED, 1},
    {"the same in a procedure that was told", "latched-banked",
     "\"" TICKER "\"", "",
     "{\"power\": \"on\", \"for\": \"2ms\"}, " HELD
     ", {\"write\": \"app\"}, {\"probe\": \"detach\"}, {\"reset\": \"pin\"}",
     WHY_LOCKED_ATTACHED, 1},
};

static struct bench truth_bench(struct played_bench *p,
                                const struct truth_row *r, const char *seen)
{
  const char *text = played_format(
      p,
      "{ \"case\": \"c\", \"part\": \"p\", \"images\": { \"app\": %s }, %s"
      "\"steps\": [ %s ], \"seen\": { %s } }",
      r->image, r->board, r->steps, seen);
  return open_bench(p, played_text_file(p, "case.json", text), r->part);
}

static bool is_named(const struct diagnosis *d, enum why_cause cause)
{
  for (uint32_t i = 0; i < d->count; i++)
    if (names(&d->list[i], cause)) return true;
  return false;
}

/* Each story of the cause, fed back, has the cause found again, by its name.
 */
static void truth_row(void **state)
{
  struct played_bench *p = *state;
  const struct truth_row *r = p->row;
  const struct bench b = truth_bench(p, r, "\"region\": \"rom\"");
  struct play *play = played_prepare(b.script, b.part);
  struct proposal base;
  bool whole = strstr(r->steps, "power") != NULL;
  const struct proposals *all = propose(&b, play_plan(play), &base, whole);
  uint32_t stories = 0;
  for (uint32_t i = 0; i < all->count; i++) {
    if (all->list[i].cause != r->cause) continue;
    stories++;
    const char *region = "";
    const char *seen =
        shown_with(&b, play_plan(play), &base, &all->list[i], NULL, &region);
    assert_non_null(seen);
    const struct bench full = truth_bench(p, r, seen);
    if (!is_named(ask(&full, NULL), r->cause))
      fail_msg("%s (%s) is not found from {%s}", why_cause_word(r->cause),
               all->list[i].detail ? all->list[i].detail : "", seen);
  }
  assert_int_equal(stories, r->stories);
  play_free(play);
}

/* With less seen there is more that agrees; with one fact against the truth it
 * is out. */
static void fewer_facts_keep_the_truth_and_a_false_one_drops_it(void **state)
{
  struct played_bench *p = *state;
  const struct bench b =
      write_bench(p, "latched", told[0], "\"region\": \"rom\"");
  struct play *play = played_prepare(b.script, b.part);
  struct proposal base;
  const struct proposals *all = propose(&b, play_plan(play), &base, false);
  const struct proposal *truth = &all->list[0];
  assert_int_equal(truth->cause, WHY_STALE_LATCH);
  const char *region = "";
  const char *seen =
      shown_with(&b, play_plan(play), &base, truth, NULL, &region);
  const char *fewer =
      shown_with(&b, play_plan(play), &base, truth,
                 "pin.P4 flag.pin after.option_reload strap.start", &region);
  assert_true(strlen(fewer) < strlen(seen));
  const struct bench full = write_bench(p, "latched", told[0], seen);
  const struct diagnosis *from_all = ask(&full, NULL);
  const struct bench partial = write_bench(p, "latched", told[0], fewer);
  const struct diagnosis *from_fewer = ask(&partial, NULL);
  assert_true(is_found(from_all, WHY_STALE_LATCH));
  assert_true(is_found(from_fewer, WHY_STALE_LATCH));
  assert_true(from_fewer->count >= from_all->count);
  const char *against =
      played_format(p, "%s, \"option.start.source\": \"rom\"",
                    shown_with(&b, play_plan(play), &base, truth,
                               "option.start.source", &region));
  const struct bench false_one = write_bench(p, "latched", told[0], against);
  assert_false(is_found(ask(&false_one, NULL), WHY_STALE_LATCH));
  play_free(play);
}

/* --- what is written shows what was seen --------------------------------- */

static void written_benches_show_it(void **state)
{
  struct played_bench *p = *state;
  const struct bench b = open_bench(
      p, FIRSTFETCH_ROOT "/traces/why-only-the-pc.jsonc", "latched");
  struct diagnosis *d = ask(&b, p->folder);
  assert_true(d->count > 1);
  for (uint32_t i = 0; i < d->count; i++) {
    char name[32];
    snprintf(name, sizeof name, "bench-%u.json", (unsigned)i);
    const char *path = played_format(p, "%s/%s", p->folder, name);
    FILE *to = fopen(path, "w");
    assert_non_null(to);
    assert_true(json_write(d->list[i].bench, to));
    fclose(to);
    struct play *play =
        played_prepare(played_case(p, path), played_part(p, PLAYED_LATCHED));
    const struct result *r = play_run(play);
    const struct start *last = &r->starts[r->start_count - 1];
    assert_string_equal(last->region, "rom");
    assert_int_equal(last->pc, d->list[i].start.pc);
    play_free(play);
  }
  why_free(d);
}

/* --- what can't be seen is refused --------------------------------------- */

static const struct refused_row {
  const char *name, *seen, *message;
} refused[] = {
    {"a key that there is not", "\"colour\": \"red\"", "one of the keys"},
    {"a region that the part lacks", "\"region\": \"disk\"", "\"flash\""},
    {"a key without its subject", "\"word\": \"erased\"", "one of the keys"},
    {"a subject where none belongs", "\"region.x\": \"rom\"",
     "one of the keys"},
    {"an address that is no word", "\"word.0x04000001\": \"erased\"",
     "multiple of 4"},
    {"a word that is none", "\"word.0x04000000\": \"full\"", "programmed"},
    {"a strap that the part lacks", "\"strap.nose\": \"high\"", "NAME"},
    {"a level that is none", "\"strap.start\": \"maybe\"", "\"high\""},
    {"an option that the part lacks", "\"option.a.b\": \"rom\"", "WORD.FIELD"},
    {"a value that the option lacks", "\"option.start.source\": \"sun\"",
     "\"check\""},
    {"a voltage that is none", "\"rail_low\": \"low\"", "a voltage"},
    {"an event that can't happen", "\"after.lunch\": \"rom\"", "EVENT"},
    {"nothing at all", "", "what was seen"},
};

static void sight_is_refused(void **state)
{
  struct played_bench *p = *state;
  const struct refused_row *row = p->row;
  const struct bench b = write_bench(p, "latched", told[0], row->seen);
  struct diagnosis *d = arena_get(&p->arena, sizeof *d);
  const struct why_options how = {0};
  struct sim_error err;
  assert_int_not_equal(
      why_ask(b.root, b.script, b.part, &how, &p->arena, d, &err), SIM_OK);
  char text[1200];
  assert_non_null(
      strstr(sim_error_text(&err, text, sizeof text), row->message));
}

int main(void)
{
  struct CMUnitTest tests[6 + ROWS_COUNT(reports) + ROWS_COUNT(refused) +
                          ROWS_COUNT(truth_rows)] = {
      PLAYED_TEST(a_report_against_itself_has_no_explanation),
      PLAYED_TEST(only_what_is_at_hand_mends),
      PLAYED_TEST(truths_are_found_in_a_report_without_history),
      PLAYED_TEST(truths_are_found_in_a_whole_procedure),
      PLAYED_TEST(fewer_facts_keep_the_truth_and_a_false_one_drops_it),
      PLAYED_TEST(written_benches_show_it)};
  PLAYED_ADD(tests + 6, report_is_explained, reports);
  PLAYED_ADD(tests + 6 + ROWS_COUNT(reports), sight_is_refused, refused);
  PLAYED_ADD(tests + 6 + ROWS_COUNT(reports) + ROWS_COUNT(refused), truth_row,
             truth_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
