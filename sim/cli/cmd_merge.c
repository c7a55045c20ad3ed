#include "cli/cmd_merge.h"

#include <inttypes.h>

#include "cli/sweep_lines.h"
#include "cli/sweep_outputs.h"
#include "cli/sweep_request.h"
#include "run/sweep_summary.h"

enum {
  MERGE_JSONL,
  MERGE_JSON,
  MERGE_SVG,
  MERGE_HTML,
  MERGE_ALLOW,
  MERGE_OPTION_COUNT_
};

static const struct option options[] = {
    [MERGE_JSONL] = {"jsonl", "FILE", "write all records there", false},
    [MERGE_JSON] = {"json", "FILE", "write the result there as JSON", false},
    [MERGE_SVG] = {"svg", "FILE", "draw outcome over time there", false},
    [MERGE_HTML] = {"html", "FILE", "write the result there as one page",
                    false},
    [MERGE_ALLOW] = {"allow", "CLASS[,...]",
                     "exit with 1 if a point has another class", false},
};

static enum sim_status read_all(const struct given *given,
                                struct sweep_head *head,
                                struct sweep_records *records,
                                struct sim_error *err)
{
  for (size_t i = 0; i < given->word_count; i++) {
    struct sweep_head one;
    size_t whole;
    const char *file = given->words[i];
    enum sim_status status =
        sweep_read(given->arena, file, &one, records, &whole, err);
    if (status != SIM_OK) return status;
    if (i == 0) *head = one;
    if (sweep_same(head, &one)) continue;
    const struct sim_place where = {.file = file, .line = 1, .column = 1};
    return sim_fail(err, SIM_RANGE, &where,
                    "is of another sweep than %s; expected shards of one",
                    given->words[0]);
  }
  head->shard = head->shards = 1;
  return SIM_OK;
}

static enum sim_status write_lines(const struct given *given,
                                   const struct sweep_head *head,
                                   const struct sweep_records *records,
                                   struct sim_error *err)
{
  struct sweep_lines lines;
  enum sim_status status =
      sweep_lines_begin(&lines, options_value(given, MERGE_JSONL), head, err);
  if (status != SIM_OK) return status;
  return sweep_lines_finish(&lines, given->arena, head, records, err);
}

static enum sim_status merge(const struct given *given,
                             struct sweep_records *records,
                             struct sweep_outputs *outputs, int *exit_code,
                             struct sim_error *err)
{
  struct sweep_head head;
  uint32_t allowed;
  enum sim_status status = read_all(given, &head, records, err);
  if (status != SIM_OK) return status;
  sweep_records_order(records);
  status =
      sweep_complete(records, (struct sweep_range){1, head.point_count}, err);
  if (status == SIM_OK)
    status = sweep_classes(given->arena, options_value(given, MERGE_ALLOW),
                           &allowed, err);
  if (status == SIM_OK) status = write_lines(given, &head, records, err);
  if (status == SIM_OK)
    status = sweep_outputs_write(outputs, &head, records, err);
  if (status == SIM_OK && sweep_has_others(records, allowed))
    *exit_code = EXIT_NOT_HELD;
  return status;
}

static enum sim_status run(const struct given *given, int *exit_code,
                           struct sim_error *err)
{
  struct sweep_records records = {0};
  struct sweep_outputs outputs;
  if (given->word_count == 0) {
    const struct sim_place where = {.path = "merge"};
    return sim_fail(err, SIM_USAGE, &where,
                    "has nothing to join; expected files of sweep --jsonl");
  }
  enum sim_status status =
      sweep_outputs_open(&outputs, options_value(given, MERGE_JSON),
                         options_value(given, MERGE_SVG),
                         options_value(given, MERGE_HTML), given->arena, err);
  if (status == SIM_OK)
    status = merge(given, &records, &outputs, exit_code, err);
  sweep_outputs_abandon(&outputs);
  sweep_records_free(&records);
  return status;
}

const struct command cmd_merge = {
    .name = "merge",
    .usage =
        {"FILE... [--jsonl FILE] [--json FILE] [--svg FILE] [--html FILE]"},
    .sentence = "What do the shards of a sweep come to together?",
    .more = "The files must be all shards of one sweep, each point in them "
            "once.",
    .options = options,
    .option_count = MERGE_OPTION_COUNT_,
    .run = run,
};
