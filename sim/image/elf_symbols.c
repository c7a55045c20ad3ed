/* The symbol table of an ELF file.
 *
 * gABI chapter 4 for the format. AAELF32 for what is Arm's: the Thumb bit is
 * in the value of functions only, so an object at an odd address keeps its
 * address; mapping symbols mark code and data and name nothing.
 */
#include <string.h>

#include "base/utf8.h"
#include "image/elf_parts.h"

/* AAELF32 "Mapping symbols": $a, $d or $t, alone or followed by a dot. */
static bool is_mapping(const char *name)
{
  return name[0] == '$' && name[1] && strchr("adt", name[1]) &&
         (name[2] == '\0' || name[2] == '.');
}

/* Whether it names a place in the image: all functions and objects, but only
 * those untyped ones that the linker or an assembler file made public. */
static bool is_wanted(const GElf_Sym *symbol, const char *name)
{
  if (symbol->st_shndx == SHN_UNDEF || name[0] == '\0') return false;
  if (is_mapping(name)) return false;
  switch (GELF_ST_TYPE(symbol->st_info)) {
  case STT_FUNC:
  case STT_OBJECT: return true;
  case STT_NOTYPE: return GELF_ST_BIND(symbol->st_info) != STB_LOCAL;
  default: return false;
  }
}

bool elf_parts_is_text(const char *name)
{
  size_t left = strlen(name);
  while (left > 0) {
    uint32_t code;
    size_t length = utf8_read(name, left, &code);
    if (length == 0 || code < 0x20 || (code >= 0x7F && code < 0xA0)) {
      return false;
    }
    name += length;
    left -= length;
  }
  return true;
}

/* At one address: functions first; then global, weak, local. */
static uint32_t rank_of(const GElf_Sym *symbol)
{
  uint32_t rank = GELF_ST_TYPE(symbol->st_info) == STT_FUNC ? 0 : 3;
  switch (GELF_ST_BIND(symbol->st_info)) {
  case STB_GLOBAL: return rank;
  case STB_WEAK: return rank + 1;
  default: return rank + 2;
  }
}

/* Names of one symbol table: zero-terminated, inside the file. */
struct names {
  const char *text;
  uint32_t size;
};

static enum sim_status take_symbol(struct image_parts *parts,
                                   const GElf_Sym *symbol, size_t number,
                                   const struct names *names,
                                   struct sim_error *err)
{
  if (symbol->st_name >= names->size) {
    return elf_parts_fail(parts, elf_parts_numbered(parts, "symbol", number),
                          "has its name outside the string table; expected it "
                          "inside",
                          err);
  }
  const char *name = names->text + symbol->st_name;
  if (!is_wanted(symbol, name)) return SIM_OK;
  if (!elf_parts_is_text(name)) {
    return elf_parts_fail(
        parts, elf_parts_numbered(parts, "symbol", number),
        "has control characters or no UTF-8 in its name; expected "
        "printable text",
        err);
  }
  addr_t value = (addr_t)symbol->st_value; /* a 32-bit file */
  bool function = GELF_ST_TYPE(symbol->st_info) == STT_FUNC;
  struct image_symbol found = {
      .name = name,
      .at = function ? value & ~1u : value,
      .size = (uint32_t)symbol->st_size,
      .function = function,
  };
  return image_parts_add_symbol(parts, &found, rank_of(symbol), err);
}

static enum sim_status find_names(struct image_parts *parts, Elf *elf,
                                  size_t section, struct names *names,
                                  struct sim_error *err)
{
  const char *path = elf_parts_numbered(parts, "section", section);
  Elf_Scn *strings = elf_getscn(elf, section);
  GElf_Shdr header;
  if (!gelf_getshdr(strings, &header) || header.sh_type != SHT_STRTAB ||
      !elf_parts_inside(parts, header.sh_offset, header.sh_size) ||
      header.sh_size == 0) {
    return elf_parts_fail(
        parts, path,
        "is no string table inside the file; expected the one of "
        "the symbols",
        err);
  }
  names->text = (const char *)parts->content + header.sh_offset;
  names->size = (uint32_t)header.sh_size;
  if (names->text[names->size - 1] != '\0') {
    return elf_parts_fail(
        parts, path, "does not end with a zero byte; expected a string table",
        err);
  }
  return SIM_OK;
}

static enum sim_status take_symbols(struct image_parts *parts, Elf *elf,
                                    Elf_Scn *section, const GElf_Shdr *header,
                                    struct sim_error *err)
{
  struct names names = {NULL, 0};
  enum sim_status status =
      find_names(parts, elf, header->sh_link, &names, err);
  if (status != SIM_OK) return status;

  bool whole = elf_parts_inside(parts, header->sh_offset, header->sh_size) &&
               header->sh_entsize == sizeof(Elf32_Sym) &&
               header->sh_size % sizeof(Elf32_Sym) == 0;
  Elf_Data *data = whole ? elf_getdata(section, NULL) : NULL;
  if (!data) {
    return elf_parts_fail(
        parts, elf_parts_numbered(parts, "section", elf_ndxscn(section)),
        "is no symbol table inside the file; expected entries of "
        "16 bytes",
        err);
  }
  GElf_Sym symbol;
  for (int i = 0; gelf_getsym(data, i, &symbol); i++) {
    status = take_symbol(parts, &symbol, (size_t)i, &names, err);
    if (status != SIM_OK) return status;
  }
  return SIM_OK;
}

enum sim_status elf_parts_symbols(struct image_parts *parts, Elf *elf,
                                  struct sim_error *err)
{
  enum sim_status status = SIM_OK;
  bool found = false;
  Elf_Scn *section = NULL;
  while (status == SIM_OK && (section = elf_nextscn(elf, section)) != NULL) {
    GElf_Shdr header;
    if (!gelf_getshdr(section, &header) || header.sh_type != SHT_SYMTAB) {
      continue;
    }
    if (found) {
      return elf_parts_fail(
          parts, elf_parts_numbered(parts, "section", elf_ndxscn(section)),
          "is a second symbol table; expected at most one", err);
    }
    found = true;
    status = take_symbols(parts, elf, section, &header, err);
  }
  return status;
}
