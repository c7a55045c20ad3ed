/* image_files.h -- what the tests of sim/image share: a file to be read, a
 * small ELF whose every byte is known, and an image as one line of text.
 *
 * The ELF is written as the host lays out the structures of elf.h, so these
 * tests want a little-endian host.
 */
#ifndef TESTS_IMAGE_FILES_H
#define TESTS_IMAGE_FILES_H

#include <elf.h>
#include <inttypes.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "image/image.h"

struct temp_file {
  char path[64];
  int handle;
};

static inline struct temp_file temp_open(void)
{
  struct temp_file temp = {.path = "/tmp/firstfetch-image-XXXXXX"};
  temp.handle = mkstemp(temp.path);
  assert_true(temp.handle >= 0);
  return temp;
}

static inline void temp_put(const struct temp_file *temp, const void *bytes,
                            size_t size)
{
  assert_int_equal(ftruncate(temp->handle, 0), 0);
  assert_int_equal(pwrite(temp->handle, bytes, size, 0), (ssize_t)size);
}

static inline void temp_close(const struct temp_file *temp)
{
  close(temp->handle);
  unlink(temp->path);
}

/* "04000000:00180020 20000000:5A entry 04000009", in the caller's arena. */
static inline const char *image_picture(struct arena *arena,
                                        const struct image *image)
{
  size_t size = 32;
  for (uint32_t i = 0; i < image->segment_count; i++) {
    size += 10 + 2 * (size_t)image->segments[i].size;
  }
  char *text = arena_get(arena, size);
  size_t used = 0;
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *segment = &image->segments[i];
    used += (size_t)snprintf(text + used, size - used, "%s%08" PRIX32 ":",
                             i ? " " : "", segment->at);
    for (uint32_t j = 0; j < segment->size; j++) {
      used += (size_t)snprintf(text + used, size - used, "%02X",
                               segment->bytes[j]);
    }
  }
  if (image->has_entry) {
    snprintf(text + used, size - used, " entry %08" PRIX32, image->entry);
  }
  return text;
}

/* Flash and RAM are those of our parts; the second load, .data, runs in RAM
 * and travels behind the text; the third, .bss, has no bytes in the file. */
struct tiny_elf {
  Elf32_Ehdr header;
  Elf32_Phdr loads[3];
  uint8_t text[24];
  uint8_t data[8];
  Elf32_Sym symbols[14];
  char names[160];
  char section_names[48];
  Elf32_Shdr sections[7];
};

enum { TINY_NULL, TINY_TEXT, TINY_DATA, TINY_BSS, TINY_SYMTAB, TINY_STRTAB };

#define TINY_PICTURE                                                          \
  "04000000:00180020090000040000000000000000FEE7C046704700BF"                 \
  "0102030405060708 entry 04000009"

struct tiny_symbol {
  const char *name;
  uint32_t at, size;
  uint8_t bind, type;
  uint16_t section;
};

static const struct tiny_symbol tiny_symbols[] = {
    {"", 0, 0, STB_LOCAL, STT_NOTYPE, SHN_UNDEF},
    {"$t", 0x04000008, 0, STB_LOCAL, STT_NOTYPE, TINY_TEXT},
    {"helper", 0x04000011, 4, STB_LOCAL, STT_FUNC, TINY_TEXT},
    {"inner_loop", 0x0400000A, 0, STB_LOCAL, STT_NOTYPE, TINY_TEXT},
    {"$d.2", 0x04000014, 0, STB_GLOBAL, STT_NOTYPE, TINY_TEXT},
    {"unused_irq", 0x04000009, 4, STB_WEAK, STT_FUNC, TINY_TEXT},
    {"reset_entry", 0x04000009, 4, STB_GLOBAL, STT_FUNC, TINY_TEXT},
    {"vectors", 0x04000000, 8, STB_GLOBAL, STT_OBJECT, TINY_TEXT},
    {"stack_top", 0x20001800, 0, STB_GLOBAL, STT_NOTYPE, SHN_ABS},
    {"second_byte", 0x20000001, 1, STB_GLOBAL, STT_OBJECT, TINY_DATA},
    {"settings", 0x20000000, 8, STB_GLOBAL, STT_OBJECT, TINY_DATA},
    {"not_here", 0, 0, STB_WEAK, STT_NOTYPE, SHN_UNDEF},
    {"text_end", 0x04000018, 0, STB_GLOBAL, STT_NOTYPE, TINY_TEXT},
    {"helper", 0x20000008, 4, STB_GLOBAL, STT_OBJECT, TINY_BSS},
};

static inline void tiny_fill_symbols(struct tiny_elf *elf)
{
  size_t used = 1;
  for (size_t i = 1; i < sizeof tiny_symbols / sizeof tiny_symbols[0]; i++) {
    const struct tiny_symbol *from = &tiny_symbols[i];
    elf->symbols[i] = (Elf32_Sym){
        .st_name = (Elf32_Word)used,
        .st_value = from->at,
        .st_size = from->size,
        .st_info = (unsigned char)ELF32_ST_INFO(from->bind, from->type),
        .st_shndx = from->section,
    };
    strcpy(elf->names + used, from->name);
    used += strlen(from->name) + 1;
  }
  assert_true(used <= sizeof elf->names);
}

#define TINY_PART(kind, field, address, attributes)                           \
  {                                                                           \
    .sh_type = (kind), .sh_flags = (attributes), .sh_addr = (address),        \
    .sh_offset = offsetof(struct tiny_elf, field),                            \
    .sh_size = sizeof((struct tiny_elf *)0)->field, .sh_addralign = 4         \
  }

static inline void tiny_fill_sections(struct tiny_elf *elf)
{
  const Elf32_Shdr sections[] = {
      {0},
      TINY_PART(SHT_PROGBITS, text, 0x04000000, SHF_ALLOC | SHF_EXECINSTR),
      TINY_PART(SHT_PROGBITS, data, 0x20000000, SHF_ALLOC | SHF_WRITE),
      TINY_PART(SHT_NOBITS, data, 0x20000008, SHF_ALLOC | SHF_WRITE),
      TINY_PART(SHT_SYMTAB, symbols, 0, 0),
      TINY_PART(SHT_STRTAB, names, 0, 0),
      TINY_PART(SHT_STRTAB, section_names, 0, 0),
  };
  static const char names[] =
      "\0.text\0.data\0.bss\0.symtab\0.strtab\0.shstrtab";
  static const uint8_t name_at[] = {0, 1, 7, 13, 18, 26, 34};
  memcpy(elf->sections, sections, sizeof sections);
  memcpy(elf->section_names, names, sizeof names);
  for (size_t i = 0; i < sizeof name_at; i++) {
    elf->sections[i].sh_name = name_at[i];
  }
  elf->sections[TINY_SYMTAB].sh_link = TINY_STRTAB;
  elf->sections[TINY_SYMTAB].sh_info = 4; /* the first that is not local */
  elf->sections[TINY_SYMTAB].sh_entsize = sizeof(Elf32_Sym);
}

#define TINY_LOAD(field, virtual, physical, in_file, rights)                  \
  {                                                                           \
    .p_type = PT_LOAD, .p_offset = offsetof(struct tiny_elf, field),          \
    .p_vaddr = (virtual), .p_paddr = (physical), .p_filesz = (in_file),       \
    .p_memsz = sizeof((struct tiny_elf *)0)->field, .p_flags = (rights),      \
    .p_align = 4                                                              \
  }

static inline struct tiny_elf tiny_elf(void)
{
  struct tiny_elf elf = {
      .header = {.e_ident = {ELFMAG0, ELFMAG1, ELFMAG2, ELFMAG3, ELFCLASS32,
                             ELFDATA2LSB, EV_CURRENT},
                 .e_type = ET_EXEC,
                 .e_machine = EM_ARM,
                 .e_version = EV_CURRENT,
                 .e_entry = 0x04000009,
                 .e_phoff = offsetof(struct tiny_elf, loads),
                 .e_shoff = offsetof(struct tiny_elf, sections),
                 .e_flags = 0x05000200, /* AAELF32: ABI 5, soft float */
                 .e_ehsize = sizeof(Elf32_Ehdr),
                 .e_phentsize = sizeof(Elf32_Phdr),
                 .e_phnum = 3,
                 .e_shentsize = sizeof(Elf32_Shdr),
                 .e_shnum = 7,
                 .e_shstrndx = 6},
      .loads = {TINY_LOAD(text, 0x04000000, 0x04000000, 24, PF_R | PF_X),
                TINY_LOAD(data, 0x20000000, 0x04000018, 8, PF_R | PF_W),
                TINY_LOAD(data, 0x20000008, 0x20000008, 0, PF_R | PF_W)},
      .text = {0x00, 0x18, 0x00, 0x20, 0x09, 0x00, 0x00, 0x04,
               0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00, 0x00,
               0xFE, 0xE7, 0xC0, 0x46, 0x70, 0x47, 0x00, 0xBF},
      .data = {1, 2, 3, 4, 5, 6, 7, 8},
  };
  tiny_fill_symbols(&elf);
  tiny_fill_sections(&elf);
  return elf;
}

#endif
