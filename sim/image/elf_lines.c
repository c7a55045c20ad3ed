/* The line tables of an ELF file, through libdw: DWARF 2 to 5, chapter 6.2 in
 * each.
 *
 * A function that the linker dropped keeps its rows; GNU ld moves them to
 * address 0 (from memory). Rows count only where the file has a section in
 * memory. That does not help an image that is linked at 0 itself: of its
 * tables, those with a row at 0 are left out, for no code is there, but the
 * vector table.
 *
 * Not modelled: compressed debug sections; a file that has any is read as if
 * it had no lines.
 */
#include <elfutils/libdw.h>
#include <stdlib.h>
#include <string.h>

#include "image/elf_parts.h"

#define TABLES ".debug_line"

/* libdw holds all rows of a table at once, some 60 bytes each (measured), and
 * a row may take one byte of the file. Firmware has less than 4 MiB. */
#define MAX_TABLE_BYTES (8u << 20)

/* Where the file has bytes in memory. */
struct place {
  uint64_t at, end;
};

struct reading {
  struct image_parts *parts;
  struct place *places; /* ascending */
  size_t place_count;
  struct sim_error *err;
};

/* One table, as libdw gives it. */
struct table {
  Dwarf_Files *files;
  size_t file_count;
  Dwarf_Lines *lines;
  size_t line_count;
  uint32_t *indexes; /* of its files in the parts, plus 1; 0: not yet there */
};

static enum sim_status fail(const struct reading *r)
{
  return elf_parts_fail(r->parts, TABLES,
                        "is not read by libdw; expected line tables of DWARF "
                        "2 to 5, or none",
                        r->err);
}

/* --- what the sections tell ---------------------------------------------- */

static int by_address(const void *left, const void *right)
{
  const struct place *a = left, *b = right;
  return (a->at > b->at) - (a->at < b->at);
}

static void add_place(struct reading *r, const GElf_Shdr *section)
{
  bool in_memory =
      section->sh_type == SHT_PROGBITS && (section->sh_flags & SHF_ALLOC);
  if (!in_memory || section->sh_size == 0) return;
  r->places[r->place_count++] =
      (struct place){section->sh_addr, section->sh_addr + section->sh_size};
}

/* Find the places; true if there are tables to read, of `*bytes`. */
static bool look_at_sections(struct reading *r, Elf *elf, uint64_t *bytes)
{
  size_t names, count;
  bool compressed = false, found = false;
  if (elf_getshdrstrndx(elf, &names) != 0) return false;
  if (elf_getshdrnum(elf, &count) != 0) return false;
  r->places = arena_array(&r->parts->scratch, count, sizeof *r->places);
  Elf_Scn *section = NULL;
  while ((section = elf_nextscn(elf, section)) != NULL) {
    GElf_Shdr header;
    if (!gelf_getshdr(section, &header)) continue;
    add_place(r, &header);
    const char *name = elf_strptr(elf, names, header.sh_name);
    if (!name) continue;
    compressed = compressed || (header.sh_flags & SHF_COMPRESSED) ||
                 strncmp(name, ".zdebug", 7) == 0;
    if (strcmp(name, TABLES) != 0) continue;
    found = true;
    *bytes = header.sh_size;
  }
  qsort(r->places, r->place_count, sizeof *r->places, by_address);
  return found && !compressed;
}

static bool is_placed(const struct reading *r, Dwarf_Addr at)
{
  size_t low = 0, high = r->place_count;
  while (low < high) {
    size_t middle = low + (high - low) / 2;
    if (r->places[middle].at <= at) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low > 0 && at <= r->places[low - 1].end;
}

/* --- rows ---------------------------------------------------------------- */

/* Behind the last separator, whichever of the two systems it comes from. */
static const char *without_directories(const char *path)
{
  const char *name = path;
  for (const char *p = path; *p; p++) {
    if (*p == '/' || *p == '\\') name = p + 1;
  }
  return name;
}

static enum sim_status take_file(const struct reading *r, struct table *t,
                                 size_t index, uint32_t *taken)
{
  if (index >= t->file_count) return fail(r);
  if (t->indexes[index] == 0) {
    const char *path = dwarf_filesrc(t->files, index, NULL, NULL);
    if (!path || !elf_parts_is_text(path)) return fail(r);
    const char *name =
        arena_text(&r->parts->scratch, without_directories(path));
    t->indexes[index] = image_parts_add_file(r->parts, name) + 1;
  }
  *taken = t->indexes[index] - 1;
  return SIM_OK;
}

static enum sim_status take_row(const struct reading *r, struct table *t,
                                Dwarf_Line *row)
{
  Dwarf_Addr at;
  int line;
  bool ends;
  Dwarf_Files *files;
  size_t index;
  if (dwarf_lineaddr(row, &at) != 0 || dwarf_lineno(row, &line) != 0 ||
      dwarf_lineendsequence(row, &ends) != 0 ||
      dwarf_line_file(row, &files, &index) != 0) {
    return fail(r);
  }
  if (!is_placed(r, at)) return SIM_OK;
  struct image_line taken = {.at = (addr_t)at};
  enum sim_status status = SIM_OK;
  if (!ends && line > 0) {
    taken.line = (uint32_t)line;
    status = take_file(r, t, index, &taken.file);
  }
  if (status != SIM_OK) return status;
  return image_parts_add_row(r->parts, &taken, r->err);
}

/* Sorted by libdw: a row at 0 is the first. */
static bool has_row_at_0(const struct table *t)
{
  Dwarf_Addr at = 1;
  return t->line_count > 0 &&
         dwarf_lineaddr(dwarf_onesrcline(t->lines, 0), &at) == 0 && at == 0;
}

static enum sim_status take_table(const struct reading *r, struct table *t)
{
  if (has_row_at_0(t) && is_placed(r, 0)) return SIM_OK;
  t->indexes =
      arena_array(&r->parts->scratch, t->file_count, sizeof *t->indexes);
  enum sim_status status = SIM_OK;
  for (size_t i = 0; i < t->line_count && status == SIM_OK; i++) {
    status = take_row(r, t, dwarf_onesrcline(t->lines, i));
  }
  return status;
}

static enum sim_status take_tables(const struct reading *r, Dwarf *dwarf)
{
  Dwarf_Off next = 0;
  Dwarf_CU *unit = NULL;
  for (;;) {
    struct table t = {0};
    int end = dwarf_next_lines(dwarf, next, &next, &unit, &t.files,
                               &t.file_count, &t.lines, &t.line_count);
    if (end > 0) return SIM_OK;
    if (end < 0) return fail(r);
    enum sim_status status = take_table(r, &t);
    if (status != SIM_OK) return status;
  }
}

enum sim_status elf_parts_lines(struct image_parts *parts, Elf *elf,
                                struct sim_error *err)
{
  struct reading r = {.parts = parts, .err = err};
  uint64_t bytes = 0;
  if (!look_at_sections(&r, elf, &bytes)) return SIM_OK;
  if (bytes > MAX_TABLE_BYTES) {
    struct sim_place where = {.file = parts->file, .path = TABLES};
    return sim_fail(err, SIM_LIMIT, &where,
                    "is larger than %u bytes; expected at most that",
                    MAX_TABLE_BYTES);
  }
  Dwarf *dwarf = dwarf_begin_elf(elf, DWARF_C_READ, NULL);
  if (!dwarf) return fail(&r);
  enum sim_status status = take_tables(&r, dwarf);
  dwarf_end(dwarf);
  return status;
}
