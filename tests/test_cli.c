/* The program from outside: wrong words, wrong files, help.
 *
 * Exit codes and words are ours. That the first line of an error names the
 * program is common practice, no source. */
#include "program.h"

#define DEMO "traces/still-boots-rom.jsonc"

/* --- usage errors -------------------------------------------------------- */

static const struct usage_row {
  const char *name;
  const char *arguments;
  const char *err; /* the first line of standard error */
} usage_rows[] = {
    {"a misspelt command brings a suggestion", "rnu",
     "firstfetch: rnu: is no command; did you mean run?"},
    {"a word that is like no command", "frobnicate",
     "firstfetch: frobnicate: is no command; firstfetch help lists them"},
    {"help for a misspelt command", "help chekc",
     "firstfetch: chekc: is no command; did you mean check?"},
    {"a misspelt option brings a suggestion", "run --tarce x " DEMO,
     "firstfetch: --tarce: is no option of this command; did you mean "
     "--trace?"},
    {"a misspelt option with a value brings the same", "run --tarce=x " DEMO,
     "firstfetch: --tarce: is no option of this command; did you mean "
     "--trace?"},
    {"an option that is like no other", "run --frobnicate " DEMO,
     "firstfetch: --frobnicate: is no option of this command"},
    {"an option of another command", "version --json x",
     "firstfetch: --json: is no option of this command"},
    {"an option with one dash", "run -part latched " DEMO,
     "firstfetch: -part: is no option; all but -h, -q and -v "
     "begin with two dashes"},
    {"a value that is missing at the end", "run " DEMO " --json",
     "firstfetch: --json: needs a value: FILE"},
    {"a value that is missing before an option", "run --json --compare " DEMO,
     "firstfetch: --json: needs a value: FILE"},
    {"an empty value", "run --json= " DEMO,
     "firstfetch: --json: needs a value: FILE"},
    {"a value that is too much", "run --compare=yes " DEMO,
     "firstfetch: --compare: takes no value"},
    {"an option given twice", "run --part checked --part=latched " DEMO,
     "firstfetch: --part: was given twice"},
    {"nothing to run", "run",
     "firstfetch: run: has nothing to play; expected a case, or --image and "
     "--part"},
    {"an image without a part", "run --image images/logger/logger.elf",
     "firstfetch: --image: needs a part to be written into; expected --part "
     "as well"},
    {"an image and a case",
     "run --image images/logger/logger.elf --part latched " DEMO,
     "firstfetch: --image: stands instead of a case; expected only one of "
     "the two"},
    {"a base without an image", "run --base 0x04000000 " DEMO,
     "firstfetch: --base: is for --image; a case says where its images go"},
    {"a base that is no address",
     "run --image images/logger/logger.bin --part latched --base 67108864",
     "firstfetch: --base: is \"67108864\"; expected an address such as "
     "0x04000000"},
    {"a base beyond 32 bits",
     "run --image images/logger/logger.bin --part latched --base "
     "0x100000000",
     "firstfetch: --base: is \"0x100000000\"; expected an address such as "
     "0x04000000"},
    {"two outputs to one place", "run --json - --trace - " DEMO,
     "firstfetch: --trace: goes where --json goes; expected another file"},
    {"serve without a case", "serve",
     "firstfetch: serve: is for one case; expected one"},
    {"serve on several parts", "serve --part latched,checked " DEMO,
     "firstfetch: serve: is for one part; expected one"},
    {"serve by a port and not by one", "serve --port 4000 --stdio " DEMO,
     "firstfetch: serve: talks through a port or --stdio; expected only one"},
    {"a port beyond the last", "serve --port 65536 " DEMO,
     "firstfetch: --port: is \"65536\"; expected a number from 0 to 65535"},
    {"a port that is no number", "serve --port 4k " DEMO,
     "firstfetch: --port: is \"4k\"; expected a number from 0 to 65535"},
    {"a step that nobody has labelled", "serve --after programed " DEMO,
     "firstfetch: --after: names no step: no label of the case is "
     "\"programed\""},
    {"a step behind the last", "serve --after 9 " DEMO,
     "firstfetch: --after: is \"9\"; expected a number from 0 to 8"},
    {"more and less at once", "run -q -v " DEMO,
     "firstfetch: --quiet: asks for less and --verbose for more; expected one "
     "of them"},
    {"more and less at once in whole words", "run " DEMO " --verbose --quiet",
     "firstfetch: --quiet: asks for less and --verbose for more; expected one "
     "of them"},
    {"words for a reader whom nobody knows", "run --words guru " DEMO,
     "firstfetch: --words: is \"guru\"; expected newcomer, expert or both"},
    {"two pages of one name",
     "why --json - --html - "
     "traces/why-only-the-pc.jsonc",
     "firstfetch: --html: goes where --json goes; expected another file"},
    {"two results of one name",
     "route --json - --html - "
     "traces/route-battery-fitted.jsonc",
     "firstfetch: --html: goes where --json goes; expected another file"},
    {"nothing to check", "check",
     "firstfetch: check: has nothing to read; expected files"},
    {"version takes no words", "version 2",
     "firstfetch: 2: is not expected here"},
};

/* The first line of `text`, in place. */
static char *first_line(char *text)
{
  text[strcspn(text, "\n")] = '\0';
  return text;
}

static void usage_row(void **state)
{
  const struct usage_row *row = *state;
  void *own = NULL;
  assert_int_equal(program_setup(&own), 0);
  struct program *p = own;
  program_run(p, row->arguments);
  assert_int_equal(p->exit_code, 2);
  assert_string_equal(p->out, "");
  assert_non_null(strstr(p->err, "\nfirstfetch help"));
  assert_string_equal(first_line(p->err), row->err);
  assert_int_equal(program_teardown(&own), 0);
}

/* --- wrong input --------------------------------------------------------- */

static const struct input_row {
  const char *name;
  const char *arguments;
  const char *err;
} input_rows[] = {
    {"a case that is not there", "run traces/nowhere.jsonc",
     "firstfetch: traces/nowhere.jsonc: does not exist; expected a readable "
     "file\n"},
    {"nothing is played if the last case is not there",
     "run " DEMO " traces/nowhere.jsonc",
     "firstfetch: traces/nowhere.jsonc: does not exist; expected a readable "
     "file\n"},
    {"a folder as a case", "run traces",
     "firstfetch: traces: is a directory; expected a readable file\n"},
    {"a misspelt part brings a suggestion", "run --part latchd " DEMO,
     "firstfetch: part: is \"latchd\", which is no part here; did you mean "
     "\"latched\"?\n"},
    {"a part that is like no other", "run --part frobnicate " DEMO,
     "firstfetch: part: is \"frobnicate\", which is no part here; expected "
     "the name of a file in a models folder, or a path ending in .json\n"},
    {"an empty name in a list of parts", "run --part latched, " DEMO,
     "firstfetch: part: is \"\", which is no part here; expected the name of "
     "a file in a models folder, or a path ending in .json\n"},
    {"a part by a path that is not there", "run --part models/x.json " DEMO,
     "firstfetch: models/x.json: does not exist; expected a readable file\n"},
    {"a name of a part is no path", "run --part ../models/latched " DEMO,
     "firstfetch: part: is \"../models/latched\", which is no part here; "
     "expected the name of a file in a models folder, or a path ending in "
     ".json\n"},
    {"an image that is not there",
     "run --image images/nowhere.elf --part latched",
     "firstfetch: images/nowhere.elf: does not exist; expected a readable "
     "file\n"},
    {"an output in a folder that is not there",
     "run --json nowhere/at/all.json " DEMO,
     "firstfetch: nowhere/at/all.json: is in a folder that does not exist\n"},
    {"an output that is a folder", "run --json traces " DEMO,
     "firstfetch: traces: is a directory\n"},
    {"check tells of JSON that is something else",
     "check traces/result.schema.json",
     "firstfetch: traces/result.schema.json:1:1: is neither a part nor a "
     "case; expected an object with \"core\" or \"steps\"\n"},
};

static void input_row(void **state)
{
  const struct input_row *row = *state;
  void *own = NULL;
  assert_int_equal(program_setup(&own), 0);
  struct program *p = own;
  program_run(p, row->arguments);
  assert_string_equal(p->err, row->err);
  assert_string_equal(p->out, "");
  assert_int_equal(p->exit_code, 2);
  assert_int_equal(program_teardown(&own), 0);
}

/* --- help ---------------------------------------------------------------- */

static void without_words_it_tells_what_there_is(void **state)
{
  struct program *p = *state;
  program_run(p, "");
  assert_int_equal(p->exit_code, 2);
  assert_string_equal(p->out, "");
  assert_ptr_equal(strstr(p->err, "usage: firstfetch COMMAND ...\n"), p->err);
}

static void help_can_be_asked_for_in_every_usual_way(void **state)
{
  struct program *p = *state;
  program_shell(p, "\"$F\" help >$D/a && \"$F\" --help >$D/b &&\n"
                   "\"$F\" -h >$D/c && cmp $D/a $D/b && cmp $D/a $D/c");
  assert_int_equal(p->exit_code, 0);
  program_shell(p, "\"$F\" help run >$D/a && \"$F\" run --help >$D/b &&\n"
                   "\"$F\" run -h x >$D/c && cmp $D/a $D/b && cmp $D/a $D/c");
  assert_int_equal(p->exit_code, 0);
}

/* Every command that help lists has a help of its own. */
static void help_lists_commands_that_are_there(void **state)
{
  struct program *p = *state;
  program_shell(p, "n=0; for c in $(\"$F\" help | awk '/^  [a-z]/{print "
                   "$1}'); do\n"
                   "  \"$F\" help $c | grep -q \"^usage: firstfetch $c\" || "
                   "exit 1\n"
                   "  n=$((n + 1))\n"
                   "done; echo $n");
  assert_int_equal(p->exit_code, 0);
  assert_true(atoi(p->out) >= 6);
}

static void help_keeps_to_80_columns(void **state)
{
  struct program *p = *state;
  program_run(p, "help run sweep merge route why check help version");
  assert_int_equal(p->exit_code, 0);
  for (char *line = strtok(p->out, "\n"); line; line = strtok(NULL, "\n")) {
    assert_in_range(strlen(line), 1, 80);
  }
}

/* The version that CMakeLists.txt gives the project. */
static void the_version_is_that_of_the_project(void **state)
{
  struct program *p = *state;
  program_shell(p, "sed -n 's/^project(firstfetch VERSION "
                   "\\([0-9.]*\\) .*/firstfetch \\1/p' CMakeLists.txt >$D/a\n"
                   "\"$F\" version >$D/b; \"$F\" --version >$D/c\n"
                   "test -s $D/a && cmp $D/a $D/b && cmp $D/a $D/c");
  assert_int_equal(p->exit_code, 0);
}

int main(void)
{
  const struct CMUnitTest single[] = {
      IN_FOLDER(without_words_it_tells_what_there_is),
      IN_FOLDER(help_can_be_asked_for_in_every_usual_way),
      IN_FOLDER(help_lists_commands_that_are_there),
      IN_FOLDER(help_keeps_to_80_columns),
      IN_FOLDER(the_version_is_that_of_the_project),
  };
  struct CMUnitTest tests[ROWS_COUNT(single) + ROWS_COUNT(usage_rows) +
                          ROWS_COUNT(input_rows)];
  memcpy(tests, single, sizeof single);
  size_t n = ROWS_COUNT(single);
  n += ROWS_ADD(tests + n, usage_row, usage_rows);
  ROWS_ADD(tests + n, input_row, input_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
