/* elf_parts.h -- what elf.c, elf_symbols.c and elf_lines.c share. */
#ifndef IMAGE_ELF_PARTS_H
#define IMAGE_ELF_PARTS_H

#include <gelf.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/status.h"
#include "image/image_parts.h"

/* Add the symbols of the file, which is 32-bit and has its section headers
 * whole. Errors: SIM_SYNTAX, SIM_LIMIT. */
enum sim_status elf_parts_symbols(struct image_parts *parts, Elf *elf,
                                  struct sim_error *err);

/* Add the rows of the file's DWARF line tables, if it has any. Errors:
 * SIM_SYNTAX, SIM_LIMIT. */
enum sim_status elf_parts_lines(struct image_parts *parts, Elf *elf,
                                struct sim_error *err);

/* Reports print names: true if there is nothing in them that is no text. */
bool elf_parts_is_text(const char *name);

/* Whether the `bytes` from `offset` lie in the file. */
bool elf_parts_inside(const struct image_parts *parts, uint64_t offset,
                      uint64_t bytes);

/* "program header 2", in the scratch arena: the place of an error. */
const char *elf_parts_numbered(struct image_parts *parts, const char *what,
                               size_t number);

/* SIM_SYNTAX at `path`, which may be NULL. */
enum sim_status elf_parts_fail(const struct image_parts *parts,
                               const char *path, const char *message,
                               struct sim_error *err);

#endif
