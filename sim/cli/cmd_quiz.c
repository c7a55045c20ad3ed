#include "cli/cmd_quiz.h"

#include <ctype.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "api/firstfetch.h"
#include "cli/output.h"
#include "cli/run_plan.h"
#include "report/lesson.h"
#include "report/text_steps.h"

enum { QUIZ_PART, QUIZ_HTML, QUIZ_MODELS, QUIZ_OPTION_COUNT_ };

static const struct option options[] = {
    [QUIZ_PART] = {"part", "P", "on this part instead of the case's own",
                   false},
    [QUIZ_HTML] =
        {"html", "FILE",
         "write the lesson there as a page whose answers are hidden, "
         "instead of asking",
         false},
    [QUIZ_MODELS] = FOLDERS_OPTION,
};

#define ANSWER_BYTES 80

struct quiz {
  const struct lesson *lesson;
  struct page page; /* what is told */
  uint32_t asked, right;
  bool ended; /* nobody answers any more */
};

/* --- answers ------------------------------------------------------------- */

/* One line without what is around it; false where there is none, and for "q".
 * What has no room is dropped. */
static bool read_answer(char answer[ANSWER_BYTES])
{
  size_t used = 0;
  int c;
  while ((c = getchar()) != EOF && c != '\n') {
    bool leads = used == 0 && isspace(c);
    if (!leads && used + 1 < ANSWER_BYTES) answer[used++] = (char)c;
  }
  while (used > 0 && isspace((unsigned char)answer[used - 1])) {
    used--;
  }
  answer[used] = '\0';
  if (c == EOF && used == 0) return false;
  return strcmp(answer, "q") != 0;
}

static void ask(struct quiz *q, char answer[ANSWER_BYTES])
{
  fputs("  > ", stdout);
  fflush(stdout);
  q->ended = !read_answer(answer);
  if (q->ended) putchar('\n');
}

/* Tell whether an answer was right, and count it. */
static void judge(struct quiz *q, bool right)
{
  q->asked++;
  q->right += right;
  page_item(&q->page, 2, 2, "");
  page_tint(&q->page, right ? PAGE_GOOD : PAGE_BAD, right ? "Right" : "No");
  page_say(&q->page, ".");
  page_end(&q->page);
}

/* --- questions ----------------------------------------------------------- */

static bool ask_region(struct quiz *q, const struct start *s)
{
  char answer[ANSWER_BYTES];
  const char *region;
  page_item(&q->page, 0, 2, "");
  page_format(&q->page, "Where will start %" PRIu32 " begin: ", s->number);
  for (uint32_t i = 0; (region = lesson_region(q->lesson, i)) != NULL; i++) {
    bool last = lesson_region(q->lesson, i + 1) == NULL;
    if (i > 0) page_say(&q->page, last ? " or " : ", ");
    page_say(&q->page, region);
  }
  page_say(&q->page, "?");
  page_end(&q->page);
  ask(q, answer);
  if (q->ended) return false;
  bool right = strcmp(answer, s->region) == 0;
  judge(q, right);
  return right;
}

/* By number or by name. */
static bool is_rule(const struct quiz *q, const struct start *s,
                    const char *answer)
{
  char number[16];
  uint32_t rule = lesson_rule(q->lesson, s);
  snprintf(number, sizeof number, "%" PRIu32, rule);
  if (strcmp(answer, number) == 0) return true;
  return strcmp(answer, rule > 0 ? s->rule : "none") == 0;
}

static bool ask_rule(struct quiz *q, const struct start *s)
{
  char answer[ANSWER_BYTES];
  page_line(&q->page, 0, "By which rule? Its number or its name.");
  ask(q, answer);
  if (q->ended) return false;
  bool right = is_rule(q, s, answer);
  judge(q, right);
  return right;
}

/* Who guessed wrong is told the state that mattered. */
static void ask_start(struct quiz *q, const struct start *s)
{
  bool right = true;
  if (lesson_asks(s)) right = ask_region(q, s);
  if (q->ended) return;
  if (lesson_asks(s) && !ask_rule(q, s)) right = false;
  if (q->ended) return;
  lesson_answer(&q->page, q->lesson, s);
  if (!right) lesson_reasons(&q->page, q->lesson, s);
  page_gap(&q->page);
}

static uint32_t questions(const struct lesson *l)
{
  uint32_t count = 0;
  for (uint32_t i = 0; i < l->result->start_count; i++) {
    if (lesson_asks(&l->result->starts[i])) count += 2;
  }
  return count;
}

/* --- the lesson ---------------------------------------------------------- */

static void teach(struct quiz *q)
{
  const struct lesson *l = q->lesson;
  uint32_t told = 0;
  page_line(&q->page, 0, l->script->title);
  lesson_head(&q->page, l);
  page_gap(&q->page);
  lesson_rules(&q->page, l);
  page_gap(&q->page);
  for (uint32_t i = 0; i < l->result->start_count && !q->ended; i++) {
    const struct start *s = &l->result->starts[i];
    text_steps(&q->page, l->script, told, s->step + 1);
    if (s->step + 1 > told) told = s->step + 1;
    ask_start(q, s);
  }
  if (!q->ended) text_steps(&q->page, l->script, told, l->script->step_count);
  page_item(&q->page, 0, 0, "");
  page_format(&q->page, "%" PRIu32 " of %" PRIu32 " right", q->right,
              questions(l));
  if (q->ended)
    page_format(&q->page, "; %" PRIu32 " not answered",
                questions(l) - q->asked);
  page_end(&q->page);
}

static enum sim_status write_page(const struct firstfetch_run *run,
                                  const struct given *given,
                                  struct sim_error *err)
{
  struct output output;
  enum sim_status status =
      output_open(&output, options_value(given, QUIZ_HTML), given->arena, err);
  if (status != SIM_OK) return status;
  firstfetch_write_lesson(run, output.stream);
  return output_commit(&output, err);
}

static enum sim_status play(const struct run_plan *plan,
                            const struct given *given, int *exit_code,
                            struct sim_error *err)
{
  const struct planned_case *c = &plan->cases[0];
  const struct firstfetch_options how = {.no_judging = true, .lesson = true};
  struct firstfetch_run *run;
  enum sim_status status =
      firstfetch_play(c->script, c->parts[0], &how, &run, err);
  if (status != SIM_OK) return status;
  if (options_value(given, QUIZ_HTML)) {
    status = write_page(run, given, err);
  } else {
    struct quiz q = {.lesson = firstfetch_lesson(run)};
    page_open(&q.page, stdout);
    q.page.colour = output_has_colour();
    teach(&q);
    if (q.right < questions(q.lesson)) *exit_code = EXIT_NOT_HELD;
  }
  firstfetch_run_free(run);
  return status;
}

static enum sim_status check_words(const struct given *given,
                                   struct sim_error *err)
{
  const char *part = options_value(given, QUIZ_PART);
  const struct sim_place where = {.path = "quiz"};
  if (given->word_count != 1)
    return sim_fail(err, SIM_USAGE, &where, "is for one case; expected one");
  if (part && (strchr(part, ',') || strcmp(part, "all") == 0))
    return sim_fail(err, SIM_USAGE, &where, "is for one part; expected one");
  return SIM_OK;
}

static enum sim_status run(const struct given *given, int *exit_code,
                           struct sim_error *err)
{
  enum sim_status status = check_words(given, err);
  if (status != SIM_OK) return status;
  const struct run_request request = {
      .cases = given->words,
      .case_count = given->word_count,
      .parts = options_value(given, QUIZ_PART),
      .models = &given->options[QUIZ_MODELS],
  };
  struct run_plan plan;
  *exit_code = EXIT_HELD;
  status = run_plan_make(&plan, &request, given->arena, err);
  if (status == SIM_OK) status = play(&plan, given, exit_code, err);
  run_plan_free(&plan);
  return status;
}

const struct command cmd_quiz = {
    .name = "quiz",
    .usage = {"CASE [--part P]", "CASE --html FILE [--part P]"},
    .sentence =
        "Teaching: predict where each start begins, and why, before it "
        "is shown.",
    .more = "Answers are lines of standard input; \"q\" ends it. "
            "traces/lessons has eight lessons, from a blank part to a power "
            "cycle that was none. Exit status: 0 every answer was right; 1 "
            "some were wrong or not given; 2 the input is wrong.",
    .options = options,
    .option_count = QUIZ_OPTION_COUNT_,
    .run = run,
};
