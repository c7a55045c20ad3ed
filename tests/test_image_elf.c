/* ELF executables: segments, symbols, and what is refused.
 *
 * Format: System V ABI (gABI), chapters 4 and 5, and "ELF for the Arm
 * Architecture" (AAELF32, ARM-software/abi-aa aaelf32.rst, 2025Q4). That a
 * segment is programmed at its physical address is common practice, no
 * source.
 */
#include "image_files.h"

struct read_elf {
  struct temp_file temp;
  struct arena arena;
  struct sim_error err;
  const struct image *image;
  enum sim_status status;
};

static void read_elf(struct read_elf *r, const struct tiny_elf *elf)
{
  memset(r, 0, sizeof *r);
  arena_init(&r->arena);
  r->temp = temp_open();
  temp_put(&r->temp, elf, sizeof *elf);
  r->status =
      image_read(&r->arena, r->temp.path, false, 0, &r->image, &r->err);
  temp_close(&r->temp);
}

static void loads_at_physical_addresses(void **state)
{
  (void)state;
  struct tiny_elf elf = tiny_elf();
  struct read_elf r;
  read_elf(&r, &elf);
  assert_string_equal(r.err.message, "");
  assert_string_equal(image_picture(&r.arena, r.image), TINY_PICTURE);
  assert_int_equal(r.image->format, IMAGE_ELF);
  arena_free(&r.arena);
}

static void header_order_does_not_matter(void **state)
{
  (void)state;
  struct tiny_elf elf = tiny_elf();
  Elf32_Phdr first = elf.loads[0];
  elf.loads[0] = elf.loads[1];
  elf.loads[1] = first;
  struct read_elf r;
  read_elf(&r, &elf);
  assert_string_equal(image_picture(&r.arena, r.image), TINY_PICTURE);
  arena_free(&r.arena);
}

static void stripped_file_has_no_symbols(void **state)
{
  (void)state;
  struct tiny_elf elf = tiny_elf();
  elf.header.e_shoff = 0;
  elf.header.e_shnum = 0;
  elf.header.e_shentsize = 0;
  elf.header.e_entry = 0; /* gABI: no entry */
  struct read_elf r;
  read_elf(&r, &elf);
  assert_string_equal(r.err.message, "");
  assert_int_equal(r.image->symbol_count, 0);
  assert_false(r.image->has_entry);
  arena_free(&r.arena);
}

/* One field of the small ELF is changed. Values and expectations are the
 * numbers in the documents, not the names in elf.h that the reader uses:
 * gABI for classes, types and sizes; AAELF32 for machine 40, the BE8 flag
 * 0x00800000 and the entry mode. */
static const struct refused_row {
  const char *name;
  size_t offset, size;
  uint32_t value;
  enum sim_status status;
  const char *path, *message;
} refused_rows[] = {
#define FIELD(member, value)                                                  \
  offsetof(struct tiny_elf, member), sizeof((struct tiny_elf *)0)->member,    \
      value
    {"64-bit files are refused", FIELD(header.e_ident[EI_CLASS], 2),
     SIM_SYNTAX, "EI_CLASS", "is 2; expected 1, 32-bit"},
    {"big-endian files are refused", FIELD(header.e_ident[EI_DATA], 2),
     SIM_SYNTAX, "EI_DATA", "is 2; expected 1, little-endian"},
    {"an unknown version is refused", FIELD(header.e_ident[EI_VERSION], 0),
     SIM_SYNTAX, "EI_VERSION", "is 0; expected 1, the only version"},
    {"object files are refused", FIELD(header.e_type, 1), SIM_SYNTAX, "e_type",
     "is 1; expected 2, a linked executable"},
    {"shared objects are refused", FIELD(header.e_type, 3), SIM_SYNTAX,
     "e_type", "is 3; expected 2, a linked executable"},
    {"other machines are refused", FIELD(header.e_machine, 243), SIM_SYNTAX,
     "e_machine", "is 243; expected 40, Arm"},
    {"BE8 files are refused", FIELD(header.e_flags, 0x05800200), SIM_SYNTAX,
     "e_flags BE8", "is 8388608; expected 0, code and data in one byte order"},
    {"the reserved entry mode is refused", FIELD(header.e_entry, 0x0400000A),
     SIM_SYNTAX, "e_entry", "is 0x0400000A; expected bits 1:0 other than 10"},
    {"an unknown size of program headers is refused",
     FIELD(header.e_phentsize, 56), SIM_SYNTAX, "e_phentsize",
     "is 56; expected 32, the size of a program header"},
    {"an unknown size of section headers is refused",
     FIELD(header.e_shentsize, 64), SIM_SYNTAX, "e_shentsize",
     "is 64; expected 40, the size of a section header"},
    {"no program header is refused", FIELD(header.e_phnum, 0), SIM_SYNTAX,
     "e_phnum", "is 0; expected 1 to 65534"},
    {"an escaped number of program headers is refused",
     FIELD(header.e_phnum, 0xFFFF), SIM_SYNTAX, "e_phnum",
     "is 65535; expected 1 to 65534"},
    {"program headers outside the file are refused",
     FIELD(header.e_phoff, 0xFFFFFFF0), SIM_SYNTAX, "e_phoff",
     "leaves the file; expected all program headers inside"},
    {"section headers outside the file are refused",
     FIELD(header.e_shnum, 0xFEFF), SIM_SYNTAX, "e_shoff",
     "leaves the file; expected all section headers inside"},
    {"a segment outside the file is refused",
     FIELD(loads[1].p_offset, 0xFFFFFFF0), SIM_SYNTAX, "program header 1",
     "leaves the file; expected p_offset and p_filesz inside"},
    {"more bytes in the file than in memory are refused",
     FIELD(loads[0].p_memsz, 23), SIM_SYNTAX, "program header 0",
     "has more bytes in the file than in memory; expected p_filesz at or "
     "below p_memsz"},
    {"a segment that leaves the address space is refused",
     FIELD(loads[1].p_paddr, 0xFFFFFFF8), SIM_RANGE, "program header 1",
     "reaches 0xFFFFFFFF; expected addresses up to 0xFFFFFFFE"},
    {"segments that overlap are refused", FIELD(loads[1].p_paddr, 0x04000014),
     SIM_RANGE, "program header 1",
     "gives bytes 0x04000014 to 0x04000017 again, after program header 0; "
     "expected each address once"},
    {"a symbol table of another entry size is refused",
     FIELD(sections[TINY_SYMTAB].sh_entsize, 24), SIM_SYNTAX, "section 4",
     "is no symbol table inside the file; expected entries of 16 bytes"},
    {"a symbol table outside the file is refused",
     FIELD(sections[TINY_SYMTAB].sh_offset, 0xFFFFFFF0), SIM_SYNTAX,
     "section 4",
     "is no symbol table inside the file; expected entries of 16 bytes"},
    {"names in a symbol table are refused",
     FIELD(sections[TINY_STRTAB].sh_type, SHT_SYMTAB), SIM_SYNTAX, "section 5",
     "is no string table inside the file; expected the one of the symbols"},
    {"names in no string table are refused",
     FIELD(sections[TINY_SYMTAB].sh_link, 1), SIM_SYNTAX, "section 1",
     "is no string table inside the file; expected the one of the symbols"},
    {"names in no section are refused",
     FIELD(sections[TINY_SYMTAB].sh_link, 7), SIM_SYNTAX, "section 7",
     "is no string table inside the file; expected the one of the symbols"},
    {"names outside the file are refused",
     FIELD(sections[TINY_STRTAB].sh_size, 0x7FFFFFFF), SIM_SYNTAX, "section 5",
     "is no string table inside the file; expected the one of the symbols"},
    {"names without an end are refused",
     FIELD(sections[TINY_STRTAB].sh_size, 3), SIM_SYNTAX, "section 5",
     "does not end with a zero byte; expected a string table"},
    {"a name outside the string table is refused",
     FIELD(symbols[6].st_name, 160), SIM_SYNTAX, "symbol 6",
     "has its name outside the string table; expected it inside"},
    {"a name with a control character is refused", FIELD(names[5], '\n'),
     SIM_SYNTAX, "symbol 2",
     "has control characters or no UTF-8 in its name; expected printable "
     "text"},
    {"a name that is no UTF-8 is refused", FIELD(names[5], 0xFF), SIM_SYNTAX,
     "symbol 2",
     "has control characters or no UTF-8 in its name; expected printable "
     "text"},
#undef FIELD
};

static void refused(void **state)
{
  const struct refused_row *row = *state;
  struct tiny_elf elf = tiny_elf();
  memcpy((uint8_t *)&elf + row->offset, &row->value, row->size);
  struct read_elf r;
  read_elf(&r, &elf);
  assert_string_equal(r.err.message, row->message);
  assert_string_equal(r.err.path, row->path);
  assert_string_equal(r.err.file, r.temp.path);
  assert_int_equal(r.status, row->status);
  assert_null(r.image);
  arena_free(&r.arena);
}

static void second_symbol_table_is_refused(void **state)
{
  (void)state;
  struct tiny_elf elf = tiny_elf();
  elf.sections[TINY_BSS] = elf.sections[TINY_SYMTAB];
  struct read_elf r;
  read_elf(&r, &elf);
  assert_string_equal(r.err.path, "section 4");
  assert_string_equal(r.err.message,
                      "is a second symbol table; expected at most one");
  arena_free(&r.arena);
}

static void nothing_to_load_is_refused(void **state)
{
  (void)state;
  struct tiny_elf elf = tiny_elf();
  elf.loads[0].p_type = PT_NOTE;
  elf.loads[1].p_filesz = 0;
  struct read_elf r;
  read_elf(&r, &elf);
  assert_string_equal(r.err.message,
                      "holds nothing to program; expected at least one byte");
  arena_free(&r.arena);
}

/* What is left of tiny_symbols, in this order: no mapping symbol, no local
 * one without a type, none that is undefined; functions without their Thumb
 * bit, objects with their bit 0. */
static void symbols_are_sorted_and_sifted(void **state)
{
  (void)state;
  static const struct image_symbol expected[] = {
      {"vectors", 0x04000000, 8, false},
      {"reset_entry", 0x04000008, 4, true},
      {"unused_irq", 0x04000008, 4, true},
      {"helper", 0x04000010, 4, true},
      {"text_end", 0x04000018, 0, false},
      {"settings", 0x20000000, 8, false},
      {"second_byte", 0x20000001, 1, false},
      {"stack_top", 0x20001800, 0, false},
  };
  struct tiny_elf elf = tiny_elf();
  elf.symbols[13].st_shndx = SHN_UNDEF; /* the object called helper */
  struct read_elf r;
  read_elf(&r, &elf);
  assert_string_equal(r.err.message, "");
  assert_int_equal(r.image->symbol_count, 8);
  for (uint32_t i = 0; i < 8; i++) {
    assert_string_equal(r.image->symbols[i].name, expected[i].name);
    assert_int_equal(r.image->symbols[i].at, expected[i].at);
    assert_int_equal(r.image->symbols[i].size, expected[i].size);
    assert_int_equal(r.image->symbols[i].function, expected[i].function);
  }
  arena_free(&r.arena);
}

static void names_may_be_utf8(void **state)
{
  (void)state;
  struct tiny_elf elf = tiny_elf();
  memcpy(strstr(elf.names + 4, "helper"), "k\xC3\xBChlen", 6);
  struct read_elf r;
  read_elf(&r, &elf);
  assert_string_equal(r.err.message, "");
  assert_non_null(image_symbol_named(r.image, "k\xC3\xBChle"));
  arena_free(&r.arena);
}

static const struct lookup_row {
  const char *name;
  addr_t at;
  const char *symbol; /* NULL: none */
  uint32_t offset;
} lookup_rows[] = {
    {"the start of a function is that function", 0x04000008, "reset_entry", 0},
    {"inside a function is that function", 0x0400000B, "reset_entry", 3},
    {"behind a function is the nearest below", 0x0400000C, "reset_entry", 4},
    {"an object covers its bytes", 0x04000007, "vectors", 7},
    {"data in flash behind all code", 0x0400001F, "text_end", 7},
    {"behind the segment is nothing", 0x04000020, NULL, 0},
    {"below all symbols is nothing", 0x00000000, NULL, 0},
    {"an object in RAM covers its bytes", 0x20000002, "settings", 2},
    {"of two objects the inner one", 0x20000001, "second_byte", 0},
    {"RAM behind all objects is nothing", 0x20000100, NULL, 0},
    {"an address without size covers nothing in RAM", 0x20001800, NULL, 0},
};

static void lookup(void **state)
{
  const struct lookup_row *row = *state;
  struct tiny_elf elf = tiny_elf();
  struct read_elf r;
  read_elf(&r, &elf);
  uint32_t offset = 0;
  const struct image_symbol *found =
      image_symbol_at(r.image, row->at, &offset);
  if (row->symbol) {
    assert_non_null(found);
    assert_string_equal(found->name, row->symbol);
    assert_int_equal(offset, row->offset);
  } else {
    assert_null(found);
  }
  arena_free(&r.arena);
}

static void functions_win_over_objects(void **state)
{
  (void)state;
  struct tiny_elf elf = tiny_elf();
  elf.symbols[7].st_value = 0x04000012; /* vectors, into helper */
  elf.symbols[7].st_size = 1;
  struct read_elf r;
  read_elf(&r, &elf);
  uint32_t offset = 0;
  const struct image_symbol *found =
      image_symbol_at(r.image, 0x04000012, &offset);
  assert_string_equal(found->name, "helper");
  assert_int_equal(offset, 2);
  arena_free(&r.arena);
}

static void functions_come_first_at_one_address(void **state)
{
  (void)state;
  struct tiny_elf elf = tiny_elf();
  elf.symbols[6].st_size = 0;           /* reset_entry covers nothing, */
  elf.symbols[5].st_size = 0;           /* nor does unused_irq */
  elf.symbols[7].st_size = 0;           /* vectors */
  elf.symbols[7].st_value = 0x04000008; /* an object where they begin */
  struct read_elf r;
  read_elf(&r, &elf);
  uint32_t offset = 0;
  const struct image_symbol *found =
      image_symbol_at(r.image, 0x0400000A, &offset);
  assert_string_equal(found->name, "reset_entry");
  assert_int_equal(offset, 2);
  arena_free(&r.arena);
}

static void another_segment_is_not_below(void **state)
{
  (void)state;
  struct tiny_elf elf = tiny_elf();
  elf.loads[1].p_paddr = 0x04000400; /* a hole behind text_end */
  struct read_elf r;
  read_elf(&r, &elf);
  uint32_t offset = 0;
  assert_int_equal(r.image->segment_count, 2);
  assert_null(image_symbol_at(r.image, 0x04000402, &offset));
  assert_non_null(image_symbol_at(r.image, 0x04000016, &offset));
  arena_free(&r.arena);
}

static void names_are_found(void **state)
{
  (void)state;
  struct tiny_elf elf = tiny_elf();
  elf.symbols[13].st_value = 0x04000004; /* an object below its namesake */
  struct read_elf r;
  read_elf(&r, &elf);
  assert_int_equal(image_symbol_named(r.image, "helper")->at, 0x04000010);
  assert_int_equal(image_symbol_named(r.image, "settings")->at, 0x20000000);
  assert_int_equal(image_symbol_named(r.image, "stack_top")->at, 0x20001800);
  assert_null(image_symbol_named(r.image, "$t"));
  assert_null(image_symbol_named(r.image, "inner_loop"));
  assert_null(image_symbol_named(r.image, "not_here"));
  arena_free(&r.arena);
}

#define COUNT(rows) (sizeof(rows) / sizeof((rows)[0]))

int main(void)
{
  static const struct CMUnitTest single[] = {
      cmocka_unit_test(loads_at_physical_addresses),
      cmocka_unit_test(header_order_does_not_matter),
      cmocka_unit_test(stripped_file_has_no_symbols),
      cmocka_unit_test(second_symbol_table_is_refused),
      cmocka_unit_test(nothing_to_load_is_refused),
      cmocka_unit_test(symbols_are_sorted_and_sifted),
      cmocka_unit_test(names_may_be_utf8),
      cmocka_unit_test(functions_win_over_objects),
      cmocka_unit_test(functions_come_first_at_one_address),
      cmocka_unit_test(another_segment_is_not_below),
      cmocka_unit_test(names_are_found),
  };
  struct CMUnitTest
      tests[COUNT(single) + COUNT(refused_rows) + COUNT(lookup_rows)];
  size_t n = COUNT(single);
  memcpy(tests, single, sizeof single);
  for (size_t i = 0; i < COUNT(refused_rows); i++) {
    tests[n++] = (struct CMUnitTest){refused_rows[i].name, refused, NULL, NULL,
                                     (void *)&refused_rows[i]};
  }
  for (size_t i = 0; i < COUNT(lookup_rows); i++) {
    tests[n++] = (struct CMUnitTest){lookup_rows[i].name, lookup, NULL, NULL,
                                     (void *)&lookup_rows[i]};
  }
  return cmocka_run_group_tests(tests, NULL, NULL);
}
