#include "cli/cmd_why.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "api/firstfetch.h"
#include "base/json.h"
#include "cli/folders.h"
#include "cli/output.h"
#include "cli/progress.h"
#include "describe/case.h"
#include "report/why_report.h"
#include "run/why.h"

enum {
  WHY_PART,
  WHY_JSON,
  WHY_HTML,
  WHY_WRITE,
  WHY_MODELS,
  WHY_OPTION_COUNT_
};

static const struct option options[] = {
    [WHY_PART] = {"part", "P", "on this part, not the case's own", false},
    [WHY_JSON] = {"json", "FILE", "write the answer there as JSON", false},
    [WHY_HTML] = {"html", "FILE", "write the answer there as a page", false},
    [WHY_WRITE] = {"write", "DIR",
                   "write each explanation there as a case that shows it",
                   false},
    [WHY_MODELS] = FOLDERS_OPTION,
};

struct asker {
  const struct given *given;
  struct firstfetch *loaded;
  const struct json *root;
  const struct case_script *script;
  const struct part *part;
  struct output json, html;
  struct progress progress;
  bool begun;
  struct diagnosis diagnosis;
};

static enum sim_status load(struct asker *a, struct sim_error *err)
{
  const struct given *given = a->given;
  if (given->word_count != 1) {
    const struct sim_place where = {.path = "why"};
    return sim_fail(err, SIM_USAGE, &where,
                    "is asked of one case; expected its file");
  }
  const char *file = given->words[0];
  const char *part = options_value(given, WHY_PART);
  struct firstfetch_search search =
      folders_search(given->arena, &given->options[WHY_MODELS], file);
  enum sim_status status = json_read(given->arena, file, &a->root, err);
  if (status == SIM_OK)
    status = firstfetch_case(a->loaded, file, &a->script, err);
  if (status != SIM_OK) return status;
  return firstfetch_part(a->loaded, &search, part ? part : a->script->part,
                         part ? NULL : file, &a->part, err);
}

static void tick(void *context, uint32_t done, uint32_t all)
{
  struct asker *a = context;
  if (!a->begun) progress_begin(&a->progress, all, "points");
  a->begun = true;
  a->progress.all = all;
  a->progress.done = done;
  progress_tick(&a->progress);
}

/* "DIR/why-1-stale-latch.json" */
static enum sim_status write_bench(struct asker *a, const char *folder,
                                   uint32_t number, struct sim_error *err)
{
  const struct explanation *e = &a->diagnosis.list[number];
  const char *first =
      e->cause_count > 0 ? why_cause_word(e->causes[0]) : "as-told";
  char name[4096];
  snprintf(name, sizeof(name), "%s/why-%" PRIu32 "-%s%s%s.json", folder,
           number + 1, first, e->cause_count > 1 ? "-and-" : "",
           e->cause_count > 1 ? why_cause_word(e->causes[1]) : "");
  struct output out;
  enum sim_status status = output_open(&out, name, a->given->arena, err);
  if (status != SIM_OK) return status;
  json_write(e->bench, out.stream);
  return output_commit(&out, err);
}

static enum sim_status write_all(struct asker *a, struct sim_error *err)
{
  const char *folder = options_value(a->given, WHY_WRITE);
  enum sim_status status = SIM_OK;
  if (folder == NULL) return SIM_OK;
  for (uint32_t i = 0; i < a->diagnosis.count && status == SIM_OK; i++)
    status = write_bench(a, folder, i, err);
  return status;
}

static enum sim_status make_folder(const char *folder, struct sim_error *err)
{
  struct stat info;
  if (folder == NULL || mkdir(folder, 0777) == 0) return SIM_OK;
  if (stat(folder, &info) == 0 && S_ISDIR(info.st_mode)) return SIM_OK;
  const struct sim_place where = {.file = folder};
  return sim_fail(err, SIM_FILE, &where,
                  "can't be made; expected the name of a folder, in one that "
                  "is there");
}

/* Two outputs in one file would be neither. */
static enum sim_status check_outputs(const struct given *given,
                                     struct sim_error *err)
{
  const char *json = options_value(given, WHY_JSON);
  const char *html = options_value(given, WHY_HTML);
  if (json == NULL || html == NULL || strcmp(json, html) != 0) return SIM_OK;
  const struct sim_place where = {.path = "--html"};
  return sim_fail(err, SIM_USAGE, &where,
                  "goes where --json goes; expected another file");
}

static enum sim_status tell(struct asker *a, struct sim_error *err)
{
  const char *json = options_value(a->given, WHY_JSON);
  const char *html = options_value(a->given, WHY_HTML);
  if (a->json.stream) why_json(a->json.stream, &a->diagnosis);
  if (a->html.stream)
    why_html(a->html.stream, &a->diagnosis, a->script, a->part);
  if (!(json && output_is_standard(json)) &&
      !(html && output_is_standard(html)))
    why_text(stdout, &a->diagnosis);
  enum sim_status status = output_commit(&a->json, err);
  return status == SIM_OK ? output_commit(&a->html, err) : status;
}

static enum sim_status answer(struct asker *a, struct sim_error *err)
{
  const char *folder = options_value(a->given, WHY_WRITE);
  const struct why_options how = {
      .folder = folder, .progress = tick, .context = a};
  enum sim_status status = make_folder(folder, err);
  if (status == SIM_OK)
    status = output_open(&a->json, options_value(a->given, WHY_JSON),
                         a->given->arena, err);
  if (status == SIM_OK)
    status = output_open(&a->html, options_value(a->given, WHY_HTML),
                         a->given->arena, err);
  if (status == SIM_OK)
    status = why_ask(a->root, a->script, a->part, &how, a->given->arena,
                     &a->diagnosis, err);
  if (a->begun) progress_end(&a->progress);
  if (status == SIM_OK) status = write_all(a, err);
  return status == SIM_OK ? tell(a, err) : status;
}

static enum sim_status run(const struct given *given, int *exit_code,
                           struct sim_error *err)
{
  struct asker a = {.given = given, .loaded = firstfetch_open()};
  enum sim_status status = check_outputs(given, err);
  if (status == SIM_OK) status = load(&a, err);
  if (status == SIM_OK) status = answer(&a, err);
  *exit_code = a.diagnosis.count > 0 ? EXIT_HELD : EXIT_NO_ANSWER;
  output_abandon(&a.json);
  output_abandon(&a.html);
  why_free(&a.diagnosis);
  firstfetch_close(a.loaded);
  return status;
}

const struct command cmd_why = {
    .name = "why",
    .usage = {"CASE [--part P] [--json FILE] [--html FILE] [--write DIR]"},
    .sentence = "What was done and seen on the bench: which causes explain "
                "it, what to measure next, what mends it?",
    .more = "The case tells what was done in its steps, as far as it is "
            "known, and what was seen in \"seen\". Steps without a power-on "
            "leave open what went before. Causes are tried alone and in "
            "pairs. FILE may be - for standard output. Exit status: 0 there "
            "is an explanation; 2 the input is "
            "wrong; 3 none of the causes explains it.",
    .options = options,
    .option_count = WHY_OPTION_COUNT_,
    .run = run,
};
