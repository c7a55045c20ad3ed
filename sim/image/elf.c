/* ELF through libelf: 32-bit little-endian Arm executables.
 *
 * System V ABI (gABI), chapters 4 and 5, for the format; AAELF32 for what is
 * Arm's: EM_ARM, EF_ARM_BE8, the mode in the entry.
 *
 * libelf clips a header table that leaves the file, so that is checked here
 * before libelf is asked. Its own message texts depend on the locale and are
 * not used.
 */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "image/elf_parts.h"

/* AAELF32 "ELF Header": bits 1:0 of the entry are 10 in no file. */
#define ENTRY_MODE     3u
#define ENTRY_RESERVED 2u

enum sim_status elf_parts_fail(const struct image_parts *parts,
                               const char *path, const char *message,
                               struct sim_error *err)
{
  struct sim_place where = {.file = parts->file, .path = path};
  return sim_fail(err, SIM_SYNTAX, &where, "%s", message);
}

bool elf_parts_inside(const struct image_parts *parts, uint64_t offset,
                      uint64_t bytes)
{
  return offset <= parts->length && bytes <= parts->length - offset;
}

const char *elf_parts_numbered(struct image_parts *parts, const char *what,
                               size_t number)
{
  char text[64];
  snprintf(text, sizeof text, "%s %zu", what, number);
  return arena_text(&parts->scratch, text);
}

struct field_rule {
  const char *name;
  uint32_t is, must;
  const char *meaning;
};

static enum sim_status check_fields(const struct image_parts *parts,
                                    const struct field_rule *rules,
                                    size_t count, struct sim_error *err)
{
  for (size_t i = 0; i < count; i++) {
    const struct field_rule *rule = &rules[i];
    if (rule->is == rule->must) continue;
    struct sim_place where = {.file = parts->file, .path = rule->name};
    return sim_fail(err, SIM_SYNTAX, &where,
                    "is %" PRIu32 "; expected %" PRIu32 ", %s", rule->is,
                    rule->must, rule->meaning);
  }
  return SIM_OK;
}

/* What libelf must be able to rely on. */
static enum sim_status check_ident(const struct image_parts *parts,
                                   struct sim_error *err)
{
  if (parts->length < sizeof(Elf32_Ehdr)) {
    struct sim_place where = {.file = parts->file};
    return sim_fail(err, SIM_SYNTAX, &where,
                    "is %zu bytes long; expected at least the %zu of an ELF "
                    "header",
                    parts->length, sizeof(Elf32_Ehdr));
  }
  const uint8_t *ident = parts->content;
  const struct field_rule rules[] = {
      {"EI_CLASS", ident[EI_CLASS], ELFCLASS32, "32-bit"},
      {"EI_DATA", ident[EI_DATA], ELFDATA2LSB, "little-endian"},
      {"EI_VERSION", ident[EI_VERSION], EV_CURRENT, "the only version"},
  };
  return check_fields(parts, rules, sizeof rules / sizeof rules[0], err);
}

static enum sim_status check_header(const struct image_parts *parts,
                                    const Elf32_Ehdr *header,
                                    struct sim_error *err)
{
  const uint32_t section_bytes = sizeof(Elf32_Shdr);
  bool has_sections = header->e_shnum > 0; /* they may be stripped */
  const struct field_rule rules[] = {
      {"e_type", header->e_type, ET_EXEC, "a linked executable"},
      {"e_machine", header->e_machine, EM_ARM, "Arm"},
      {"e_version", header->e_version, EV_CURRENT, "the only version"},
      {"e_flags BE8", header->e_flags & EF_ARM_BE8, 0,
       "code and data in one byte order"},
      {"e_phentsize", header->e_phentsize, sizeof(Elf32_Phdr),
       "the size of a program header"},
      {"e_shentsize", has_sections ? header->e_shentsize : section_bytes,
       section_bytes, "the size of a section header"},
  };
  enum sim_status status =
      check_fields(parts, rules, sizeof rules / sizeof rules[0], err);
  if (status != SIM_OK) return status;
  if ((header->e_entry & ENTRY_MODE) == ENTRY_RESERVED) {
    struct sim_place where = {.file = parts->file, .path = "e_entry"};
    return sim_fail(err, SIM_SYNTAX, &where,
                    "is 0x%08" PRIX32 "; expected bits 1:0 other than 10",
                    header->e_entry);
  }
  return SIM_OK;
}

/* Both tables are whole: a file that is cut short loses its end. */
static enum sim_status check_tables(const struct image_parts *parts,
                                    const Elf32_Ehdr *header,
                                    struct sim_error *err)
{
  uint64_t programs = (uint64_t)header->e_phnum * sizeof(Elf32_Phdr);
  uint64_t sections = (uint64_t)header->e_shnum * sizeof(Elf32_Shdr);
  if (header->e_phnum == 0 || header->e_phnum == PN_XNUM) {
    struct sim_place where = {.file = parts->file, .path = "e_phnum"};
    return sim_fail(err, SIM_SYNTAX, &where, "is %u; expected 1 to 65534",
                    header->e_phnum);
  }
  if (!elf_parts_inside(parts, header->e_phoff, programs)) {
    return elf_parts_fail(
        parts, "e_phoff",
        "leaves the file; expected all program headers inside", err);
  }
  if (!elf_parts_inside(parts, header->e_shoff, sections)) {
    return elf_parts_fail(
        parts, "e_shoff",
        "leaves the file; expected all section headers inside", err);
  }
  return SIM_OK;
}

static enum sim_status take_load(struct image_parts *parts,
                                 const GElf_Phdr *load, size_t number,
                                 struct sim_error *err)
{
  const char *path = elf_parts_numbered(parts, "program header", number);
  if (load->p_filesz > load->p_memsz) {
    return elf_parts_fail(
        parts, path,
        "has more bytes in the file than in memory; expected "
        "p_filesz at or below p_memsz",
        err);
  }
  if (!elf_parts_inside(parts, load->p_offset, load->p_filesz)) {
    return elf_parts_fail(
        parts, path, "leaves the file; expected p_offset and p_filesz inside",
        err);
  }
  struct sim_place where = {.file = parts->file, .path = path};
  return image_parts_add(parts, &where, load->p_paddr,
                         parts->content + load->p_offset,
                         (uint32_t)load->p_filesz, err);
}

/* Through gelf_*, which copies: a table may stand at any offset, and what
 * libelf would hand out by pointer stands just as badly in memory. */
static enum sim_status take_loads(struct image_parts *parts, Elf *elf,
                                  int count, struct sim_error *err)
{
  for (int i = 0; i < count; i++) {
    GElf_Phdr load;
    if (!gelf_getphdr(elf, i, &load)) {
      return elf_parts_fail(
          parts, "e_phoff",
          "leads to no table that libelf reads; expected program headers",
          err);
    }
    if (load.p_type != PT_LOAD || load.p_filesz == 0) continue;
    enum sim_status status = take_load(parts, &load, (size_t)i, err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

static enum sim_status take_all(struct image_parts *parts, Elf *elf,
                                struct sim_error *err)
{
  const Elf32_Ehdr *header = elf ? elf32_getehdr(elf) : NULL;
  if (!header) {
    return elf_parts_fail(
        parts, NULL,
        "has a header that libelf does not read; expected a whole ELF file",
        err);
  }
  enum sim_status status = check_header(parts, header, err);
  if (status == SIM_OK) status = check_tables(parts, header, err);
  if (status == SIM_OK) status = take_loads(parts, elf, header->e_phnum, err);
  if (status == SIM_OK) status = elf_parts_symbols(parts, elf, err);
  if (status == SIM_OK) status = elf_parts_lines(parts, elf, err);
  parts->has_entry = header->e_entry != 0; /* gABI: 0 says none */
  parts->entry = header->e_entry;
  return status;
}

enum sim_status image_read_elf(struct image_parts *parts,
                               struct sim_error *err)
{
  enum sim_status status = check_ident(parts, err);
  if (status != SIM_OK) return status;

  elf_version(EV_CURRENT); /* libelf asks for it before anything else */
  Elf *elf = elf_memory((char *)parts->content, parts->length);
  status = take_all(parts, elf, err);
  elf_end(elf);
  return status;
}
