/* Which line of the source a piece of code comes from.
 *
 * References outside the project: the sources themselves, in which a
 * function's line is looked for; addr2line of GNU binutils, which is asked
 * about every instruction (where it is missing, that test is skipped).
 */
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/arena.h"
#include "base/file.h"
#include "image/image.h"
#include "rows.h"

#define IMAGES    FIRSTFETCH_ROOT "/images/"
#define WITH      IMAGES "logger-with-lines/logger-with-lines.elf"
#define ADDR2LINE "arm-none-eabi-addr2line"

static const struct image *read_image(struct arena *arena, const char *path)
{
  const struct image *image = NULL;
  struct sim_error err = {0};
  arena_init(arena);
  if (image_read(arena, path, false, 0, &image, &err) != SIM_OK) {
    fail_msg("%s", err.message);
  }
  return image;
}

/* The line of a source with this number, without its end. */
static void source_line(const char *source, uint32_t number, char *text,
                        size_t size)
{
  FILE *file = fopen(source, "r");
  assert_non_null(file);
  for (uint32_t i = 0; i < number; i++) {
    assert_non_null(fgets(text, (int)size, file));
  }
  fclose(file);
  text[strcspn(text, "\n")] = '\0';
}

/* --- against the sources ------------------------------------------------- */

static const struct place_row {
  const char *name;
  const char *symbol;
  uint32_t offset;    /* bytes behind its beginning */
  const char *file;   /* as told */
  const char *source; /* where it is */
  const char *above;  /* text of the line before; NULL: any */
  const char *text;   /* of the line */
} place_rows[] = {
    {"a function of C begins with its brace", "main", 0, "main.c",
     IMAGES "logger/main.c", "int main(void)", "{"},
    {"so does another one", "pause", 0, "main.c", IMAGES "logger/main.c",
     "static __attribute__((noinline)) void pause(void)", "{"},
    {"an instruction of an assembler file", "start", 0, "start.S",
     IMAGES "common/start.S", "start:", "  ldr r0, =stack_top"},
    {"the one behind it", "start", 2, "start.S", IMAGES "common/start.S", NULL,
     "  mov sp, r0"},
    {"code of a macro is where it is used", "unexpected", 0, "vectors.S",
     IMAGES "common/vectors.S", NULL, "  vector_table start"},
};

static void a_place_is_that_of_the_source(void **state)
{
  const struct place_row *row = *state;
  struct arena arena;
  const struct image *image = read_image(&arena, WITH);
  const struct image_symbol *symbol = image_symbol_named(image, row->symbol);
  assert_non_null(symbol);
  const char *file = NULL;
  uint32_t line = 0;
  assert_true(image_line_at(image, symbol->at + row->offset, &file, &line));
  assert_string_equal(file, row->file);
  char text[400];
  source_line(row->source, line, text, sizeof text);
  assert_string_equal(text, row->text);
  if (row->above) {
    source_line(row->source, line - 1, text, sizeof text);
    assert_string_equal(text, row->above);
  }
  arena_free(&arena);
}

/* --- against addr2line --------------------------------------------------- */

/* "main.c:42" of its answer, "" for none. */
static void ask(addr_t at, char *answer, size_t size)
{
  char command[400], text[400];
  snprintf(command, sizeof command, ADDR2LINE " -e '%s' 0x%08x", WITH, at);
  FILE *from = popen(command, "r");
  assert_non_null(from);
  assert_non_null(fgets(text, sizeof text, from));
  assert_int_equal(pclose(from), 0);
  text[strcspn(text, " \n")] = '\0'; /* "(discriminator 2)" may follow */
  const char *name = strrchr(text, '/');
  name = name ? name + 1 : text;
  bool known = strchr("?0", name[0]) == NULL && strstr(name, ":?") == NULL;
  snprintf(answer, size, "%s", known ? name : "");
}

/* Tables of the debugger's reader are sorted by sequence; where a line ends
 * and the padding behind a function begins it may say another one, so only
 * what is inside a function is asked. */
static void every_function_agrees_with_addr2line(void **state)
{
  (void)state;
  if (system(ADDR2LINE " --version >/dev/null 2>&1") != 0) skip();
  struct arena arena;
  const struct image *image = read_image(&arena, WITH);
  unsigned asked = 0;
  for (uint32_t i = 0; i < image->symbol_count; i++) {
    const struct image_symbol *s = &image->symbols[i];
    for (addr_t at = s->at; s->function && at < s->at + s->size; at += 2) {
      char theirs[400], ours[400] = "";
      const char *file;
      uint32_t line;
      ask(at, theirs, sizeof theirs);
      if (image_line_at(image, at, &file, &line)) {
        snprintf(ours, sizeof ours, "%s:%u", file, line);
      }
      if (strcmp(ours, theirs) != 0) {
        fail_msg("0x%08x: %s, addr2line says %s", at, ours, theirs);
      }
      asked++;
    }
  }
  assert_true(asked > 100);
  arena_free(&arena);
}

/* --- where there is nothing ---------------------------------------------- */

static const struct nowhere_row {
  const char *name;
  const char *image;
  addr_t at;
} nowhere_rows[] = {
    {"before the first line", WITH, 0x03fffffe},
    {"a vector table has none", WITH, 0x04000000},
    {"behind the last line", WITH, 0x040001dc},
    {"in RAM", WITH, 0x20000000},
    {"at the end of all", WITH, 0xfffffffe},
    {"an image without DWARF", IMAGES "logger/logger.elf", 0x04000190},
    {"an image without symbols", IMAGES "logger/logger.hex", 0x04000190},
};

static void nothing_is_told(void **state)
{
  const struct nowhere_row *row = *state;
  struct arena arena;
  const char *file = "untouched";
  uint32_t line = 77;
  const struct image *image = read_image(&arena, row->image);
  assert_false(image_line_at(image, row->at, &file, &line));
  assert_string_equal(file, "untouched");
  assert_int_equal(line, 77);
  arena_free(&arena);
}

static void lines_change_nothing_else(void **state)
{
  (void)state;
  struct arena with, without;
  const struct image *a = read_image(&with, WITH);
  const struct image *b = read_image(&without, IMAGES "logger/logger.elf");
  assert_int_equal(a->segment_count, b->segment_count);
  for (uint32_t i = 0; i < a->segment_count; i++) {
    assert_int_equal(a->segments[i].at, b->segments[i].at);
    assert_int_equal(a->segments[i].size, b->segments[i].size);
    assert_memory_equal(a->segments[i].bytes, b->segments[i].bytes,
                        a->segments[i].size);
  }
  assert_int_equal(a->symbol_count, b->symbol_count);
  arena_free(&with);
  arena_free(&without);
}

/* --- spoilt tables ------------------------------------------------------- */

/* Every byte of the tables in turn made all-ones, then zero: there is an
 * image or an error that names the section, and no more. The sanitizers
 * watch. The file is small: it ends with the debug sections, so all of it
 * behind the code is tried. */
static void spoilt_tables_are_refused_or_read(void **state)
{
  (void)state;
  struct arena arena;
  struct sim_error err;
  uint8_t *bytes;
  size_t length;
  char path[] = "/tmp/firstfetch-lines-XXXXXX";
  int handle = mkstemp(path);
  assert_true(handle >= 0);
  arena_init(&arena);
  assert_int_equal(file_read(&arena, WITH, 1 << 20, &bytes, &length, &err),
                   SIM_OK);
  unsigned refused = 0;
  for (size_t i = 0x250; i < length; i++) {
    uint8_t kept = bytes[i];
    bytes[i] = i % 2 ? 0 : 0xff;
    assert_int_equal(pwrite(handle, bytes, length, 0), (ssize_t)length);
    bytes[i] = kept;
    struct arena inner;
    const struct image *image = NULL;
    arena_init(&inner);
    enum sim_status status = image_read(&inner, path, false, 0, &image, &err);
    if (status != SIM_OK) refused++;
    if (status != SIM_OK) assert_true(err.message[0] != '\0');
    arena_free(&inner);
  }
  assert_true(refused > 100);
  close(handle);
  unlink(path);
  arena_free(&arena);
}

static void a_spoilt_table_is_named(void **state)
{
  (void)state;
  struct arena arena;
  struct sim_error err;
  uint8_t *bytes;
  size_t length;
  char path[] = "/tmp/firstfetch-lines-XXXXXX";
  int handle = mkstemp(path);
  assert_true(handle >= 0);
  arena_init(&arena);
  file_read(&arena, WITH, 1 << 20, &bytes, &length, &err);
  /* the first table's length becomes more than there is: in its header (DWARF
   * 3, 6.2.4) the version stands behind it, and what gas gives as line_base,
   * line_range and opcode_base 8 bytes further on */
  static const uint8_t version_3[] = {3, 0};
  uint8_t *table = NULL;
  for (size_t i = 4; i + 24 < length && !table; i++) {
    bool begins = memcmp(bytes + i, version_3, 2) == 0 &&
                  memcmp(bytes + i + 8, "\xfb\x0e\x0d", 3) == 0;
    if (begins) table = bytes + i - 4;
  }
  assert_non_null(table);
  memset(table, 0xfe, 4);
  assert_int_equal(pwrite(handle, bytes, length, 0), (ssize_t)length);
  const struct image *image = NULL;
  assert_int_equal(image_read(&arena, path, false, 0, &image, &err),
                   SIM_SYNTAX);
  assert_string_equal(err.path, ".debug_line");
  assert_string_equal(err.message,
                      "is not read by libdw; expected line tables of DWARF 2 "
                      "to 5, or none");
  close(handle);
  unlink(path);
  arena_free(&arena);
}

int main(void)
{
  struct CMUnitTest
      tests[ROWS_COUNT(place_rows) + ROWS_COUNT(nowhere_rows) + 4] = {
          cmocka_unit_test(every_function_agrees_with_addr2line),
          cmocka_unit_test(lines_change_nothing_else),
          cmocka_unit_test(spoilt_tables_are_refused_or_read),
          cmocka_unit_test(a_spoilt_table_is_named)};
  size_t count = 4;
  count += ROWS_ADD(tests + count, a_place_is_that_of_the_source, place_rows);
  ROWS_ADD(tests + count, nothing_is_told, nowhere_rows);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
