/* image.h -- a firmware file as segments of bytes and a table of symbols.
 *
 * ELF (through libelf), Intel HEX, S-record and raw binary. For programming,
 * the load address of an ELF segment is its physical one (p_paddr): common
 * practice; .data travels in flash and start-up code copies it.
 *
 * Segments are ascending and never overlap. Symbols are ascending by address;
 * the Thumb bit is removed. Lines are those of DWARF, where an ELF has it.
 *
 * Owns: nothing; all memory is in the arena it was read into.
 */
#ifndef IMAGE_IMAGE_H
#define IMAGE_IMAGE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/status.h"
#include "base/units.h"

#define IMAGE_MAX_BYTES (64u << 20)

struct image_segment {
  addr_t at;
  uint32_t size; /* bytes, at least 1; at + size does not leave 32 bits */
  const uint8_t *bytes;
};

struct image_symbol {
  const char *name;
  addr_t at;
  uint32_t size; /* 0: unknown */
  bool function;
};

/* From `at` up to the next one's `at` the code comes from this line of
 * lines' `files`; 0: from here on nothing is known. */
struct image_line {
  addr_t at;
  uint32_t line; /* from 1 */
  uint32_t file; /* index */
};

enum image_format { IMAGE_ELF, IMAGE_HEX, IMAGE_SREC, IMAGE_BIN };

struct image {
  const char *file;
  enum image_format format;
  struct image_segment *segments;
  uint32_t segment_count;
  struct image_symbol *symbols;
  uint32_t symbol_count;
  struct image_line *lines; /* ascending, one an address */
  uint32_t line_count;
  const char **files; /* names without directories */
  uint32_t file_count;
  bool has_entry;
  addr_t entry; /* as in the file, Thumb bit included */
};

/* Read a firmware file. The format is told by its first bytes, not by its
 * name: ELF magic, ':' records, 'S' records; anything else is a raw binary
 * and needs `has_base`. `has_base` with another format is an error. */
enum sim_status image_read(struct arena *arena, const char *file,
                           bool has_base, addr_t base,
                           const struct image **image, struct sim_error *err);

/* The symbol that covers `at`, or the nearest below it within the same
 * segment, functions preferred; NULL if there is none. *offset is the
 * distance from its start. */
const struct image_symbol *image_symbol_at(const struct image *image,
                                           addr_t at, uint32_t *offset);

/* The symbol of that name, functions preferred; NULL if there is none. */
const struct image_symbol *image_symbol_named(const struct image *image,
                                              const char *name);

/* The source that the code at `at` comes from: "main.c" and 42. False if the
 * image does not say. */
bool image_line_at(const struct image *image, addr_t at, const char **file,
                   uint32_t *line);

#endif
