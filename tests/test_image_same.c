/* One firmware in every form is the same bytes.
 *
 * References outside the project: libelf, which is asked for the sections of
 * the file here (the reader asks for its segments), and objcopy of GNU
 * binutils, which makes the other forms. Without objcopy those tests are
 * skipped, and say so.
 */
#include <errno.h>
#include <fcntl.h>
#include <gelf.h>
#include <spawn.h>
#include <stdbool.h>
#include <sys/wait.h>

#include "image_files.h"

#define LOGGER  FIRSTFETCH_ROOT "/images/logger/logger.elf"
#define OBJCOPY "arm-none-eabi-objcopy"

extern char **environ;

/* What objcopy is asked for. `to` is where the lowest address is moved, as
 * the kind of record depends on it; `record` must be in what it writes, else
 * the row does not test what it says. */
static const struct form {
  const char *name;
  const char *format;
  addr_t to;
  const char *record;
} forms[] = {
    {"hex, linear base and start", "ihex", 0x04000000, ":02000004"},
    {"hex, segment base and start", "ihex", 0x00010000, ":02000002"},
    {"hex, no base", "ihex", 0x00000000, ":04000003"},
    {"srec, addresses of 4 bytes", "srec", 0x04000000, "\nS7"},
    {"srec, addresses of 3 bytes", "srec", 0x00010000, "\nS8"},
    {"srec, addresses of 2 bytes", "srec", 0x00000000, "\nS9"},
    {"bin", "binary", 0x04000000, ""},
};

static const struct form by_libelf = {.name = "sections as libelf reads them"};

struct trial {
  char name[96];
  bool committed; /* the logger; else the small ELF */
  const struct form *form;
};

/* Where the ELF of a trial is; the temporary file is used or not. */
static const char *subject(const struct trial *trial,
                           const struct temp_file *temp)
{
  if (trial->committed) return LOGGER;
  struct tiny_elf elf = tiny_elf();
  temp_put(temp, &elf, sizeof elf);
  return temp->path;
}

static const struct image *read_image(struct arena *arena, const char *path,
                                      bool has_base, addr_t base)
{
  const struct image *image = NULL;
  struct sim_error err = {0};
  image_read(arena, path, has_base, base, &image, &err);
  assert_string_equal(err.message, "");
  assert_non_null(image);
  return image;
}

/* 0 if it ran and succeeded; ENOENT if there is no such program. */
static int run(const char *const arguments[])
{
  pid_t child;
  int refused = posix_spawnp(&child, arguments[0], NULL, NULL,
                             (char *const *)(uintptr_t)arguments, environ);
  if (refused) return refused;
  int status;
  assert_int_equal(waitpid(child, &status, 0), child);
  if (!WIFEXITED(status)) return ECHILD;
  return WEXITSTATUS(status) == 127 ? ENOENT : WEXITSTATUS(status);
}

static int convert(const char *from, const char *to, const struct form *form,
                   int64_t shift)
{
  char moved[64];
  snprintf(moved, sizeof moved, "--change-addresses=%" PRId64, shift);
  const char *const arguments[] = {OBJCOPY, "-O", form->format, moved,
                                   from,    to,   NULL};
  return run(arguments);
}

static void assert_has_record(struct arena *arena, const char *path,
                              const char *record)
{
  FILE *file = fopen(path, "rb");
  assert_non_null(file);
  char *text = arena_get(arena, (size_t)1 << 20);
  size_t length = fread(text, 1, ((size_t)1 << 20) - 1, file);
  fclose(file);
  assert_true(length > 0);
  assert_non_null(strstr(text, record));
}

/* One segment from the lowest to the highest byte, zeros in the holes, as
 * objcopy fills them in a raw binary. */
static struct image flattened(struct arena *arena, const struct image *image)
{
  const struct image_segment *last =
      &image->segments[image->segment_count - 1];
  addr_t at = image->segments[0].at;
  uint32_t size = last->at + last->size - at;
  uint8_t *bytes = arena_get(arena, size);
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *segment = &image->segments[i];
    memcpy(bytes + (segment->at - at), segment->bytes, segment->size);
  }
  struct image flat = *image;
  flat.segments = arena_get(arena, sizeof *flat.segments);
  flat.segments[0] = (struct image_segment){at, size, bytes};
  flat.segment_count = 1;
  return flat;
}

/* Holes are alignment within an ELF segment, which objcopy leaves out of
 * records, so all forms are compared flat. */
static void same_bytes(const struct trial *trial, struct arena *arena,
                       const struct temp_file *elf,
                       const struct temp_file *converted)
{
  const struct image *image = read_image(arena, subject(trial, elf), false, 0);
  struct image expected = flattened(arena, image);
  bool bin = strcmp(trial->form->format, "binary") == 0;
  const struct image *got =
      read_image(arena, converted->path, bin, trial->form->to);
  struct image flat = flattened(arena, got);

  expected.entry += trial->form->to - expected.segments[0].at;
  expected.segments[0].at = trial->form->to;
  expected.has_entry = !bin;
  assert_string_equal(image_picture(arena, &flat),
                      image_picture(arena, &expected));
}

static void converted_form(void **state)
{
  const struct trial *trial = *state;
  struct temp_file elf = temp_open(), converted = temp_open();
  struct arena arena;
  arena_init(&arena);
  const char *path = subject(trial, &elf);
  addr_t at = read_image(&arena, path, false, 0)->segments[0].at;
  int failed = convert(path, converted.path, trial->form,
                       (int64_t)trial->form->to - at);
  if (failed != ENOENT) {
    assert_int_equal(failed, 0);
    assert_has_record(&arena, converted.path, trial->form->record);
    same_bytes(trial, &arena, &elf, &converted);
  }
  arena_free(&arena);
  temp_close(&elf);
  temp_close(&converted);
  if (failed == ENOENT) {
    print_message("skipped: " OBJCOPY " is not installed\n");
    skip();
  }
}

/* The load address of a section, by way of the segment it travels in. */
static bool load_address(Elf *elf, const GElf_Shdr *section, uint64_t *at)
{
  size_t count;
  assert_int_equal(elf_getphdrnum(elf, &count), 0);
  for (size_t i = 0; i < count; i++) {
    GElf_Phdr load;
    assert_non_null(gelf_getphdr(elf, (int)i, &load));
    if (load.p_type != PT_LOAD || section->sh_offset < load.p_offset ||
        section->sh_offset + section->sh_size >
            load.p_offset + load.p_filesz) {
      continue;
    }
    *at = load.p_paddr + (section->sh_offset - load.p_offset);
    return true;
  }
  return false;
}

static void assert_bytes_at(const struct image *image, uint64_t at,
                            const void *bytes, size_t size)
{
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *segment = &image->segments[i];
    if (at < segment->at || at >= (uint64_t)segment->at + segment->size) {
      continue;
    }
    assert_true(at + size <= (uint64_t)segment->at + segment->size);
    assert_memory_equal(segment->bytes + (at - segment->at), bytes, size);
    return;
  }
  fail_msg("nothing at 0x%08" PRIX64, at);
}

/* Names may repeat, so each is looked for with its address. */
static bool has_function(const struct image *image, const char *name,
                         const GElf_Sym *symbol)
{
  for (uint32_t i = 0; i < image->symbol_count; i++) {
    const struct image_symbol *found = &image->symbols[i];
    if (found->function && found->at == (symbol->st_value & ~(GElf_Addr)1) &&
        found->size == symbol->st_size && strcmp(found->name, name) == 0) {
      return true;
    }
  }
  return false;
}

static void assert_functions(const struct image *image, Elf_Scn *table,
                             const GElf_Shdr *header, Elf *elf)
{
  Elf_Data *data = elf_getdata(table, NULL);
  uint32_t functions = 0;
  GElf_Sym symbol;
  for (int i = 0; gelf_getsym(data, i, &symbol); i++) {
    if (GELF_ST_TYPE(symbol.st_info) != STT_FUNC) continue;
    const char *name = elf_strptr(elf, header->sh_link, symbol.st_name);
    if (!has_function(image, name, &symbol)) fail_msg("no %s", name);
    functions++;
  }
  assert_true(functions > 0);
}

static void assert_sections(const struct image *image, Elf *elf)
{
  uint64_t bytes = 0;
  Elf_Scn *section = NULL;
  while ((section = elf_nextscn(elf, section)) != NULL) {
    GElf_Shdr header;
    assert_non_null(gelf_getshdr(section, &header));
    if (header.sh_type == SHT_SYMTAB) {
      assert_functions(image, section, &header, elf);
    }
    if (!(header.sh_flags & SHF_ALLOC) || header.sh_type == SHT_NOBITS ||
        header.sh_size == 0) {
      continue;
    }
    uint64_t at = 0;
    assert_true(load_address(elf, &header, &at));
    const Elf_Data *data = elf_getdata(section, NULL);
    assert_bytes_at(image, at, data->d_buf, data->d_size);
    bytes += data->d_size;
  }
  assert_true(bytes > 0);
}

static void sections_by_libelf(void **state)
{
  const struct trial *trial = *state;
  struct temp_file temp = temp_open();
  const char *path = subject(trial, &temp);
  struct arena arena;
  arena_init(&arena);
  const struct image *image = read_image(&arena, path, false, 0);

  assert_int_not_equal(elf_version(EV_CURRENT), EV_NONE);
  int handle = open(path, O_RDONLY);
  Elf *elf = elf_begin(handle, ELF_C_READ, NULL);
  assert_non_null(elf);
  GElf_Ehdr header;
  assert_non_null(gelf_getehdr(elf, &header));
  assert_int_equal(image->entry, header.e_entry);
  assert_sections(image, elf);

  elf_end(elf);
  close(handle);
  arena_free(&arena);
  temp_close(&temp);
}

#define FORMS (sizeof forms / sizeof forms[0])

int main(void)
{
  static struct trial trials[2 * (FORMS + 1)];
  struct CMUnitTest tests[2 * (FORMS + 1)];
  for (size_t i = 0; i < 2 * (FORMS + 1); i++) {
    struct trial *trial = &trials[i];
    size_t form = i % (FORMS + 1);
    trial->committed = i > FORMS;
    trial->form = form < FORMS ? &forms[form] : &by_libelf;
    snprintf(trial->name, sizeof trial->name, "%s: %s",
             trial->committed ? "logger.elf" : "small ELF", trial->form->name);
    tests[i] = (struct CMUnitTest){
        trial->name, form < FORMS ? converted_form : sections_by_libelf, NULL,
        NULL, trial};
  }
  return cmocka_run_group_tests(tests, NULL, NULL);
}
