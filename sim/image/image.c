#include "image/image.h"

#include <string.h>

#include "base/file.h"
#include "image/image_parts.h"

static bool is_digit(uint8_t c)
{
  return c >= '0' && c <= '9';
}

static bool is_hex_digit(uint8_t c)
{
  return is_digit(c) || (c >= 'A' && c <= 'F') || (c >= 'a' && c <= 'f');
}

/* The content is followed by a zero byte, so that content[1] exists in every
 * file that is not empty. */
static enum image_format format_of(const uint8_t *content, size_t length)
{
  static const uint8_t elf_magic[] = {0x7F, 'E', 'L', 'F'};
  if (length >= sizeof elf_magic &&
      memcmp(content, elf_magic, sizeof elf_magic) == 0) {
    return IMAGE_ELF;
  }
  if (length > 0 && content[0] == ':' && is_hex_digit(content[1])) {
    return IMAGE_HEX;
  }
  if (length > 0 && content[0] == 'S' && is_digit(content[1])) {
    return IMAGE_SREC;
  }
  return IMAGE_BIN;
}

static enum sim_status check_base(const struct image_parts *parts,
                                  bool has_base, struct sim_error *err)
{
  static const char *const names[] = {
      [IMAGE_ELF] = "ELF",
      [IMAGE_HEX] = "Intel HEX",
      [IMAGE_SREC] = "S-record",
  };
  struct sim_place where = {.file = parts->file};
  if (parts->format == IMAGE_BIN && !has_base) {
    return sim_fail(err, SIM_SYNTAX, &where,
                    "begins like neither ELF, Intel HEX nor S-records; "
                    "expected one of these, or a base address for a raw "
                    "binary");
  }
  if (parts->format != IMAGE_BIN && has_base) {
    return sim_fail(
        err, SIM_KEY, &where,
        "is of format %s, with addresses of its own; expected no base address",
        names[parts->format]);
  }
  return SIM_OK;
}

static enum sim_status read_parts(struct image_parts *parts, bool has_base,
                                  addr_t base, struct sim_error *err)
{
  enum sim_status status =
      file_read(&parts->scratch, parts->file, IMAGE_MAX_BYTES, &parts->content,
                &parts->length, err);
  if (status != SIM_OK) return status;
  parts->format = format_of(parts->content, parts->length);
  status = check_base(parts, has_base, err);
  if (status != SIM_OK) return status;

  switch (parts->format) {
  case IMAGE_ELF: return image_read_elf(parts, err);
  case IMAGE_HEX: return image_read_hex(parts, err);
  case IMAGE_SREC: return image_read_srec(parts, err);
  case IMAGE_BIN: break;
  }
  return image_read_bin(parts, base, err);
}

enum sim_status image_read(struct arena *arena, const char *file,
                           bool has_base, addr_t base,
                           const struct image **image, struct sim_error *err)
{
  struct image_parts parts;
  image_parts_init(&parts, file);
  enum sim_status status = read_parts(&parts, has_base, base, err);
  if (status == SIM_OK) {
    status = image_parts_finish(&parts, arena, image, err);
  }
  image_parts_free(&parts);
  return status;
}

/* How many symbols begin at or below `at`. */
static uint32_t count_up_to(const struct image *image, addr_t at)
{
  uint32_t low = 0, high = image->symbol_count;
  while (low < high) {
    uint32_t middle = low + (high - low) / 2;
    if (image->symbols[middle].at <= at) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low;
}

/* Of the first `count` symbols, the one that begins last; of those that begin
 * together, the first in the table. */
static const struct image_symbol *
covering(const struct image *image, uint32_t count, addr_t at, bool function)
{
  const struct image_symbol *best = NULL;
  for (uint32_t i = count; i > 0; i--) {
    const struct image_symbol *symbol = &image->symbols[i - 1];
    if (best && symbol->at != best->at) break;
    if (symbol->function != function) continue;
    if (at - symbol->at < symbol->size) best = symbol;
  }
  return best;
}

static const struct image_segment *segment_at(const struct image *image,
                                              addr_t at)
{
  for (uint32_t i = 0; i < image->segment_count; i++) {
    const struct image_segment *segment = &image->segments[i];
    if (at >= segment->at && at - segment->at < segment->size) return segment;
  }
  return NULL;
}

/* The same, whether or not it covers `at`, but within one segment: what lies
 * between two segments is no part of what came before. */
static const struct image_symbol *nearest(const struct image *image,
                                          uint32_t count, addr_t at)
{
  const struct image_segment *segment = segment_at(image, at);
  const struct image_symbol *best = NULL;
  for (uint32_t i = count; segment && i > 0; i--) {
    const struct image_symbol *symbol = &image->symbols[i - 1];
    if (symbol->at < segment->at) break;
    if (best && symbol->at != best->at) break;
    best = symbol;
  }
  return best;
}

const struct image_symbol *image_symbol_at(const struct image *image,
                                           addr_t at, uint32_t *offset)
{
  uint32_t count = count_up_to(image, at);
  const struct image_symbol *found = covering(image, count, at, true);
  if (!found) found = covering(image, count, at, false);
  if (!found) found = nearest(image, count, at);
  if (found) *offset = at - found->at;
  return found;
}

const struct image_symbol *image_symbol_named(const struct image *image,
                                              const char *name)
{
  const struct image_symbol *found = NULL;
  for (uint32_t i = 0; i < image->symbol_count; i++) {
    const struct image_symbol *symbol = &image->symbols[i];
    if (strcmp(symbol->name, name) != 0) continue;
    if (symbol->function) return symbol;
    if (!found) found = symbol;
  }
  return found;
}
