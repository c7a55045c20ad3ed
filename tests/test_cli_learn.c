/* The program on firmware that nobody described: names, what it tells, and
 * the file to be pasted. What the firmware waits for is told in
 * images/stranger/main.c. */
#include "program.h"

#define STRANGER                                                              \
  "run --part images/stranger/part.json "                                     \
  "--image images/stranger/stranger.elf "
#define LISTENS                                                               \
  "run --part images/stranger/part.json "                                     \
  "--image images/stranger-listens/stranger-listens.elf "
#define SVD "--svd images/stranger/stranger.svd "

/* Is it in the text, whatever the lines are broken at? */
static void must_say(const char *text, const char *words)
{
  char *joined = strdup(text), *to = joined;
  assert_non_null(joined);
  for (const char *from = text; *from; from++) {
    bool space = *from == ' ' || *from == '\n';
    if (!space) *to++ = *from;
    if (space && to > joined && to[-1] != ' ') *to++ = ' ';
  }
  *to = '\0';
  if (!strstr(joined, words)) fail_msg("%s\nis not said in:\n%s", words, text);
  free(joined);
}

static void a_stranger_gets_to_sleep(void **state)
{
  struct program *p = *state;
  program_run(p, STRANGER "-v");
  assert_string_equal(p->err, "");
  assert_int_equal(p->exit_code, 0);
  must_say(p->out, "outcome sleeping until something wakes it");
  must_say(p->out, "learned about registers that nothing describes, in ");
  must_say(p->out, "0x40200000: bit 12 reads 1; polled from 0x");
  must_say(p->out, "0x40200008: bit 5 reads 0; polled from 0x");
  must_say(p->out, "0x40210000: bits 0x00040080 read 0x00040080; polled");
}

static void one_that_waits_is_told_with_address_and_bit(void **state)
{
  struct program *p = *state;
  program_run(p, LISTENS "-v");
  assert_int_equal(p->exit_code, 0);
  must_say(p->out, "waiting for something outside: polls 0x40220000 from ");
  must_say(p->out, "; bit 4 as 1 would let it go");
  must_say(p->out,
           "0x40220000: bit 4 reads 1, if something outside makes it; polled");
}

static void registers_have_names_by_svd(void **state)
{
  struct program *p = *state;
  program_run(p, LISTENS SVD "-v");
  assert_string_equal(p->err, "");
  must_say(p->out, "polls PORT.STATUS at 0x40220000 from ");
  must_say(p->out, "0x40200004 CLOCKS.SELECTION: bit 21 reads 1; polled");
  must_say(p->out, "used address 0x40200000 CLOCKS.CONTROL, which the part "
                   "file does not describe");
}

static void a_wrong_svd_file_is_an_error(void **state)
{
  struct program *p = *state;
  program_run(p, STRANGER "--svd images/stranger/part.json");
  assert_int_equal(p->exit_code, 2);
  must_say(p->err, "part.json:1:1: is no XML (");
  program_run(p, STRANGER "--svd nowhere.svd");
  assert_int_equal(p->exit_code, 2);
  must_say(p->err, "nowhere.svd: ");
}

static void json_has_it_too(void **state)
{
  struct program *p = *state;
  program_run(p, LISTENS SVD "--json -");
  assert_int_equal(p->exit_code, 0);
  must_say(p->out, "\"at\": \"0x40200008\", \"name\": \"CLOCKS.CALIBRATION\", "
                   "\"bits\": \"0x00000020\", \"read\": \"0x00000000\"");
  must_say(p->out, "\"tried\": true, \"bits\": \"0x00000010\", "
                   "\"read\": \"0x00000010\", \"for_host\": false");
  must_say(p->out, "\"outside\": true } ], \"trials\": ");
}

/* The answers' member replaces the last brace of the part file. */
static void what_was_learned_is_pasted_with_an_editor(void **state)
{
  struct program *p = *state;
  program_shell(p, "\"$F\" " LISTENS "--learned $D/learned.json >/dev/null\n"
                   "{ sed '$d' images/stranger/part.json; echo ,; "
                   "sed '1d' $D/learned.json; } >$D/part.json\n"
                   "\"$F\" run -v --part $D/part.json --image "
                   "images/stranger-listens/stranger-listens.elf "
                   "--trace $D/trace --learned $D/again.json\n"
                   "cmp $D/learned.json $D/again.json && "
                   "! grep -q ' trial ' $D/trace");
  assert_string_equal(p->err, "");
  assert_int_equal(p->exit_code, 0);
  must_say(p->out, "; bit 4 as 1 would let it go");
}

static void what_was_learned_belongs_to_one_run(void **state)
{
  struct program *p = *state;
  program_shell(p, "\"$F\" run --learned $D/x --part latched,checked "
                   "traces/still-boots-rom.jsonc; echo $?; ls $D");
  assert_string_equal(p->out, "2\nstderr\nstdout\n");
  must_say(p->err, "--learned: is for one run; expected one case and one");
  program_run(p, STRANGER "--json same --learned same");
  assert_int_equal(p->exit_code, 2);
  must_say(p->err, "--learned: goes where --json goes; expected another file");
}

static void a_described_part_learns_nothing(void **state)
{
  struct program *p = *state;
  program_shell(p, "\"$F\" run --learned - traces/still-boots-rom.jsonc");
  assert_int_equal(p->exit_code, 0);
  assert_string_equal(p->out, "{\n  \"answers\": []\n}\n");
}

int main(void)
{
  static const struct CMUnitTest tests[] = {
      IN_FOLDER(a_stranger_gets_to_sleep),
      IN_FOLDER(one_that_waits_is_told_with_address_and_bit),
      IN_FOLDER(registers_have_names_by_svd),
      IN_FOLDER(a_wrong_svd_file_is_an_error),
      IN_FOLDER(json_has_it_too),
      IN_FOLDER(what_was_learned_is_pasted_with_an_editor),
      IN_FOLDER(what_was_learned_belongs_to_one_run),
      IN_FOLDER(a_described_part_learns_nothing),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
