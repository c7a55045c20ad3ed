#include "cli/cmd_run.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

#include "cli/output.h"
#include "cli/run_plan.h"
#include "describe/result.h"

enum {
  RUN_PART,
  RUN_IMAGE,
  RUN_BASE,
  RUN_COMPARE,
  RUN_JSON,
  RUN_TRACE,
  RUN_HTML,
  RUN_SVG,
  RUN_SVD,
  RUN_LEARNED,
  RUN_VERBOSE,
  RUN_CODE,
  RUN_AFTER,
  RUN_ENGINE,
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
    [RUN_TRACE] = {"trace", "FILE", "write every recorded event there", false},
    [RUN_HTML] = {"html", "FILE",
                  "write the results there as one page that needs no network, "
                  "with --after",
                  false},
    [RUN_SVG] = {"svg", "FILE",
                 "draw what held when there; for one case on one part", false},
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
                     "tell the first instructions of each start too, and "
                     "those where it landed and stopped",
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
    [RUN_MODELS] = FOLDERS_OPTION,
};

/* Files that are asked for, in the order in which they are opened. */
enum { OUT_JSON, OUT_TRACE, OUT_LEARNED, OUT_HTML, OUT_SVG, OUT_COUNT_ };
static const size_t output_options[OUT_COUNT_] = {
    [OUT_JSON] = RUN_JSON,       [OUT_TRACE] = RUN_TRACE,
    [OUT_LEARNED] = RUN_LEARNED, [OUT_HTML] = RUN_HTML,
    [OUT_SVG] = RUN_SVG,
};

struct runner {
  const struct run_plan *plan;
  bool text; /* the report for people is printed */
  bool compare;
  bool verbose;
  bool after;
  enum firstfetch_engine engine;
  struct output outputs[OUT_COUNT_];
  struct firstfetch_json *document; /* NULL: nobody asked for it */
  struct firstfetch_html *html;     /* the same */
  bool any_failed;
};

/* --- one case ------------------------------------------------------------ */

static enum sim_status play(struct runner *r, const struct planned_case *c,
                            uint32_t part, struct firstfetch_run **run,
                            struct sim_error *err)
{
  FILE *svg = r->outputs[OUT_SVG].stream;
  FILE *learned = r->outputs[OUT_LEARNED].stream;
  const struct firstfetch_options how = {.no_judging = r->compare,
                                         .after = r->after,
                                         .timeline = r->html || svg,
                                         .trace = r->outputs[OUT_TRACE].stream,
                                         .svd = r->plan->svd,
                                         .engine = r->engine};
  enum sim_status status =
      firstfetch_play(c->script, c->parts[part], &how, run, err);
  if (status != SIM_OK) return status;
  if (firstfetch_result(*run)->verdict == VERDICT_FAILED) {
    r->any_failed = true;
  }
  if (r->document) firstfetch_json_add(r->document, *run);
  if (learned) firstfetch_write_learned(*run, learned);
  if (svg) firstfetch_write_svg(*run, svg);
  return SIM_OK;
}

static void print(struct runner *r, struct firstfetch_run *const *runs,
                  const struct planned_case *c)
{
  if (r->html)
    firstfetch_html_add(r->html, (const struct firstfetch_run *const *)runs,
                        c->part_count);
  const struct planned_case *end = r->plan->cases + r->plan->case_count;
  if (!r->text) return;
  if (c != r->plan->cases) fputs("\n----\n\n", stdout);
  if (c->part_count == 1 && r->verbose) {
    firstfetch_write_text_with_code(runs[0], c + 1 == end, stdout);
  } else if (c->part_count == 1) {
    firstfetch_write_text(runs[0], c + 1 == end, stdout);
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
  enum sim_status status = SIM_OK;
  if (r->document)
    firstfetch_json_write(r->document, r->outputs[OUT_JSON].stream);
  if (r->html) firstfetch_html_end(r->html);
  for (size_t i = 0; i < OUT_COUNT_ && status == SIM_OK; i++)
    status = output_commit(&r->outputs[i], err);
  return status;
}

static enum sim_status open_and_run(struct runner *r,
                                    const struct given *given,
                                    struct sim_error *err)
{
  enum sim_status status = SIM_OK;
  for (size_t i = 0; i < OUT_COUNT_ && status == SIM_OK; i++) {
    status =
        output_open(&r->outputs[i], options_value(given, output_options[i]),
                    given->arena, err);
  }
  if (status != SIM_OK) return status;
  if (r->outputs[OUT_JSON].stream) r->document = firstfetch_json_open();
  if (r->document && given->options[RUN_CODE].count > 0)
    firstfetch_json_with_code(r->document);
  if (r->outputs[OUT_HTML].stream) {
    r->html =
        firstfetch_html_open(r->outputs[OUT_HTML].stream, r->plan->case_count,
                             r->plan->cases[0].script->title);
    r->after = true;
  }
  status = run_all(r, err);
  if (status == SIM_OK) status = finish(r, err);
  return status;
}

/* What the table of options can't say: outputs must not overwrite one
 * another. */
static enum sim_status check_outputs(const struct given *given,
                                     bool *standard_is_taken,
                                     struct sim_error *err)
{
  const size_t *outputs = output_options;
  *standard_is_taken = false;
  if (given->options[RUN_CODE].count > 0 && !options_value(given, RUN_JSON)) {
    const struct sim_place where = {.path = "--code"};
    return sim_fail(err, SIM_USAGE, &where,
                    "is about the JSON; expected --json as well");
  }
  for (size_t b = 0; b < OUT_COUNT_; b++) {
    const char *name = options_value(given, outputs[b]);
    if (!name) continue;
    *standard_is_taken = *standard_is_taken || output_is_standard(name);
    for (size_t a = 0; a < b; a++) {
      const char *other = options_value(given, outputs[a]);
      if (!other || strcmp(name, other) != 0) continue;
      char option[32];
      snprintf(option, sizeof option, "--%s", options[outputs[b]].name);
      const struct sim_place where = {.path = option};
      return sim_fail(err, SIM_USAGE, &where,
                      "goes where --%s goes; expected another file",
                      options[outputs[a]].name);
    }
  }
  return SIM_OK;
}

/* What is learned belongs to one part, and a picture to one run. */
static enum sim_status check_single(const struct given *given,
                                    const struct run_plan *plan,
                                    struct sim_error *err)
{
  static const size_t single[] = {RUN_LEARNED, RUN_SVG};
  if (plan->case_count == 1 && plan->cases[0].part_count == 1) return SIM_OK;
  for (size_t i = 0; i < sizeof single / sizeof single[0]; i++) {
    char option[32];
    if (!options_value(given, single[i])) continue;
    snprintf(option, sizeof option, "--%s", options[single[i]].name);
    const struct sim_place where = {.path = option};
    return sim_fail(err, SIM_USAGE, &where,
                    "is for one run; expected one case and one part");
  }
  return SIM_OK;
}

static enum sim_status choose_engine(const char *word,
                                     enum firstfetch_engine *engine,
                                     struct sim_error *err)
{
  static const char *const words[] = {[FIRSTFETCH_UNICORN] = "unicorn",
                                      [FIRSTFETCH_OWN] = "own",
                                      [FIRSTFETCH_BOTH] = "both"};
  *engine = FIRSTFETCH_UNICORN;
  if (word == NULL) return SIM_OK;
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
    if (strcmp(word, words[i]) != 0) continue;
    *engine = (enum firstfetch_engine)i;
    return SIM_OK;
  }
  const struct sim_place where = {.path = "--engine"};
  return sim_fail(err, SIM_USAGE, &where,
                  "is \"%s\"; expected unicorn, own or both", word);
}

static enum sim_status run_planned(const struct given *given,
                                   const struct run_plan *plan, bool text,
                                   int *exit_code, struct sim_error *err)
{
  struct runner r = {.plan = plan,
                     .text = text,
                     .compare = given->options[RUN_COMPARE].count > 0,
                     .after = given->options[RUN_AFTER].count > 0,
                     .verbose = given->options[RUN_VERBOSE].count > 0};
  enum sim_status status =
      choose_engine(options_value(given, RUN_ENGINE), &r.engine, err);
  if (status == SIM_OK) status = open_and_run(&r, given, err);
  for (size_t i = 0; i < OUT_COUNT_; i++)
    output_abandon(&r.outputs[i]);
  firstfetch_json_close(r.document);
  firstfetch_html_close(r.html);
  *exit_code = r.any_failed ? EXIT_NOT_HELD : EXIT_HELD;
  return status;
}

static enum sim_status run(const struct given *given, int *exit_code,
                           struct sim_error *err)
{
  bool standard_is_taken;
  enum sim_status status = check_outputs(given, &standard_is_taken, err);
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
  if (status == SIM_OK) status = check_single(given, &plan, err);
  if (status == SIM_OK) {
    status = run_planned(given, &plan, !standard_is_taken, exit_code, err);
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
        "a never failed; 2 the input is wrong or an output could not be "
        "written.",
    .options = options,
    .option_count = RUN_OPTION_COUNT_,
    .run = run,
};
