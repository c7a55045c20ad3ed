/* image_parts.h -- what the reader of one format finds, before it is an image.
 *
 * A reader adds pieces of bytes in the order of the file, each with its
 * place. image_parts_finish sorts them by address, refuses any address that
 * is given twice (even with equal bytes: one of the two is not what its
 * author thinks), and joins neighbours into segments.
 *
 * Owns: everything below, in `scratch`; the finished image holds copies.
 */
#ifndef IMAGE_IMAGE_PARTS_H
#define IMAGE_IMAGE_PARTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/status.h"
#include "base/units.h"
#include "image/image.h"

struct image_piece {
  addr_t at;
  uint32_t size;
  const uint8_t *bytes;
  uint32_t order;   /* among the pieces, in the order of the file */
  uint32_t line;    /* in a text file, else 0 */
  const char *path; /* "program header 2", or NULL */
};

struct image_candidate {
  struct image_symbol symbol;
  uint32_t rank;  /* of symbols at one address the lowest comes first */
  uint32_t order; /* in the order of the file */
};

/* A row of a line table. */
struct image_row {
  struct image_line line;
  uint32_t order; /* in the order of the file */
};

struct image_parts {
  struct arena scratch;
  const char *file; /* borrowed */
  uint8_t *content; /* of the file */
  size_t length;
  enum image_format format;

  struct image_piece *pieces;
  uint32_t piece_count, piece_room;
  uint32_t byte_count; /* in all pieces, at most IMAGE_MAX_BYTES */

  struct image_candidate *symbols;
  uint32_t symbol_count, symbol_room;
  uint32_t name_bytes; /* in all symbols, at most IMAGE_MAX_BYTES */

  struct image_row *rows;
  uint32_t row_count, row_room;
  const char **files;
  uint32_t file_count, file_room;

  bool has_entry;
  addr_t entry;
};

void image_parts_init(struct image_parts *parts, const char *file);
void image_parts_free(struct image_parts *parts);

/* Add `size` bytes for the addresses from `at`; none is no piece. `bytes` is
 * kept by reference and lives as long as `scratch`, as does where->path.
 * Errors: SIM_RANGE if the end leaves 32 bits, SIM_LIMIT. */
enum sim_status image_parts_add(struct image_parts *parts,
                                const struct sim_place *where, uint64_t at,
                                const uint8_t *bytes, uint32_t size,
                                struct sim_error *err);

/* Add a symbol; its name is kept by reference and lives as long as `scratch`.
 * Error: SIM_LIMIT. */
enum sim_status image_parts_add_symbol(struct image_parts *parts,
                                       const struct image_symbol *symbol,
                                       uint32_t rank, struct sim_error *err);

/* Add a source file; its name is kept by reference and lives as long as
 * `scratch`. Returns its index. */
uint32_t image_parts_add_file(struct image_parts *parts, const char *name);

/* Add a row of a line table. Of rows at one address the last one counts, and
 * an end (line 0) only if it is alone. Error: SIM_LIMIT. */
enum sim_status image_parts_add_row(struct image_parts *parts,
                                    const struct image_line *line,
                                    struct sim_error *err);

/* For image_parts_finish: sort the rows and copy them. */
void image_parts_finish_lines(struct image_parts *parts, struct arena *arena,
                              struct image *image);

/* The array `old` of `count` elements if one more fits, else a copy of twice
 * the room. */
void *image_parts_room(struct image_parts *parts, void *old, uint32_t count,
                       uint32_t *room, size_t element);

/* The image, copied into `arena`. Errors: SIM_SYNTAX if there is no byte in
 * it, SIM_RANGE for an address given twice. */
enum sim_status image_parts_finish(struct image_parts *parts,
                                   struct arena *arena,
                                   const struct image **image,
                                   struct sim_error *err);

/* The readers, each in the file of its format: from `content` to pieces,
 * symbols and entry. */
enum sim_status image_read_elf(struct image_parts *parts,
                               struct sim_error *err);
enum sim_status image_read_hex(struct image_parts *parts,
                               struct sim_error *err);
enum sim_status image_read_srec(struct image_parts *parts,
                                struct sim_error *err);
enum sim_status image_read_bin(struct image_parts *parts, addr_t base,
                               struct sim_error *err);

#endif
