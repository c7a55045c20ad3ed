/* The command `sweep`: killed and resumed, shared out and merged, it writes
 * the same bytes; what does not belong together is refused. */
#include <time.h>

#include "sweep_fixture.h"

#define SWEPT                                                                 \
  "sweep " FIRSTFETCH_ROOT "/traces/strap-forces-rom.jsonc --reset "          \
  "pin:each-cycle"

/* A short one, where nothing has to be interrupted. */
#define SHARED                                                                \
  "sweep " FIRSTFETCH_ROOT "/traces/still-boots-rom.jsonc --cut each-cycle"

static void wait_ms(long ms)
{
  const struct timespec time = {ms / 1000, ms % 1000 * 1000000};
  nanosleep(&time, NULL);
}

static const char *undisturbed(struct played_bench *bench, const char *words)
{
  assert_int_equal(
      sweep_program(bench, played_format(bench, "%s --jsonl %s/whole", words,
                                         bench->folder)),
      0);
  return sweep_text_of(bench, "whole");
}

/* --- resumed ------------------------------------------------------------- */

static int go_on(struct played_bench *bench, const char *jobs)
{
  return sweep_program(bench,
                       played_format(bench, SWEPT " --jobs %s --resume %s/cut",
                                     jobs, bench->folder));
}

static void killed_at_any_moment_it_goes_on_to_the_same_bytes(void **state)
{
  struct played_bench *bench = *state;
  const char *whole = undisturbed(bench, SWEPT);
  static const long moments[] = {60, 190, 430};
  for (size_t i = 0; i < ROWS_COUNT(moments); i++) {
    const char *path = played_format(bench, "%s/cut", bench->folder);
    pid_t child = sweep_start(
        bench, played_format(bench, SWEPT " --jobs 2 --jsonl %s", path));
    wait_ms(moments[i]);
    kill(child, SIGKILL);
    sweep_end(child);
    if (access(path, F_OK) != 0) continue; /* it had not got there */
    pid_t again = sweep_start(
        bench, played_format(bench, SWEPT " --jobs 1 --resume %s", path));
    wait_ms(moments[i]);
    kill(again, SIGKILL);
    sweep_end(again);
    if (sweep_text_of(bench, "cut")[0] != '\0')
      assert_int_equal(go_on(bench, "2"), 0);
    assert_string_equal(sweep_text_of(bench, "cut"), whole);
    unlink(path);
  }
}

static void a_line_that_was_cut_is_done_again(void **state)
{
  struct played_bench *bench = *state;
  const char *whole = undisturbed(bench, SWEPT);
  size_t length = strlen(whole);
  played_file(bench, "cut", whole, length - 40);
  assert_int_equal(go_on(bench, "2"), 0);
  assert_string_equal(sweep_text_of(bench, "cut"), whole);
}

static void interrupted_it_says_so_and_can_be_resumed(void **state)
{
  struct played_bench *bench = *state;
  const char *whole = undisturbed(bench, SWEPT);
  pid_t child =
      sweep_start(bench, played_format(bench, SWEPT " --jobs 1 --jsonl %s/cut",
                                       bench->folder));
  for (int i = 0; i < 200; i++) { /* until its handler is there */
    wait_ms(5);
    if (access(played_format(bench, "%s/cut", bench->folder), F_OK) == 0)
      break;
  }
  wait_ms(40);
  kill(child, SIGINT);
  assert_int_equal(sweep_end(child), 4);
  assert_non_null(strstr(sweep_text_of(bench, "err"), "interrupted"));
  assert_int_equal(go_on(bench, "3"), 0);
  assert_string_equal(sweep_text_of(bench, "cut"), whole);
}

static void a_file_that_is_there_is_not_overwritten(void **state)
{
  struct played_bench *bench = *state;
  played_text_file(bench, "cut", "work\n");
  assert_int_equal(
      sweep_program(
          bench, played_format(bench, SWEPT " --jsonl %s/cut", bench->folder)),
      2);
  assert_string_equal(sweep_text_of(bench, "cut"), "work\n");
}

/* --- shards -------------------------------------------------------------- */

static void make_shards(struct played_bench *bench)
{
  for (int i = 1; i <= 3; i++)
    assert_int_equal(
        sweep_program(bench, played_format(bench,
                                           SHARED " --jobs %d --shard %d/3 "
                                                  "--jsonl %s/s%d",
                                           i, i, bench->folder, i)),
        0);
}

static int merge(struct played_bench *bench, const char *words)
{
  return sweep_program(bench,
                       played_format(bench,
                                     "merge $(cd %s; for i in %s; do "
                                     "echo %s/$i; done)",
                                     bench->folder, words, bench->folder));
}

static void shards_merge_into_the_whole(void **state)
{
  struct played_bench *bench = *state;
  const char *whole = undisturbed(bench, SHARED);
  const char *text = sweep_text_of(bench, "out");
  make_shards(bench);
  assert_int_equal(
      sweep_program(bench,
                    played_format(bench,
                                  "merge %s/s2 %s/s3 %s/s1 --jsonl %s/merged "
                                  "--svg %s/b.svg --json %s/b.json "
                                  "--html %s/b.html",
                                  bench->folder, bench->folder, bench->folder,
                                  bench->folder, bench->folder, bench->folder,
                                  bench->folder)),
      0);
  assert_string_equal(sweep_text_of(bench, "merged"), whole);
  assert_string_equal(sweep_text_of(bench, "out"), text);
  assert_int_equal(
      sweep_program(bench, played_format(bench,
                                         SHARED " --jobs 3 --svg %s/a.svg "
                                                "--json %s/a.json "
                                                "--html %s/a.html",
                                         bench->folder, bench->folder,
                                         bench->folder)),
      0);
  assert_string_equal(sweep_text_of(bench, "b.svg"),
                      sweep_text_of(bench, "a.svg"));
  assert_string_equal(sweep_text_of(bench, "b.json"),
                      sweep_text_of(bench, "a.json"));
  assert_string_equal(sweep_text_of(bench, "b.html"),
                      sweep_text_of(bench, "a.html"));
}

static void the_page_tells_each_class_with_its_first_example(void **state)
{
  struct played_bench *bench = *state;
  static const char *const said[] = {
      "<th scope=\"row\">application</th>", "<th scope=\"row\">torn</th>",
      "<td>the part locks up</td>", "<svg ", "A simulation is not the board."};
  assert_int_equal(
      sweep_program(bench, played_format(bench, SHARED " --html %s/a.html",
                                         bench->folder)),
      0);
  const char *page = sweep_text_of(bench, "a.html");
  for (size_t i = 0; i < ROWS_COUNT(said); i++) {
    if (!strstr(page, said[i])) fail_msg("not in it: %s", said[i]);
  }
  assert_null(strstr(page, "<th scope=\"row\">no start</th>"));
}

static void a_page_is_of_all_points(void **state)
{
  struct played_bench *bench = *state;
  assert_int_equal(
      sweep_program(bench, played_format(bench,
                                         SHARED " --point cut:write:1 "
                                                "--html %s/a.html",
                                         bench->folder)),
      2);
}

/* No colour is needed: a row, a label and a pattern for each class. */
static void the_picture_tells_classes_apart_by_label_and_pattern(void **state)
{
  struct played_bench *bench = *state;
  static const char *const labels[] = {">application<", ">rom<", ">lockup<",
                                       ">torn<"};
  static const char *const fills[] = {"url(#c0)", "url(#c3)", "url(#c4)",
                                      "url(#c5)"};
  assert_int_equal(
      sweep_program(bench, played_format(bench, SHARED " --svg %s/a.svg",
                                         bench->folder)),
      0);
  const char *svg = sweep_text_of(bench, "a.svg");
  for (size_t i = 0; i < ROWS_COUNT(labels); i++) {
    assert_non_null(strstr(svg, labels[i]));
    assert_non_null(strstr(svg, fills[i]));
  }
  assert_null(strstr(svg, ">no start<"));
}

static void gaps_duplicates_and_strangers_are_refused(void **state)
{
  struct played_bench *bench = *state;
  make_shards(bench);
  assert_int_equal(merge(bench, "s1 s3"), 2);
  assert_non_null(strstr(sweep_text_of(bench, "err"), "is missing"));
  assert_int_equal(merge(bench, "s1 s2 s3 s2"), 2);
  assert_non_null(strstr(sweep_text_of(bench, "err"), "is there twice"));
  assert_int_equal(
      sweep_program(bench,
                    played_format(bench,
                                  "sweep " FIRSTFETCH_ROOT
                                  "/traces/app-asks-for-rom.jsonc --cut "
                                  "each-event --jsonl %s/other",
                                  bench->folder)),
      0);
  assert_int_equal(merge(bench, "s1 other"), 2);
  assert_non_null(strstr(sweep_text_of(bench, "err"), "another sweep"));
  assert_int_equal(
      sweep_program(bench, played_format(bench, SHARED " --resume %s/other",
                                         bench->folder)),
      2);
}

/* --- lines that nobody wrote --------------------------------------------- */

#define HEAD                                                                  \
  "{\"firstfetch_sweep\":1,\"case\":\"c\",\"file\":\"f\",\"part\":\"p\","     \
  "\"fault\":\"cut\",\"kind\":\"cycle\",\"how\":\"h\",\"setup\":"             \
  "\"00000000000000000000000000000000\",\"points\":9,\"end_ps\":\"5\","       \
  "\"shard\":[1,1]}\n"
#define LINE(points, class)                                                   \
  "{\"points\":" points                                                       \
  ",\"at_ps\":[\"0\",\"1\"],\"class\":\"" class "\","                         \
                                                "\"what\":\"\"}\n"

static const struct refused_row {
  const char *name;
  const char *text;
  const char *complaint;
} refused_rows[] = {
    {"nothing", "", "the head of a sweep"},
    {"no JSON", "hello\n", "1:1"},
    {"a list", "[]\n", "expected an object"},
    {"another version", "{\"firstfetch_sweep\":2}\n", "version 1"},
    {"a head without a part",
     "{\"firstfetch_sweep\":1,\"case\":\"c\",\"file\":\"f\"}\n",
     "part: expected a string"},
    {"points beyond the sweep", HEAD LINE("[1,10]", "rom"),
     "2:1: points: expected points of this sweep"},
    {"points backwards", HEAD LINE("[3,2]", "rom"), "points"},
    {"a negative point", HEAD LINE("[-1,2]", "rom"), "points"},
    {"three ends", HEAD LINE("[1,2,3]", "rom"), "a list of two"},
    {"an unknown class", HEAD LINE("[1,9]", "fine"), "a class of answers"},
    {"a point that is missing", HEAD LINE("[1,4]", "rom") LINE("[6,9]", "rom"),
     "point 5 is missing"},
    {"a point that is there twice",
     HEAD LINE("[1,5]", "rom") LINE("[5,9]", "rom"), "point 5 is there twice"},
};

static void refused(void **state)
{
  struct played_bench *bench = *state;
  const struct refused_row *row = bench->row;
  played_text_file(bench, "lines", row->text);
  assert_int_equal(merge(bench, "lines"), 2);
  const char *err = sweep_text_of(bench, "err");
  if (!strstr(err, row->complaint)) fail_msg("%s", err);
}

static void lines_of_the_right_form_are_taken(void **state)
{
  struct played_bench *bench = *state;
  played_text_file(bench, "lines",
                   HEAD LINE("[6,9]", "lockup") LINE("[1,5]", "rom"));
  assert_int_equal(merge(bench, "lines"), 0);
  const char *out = sweep_text_of(bench, "out");
  assert_non_null(strstr(out, "5 points"));
  assert_non_null(strstr(out, "4 points"));
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(refused_rows) + 8] = {
      PLAYED_TEST(killed_at_any_moment_it_goes_on_to_the_same_bytes),
      PLAYED_TEST(a_line_that_was_cut_is_done_again),
      PLAYED_TEST(interrupted_it_says_so_and_can_be_resumed),
      PLAYED_TEST(a_file_that_is_there_is_not_overwritten),
      PLAYED_TEST(shards_merge_into_the_whole),
      PLAYED_TEST(the_picture_tells_classes_apart_by_label_and_pattern),
      PLAYED_TEST(the_page_tells_each_class_with_its_first_example),
      PLAYED_TEST(a_page_is_of_all_points),
      PLAYED_TEST(gaps_duplicates_and_strangers_are_refused),
      PLAYED_TEST(lines_of_the_right_form_are_taken)};
  PLAYED_ADD(tests + 8, refused, refused_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
