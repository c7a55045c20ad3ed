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
#include "report/junit.h"
#include "report/lesson.h"
#include "report/side_by_side.h"
#include "report/text.h"
#include "report/timeline_svg.h"
#include "report/trace_text.h"
#include "report/vcd.h"
#include "run/play.h"
#include "run/review.h"

_Static_assert(FIRSTFETCH_MAX_BESIDE == ROWS_MAX_RESULTS,
               "the table has room for what the interface promises");

_Static_assert((int)FIRSTFETCH_UNICORN == (int)CPU_ENGINE_UNICORN &&
                   (int)FIRSTFETCH_OWN == (int)CPU_ENGINE_OWN &&
                   (int)FIRSTFETCH_BOTH == (int)CPU_ENGINE_BOTH,
               "the engines are numbered alike");

_Static_assert((int)FIRSTFETCH_NEWCOMER == (int)TEXT_NEWCOMER &&
                   (int)FIRSTFETCH_EXPERT == (int)TEXT_EXPERT &&
                   (int)FIRSTFETCH_BOTH_WORDINGS == (int)TEXT_BOTH,
               "the wordings are numbered alike");

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
  struct lesson *lesson;       /* the same */
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

/* NULL: nobody asked for it. */
static struct vcd *listen_vcd(struct play *play,
                              const struct case_script *script,
                              const struct part *part, FILE *to)
{
  if (!to) return NULL;
  struct vcd *vcd = get_zeroed(sizeof *vcd);
  vcd->to = to;
  vcd->script = script;
  vcd->part = part;
  vcd->play = play;
  vcd->start_count = play_start_count;
  vcd_head(vcd);
  trace_listen(play_trace(play), VCD_KINDS, vcd_record, vcd);
  return vcd;
}

static struct lesson *listen_lesson(struct play *play, bool asked)
{
  if (!asked) return NULL;
  struct lesson *lesson = get_zeroed(sizeof *lesson);
  lesson_listen(lesson, play_part(play), play_script(play), play_trace(play));
  return lesson;
}

static void free_lesson(struct lesson *lesson)
{
  if (lesson) lesson_free(lesson);
  free(lesson);
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
                                   .engine = (enum cpu_engine)options->engine,
                                   .semihosting = options->semihosting};
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
  struct vcd *vcd = listen_vcd(play, script, part, options->vcd);
  struct lesson *lesson = listen_lesson(play, options->lesson);
  const struct result *result = play_run(play);
  if (timeline) timeline_end(timeline, result->end);
  if (vcd) vcd_end(vcd, result->end);
  free(vcd);
  if (play_disagreement(play) != NULL) {
    sim_fail(err, SIM_LIMIT, NULL, "%s", play_disagreement(play));
    free_timeline(timeline);
    free_lesson(lesson);
    play_free(play);
    return SIM_LIMIT;
  }
  *run = get_zeroed(sizeof **run);
  (*run)->play = play;
  (*run)->result = result;
  (*run)->timeline = timeline;
  (*run)->lesson = lesson;
  if (lesson) lesson->result = result;
  return SIM_OK;
}

void firstfetch_run_free(struct firstfetch_run *run)
{
  if (!run) return;
  free_timeline(run->timeline);
  free_lesson(run->lesson);
  play_free(run->play);
  free(run);
}

const struct result *firstfetch_result(const struct firstfetch_run *run)
{
  return run->result;
}

/* --- reports ------------------------------------------------------------- */

void firstfetch_write_text(const struct firstfetch_run *run,
                           const struct firstfetch_text *how, FILE *to)
{
  const struct text_style style = {.full = how->full,
                                   .last = how->last,
                                   .colour = how->colour,
                                   .words = (enum text_words)how->words};
  report_text(to, run->result, &style);
}

void firstfetch_write_verdict(const struct firstfetch_run *run, bool colour,
                              FILE *to)
{
  report_verdict(to, run->result, colour);
}

const struct lesson *firstfetch_lesson(const struct firstfetch_run *run)
{
  return run->lesson;
}

void firstfetch_write_lesson(const struct firstfetch_run *run, FILE *to)
{
  struct html page = {.to = to};
  lesson_html(&page, run->lesson);
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

struct firstfetch_junit {
  struct junit document;
};

struct firstfetch_junit *firstfetch_junit_open(void)
{
  struct firstfetch_junit *document = get_zeroed(sizeof *document);
  junit_begin(&document->document);
  return document;
}

void firstfetch_junit_add(struct firstfetch_junit *document,
                          const struct firstfetch_run *run)
{
  junit_add(&document->document, run->result);
}

bool firstfetch_junit_write(struct firstfetch_junit *document, FILE *to)
{
  return junit_write(&document->document, to);
}

void firstfetch_junit_close(struct firstfetch_junit *document)
{
  if (!document) return;
  junit_free(&document->document);
  free(document);
}
