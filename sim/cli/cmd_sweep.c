#include "cli/cmd_sweep.h"

#include <inttypes.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/signalfd.h>
#include <unistd.h>

#include "base/file.h"
#include "cli/folders.h"
#include "cli/progress.h"
#include "cli/sweep_lines.h"
#include "cli/sweep_outputs.h"
#include "cli/sweep_request.h"
#include "report/sweep_report.h"
#include "run/sweep_summary.h"
#include "run/sweep_workers.h"

static const struct option options[] = {
    [SWEEP_CUT] = {"cut", "PLAN",
                   "cut the power at each-write, each-event or each-cycle of "
                   "the case, power on again: where does it start?",
                   false},
    [SWEEP_RESET] = {"reset", "CAUSE:PLAN",
                     "the same with a reset; each-event if not said", false},
    [SWEEP_VALUES] = {"vary", "RANGE",
                      "play the case with each of these values of a step, or "
                      "of the supply: LABEL.key=FROM..TO/STEP; several make a "
                      "grid",
                      true},
    [SWEEP_EDGE] = {"edge", NULL,
                    "find where the answer changes along --vary by halving",
                    false},
    [SWEEP_CORNERS] = {"corners", NULL,
                       "play the case at both ends of each tolerance of the "
                       "part, and tell the margin of each expectation",
                       false},
    [SWEEP_POINT] = {"point", "ID", "ask this point alone", false},
    [SWEEP_HOLD] = {"hold", "TIME",
                    "how long --reset pin pulls the line; 20us", false},
    [SWEEP_FOR] = {"for", "TIME",
                   "how long a start is watched to see where it gets; 10ms",
                   false},
    [SWEEP_ALLOW] = {"allow", "CLASS[,...]",
                     "exit with 1 if a point has another class", false},
    [SWEEP_PART] = {"part", "P", "on this part, not the case's own", false},
    [SWEEP_JOBS] = {"jobs", "N",
                    "worker processes; one a processor if not "
                    "said",
                    false},
    [SWEEP_SHARD] = {"shard", "I/N", "only the I-th of N shares of the points",
                     false},
    [SWEEP_JSONL] = {"jsonl", "FILE", "write each record there as it comes",
                     false},
    [SWEEP_RESUME] = {"resume", "FILE", "go on with such a file", false},
    [SWEEP_JSON] = {"json", "FILE", "write the result there as JSON", false},
    [SWEEP_SVG] = {"svg", "FILE", "draw outcome over time there", false},
    [SWEEP_HTML] = {"html", "FILE", "write the result there as one page",
                    false},
    [SWEEP_ENGINE] = {"engine", "E",
                      "what executes the instructions: \"unicorn\", \"own\" "
                      "or \"both\", as of `run`; \"own\" if not said, on "
                      "parts that it can execute",
                      false},
    [SWEEP_MODELS] = FOLDERS_OPTION,
};

struct sweeper {
  const struct given *given;
  struct sweep_request request;
  struct sweep_outputs outputs;
  struct sweep_lines lines;
  struct sweep_head head;
  struct sweep_records records;
  struct progress progress;
};

/* --- all points of a shard ----------------------------------------------- */

static void take_record(void *context, const struct sweep_record *r)
{
  struct sweeper *s = context;
  sweep_lines_add(&s->lines, r);
  sweep_records_add(&s->records, r);
  progress_add(&s->progress, r->last - r->first + 1);
}

static void tick(void *context)
{
  struct sweeper *s = context;
  progress_tick(&s->progress);
}

/* Readable once the user, or whoever ends this process, wants it to stop. */
static int stop_handle(void)
{
  sigset_t signals;
  sigemptyset(&signals);
  sigaddset(&signals, SIGINT);
  sigaddset(&signals, SIGTERM);
  sigaddset(&signals, SIGHUP);
  sigprocmask(SIG_BLOCK, &signals, NULL);
  return signalfd(-1, &signals, SFD_CLOEXEC);
}

static enum sim_status open_lines(struct sweeper *s, struct sim_error *err)
{
  const char *jsonl = options_value(s->given, SWEEP_JSONL);
  const char *resume = options_value(s->given, SWEEP_RESUME);
  if (jsonl && resume) {
    const struct sim_place where = {.path = "--resume"};
    return sim_fail(err, SIM_USAGE, &where,
                    "writes to its own file; expected no --jsonl");
  }
  if (!resume) return sweep_lines_begin(&s->lines, jsonl, &s->head, err);
  enum sim_status status = sweep_lines_resume(
      &s->lines, resume, s->given->arena, &s->head, &s->records, err);
  sweep_records_order(&s->records);
  return status;
}

static enum sim_status work(struct sweeper *s, struct sweep_range whole,
                            bool *complete, struct sim_error *err)
{
  struct sweep_range *ranges;
  uint32_t range_count;
  uint64_t left = 0;
  sweep_missing(s->given->arena, &s->records, whole, &ranges, &range_count);
  for (uint32_t i = 0; i < range_count; i++)
    left += ranges[i].last - ranges[i].first + 1;
  int stop = stop_handle();
  const struct sweep_work asked = {.sweep = &s->request.sweep,
                                   .ranges = ranges,
                                   .range_count = range_count,
                                   .jobs = s->request.jobs,
                                   .stop = stop,
                                   .record = take_record,
                                   .tick = tick,
                                   .context = s};
  progress_begin(&s->progress, left, "points");
  enum sim_status status = sweep_work(&asked, complete, err);
  progress_end(&s->progress);
  if (stop >= 0) close(stop);
  return status;
}

static enum sim_status tell_interrupted(struct sweeper *s, int *exit_code,
                                        struct sim_error *err)
{
  *exit_code = EXIT_INTERRUPTED;
  if (s->lines.name != NULL)
    fprintf(stderr, "firstfetch: interrupted; --resume %s goes on\n",
            s->lines.name);
  else
    fputs("firstfetch: interrupted; with --jsonl it could be resumed\n",
          stderr);
  return sweep_lines_leave(&s->lines, err);
}

static enum sim_status sweep_points(struct sweeper *s, int *exit_code,
                                    struct sim_error *err)
{
  bool complete;
  struct sweep_range whole =
      sweep_shard(s->head.point_count, s->request.shard, s->request.shards);
  enum sim_status status = open_lines(s, err);
  if (status == SIM_OK) status = work(s, whole, &complete, err);
  if (status == SIM_OK && !complete)
    return tell_interrupted(s, exit_code, err);
  sweep_records_order(&s->records);
  if (status == SIM_OK) status = sweep_complete(&s->records, whole, err);
  if (status == SIM_OK)
    status = sweep_lines_finish(&s->lines, s->given->arena, &s->head,
                                &s->records, err);
  if (status == SIM_OK)
    status = sweep_outputs_write(&s->outputs, &s->head, &s->records, err);
  if (sweep_has_others(&s->records, s->request.allowed))
    *exit_code = EXIT_NOT_HELD;
  return status;
}

/* --- one point, an edge, corners ----------------------------------------- */

static enum sim_status ask_point(struct sweeper *s, int *exit_code,
                                 struct sim_error *err)
{
  struct sweep_records one = {0};
  struct sweep_record record;
  if (s->request.point > s->head.point_count) {
    const struct sim_place where = {.path = "--point"};
    return sim_fail(err, SIM_USAGE, &where,
                    "expected one of the %" PRIu64 " points",
                    s->head.point_count);
  }
  enum sim_status status =
      sweep_ask_one(&s->request.sweep, s->request.point, &record, err);
  if (status != SIM_OK) return status;
  sweep_records_add(&one, &record);
  if (s->outputs.text) sweep_text_point(stdout, &s->request.sweep, &record);
  if (s->outputs.json.stream)
    sweep_json(s->outputs.json.stream, &s->head, &one);
  if (sweep_has_others(&one, s->request.allowed)) *exit_code = EXIT_NOT_HELD;
  sweep_records_free(&one);
  return sweep_outputs_commit(&s->outputs, err);
}

static enum sim_status find_edge(struct sweeper *s, int *exit_code,
                                 struct sim_error *err)
{
  struct sweep_record below, above;
  bool found;
  enum sim_status status = sweep_edge(&s->request.sweep, s->head.point_count,
                                      &below, &above, &found, err);
  if (status != SIM_OK) return status;
  if (s->outputs.text)
    sweep_text_edge(stdout, &s->head, &below, &above, found);
  if (s->outputs.json.stream)
    sweep_json_edge(s->outputs.json.stream, &s->head, &below, &above, found);
  if (!found) *exit_code = EXIT_NO_ANSWER;
  return sweep_outputs_commit(&s->outputs, err);
}

static enum sim_status play_corners(struct sweeper *s, int *exit_code,
                                    struct sim_error *err)
{
  struct corners corners;
  const struct sweep *sweep = &s->request.sweep;
  enum sim_status status =
      corners_play(sweep->script, sweep->part, s->given->arena, &corners, err);
  if (status != SIM_OK) return status;
  if (s->outputs.text)
    corners_text(stdout, sweep->script, sweep->part, &corners);
  if (s->outputs.json.stream)
    corners_json(s->outputs.json.stream, sweep->script, sweep->part, &corners);
  for (uint32_t i = 0; i < corners.margin_count; i++)
    if (corners.margins[i].least == PS_NEVER) *exit_code = EXIT_NOT_HELD;
  return sweep_outputs_commit(&s->outputs, err);
}

/* --- the command --------------------------------------------------------- */

static enum sim_status make_head(struct sweeper *s, struct sim_error *err)
{
  struct sweep_base base;
  const struct sweep *sweep = &s->request.sweep;
  enum sim_status status = sweep_measure(sweep, &base, err);
  if (status != SIM_OK) return status;
  s->head = (struct sweep_head){.title = sweep->script->title,
                                .case_file = file_name(sweep->script->file),
                                .part = sweep->part->name,
                                .fault = sweep_fault_word(sweep),
                                .kind = sweep_kind_words[sweep->kind],
                                .how = s->request.how,
                                .setup = base.setup,
                                .point_count = base.point_count,
                                .end = base.end,
                                .shard = s->request.shard,
                                .shards = s->request.shards};
  return SIM_OK;
}

static enum sim_status answer(struct sweeper *s, int *exit_code,
                              struct sim_error *err)
{
  if (s->request.corners) return play_corners(s, exit_code, err);
  enum sim_status status = make_head(s, err);
  if (status != SIM_OK) return status;
  if (s->request.edge) return find_edge(s, exit_code, err);
  if (s->request.point != 0) return ask_point(s, exit_code, err);
  return sweep_points(s, exit_code, err);
}

static enum sim_status run(const struct given *given, int *exit_code,
                           struct sim_error *err)
{
  struct sweeper s = {.given = given};
  enum sim_status status = sweep_request_make(&s.request, given, err);
  if (status == SIM_OK)
    status = sweep_outputs_open(&s.outputs, options_value(given, SWEEP_JSON),
                                options_value(given, SWEEP_SVG),
                                options_value(given, SWEEP_HTML), given->arena,
                                err);
  if (status == SIM_OK) status = answer(&s, exit_code, err);
  if (s.lines.stream != NULL) fclose(s.lines.stream);
  sweep_outputs_abandon(&s.outputs);
  sweep_records_free(&s.records);
  sweep_request_free(&s.request);
  return status;
}

const struct command cmd_sweep = {
    .name = "sweep",
    .usage = {"CASE --cut PLAN | --reset CAUSE[:PLAN]",
              "CASE --vary LABEL.key=FROM..TO/STEP [--edge]",
              "CASE --corners"},
    .sentence = "How does the answer change when power is cut or reset comes "
                "at every point, along a quantity, or at the corners of the "
                "tolerances?",
    .more =
        "LABEL is the label of a step, steps[N], or supply. A sweep that was "
        "interrupted or killed goes on with --resume; shards are joined by "
        "the command merge. The result is the same for any number of jobs "
        "and shards. Exit status: 0 done; 1 a class that --allow does not "
        "name, a point whose worker crashed, an expectation without margin "
        "at a corner; 2 the input is wrong; 3 --edge found none; 4 "
        "interrupted, can be resumed.",
    .options = options,
    .option_count = SWEEP_OPTION_COUNT_,
    .run = run,
};
