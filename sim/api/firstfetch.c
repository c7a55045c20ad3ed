#include "api/firstfetch.h"

#include <assert.h>
#include <stdlib.h>

#include "api/session.h"
#include "base/arena.h"
#include "base/trace.h"
#include "describe/case.h"
#include "describe/result.h"
#include "describe/svd.h"
#include "report/answers.h"
#include "report/html_document.h"
#include "report/json.h"
#include "report/side_by_side.h"
#include "report/text.h"
#include "report/timeline_svg.h"
#include "report/trace_text.h"
#include "run/play.h"
#include "run/review.h"

_Static_assert(FIRSTFETCH_MAX_BESIDE == ROWS_MAX_RESULTS,
               "the table has room for what the interface promises");

_Static_assert((int)FIRSTFETCH_UNICORN == (int)CPU_ENGINE_UNICORN &&
                   (int)FIRSTFETCH_OWN == (int)CPU_ENGINE_OWN &&
                   (int)FIRSTFETCH_BOTH == (int)CPU_ENGINE_BOTH,
               "the engines are numbered alike");

static void *get_zeroed(size_t size)
{
  void *memory = calloc(1, size);
  if (!memory) arena_no_memory();
  return memory;
}

const char *firstfetch_version(void)
{
  return "0.1.0";
}

/* --- descriptions -------------------------------------------------------- */

struct firstfetch *firstfetch_open(void)
{
  struct firstfetch *ff = get_zeroed(sizeof *ff);
  arena_init(&ff->arena);
  return ff;
}

void firstfetch_close(struct firstfetch *ff)
{
  if (!ff) return;
  arena_free(&ff->arena);
  free(ff);
}

enum sim_status firstfetch_case(struct firstfetch *ff, const char *file,
                                const struct case_script **script,
                                struct sim_error *err)
{
  /* The script keeps the name; the caller need not. */
  return case_read(&ff->arena, arena_text(&ff->arena, file), script, err);
}

const struct case_script *firstfetch_image_case(struct firstfetch *ff,
                                                const char *part,
                                                const char *image,
                                                bool has_base, addr_t base)
{
  return case_builtin(&ff->arena, arena_text(&ff->arena, part),
                      arena_text(&ff->arena, image), has_base, base);
}

enum sim_status firstfetch_svd(struct firstfetch *ff, const char *file,
                               const struct svd **svd, struct sim_error *err)
{
  return svd_read(&ff->arena, file, svd, err);
}

/* --- a run --------------------------------------------------------------- */

struct firstfetch_run {
  struct play *play;           /* owned */
  const struct result *result; /* in the play */
  struct timeline *timeline;   /* owned; NULL: not asked for */
};

enum sim_status firstfetch_check(const struct case_script *script,
                                 const struct part *part,
                                 struct sim_error *err)
{
  const struct play_options how = {.judge = true};
  struct play *play;
  enum sim_status status = play_prepare(script, part, &how, &play, err);
  if (status == SIM_OK) play_free(play);
  return status;
}

enum sim_status firstfetch_review(struct firstfetch *ff,
                                  const struct case_script *script,
                                  const struct part *part,
                                  const struct review **review,
                                  struct sim_error *err)
{
  struct review *made = arena_get(&ff->arena, sizeof(*made));
  enum sim_status status = review_make(&ff->arena, script, part, made, err);
  if (status == SIM_OK) *review = made;
  return status;
}

static void free_timeline(struct timeline *timeline)
{
  if (!timeline) return;
  timeline_free(timeline);
  free(timeline);
}

enum sim_status firstfetch_play(const struct case_script *script,
                                const struct part *part,
                                const struct firstfetch_options *options,
                                struct firstfetch_run **run,
                                struct sim_error *err)
{
  static const struct firstfetch_options usual = {0};
  if (!options) options = &usual;
  const struct play_options how = {.judge = !options->no_judging,
                                   .after = options->after,
                                   .svd = options->svd,
                                   .engine = (enum cpu_engine)options->engine};
  struct play *play;
  enum sim_status status = play_prepare(script, part, &how, &play, err);
  if (status != SIM_OK) return status;

  struct trace_text text = {.to = options->trace,
                            .script = script,
                            .part = part,
                            .play = play,
                            .watch_name = play_watch_name};
  if (text.to) {
    trace_text_head(&text);
    trace_listen(play_trace(play), TRACE_TEXT_KINDS, trace_text_record, &text);
  }
  struct timeline *timeline = NULL;
  if (options->timeline) {
    timeline = get_zeroed(sizeof *timeline);
    timeline_listen(timeline, part, script, play_trace(play));
  }
  const struct result *result = play_run(play);
  if (timeline) timeline_end(timeline, result->end);
  if (play_disagreement(play) != NULL) {
    sim_fail(err, SIM_LIMIT, NULL, "%s", play_disagreement(play));
    free_timeline(timeline);
    play_free(play);
    return SIM_LIMIT;
  }
  *run = get_zeroed(sizeof **run);
  (*run)->play = play;
  (*run)->result = result;
  (*run)->timeline = timeline;
  return SIM_OK;
}

void firstfetch_run_free(struct firstfetch_run *run)
{
  if (!run) return;
  free_timeline(run->timeline);
  play_free(run->play);
  free(run);
}

const struct result *firstfetch_result(const struct firstfetch_run *run)
{
  return run->result;
}

/* --- reports ------------------------------------------------------------- */

void firstfetch_write_text(const struct firstfetch_run *run, bool last,
                           FILE *to)
{
  report_text(to, run->result, last);
}

void firstfetch_write_text_with_code(const struct firstfetch_run *run,
                                     bool last, FILE *to)
{
  report_text_with_code(to, run->result, last);
}

void firstfetch_write_learned(const struct firstfetch_run *run, FILE *to)
{
  report_answers(to, play_part(run->play), run->result);
}

void firstfetch_write_side_by_side(const struct firstfetch_run *const *runs,
                                   uint32_t count, FILE *to)
{
  assert(count >= 1 && count <= FIRSTFETCH_MAX_BESIDE);
  const struct result *results[FIRSTFETCH_MAX_BESIDE];
  for (uint32_t i = 0; i < count; i++) {
    results[i] = runs[i]->result;
  }
  report_side_by_side(to, results, count);
}

void firstfetch_write_svg(const struct firstfetch_run *run, FILE *to)
{
  assert(run->timeline);
  timeline_svg(to, run->result, run->timeline);
}

struct firstfetch_html {
  struct html_document document;
};

struct firstfetch_html *firstfetch_html_open(FILE *to, uint32_t cases,
                                             const char *title)
{
  struct firstfetch_html *page = get_zeroed(sizeof *page);
  html_document_begin(&page->document, to, cases, title);
  return page;
}

void firstfetch_html_add(struct firstfetch_html *page,
                         const struct firstfetch_run *const *runs,
                         uint32_t count)
{
  assert(count >= 1 && count <= FIRSTFETCH_MAX_BESIDE);
  struct html_run shown[FIRSTFETCH_MAX_BESIDE];
  for (uint32_t i = 0; i < count; i++) {
    assert(runs[i]->timeline);
    shown[i] = (struct html_run){.result = runs[i]->result,
                                 .script = play_script(runs[i]->play),
                                 .part = play_part(runs[i]->play),
                                 .timeline = runs[i]->timeline};
  }
  html_document_add(&page->document, shown, count);
}

void firstfetch_html_end(struct firstfetch_html *page)
{
  html_document_end(&page->document);
}

void firstfetch_html_close(struct firstfetch_html *page)
{
  free(page);
}

struct firstfetch_json {
  struct report_json document;
};

struct firstfetch_json *firstfetch_json_open(void)
{
  struct firstfetch_json *document = get_zeroed(sizeof *document);
  report_json_begin(&document->document);
  return document;
}

void firstfetch_json_with_code(struct firstfetch_json *document)
{
  report_json_with_code(&document->document);
}

void firstfetch_json_add(struct firstfetch_json *document,
                         const struct firstfetch_run *run)
{
  report_json_add(&document->document, run->result);
}

bool firstfetch_json_write(const struct firstfetch_json *document, FILE *to)
{
  return report_json_write(&document->document, to);
}

void firstfetch_json_close(struct firstfetch_json *document)
{
  if (!document) return;
  report_json_free(&document->document);
  free(document);
}
