/* Whole files in, paths beside others, and the memory they come into. */
#include <stdalign.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/arena.h"
#include "base/file.h"
#include "rows.h"

/* --- reading ------------------------------------------------------------- */

static char folder[] = "/tmp/test_file_XXXXXX";

static int make_folder(void **state)
{
  (void)state;
  return mkdtemp(folder) && chdir(folder) == 0 ? 0 : -1;
}

static int remove_folder(void **state)
{
  (void)state;
  return chdir("/") == 0 && rmdir(folder) == 0 ? 0 : -1;
}

static void make_file(const char *name, const void *bytes, size_t length)
{
  FILE *file = fopen(name, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(bytes, 1, length, file), length);
  assert_int_equal(fclose(file), 0);
}

static void a_file_is_read_whole_and_a_zero_follows(void **state)
{
  (void)state;
  static const size_t lengths[] = {0, 1, 4096, 70001};
  for (size_t i = 0; i < 4; i++) {
    size_t length = lengths[i], got = 99;
    struct arena arena;
    struct sim_error err;
    uint8_t *bytes = NULL, *content = malloc(length + 1);
    assert_non_null(content);
    for (size_t at = 0; at < length; at++) {
      content[at] = (uint8_t)(at * 7);
    }
    content[length] = 0;
    make_file("content", content, length);
    arena_init(&arena);
    /* The limit is the largest length that is accepted. */
    assert_int_equal(file_read(&arena, "content", length, &bytes, &got, &err),
                     SIM_OK);
    assert_int_equal(got, length);
    assert_memory_equal(bytes, content, length + 1);
    arena_free(&arena);
    free(content);
    unlink("content");
  }
}

static void refuse(const char *path, size_t limit, enum sim_status expected,
                   const char *text)
{
  struct arena arena;
  struct sim_error err;
  uint8_t *bytes;
  size_t length;
  char buf[512];
  arena_init(&arena);
  assert_int_equal(file_read(&arena, path, limit, &bytes, &length, &err),
                   expected);
  assert_string_equal(sim_error_text(&err, buf, sizeof buf), text);
  arena_free(&arena);
}

static void what_is_no_readable_file_is_refused(void **state)
{
  (void)state;
  make_file("five", "12345", 5);
  assert_int_equal(mkdir("sub", 0700), 0);
  assert_int_equal(mkfifo("pipe", 0600), 0);
  assert_int_equal(symlink("loop", "loop"), 0);

  refuse("five", 4, SIM_LIMIT,
         "five: is 5 bytes long; expected at most 4 bytes");
  refuse("none", 9, SIM_FILE,
         "none: does not exist; expected a readable file");
  refuse("five/none", 9, SIM_FILE,
         "five/none: does not exist; expected a readable file");
  refuse("", 9, SIM_FILE, "does not exist; expected a readable file");
  refuse("sub", 9, SIM_FILE, "sub: is a directory; expected a readable file");
  refuse("pipe", 9, SIM_FILE,
         "pipe: is no regular file; expected a readable file");
  refuse("/dev/zero", 9, SIM_FILE,
         "/dev/zero: is no regular file; expected a readable file");
  refuse("/proc/self/mem", 9, SIM_FILE,
         "/proc/self/mem: cannot be read; expected a readable file");
  refuse("loop", 9, SIM_FILE,
         "loop: is a link that leads back to itself; expected a readable "
         "file");

  unlink("loop");
  unlink("pipe");
  rmdir("sub");
  unlink("five");
}

/* A file of /proc says that it is empty and then is not: the reader must not
 * believe what it was told first. */
static void a_file_that_is_longer_than_it_said_is_refused(void **state)
{
  (void)state;
  refuse("/proc/self/status", 99999, SIM_FILE,
         "/proc/self/status: changed while it was read; expected a readable "
         "file");
}

/* Root may read everything, so it becomes nobody for a moment. */
static void a_file_one_may_not_read_is_refused(void **state)
{
  (void)state;
  bool root = geteuid() == 0;
  make_file("secret", "x", 1);
  assert_int_equal(chmod("secret", 0), 0);
  if (root) assert_int_equal(seteuid(65534), 0);
  refuse("secret", 9, SIM_FILE,
         "secret: may not be read by this user; expected a readable file");
  if (root) assert_int_equal(seteuid(0), 0);
  unlink("secret");
}

/* POSIX: a component of more than NAME_MAX bytes; 255 on Linux. */
static void a_name_that_is_too_long_is_refused(void **state)
{
  (void)state;
  char name[301], text[400];
  memset(name, 'n', 300);
  name[300] = '\0';
  snprintf(text, sizeof text,
           "%s: is too long a name; expected a readable file", name);
  refuse(name, 9, SIM_FILE, text);
}

/* --- paths --------------------------------------------------------------- */

static const struct path_row {
  const char *name;
  const char *beside, *file, *path;
} path_rows[] = {
    {"beside a file in a folder", "traces/a.jsonc", "b.elf", "traces/b.elf"},
    {"a folder up", "traces/a.jsonc", "../images/b.elf",
     "traces/../images/b.elf"},
    {"beside a file without a folder", "a.jsonc", "b.elf", "b.elf"},
    {"beside a file at the root", "/a.jsonc", "b.elf", "/b.elf"},
    {"an absolute name stays", "traces/a.jsonc", "/x/b.elf", "/x/b.elf"},
    {"beside a folder is inside it", "traces/", "b.elf", "traces/b.elf"},
};

static void path_row(void **state)
{
  const struct path_row *r = *state;
  struct arena arena;
  arena_init(&arena);
  assert_string_equal(file_beside(&arena, r->beside, r->file), r->path);
  arena_free(&arena);
}

static void a_name_is_what_follows_the_last_slash(void **state)
{
  (void)state;
  assert_string_equal(file_name("a/b/c.elf"), "c.elf");
  assert_string_equal(file_name("c.elf"), "c.elf");
  assert_string_equal(file_name("a/"), "");
}

/* --- memory -------------------------------------------------------------- */

/* Sizes around those at which blocks change, each filled with its own byte:
 * if any two overlapped, or one moved, the second look would find it. */
static void pieces_are_zeroed_aligned_apart_and_stay(void **state)
{
  (void)state;
  enum { PIECES = 600 };
  static const size_t sizes[] = {0,   1,     15,    16,    17,    1000,
                                 333, 16383, 16384, 16385, 65536, 100000};
  unsigned char *pieces[PIECES];
  struct arena arena;
  arena_init(&arena);
  for (size_t i = 0; i < PIECES; i++) {
    size_t size = sizes[i % 12];
    pieces[i] = arena_get(&arena, size);
    assert_int_equal((uintptr_t)pieces[i] % alignof(max_align_t), 0);
    for (size_t at = 0; at < size; at++) {
      assert_true(pieces[i][at] == 0);
    }
    memset(pieces[i], (int)(i % 255) + 1, size);
  }
  for (size_t i = 0; i < PIECES; i++) {
    for (size_t at = 0; at < sizes[i % 12]; at++) {
      assert_true(pieces[i][at] == i % 255 + 1);
    }
  }
  arena_free(&arena);
}

static void texts_are_copied_and_terminated(void **state)
{
  (void)state;
  struct arena arena;
  char source[] = "board";
  arena_init(&arena);
  char *whole = arena_text(&arena, source);
  char *part = arena_text_n(&arena, source, 3);
  char *empty = arena_text_n(&arena, NULL, 0);
  source[0] = '#';
  assert_string_equal(whole, "board");
  assert_string_equal(part, "boa");
  assert_string_equal(empty, "");
  arena_free(&arena);
}

static void an_arena_may_be_used_again(void **state)
{
  (void)state;
  struct arena arena;
  arena_init(&arena);
  arena_free(&arena);
  arena_get(&arena, 100000);
  arena_free(&arena);
  uint64_t *numbers = arena_array(&arena, 1000, sizeof *numbers);
  assert_true(numbers[0] == 0 && numbers[999] == 0);
  arena_free(&arena);
}

/* --- what ends the program ----------------------------------------------- */

static void ask_for_all_memory(void)
{
  struct arena arena;
  arena_init(&arena);
  arena_get(&arena, SIZE_MAX);
}

static void ask_for_more_than_all_memory(void)
{
  struct arena arena;
  arena_init(&arena);
  arena_array(&arena, SIZE_MAX / 8 + 2, 8); /* the product wraps to 8 */
}

static const struct misuse_row misuses[] = {
    {"memory that the host refuses ends the program", ask_for_all_memory},
    {"a product that wraps ends the program", ask_for_more_than_all_memory},
};

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(a_file_is_read_whole_and_a_zero_follows),
      cmocka_unit_test(what_is_no_readable_file_is_refused),
      cmocka_unit_test(a_file_that_is_longer_than_it_said_is_refused),
      cmocka_unit_test(a_file_one_may_not_read_is_refused),
      cmocka_unit_test(a_name_that_is_too_long_is_refused),
      cmocka_unit_test(a_name_is_what_follows_the_last_slash),
      cmocka_unit_test(pieces_are_zeroed_aligned_apart_and_stay),
      cmocka_unit_test(texts_are_copied_and_terminated),
      cmocka_unit_test(an_arena_may_be_used_again),
  };
  struct CMUnitTest tests[ROWS_COUNT(path_rows) + ROWS_COUNT(misuses)];
  size_t n = ROWS_ADD(tests, path_row, path_rows);
  n += ROWS_ADD(tests + n, misuse_row, misuses);
  assert_int_equal(n, ROWS_COUNT(tests));
  int failed = cmocka_run_group_tests_name("singles", singles, make_folder,
                                           remove_folder);
  return failed + cmocka_run_group_tests_name("rows", tests, NULL, NULL);
}
