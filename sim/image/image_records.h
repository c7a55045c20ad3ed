/* image_records.h -- lines of hex digits: what Intel HEX and S-records share.
 *
 * A record is one line: a mark, then bytes as two hex digits each, of either
 * case. One of the first bytes says how many there are; the last is a
 * checksum. What the bytes mean is the format's.
 *
 * Lines end with LF or CR LF, the last one also with the file. Empty lines
 * are passed over.
 */
#ifndef IMAGE_IMAGE_RECORDS_H
#define IMAGE_IMAGE_RECORDS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/status.h"
#include "image/image_parts.h"

/* The longest: an Intel HEX record of 255 data bytes, with count, offset (2),
 * type and checksum. */
#define RECORD_MAX_BYTES 260

struct records {
  const char *file;
  const uint8_t *content;
  size_t length, next;
  uint32_t line; /* of the last record; 0 before the first */
};

struct record {
  const char *file;
  uint32_t line;
  const uint8_t *text; /* the line without its end; not terminated */
  size_t length;       /* at least 1 */
  uint32_t first;      /* length of the mark: what stands before the bytes */
  uint32_t count;      /* of bytes, all that are in the line */
  uint8_t bytes[RECORD_MAX_BYTES];
};

void records_init(struct records *records, const struct image_parts *parts);

/* The text of the next line that is not empty; false at the end. */
bool records_next(struct records *records, struct record *record);

/* Decode the bytes behind a mark of `first` characters. The first byte is a
 * count; `more` is how many bytes the line has beyond what it counts, itself
 * included. Errors: SIM_SYNTAX with line and column. */
enum sim_status record_decode(struct record *record, uint32_t first,
                              uint32_t more, struct sim_error *err);

/* Where byte `index` stands; `index` may be `count`: behind the last. */
struct sim_place record_place(const struct record *record, uint32_t index);

/* `width` bytes from `index`, the most significant one first. */
uint32_t record_number(const struct record *record, uint32_t index,
                       uint32_t width);

/* The last byte is `expected`. */
enum sim_status record_check(const struct record *record, uint8_t expected,
                             struct sim_error *err);

/* The sum of all bytes but the last, modulo 256. */
uint8_t record_sum(const struct record *record);

/* Show a character of the file in a message: 'G', or 0x0D if it is none that
 * prints. Returns buf. */
const char *record_character(char buf[8], uint8_t byte);

/* Nothing but empty lines follows the end record. */
enum sim_status records_finish(struct records *records, struct sim_error *err);

#endif
