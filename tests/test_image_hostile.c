/* Broken files: each is refused with a message or read as what it says, and
 * nothing crashes or leaks (run with the sanitizers).
 *
 * Of a small file of each format every truncation and every change of one
 * byte is read. And a small file cannot ask for much memory.
 */
#include <stdbool.h>

#include "image_files.h"

/* Records of all types that may stand together. */
static const char hex_file[] = ":020000021200EA\r\n"
                               ":0300300002337A1E\r\n"
                               ":0400000312000038AF\r\n"
                               ":020000040400F6\r\n"
                               ":010030005A75\n"
                               ":00000001FF\n";

static const char srec_file[] = "S00600004844521B\n"
                                "S10500100102E7\r\n"
                                "S2050400005A9C\n"
                                "S5030002FA\n"
                                "S804040041B6\n";

struct attempt {
  struct arena arena;
  const char *picture; /* NULL: refused */
};

/* A refusal names the file and says something. */
static struct attempt try_file(const struct temp_file *temp)
{
  struct attempt a = {.picture = NULL};
  arena_init(&a.arena);
  const struct image *image = NULL;
  struct sim_error err = {0};
  enum sim_status status =
      image_read(&a.arena, temp->path, false, 0, &image, &err);
  if (status == SIM_OK) {
    a.picture = image_picture(&a.arena, image);
  } else {
    assert_null(image);
    assert_int_equal(status, err.status);
    assert_string_equal(err.file, temp->path);
    assert_non_null(strstr(err.message, "; expected "));
  }
  return a;
}

/* Every shorter file is refused, but for the longest `whole` of them, which
 * lack no more than the end of the last line. */
static void truncate_file(const void *content, size_t size, size_t whole)
{
  struct temp_file temp = temp_open();
  temp_put(&temp, content, size);
  for (size_t left = size - whole; left-- > 0;) {
    assert_int_equal(ftruncate(temp.handle, (off_t)left), 0);
    struct attempt a = try_file(&temp);
    if (a.picture) fail_msg("the first %zu bytes are an image", left);
    arena_free(&a.arena);
  }
  temp_close(&temp);
}

static void truncated_hex_is_refused(void **state)
{
  (void)state;
  truncate_file(hex_file, sizeof hex_file - 1, 1);
}

static void truncated_srec_is_refused(void **state)
{
  (void)state;
  truncate_file(srec_file, sizeof srec_file - 1, 1);
}

/* Section headers stand last in this file, so each cut loses something. */
static void truncated_elf_is_refused(void **state)
{
  (void)state;
  struct tiny_elf elf = tiny_elf();
  truncate_file(&elf, sizeof elf, 0);
}

typedef bool may_differ(const uint8_t *content, size_t at);

/* All 255 other values of each byte. Where `may` is false, a file that is
 * still read must be the same image. */
static void mutate(const uint8_t *content, size_t size, may_differ *may)
{
  struct temp_file temp = temp_open();
  temp_put(&temp, content, size);
  struct attempt whole = try_file(&temp);
  assert_non_null(whole.picture);
  for (size_t at = 0; at < size; at++) {
    for (unsigned flip = 1; flip < 256; flip++) {
      uint8_t byte = (uint8_t)(content[at] ^ flip);
      assert_int_equal(pwrite(temp.handle, &byte, 1, (off_t)at), 1);
      struct attempt a = try_file(&temp);
      if (a.picture && !may(content, at)) {
        assert_string_equal(a.picture, whole.picture);
      }
      arena_free(&a.arena);
    }
    assert_int_equal(pwrite(temp.handle, content + at, 1, (off_t)at), 1);
  }
  arena_free(&whole.arena);
  temp_close(&temp);
}

static bool never(const uint8_t *content, size_t at)
{
  (void)content;
  (void)at;
  return false;
}

static bool always(const uint8_t *content, size_t at)
{
  (void)content;
  (void)at;
  return true;
}

/* The checksum of an S-record does not cover its type. */
static bool is_type_digit(const uint8_t *content, size_t at)
{
  return at > 0 && content[at - 1] == 'S';
}

static void changed_hex_is_never_another_image(void **state)
{
  (void)state;
  mutate((const uint8_t *)hex_file, sizeof hex_file - 1, never);
}

static void changed_srec_is_never_another_image_but_by_type(void **state)
{
  (void)state;
  mutate((const uint8_t *)srec_file, sizeof srec_file - 1, is_type_digit);
}

static void changed_elf_does_no_harm(void **state)
{
  (void)state;
  struct tiny_elf elf = tiny_elf();
  mutate((const uint8_t *)&elf, sizeof elf, always);
}

/* The small ELF in front of 1 MiB; the caller fills what is behind it. */
#define MIB ((size_t)1 << 20)

struct big_elf {
  struct tiny_elf elf;
  union {
    Elf32_Phdr loads[70];
    Elf32_Sym symbols[70];
  };
  char filling[MIB];
};

static void assert_limit(const struct big_elf *big, const char *path,
                         const char *message)
{
  struct temp_file temp = temp_open();
  temp_put(&temp, big, sizeof *big);
  struct arena arena;
  arena_init(&arena);
  const struct image *image = NULL;
  struct sim_error err = {0};
  assert_int_equal(image_read(&arena, temp.path, false, 0, &image, &err),
                   SIM_LIMIT);
  assert_string_equal(err.path, path);
  assert_string_equal(err.message, message);
  arena_free(&arena);
  temp_close(&temp);
}

/* 70 segments of 1 MiB, all from the same bytes of the file. */
static void segments_cannot_outgrow_the_limit(void **state)
{
  (void)state;
  struct big_elf *big = test_calloc(1, sizeof *big);
  big->elf = tiny_elf();
  big->elf.header.e_phoff = offsetof(struct big_elf, loads);
  big->elf.header.e_phnum = 70;
  for (uint32_t i = 0; i < 70; i++) {
    big->loads[i] = (Elf32_Phdr){.p_type = PT_LOAD,
                                 .p_offset = offsetof(struct big_elf, filling),
                                 .p_paddr = i << 20,
                                 .p_filesz = MIB,
                                 .p_memsz = MIB};
  }
  assert_limit(big, "program header 64",
               "brings the image to more than 67108864 bytes; expected at "
               "most that");
  test_free(big);
}

/* 70 symbols with the same name of nearly 1 MiB. */
static void names_cannot_outgrow_the_limit(void **state)
{
  (void)state;
  struct big_elf *big = test_calloc(1, sizeof *big);
  big->elf = tiny_elf();
  Elf32_Shdr *table = &big->elf.sections[TINY_SYMTAB];
  table->sh_offset = offsetof(struct big_elf, symbols);
  table->sh_size = sizeof big->symbols;
  Elf32_Shdr *names = &big->elf.sections[TINY_STRTAB];
  names->sh_offset = offsetof(struct big_elf, filling);
  names->sh_size = MIB;
  memset(big->filling, 'n', MIB - 1);
  for (uint32_t i = 0; i < 70; i++) {
    big->symbols[i] = (Elf32_Sym){.st_info = STT_FUNC, .st_shndx = TINY_TEXT};
  }
  assert_limit(big, "",
               "has more than 67108864 bytes of symbol names; expected at "
               "most that");
  test_free(big);
}

int main(void)
{
  static const struct CMUnitTest tests[] = {
      cmocka_unit_test(truncated_hex_is_refused),
      cmocka_unit_test(truncated_srec_is_refused),
      cmocka_unit_test(truncated_elf_is_refused),
      cmocka_unit_test(changed_hex_is_never_another_image),
      cmocka_unit_test(changed_srec_is_never_another_image_but_by_type),
      cmocka_unit_test(changed_elf_does_no_harm),
      cmocka_unit_test(segments_cannot_outgrow_the_limit),
      cmocka_unit_test(names_cannot_outgrow_the_limit),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
