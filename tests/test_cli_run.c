/* The program from outside: what it plays, and what it writes where.
 *
 * Exit codes and words are ours. That a closed pipe or a full device is an
 * error is common practice, no source. */
#include "program.h"

#define DEMO "traces/still-boots-rom.jsonc"

/* --- running ------------------------------------------------------------- */

static void the_demonstration_holds(void **state)
{
  struct program *p = *state;
  program_run(p, "run " DEMO);
  assert_string_equal(p->err, "");
  assert_int_equal(p->exit_code, 0);
  assert_ptr_equal(
      strstr(p->out, "A pin reset does not refresh the blank latch\n"),
      p->out);
  assert_non_null(strstr(p->out, "\nheld: all "));
}

/* A case with one expectation, on the part of the demonstration. */
static void write_case(struct program *p, const char *region)
{
  char text[1000];
  snprintf(text, sizeof text,
           "{ \"case\": \"power on\",\n"
           "  \"part\": \"%s/models/latched.json\",\n"
           "  \"steps\": [ { \"power\": \"on\" },\n"
           "    { \"expect\": { \"region\": \"%s\", \"within\": \"3ms\" } } ] "
           "}\n",
           FIRSTFETCH_ROOT, region);
  program_write(p, "case.json", text);
}

static void an_expectation_that_holds_is_exit_code_0(void **state)
{
  struct program *p = *state;
  write_case(p, "rom");
  program_run(p, "run $D/case.json");
  assert_int_equal(p->exit_code, 0);
}

static void an_expectation_that_fails_is_exit_code_1(void **state)
{
  struct program *p = *state;
  write_case(p, "flash");
  program_run(p, "run $D/case.json");
  assert_string_equal(p->err, "");
  assert_int_equal(p->exit_code, 1);
  assert_non_null(strstr(p->out, "\n    asked region flash"));
  assert_non_null(strstr(p->out, "\n    seen  region rom"));
  assert_non_null(strstr(p->out, "\nfailed: 1 of 1 expectation\n"));
}

static void one_failure_among_several_cases_is_exit_code_1(void **state)
{
  struct program *p = *state;
  write_case(p, "flash");
  program_run(p, "run $D/case.json " DEMO);
  assert_int_equal(p->exit_code, 1);
}

static void compare_judges_nothing(void **state)
{
  struct program *p = *state;
  write_case(p, "flash");
  program_run(p, "run --compare $D/case.json");
  assert_int_equal(p->exit_code, 0);
  assert_non_null(strstr(p->out, "\nno verdict: "));
}

/* Intel HEX and a raw binary of one image, neither with symbols. */
static void an_image_plays_the_built_in_script(void **state)
{
  struct program *p = *state;
  program_shell(
      p, "\"$F\" run --image images/logger/logger.hex --part latched --json "
         "$D/hex --trace $D/hex-trace >/dev/null &&\n"
         "\"$F\" run --image images/logger/logger.bin --base 0x04000000 "
         "--part latched --json $D/bin --trace $D/bin-trace >/dev/null &&\n"
         "cmp $D/hex-trace $D/bin-trace && cmp $D/hex $D/bin");
  assert_string_equal(p->err, "");
  assert_int_equal(p->exit_code, 0);
}

static void a_raw_binary_needs_a_base(void **state)
{
  struct program *p = *state;
  program_run(p, "run --image images/logger/logger.bin --part latched");
  assert_int_equal(p->exit_code, 2);
  assert_non_null(strstr(p->err, "logger.bin"));
  assert_non_null(strstr(p->err, "base"));
}

/* --- several parts ------------------------------------------------------- */

static void all_is_every_part_of_the_folder_in_order_of_names(void **state)
{
  struct program *p = *state;
  program_shell(p, "mkdir $D/models && cd $D/models &&\n"
                   "for n in b a-2 c; do sed 's/\"part\": \"latched\"/"
                   "\"part\": \"'$n'\"/; s#\\.\\./images#" FIRSTFETCH_ROOT
                   "/images#' " FIRSTFETCH_ROOT "/models/latched.json "
                   ">$n.json; done\n"
                   "echo '{}' >part.schema.json; echo x >.hidden.json; echo "
                   "x >notes.txt\n"
                   "\"$F\" run --models . --part all --json - "
                   "$OLDPWD/" DEMO "\n");
  assert_string_equal(p->err, "");
  assert_int_equal(p->exit_code, 0);
  const char *at = p->out;
  static const char *const order[] = {"\"part\": \"a-2\"", "\"part\": \"b\"",
                                      "\"part\": \"c\""};
  for (size_t i = 0; i < ROWS_COUNT(order); i++) {
    at = strstr(at, order[i]);
    assert_non_null(at);
  }
  assert_null(strstr(at + 1, "\"part\":"));
}

static void several_parts_stand_side_by_side(void **state)
{
  struct program *p = *state;
  program_run(p, "run --compare --part checked,latched " DEMO);
  assert_int_equal(p->exit_code, 0);
  assert_non_null(strstr(p->out, "\n                 checked      latched\n"));
  assert_non_null(strstr(p->out, "\nThey differ from steps["));
}

static void a_part_by_path_is_the_part_by_name(void **state)
{
  struct program *p = *state;
  program_shell(p, "\"$F\" run --part latched " DEMO " >$D/a &&\n"
                   "\"$F\" run --part models/latched.json " DEMO " >$D/b &&\n"
                   "\"$F\" run " DEMO " >$D/c &&\n"
                   "cmp $D/a $D/b && cmp $D/a $D/c");
  assert_int_equal(p->exit_code, 0);
}

/* --- outputs ------------------------------------------------------------- */

static void same_input_same_bytes_from_any_folder_and_locale(void **state)
{
  struct program *p = *state;
  program_shell(
      p, "\"$F\" run --json $D/a.json --trace $D/a.trace " DEMO " >$D/a &&\n"
         "P=$PWD && cd / && LC_ALL=C TZ=UTC-9 \"$F\" run --json $D/b.json "
         "--trace $D/b.trace $P/" DEMO " >$D/b &&\n"
         "cmp $D/a $D/b && cmp $D/a.json $D/b.json &&\n"
         "cmp $D/a.trace $D/b.trace");
  assert_string_equal(p->err, "");
  assert_int_equal(p->exit_code, 0);
}

static void a_trace_changes_nothing(void **state)
{
  struct program *p = *state;
  program_shell(p,
                "\"$F\" run --json $D/a --trace $D/t " DEMO " >/dev/null &&\n"
                "\"$F\" run --json $D/b " DEMO " >/dev/null && cmp $D/a "
                "$D/b");
  assert_string_equal(p->err, "");
  assert_int_equal(p->exit_code, 0);
}

static void a_machine_format_alone_goes_to_standard_output(void **state)
{
  struct program *p = *state;
  program_shell(p, "\"$F\" run --json $D/a " DEMO " >/dev/null; \"$F\" run "
                   "--json - " DEMO " | cmp - $D/a &&\n"
                   "\"$F\" run --trace $D/b " DEMO " >/dev/null; \"$F\" run "
                   "--trace - " DEMO " | cmp - $D/b");
  assert_string_equal(p->err, "");
  assert_int_equal(p->exit_code, 0);
}

static void a_run_that_fails_leaves_files_as_they_were(void **state)
{
  struct program *p = *state;
  program_shell(p, "echo old >$D/json; echo old >$D/trace\n"
                   "\"$F\" run --json $D/json --trace $D/trace --image "
                   "images/nowhere.elf --part latched; ls $D; cat $D/json "
                   "$D/trace");
  assert_string_equal(p->out, "json\nstderr\nstdout\ntrace\nold\nold\n");
}

static void a_failed_expectation_still_writes_the_files(void **state)
{
  struct program *p = *state;
  write_case(p, "flash");
  program_shell(p, "\"$F\" run --json $D/json --trace $D/trace $D/case.json "
                   ">/dev/null; echo $?; ls $D");
  assert_string_equal(p->out, "1\ncase.json\njson\nstderr\nstdout\ntrace\n");
}

static void a_link_and_permissions_outlive_writing(void **state)
{
  struct program *p = *state;
  program_shell(p, "umask 022; echo old >$D/target; chmod 640 $D/target\n"
                   "ln -s target $D/link\n"
                   "\"$F\" run --json $D/link --trace $D/new " DEMO
                   " >/dev/null &&\n"
                   "test -h $D/link && grep -q firstfetch $D/target &&\n"
                   "stat -c %a $D/target $D/new");
  assert_int_equal(p->exit_code, 0);
  assert_string_equal(p->out, "640\n644\n");
}

static void a_device_is_written_to_and_stays(void **state)
{
  struct program *p = *state;
  program_shell(p, "\"$F\" run --json /dev/null " DEMO " >/dev/null; echo $?; "
                   "test -c /dev/null && echo there");
  assert_string_equal(p->out, "0\nthere\n");
}

static void a_full_device_is_told(void **state)
{
  struct program *p = *state;
  program_shell(p, "\"$F\" run --json /dev/full " DEMO " >/dev/null");
  assert_int_equal(p->exit_code, 2);
  assert_ptr_equal(strstr(p->err, "firstfetch: /dev/full: "), p->err);
  program_shell(p, "\"$F\" run " DEMO " >/dev/full");
  assert_int_equal(p->exit_code, 2);
  assert_ptr_equal(strstr(p->err, "firstfetch: standard output: "), p->err);
}

/* The reader is gone before the program begins to write. */
static void a_closed_pipe_is_told_and_kills_nobody(void **state)
{
  struct program *p = *state;
  program_shell(p, "{ sleep 1; \"$F\" run " DEMO "; echo $? >$D/code; } | "
                   "true; sleep 0.1\n"
                   "while test ! -s $D/code; do sleep 0.1; done; cat $D/code");
  assert_string_equal(p->out, "2\n");
  assert_ptr_equal(strstr(p->err, "firstfetch: standard output: "), p->err);
}

static void a_closed_standard_output_is_told(void **state)
{
  struct program *p = *state;
  program_shell(p, "\"$F\" run --json $D/json " DEMO " >&-");
  assert_int_equal(p->exit_code, 2);
  assert_ptr_equal(strstr(p->err, "firstfetch: standard output: "), p->err);
}

/* --- check --------------------------------------------------------------- */

static void check_tells_what_is_sound_and_what_is_assumed(void **state)
{
  struct program *p = *state;
  program_run(p,
              "check models/latched.json " DEMO " images/logger/logger.elf");
  assert_string_equal(p->err, "");
  assert_int_equal(p->exit_code, 0);
  assert_ptr_equal(strstr(p->out, "models/latched.json: sound\n"), p->out);
  assert_non_null(strstr(p->out, " of its numbers are assumed: "));
  assert_non_null(strstr(p->out, "\n" DEMO ": sound\n"));
  assert_non_null(strstr(p->out, "\nimages/logger/logger.elf: sound\n"));
}

static void check_takes_a_base_for_raw_binaries(void **state)
{
  struct program *p = *state;
  program_run(p, "check --base 0x04000000 images/logger/logger.bin");
  assert_string_equal(p->err, "");
  assert_int_equal(p->exit_code, 0);
  assert_non_null(strstr(p->out, "\n  raw binary image, 0 symbols, 1 "
                                 "segment:\n"));
  assert_non_null(strstr(p->out, " bytes, 0x04000000 to 0x0400"));
}

static void check_goes_on_after_an_unsound_file(void **state)
{
  struct program *p = *state;
  program_write(p, "bad.json", "{ \"case\": 1, \"steps\": [] }\n");
  program_run(p, "check $D/bad.json models/latched.json");
  assert_int_equal(p->exit_code, 2);
  assert_non_null(strstr(p->err, "bad.json:1:"));
  assert_ptr_equal(strstr(p->out, "models/latched.json: sound\n"), p->out);
}

/* A case is checked with its part and its images. */
static void check_looks_up_every_name_in_a_case(void **state)
{
  struct program *p = *state;
  char text[1000];
  snprintf(text, sizeof text,
           "{ \"case\": \"wrong names\",\n"
           "  \"part\": \"%s/models/latched.json\",\n"
           "  \"steps\": [ { \"power\": \"on\" },\n"
           "    { \"drive\": \"P99\", \"level\": \"low\" } ] }\n",
           FIRSTFETCH_ROOT);
  program_write(p, "case.json", text);
  program_run(p, "check $D/case.json");
  assert_int_equal(p->exit_code, 2);
  assert_non_null(strstr(p->err, "case.json:4:"));
  assert_non_null(strstr(p->err, "P99"));
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      IN_FOLDER(the_demonstration_holds),
      IN_FOLDER(an_expectation_that_holds_is_exit_code_0),
      IN_FOLDER(an_expectation_that_fails_is_exit_code_1),
      IN_FOLDER(one_failure_among_several_cases_is_exit_code_1),
      IN_FOLDER(compare_judges_nothing),
      IN_FOLDER(an_image_plays_the_built_in_script),
      IN_FOLDER(a_raw_binary_needs_a_base),
      IN_FOLDER(all_is_every_part_of_the_folder_in_order_of_names),
      IN_FOLDER(several_parts_stand_side_by_side),
      IN_FOLDER(a_part_by_path_is_the_part_by_name),
      IN_FOLDER(same_input_same_bytes_from_any_folder_and_locale),
      IN_FOLDER(a_machine_format_alone_goes_to_standard_output),
      IN_FOLDER(a_run_that_fails_leaves_files_as_they_were),
      IN_FOLDER(a_failed_expectation_still_writes_the_files),
      IN_FOLDER(a_link_and_permissions_outlive_writing),
      IN_FOLDER(a_device_is_written_to_and_stays),
      IN_FOLDER(a_full_device_is_told),
      IN_FOLDER(a_closed_pipe_is_told_and_kills_nobody),
      IN_FOLDER(a_closed_standard_output_is_told),
      IN_FOLDER(check_tells_what_is_sound_and_what_is_assumed),
      IN_FOLDER(check_goes_on_after_an_unsound_file),
      IN_FOLDER(check_looks_up_every_name_in_a_case),
      IN_FOLDER(a_trace_changes_nothing),
      IN_FOLDER(check_takes_a_base_for_raw_binaries),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
