/* `quiz` from outside: what is asked, what counts as right, what is told to
 * those who guess wrong; and the same lesson as a page. Words and exit codes
 * are ours. */
#include "program.h"

#define LESSON "traces/lessons/5-stale-latch.jsonc"

/* The answers that hold for LESSON: traces/lessons/5-stale-latch.trace. */
#define RIGHT "rom\\n3\\nrom\\nlatch-blank\\nflash\\n4\\n"

static void ask(struct program *p, const char *answers)
{
  char command[512];
  snprintf(command, sizeof command, "printf '%s' | \"$F\" quiz " LESSON,
           answers);
  program_shell(p, command);
}

static void right_answers_are_exit_code_0(void **state)
{
  struct program *p = *state;
  ask(p, RIGHT);
  assert_string_equal(p->err, "");
  assert_int_equal(p->exit_code, 0);
  assert_non_null(strstr(p->out, "\n6 of 6 right\n"));
  assert_null(strstr(p->out, "No."));
}

static void who_is_right_is_told_the_answer_and_no_more(void **state)
{
  struct program *p = *state;
  ask(p, RIGHT);
  assert_non_null(strstr(p->out, "Start 3 begins in flash, by rule 4, "));
  assert_null(strstr(p->out, "\n  this reset   "));
}

static void who_is_wrong_is_told_the_state_that_mattered(void **state)
{
  struct program *p = *state;
  ask(p, "rom\\n3\\nflash\\n4\\nflash\\n4\\n");
  assert_int_equal(p->exit_code, 1);
  assert_non_null(strstr(p->out, "\n4 of 6 right\n"));
  const char *told = strstr(p->out, "Start 2 begins in rom, by rule 3");
  assert_non_null(told);
  assert_non_null(strstr(
      told, "\n  this reset   options keep, latch keep, straps sample"));
  assert_non_null(
      strstr(told, "\n  latch        blank, stale: a fresh check would say "
                   "programmed\n  option       start.source is check\n"
                   "  strap        start was low\n"));
}

static const struct answer_row {
  const char *name, *answers, *score;
} answer_rows[] = {
    {"nobody answers", "", "\n0 of 6 right; 6 not answered\n"},
    {"somebody ends it", "rom\\nq\\n", "\n1 of 6 right; 5 not answered\n"},
    {"an answer without a line end counts", "rom\\n3",
     "\n2 of 6 right; 4 not answered\n"},
    {"spaces around an answer don't count", "  rom \\t\\n 3 \\r\\n",
     "\n2 of 6 right; 4 not answered\n"},
    {"an empty answer is wrong", "\\n\\nrom\\n3\\n",
     "\n2 of 6 right; 2 not answered\n"},
    {"a rule's name with more behind it is another", "rom\\nlatch-blanket\\n",
     "\n1 of 6 right; 4 not answered\n"},
    {"a number with a zero before it is another", "rom\\n03\\n",
     "\n1 of 6 right; 4 not answered\n"},
    {"an answer of 200 letters is wrong",
     "rrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrr"
     "rrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrr"
     "rrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrr\\n3\\n",
     "\n1 of 6 right; 4 not answered\n"},
};

static void answer_row(void **state, const struct answer_row *row)
{
  struct program *p = *state;
  ask(p, row->answers);
  if (!strstr(p->out, row->score)) fail_msg("%s: %s", row->name, p->out);
  assert_int_equal(p->exit_code, 1);
}

static void answers_are_read_as_people_type_them(void **state)
{
  for (size_t i = 0; i < ROWS_COUNT(answer_rows); i++) {
    answer_row(state, &answer_rows[i]);
  }
}

/* Before the first question nothing may say what the expectations say. */
static void expectations_are_not_told(void **state)
{
  struct program *p = *state;
  ask(p, "");
  assert_null(strstr(p->out, "expect"));
  assert_null(strstr(p->out, "begins in"));
}

static void another_part_has_other_answers(void **state)
{
  struct program *p = *state;
  program_shell(p, "printf 'rom\\n3\\nflash\\n4\\nflash\\n4\\n' | "
                   "\"$F\" quiz --part checked " LESSON);
  assert_int_equal(p->exit_code, 0);
}

/* Every lesson has its goal, and the right answers are those of its result. */
static void the_lessons_can_be_solved(void **state)
{
  struct program *p = *state;
  program_shell(
      p,
      "n=0; for lesson in traces/lessons/*.jsonc; do n=$((n+1))\n"
      "\"$F\" run $lesson --json $D/j >/dev/null || echo $lesson fails\n"
      "python3 -c 'import json,sys\n"
      "for s in json.load(open(sys.argv[1]))[\"starts\"]:\n"
      "  if s[\"rule\"]: print(s[\"region\"], s[\"rule\"], sep=\"\\n\")' $D/j "
      ">$D/a\n"
      "\"$F\" quiz $lesson <$D/a >$D/o || echo $lesson: wrong\n"
      "grep -q '^Goal: ' $D/o || echo $lesson has no goal; done; echo $n");
  assert_string_equal(p->out, "8\n");
}

/* --- the page ------------------------------------------------------------ */

static void the_page_hides_each_answer(void **state)
{
  struct program *p = *state;
  program_run(p, "quiz " LESSON " --html -");
  assert_int_equal(p->exit_code, 0);
  size_t hidden = 0;
  const char *at = p->out;
  while ((at = strstr(at, "begins in")) != NULL) {
    const char *open = NULL, *closed = NULL;
    for (const char *k = p->out; (k = strstr(k, "<details")) && k < at; k++)
      open = k;
    for (const char *k = p->out; (k = strstr(k, "</details")) && k < at; k++)
      closed = k;
    assert_true(open && (!closed || closed < open));
    hidden++;
    at++;
  }
  assert_int_equal(hidden, 3);
  assert_null(strstr(p->out, "<details open"));
  assert_null(strstr(p->out, "http://"));
  assert_null(strstr(p->out, "https://"));
}

static void texts_of_a_case_are_no_markup(void **state)
{
  struct program *p = *state;
  program_write(p, "case.json",
                "{ \"case\": \"<b>title</b>\", \"goal\": \"<i>goal</i>\",\n"
                "  \"part\": \"" FIRSTFETCH_ROOT "/models/latched.json\",\n"
                "  \"steps\": [ { \"power\": \"on\" }, { \"run\": \"1ms\" } "
                "] }\n");
  program_run(p, "quiz $D/case.json --html -");
  assert_int_equal(p->exit_code, 0);
  assert_non_null(strstr(p->out, "&lt;b&gt;title"));
  assert_non_null(strstr(p->out, "&lt;i&gt;goal"));
  assert_null(strstr(p->out, "<b>title"));
  assert_null(strstr(p->out, "<i>goal"));
}

static void wrong_words_are_refused(void **state)
{
  struct program *p = *state;
  program_run(p, "quiz");
  assert_int_equal(p->exit_code, 2);
  assert_non_null(strstr(p->err, "quiz: is for one case; expected one"));
  program_run(p, "quiz --part all " LESSON);
  assert_int_equal(p->exit_code, 2);
  assert_non_null(strstr(p->err, "quiz: is for one part; expected one"));
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      IN_FOLDER(right_answers_are_exit_code_0),
      IN_FOLDER(who_is_right_is_told_the_answer_and_no_more),
      IN_FOLDER(who_is_wrong_is_told_the_state_that_mattered),
      IN_FOLDER(answers_are_read_as_people_type_them),
      IN_FOLDER(expectations_are_not_told),
      IN_FOLDER(another_part_has_other_answers),
      IN_FOLDER(the_lessons_can_be_solved),
      IN_FOLDER(the_page_hides_each_answer),
      IN_FOLDER(texts_of_a_case_are_no_markup),
      IN_FOLDER(wrong_words_are_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
