#include "cli/cmd_run.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

#include "cli/engine_word.h"
#include "cli/output.h"
#include "cli/run_events.h"
#include "cli/run_outputs.h"
#include "cli/run_plan.h"
#include "describe/result.h"

enum {
  RUN_PART,
  RUN_IMAGE,
  RUN_BASE,
  RUN_COMPARE,
  RUN_JSON,
  RUN_JUNIT,
  RUN_VCD,
  RUN_HTML,
  RUN_SVG,
  RUN_TRACE,
  RUN_AGAINST,
  RUN_SVD,
  RUN_LEARNED,
  RUN_VERBOSE,
  RUN_QUIET,
  RUN_WORDS,
  RUN_CODE,
  RUN_AFTER,
  RUN_ENGINE,
  RUN_SEMIHOSTING,
  RUN_MODELS,
  RUN_OPTION_COUNT_
};

static const struct option options[] = {
    [RUN_PART] = {"part", "P[,Q...]",
                  "play on these parts, side by side, instead of the case's "
                  "own; \"all\" is every part of the first models folder",
                  false},
    [RUN_IMAGE] = {"image", "FILE",
                   "instead of a case: write this image into a blank part and "
                   "tell how it starts then; needs --part",
                   false},
    [RUN_BASE] = {"base", "ADDRESS",
                  "where a raw binary given with --image goes, \"0x...\"",
                  false},
    [RUN_COMPARE] = {"compare", NULL, "judge nothing, only tell", false},
    [RUN_JSON] = {"json", "FILE", "write the results there as JSON", false},
    [RUN_JUNIT] = {"junit", "FILE",
                   "write the verdicts there as JUnit-style XML", false},
    [RUN_VCD] = {"vcd", "FILE",
                 "write a value change dump for waveform viewers there; for "
                 "one case on one part",
                 false},
    [RUN_HTML] = {"html", "FILE",
                  "write the results there as one page that needs no network, "
                  "with --after",
                  false},
    [RUN_SVG] = {"svg", "FILE",
                 "draw what held when there; for one case on one part", false},
    [RUN_TRACE] = {"trace", "FILE", "write every recorded event there", false},
    [RUN_AGAINST] = {"against", "FILE",
                     "compare the events with those of a file that --trace "
                     "has written before; the first that differs is told, and "
                     "the exit status is 1",
                     false},
    [RUN_SVD] = {"svd", "FILE",
                 "names and reset values of registers that the part does not "
                 "describe, a CMSIS-SVD file",
                 false},
    [RUN_LEARNED] = {"learned", "FILE",
                     "write what was learned about such registers there, to "
                     "be pasted into the part's file; for one case on one "
                     "part",
                     false},
    [RUN_VERBOSE] = {"verbose", NULL,
                     "tell every recorded event and all that is known of each "
                     "start too, with its first instructions and those where "
                     "it landed and stopped",
                     false},
    [RUN_QUIET] = {"quiet", NULL, "tell the verdict only", false},
    [RUN_WORDS] = {"words", "FOR",
                   "explain findings and start rules for a \"newcomer\" (as "
                   "it is without this), an \"expert\", or \"both\"",
                   false},
    [RUN_CODE] = {"code", NULL, "put these instructions into the JSON", false},
    [RUN_AFTER] = {"after", NULL,
                   "tell too where each reset would start from the end on",
                   false},
    [RUN_ENGINE] = {"engine", "E",
                    "what executes the instructions: \"unicorn\", \"own\", or "
                    "\"both\" in lockstep, which is slow and stops where they "
                    "differ; the answer is the same",
                    false},
    [RUN_SEMIHOSTING] = {"semihosting", NULL,
                         "let programs write to the host and end themselves "
                         "with a status, by BKPT 0xAB; a part's file can say "
                         "so too (core.semihosting)",
                         false},
    [RUN_MODELS] = FOLDERS_OPTION,
};

struct runner {
  const struct run_plan *plan;
  bool text; /* the report for people is printed */
  bool compare;
  bool quiet;
  struct firstfetch_text how;
  bool after, semihosting;
  enum firstfetch_engine engine;
  struct run_outputs outputs;
  struct run_events events;
  struct firstfetch_json *json;   /* NULL: nobody asked for it */
  struct firstfetch_junit *junit; /* the same */
  struct firstfetch_html *html;   /* the same */
  bool any_failed;
};

static FILE *stream(const struct runner *r, enum run_output which)
{
  return run_outputs_stream(&r->outputs, which);
}

static FILE *events_stream(const struct runner *r)
{
  return r->events.kept ? r->events.kept : stream(r, RUN_OUTPUT_TRACE);
}

/* --- one case ------------------------------------------------------------ */

static enum sim_status play(struct runner *r, const struct planned_case *c,
                            uint32_t part, struct firstfetch_run **run,
                            struct sim_error *err)
{
  FILE *svg = stream(r, RUN_OUTPUT_SVG);
  const struct firstfetch_options how = {.no_judging = r->compare,
                                         .after = r->after,
                                         .timeline = r->html || svg,
                                         .trace = events_stream(r),
                                         .vcd = stream(r, RUN_OUTPUT_VCD),
                                         .svd = r->plan->svd,
                                         .engine = r->engine,
                                         .semihosting = r->semihosting};
  enum sim_status status =
      firstfetch_play(c->script, c->parts[part], &how, run, err);
  if (status != SIM_OK) return status;
  if (firstfetch_result(*run)->verdict == VERDICT_FAILED) {
    r->any_failed = true;
  }
  if (r->json) firstfetch_json_add(r->json, *run);
  if (r->junit) firstfetch_junit_add(r->junit, *run);
  FILE *learned = stream(r, RUN_OUTPUT_LEARNED);
  if (learned) firstfetch_write_learned(*run, learned);
  if (svg) firstfetch_write_svg(*run, svg);
  return SIM_OK;
}

static void print_one(struct runner *r, const struct firstfetch_run *run,
                      bool last)
{
  struct firstfetch_text how = r->how;
  how.last = last;
  if (how.full) {
    run_events_show(&r->events, stdout);
    putchar('\n');
  }
  firstfetch_write_text(run, &how, stdout);
}

static void print(struct runner *r, struct firstfetch_run *const *runs,
                  const struct planned_case *c)
{
  const struct planned_case *end = r->plan->cases + r->plan->case_count;
  if (r->html)
    firstfetch_html_add(r->html, (const struct firstfetch_run *const *)runs,
                        c->part_count);
  if (!r->text) return;
  if (r->quiet) {
    for (uint32_t i = 0; i < c->part_count; i++) {
      firstfetch_write_verdict(runs[i], r->how.colour, stdout);
    }
    return;
  }
  if (c != r->plan->cases) fputs("\n----\n\n", stdout);
  if (c->part_count == 1) {
    print_one(r, runs[0], c + 1 == end);
  } else {
    firstfetch_write_side_by_side((const struct firstfetch_run *const *)runs,
                                  c->part_count, stdout);
  }
}

static enum sim_status run_case(struct runner *r, const struct planned_case *c,
                                struct sim_error *err)
{
  struct firstfetch_run *runs[FIRSTFETCH_MAX_BESIDE] = {NULL};
  assert(c->part_count >= 1 && c->part_count <= FIRSTFETCH_MAX_BESIDE);
  enum sim_status status = SIM_OK;
  for (uint32_t i = 0; i < c->part_count && status == SIM_OK; i++) {
    status = play(r, c, i, &runs[i], err);
  }
  if (status == SIM_OK) print(r, runs, c);
  for (uint32_t i = 0; i < c->part_count; i++) {
    firstfetch_run_free(runs[i]);
  }
  return status;
}

/* --- all of them --------------------------------------------------------- */

static enum sim_status run_all(struct runner *r, struct sim_error *err)
{
  for (uint32_t i = 0; i < r->plan->case_count; i++) {
    enum sim_status status = run_case(r, &r->plan->cases[i], err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

static enum sim_status finish(struct runner *r, struct sim_error *err)
{
  if (r->json) firstfetch_json_write(r->json, stream(r, RUN_OUTPUT_JSON));
  if (r->junit) firstfetch_junit_write(r->junit, stream(r, RUN_OUTPUT_JUNIT));
  if (r->html) firstfetch_html_end(r->html);
  if (r->text && r->events.name) putchar('\n');
  bool same = run_events_tell(&r->events, stream(r, RUN_OUTPUT_TRACE),
                              r->text ? stdout : stderr);
  if (!same) r->any_failed = true;
  return run_outputs_commit(&r->outputs, err);
}

static enum sim_status open_and_run(struct runner *r,
                                    const struct given *given,
                                    const struct run_output_names *names,
                                    struct sim_error *err)
{
  enum sim_status status =
      run_events_open(&r->events, options_value(given, RUN_AGAINST),
                      r->text && r->how.full, given->arena, err);
  if (status == SIM_OK) {
    status = run_outputs_open(&r->outputs, names, given->arena, err);
  }
  if (status != SIM_OK) return status;
  if (stream(r, RUN_OUTPUT_JSON)) r->json = firstfetch_json_open();
  if (r->json && given->options[RUN_CODE].count > 0)
    firstfetch_json_with_code(r->json);
  if (stream(r, RUN_OUTPUT_JUNIT)) r->junit = firstfetch_junit_open();
  if (stream(r, RUN_OUTPUT_HTML)) {
    r->html =
        firstfetch_html_open(stream(r, RUN_OUTPUT_HTML), r->plan->case_count,
                             r->plan->cases[0].script->title);
    r->after = true;
  }
  status = run_all(r, err);
  if (status == SIM_OK) status = finish(r, err);
  return status;
}

static struct run_output_names output_names(const struct given *given)
{
  return (struct run_output_names){
      {[RUN_OUTPUT_JSON] = options_value(given, RUN_JSON),
       [RUN_OUTPUT_JUNIT] = options_value(given, RUN_JUNIT),
       [RUN_OUTPUT_VCD] = options_value(given, RUN_VCD),
       [RUN_OUTPUT_HTML] = options_value(given, RUN_HTML),
       [RUN_OUTPUT_SVG] = options_value(given, RUN_SVG),
       [RUN_OUTPUT_TRACE] = options_value(given, RUN_TRACE),
       [RUN_OUTPUT_LEARNED] = options_value(given, RUN_LEARNED)}};
}

static enum sim_status usage(const char *option, const char *what,
                             struct sim_error *err)
{
  const struct sim_place where = {.path = option};
  return sim_fail(err, SIM_USAGE, &where, "%s", what);
}

/* What the table of options can't say. */
static enum sim_status check_options(const struct given *given,
                                     struct sim_error *err)
{
  if (given->options[RUN_CODE].count > 0 && !options_value(given, RUN_JSON))
    return usage("--code", "is about the JSON; expected --json as well", err);
  if (given->options[RUN_QUIET].count > 0 &&
      given->options[RUN_VERBOSE].count > 0)
    return usage("--quiet",
                 "asks for less and --verbose for more; expected "
                 "one of them",
                 err);
  return SIM_OK;
}

/* The index of a value among words that end with NULL; the first where the
 * option was not given. */
static enum sim_status choose(const struct given *given, size_t option,
                              const char *const *words, const char *expected,
                              unsigned *index, struct sim_error *err)
{
  const char *value = options_value(given, option);
  *index = 0;
  if (!value) return SIM_OK;
  for (unsigned i = 0; words[i]; i++) {
    if (strcmp(value, words[i]) != 0) continue;
    *index = i;
    return SIM_OK;
  }
  char path[32];
  snprintf(path, sizeof path, "--%s", options[option].name);
  const struct sim_place where = {.path = path};
  return sim_fail(err, SIM_USAGE, &where, "is \"%s\"; expected %s", value,
                  expected);
}

static enum sim_status choose_words(struct runner *r,
                                    const struct given *given,
                                    struct sim_error *err)
{
  static const char *const readers[] = {[FIRSTFETCH_NEWCOMER] = "newcomer",
                                        [FIRSTFETCH_EXPERT] = "expert",
                                        [FIRSTFETCH_BOTH_WORDINGS] = "both",
                                        NULL};
  unsigned reader;
  enum cpu_engine engine;
  enum sim_status status = engine_word(options_value(given, RUN_ENGINE),
                                       CPU_ENGINE_UNICORN, &engine, err);
  if (status != SIM_OK) return status;
  r->engine = (enum firstfetch_engine)engine;
  status = choose(given, RUN_WORDS, readers, "newcomer, expert or both",
                  &reader, err);
  if (status != SIM_OK) return status;
  r->how.words = (enum firstfetch_words)reader;
  return SIM_OK;
}

static enum sim_status run_planned(const struct given *given,
                                   const struct run_plan *plan,
                                   const struct run_output_names *names,
                                   bool text, int *exit_code,
                                   struct sim_error *err)
{
  struct runner r = {.plan = plan,
                     .text = text,
                     .compare = given->options[RUN_COMPARE].count > 0,
                     .after = given->options[RUN_AFTER].count > 0,
                     .semihosting = given->options[RUN_SEMIHOSTING].count > 0,
                     .quiet = given->options[RUN_QUIET].count > 0,
                     .how = {.full = given->options[RUN_VERBOSE].count > 0,
                             .colour = output_has_colour()}};
  enum sim_status status = choose_words(&r, given, err);
  if (status == SIM_OK) status = open_and_run(&r, given, names, err);
  run_outputs_abandon(&r.outputs);
  run_events_close(&r.events);
  firstfetch_json_close(r.json);
  firstfetch_junit_close(r.junit);
  firstfetch_html_close(r.html);
  *exit_code = r.any_failed ? EXIT_NOT_HELD : EXIT_HELD;
  return status;
}

static enum sim_status run(const struct given *given, int *exit_code,
                           struct sim_error *err)
{
  const struct run_output_names names = output_names(given);
  bool standard_is_taken;
  enum sim_status status = check_options(given, err);
  if (status == SIM_OK) {
    status = run_outputs_check(&names, &standard_is_taken, err);
  }
  if (status != SIM_OK) return status;
  const struct run_request request = {
      .cases = given->words,
      .case_count = given->word_count,
      .parts = options_value(given, RUN_PART),
      .image = options_value(given, RUN_IMAGE),
      .base = options_value(given, RUN_BASE),
      .svd = options_value(given, RUN_SVD),
      .models = &given->options[RUN_MODELS],
  };
  struct run_plan plan;
  status = run_plan_make(&plan, &request, given->arena, err);
  if (status == SIM_OK) {
    bool one_run = plan.case_count == 1 && plan.cases[0].part_count == 1;
    status = run_outputs_check_runs(&names, one_run, err);
  }
  if (status == SIM_OK) {
    status =
        run_planned(given, &plan, &names, !standard_is_taken, exit_code, err);
  }
  run_plan_free(&plan);
  return status;
}

const struct command cmd_run = {
    .name = "run",
    .usage = {"CASE... [--part P[,Q...]|all]",
              "--image FILE --part P[,Q...]|all [--base ADDRESS]"},
    .sentence = "Where does each start begin, and why; did the expectations "
                "hold?",
    .more =
        "FILE may be - for standard output; the report for people is not "
        "printed then. Files are written whole or not at all. Exit status: "
        "0 all expectations held, or there were none; 1 an expectation or "
        "a never failed, or --against found a difference; 2 the input is "
        "wrong or an output could not be "
        "written.",
    .options = options,
    .option_count = RUN_OPTION_COUNT_,
    .run = run,
};
