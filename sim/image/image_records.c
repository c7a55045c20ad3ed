#include "image/image_records.h"

#include <assert.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

void records_init(struct records *records, const struct image_parts *parts)
{
  *records = (struct records){
      .file = parts->file, .content = parts->content, .length = parts->length};
}

/* Length of the line at `text` without its end; *taken with it. */
static size_t line_length(const uint8_t *text, size_t left, size_t *taken)
{
  const uint8_t *end = memchr(text, '\n', left);
  size_t length = end ? (size_t)(end - text) : left;
  *taken = end ? length + 1 : length;
  return end && length > 0 && text[length - 1] == '\r' ? length - 1 : length;
}

bool records_next(struct records *records, struct record *record)
{
  while (records->next < records->length) {
    const uint8_t *text = records->content + records->next;
    size_t taken;
    size_t length = line_length(text, records->length - records->next, &taken);
    records->next += taken;
    records->line++;
    if (length == 0) continue;
    *record = (struct record){.file = records->file,
                              .line = records->line,
                              .text = text,
                              .length = length};
    return true;
  }
  return false;
}

static int digit_value(uint8_t c)
{
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  return -1;
}

const char *record_character(char buf[8], uint8_t byte)
{
  bool prints = byte > 0x20 && byte < 0x7F;
  snprintf(buf, 8, prints ? "'%c'" : "0x%02X", byte);
  return buf;
}

static enum sim_status check_digits(const struct record *record,
                                    uint32_t first, struct sim_error *err)
{
  for (size_t i = first; i < record->length; i++) {
    if (digit_value(record->text[i]) >= 0) continue;
    char shown[8];
    struct sim_place where = {
        .file = record->file, .line = record->line, .column = (uint32_t)i + 1};
    return sim_fail(err, SIM_SYNTAX, &where, "is %s; expected a hex digit",
                    record_character(shown, record->text[i]));
  }
  return SIM_OK;
}

static uint8_t byte_at(const struct record *record, uint32_t index)
{
  const uint8_t *digits = record->text + record->first + 2 * index;
  return (uint8_t)(digit_value(digits[0]) << 4 | digit_value(digits[1]));
}

enum sim_status record_decode(struct record *record, uint32_t first,
                              uint32_t more, struct sim_error *err)
{
  enum sim_status status = check_digits(record, first, err);
  if (status != SIM_OK) return status;

  record->first = first;
  size_t digits = record->length - first;
  struct sim_place where = record_place(record, 0);
  if (digits < 2) {
    return sim_fail(err, SIM_SYNTAX, &where,
                    "ends before its byte count; expected 2 hex digits");
  }
  record->count = byte_at(record, 0) + more;
  if (digits != 2 * (size_t)record->count) {
    return sim_fail(err, SIM_SYNTAX, &where,
                    "has %zu hex digits; expected %" PRIu32
                    " for a byte count of 0x%02X",
                    digits, 2 * record->count, byte_at(record, 0));
  }
  assert(record->count <= RECORD_MAX_BYTES);
  for (uint32_t i = 0; i < record->count; i++) {
    record->bytes[i] = byte_at(record, i);
  }
  return SIM_OK;
}

struct sim_place record_place(const struct record *record, uint32_t index)
{
  return (struct sim_place){.file = record->file,
                            .line = record->line,
                            .column = record->first + 2 * index + 1};
}

uint32_t record_number(const struct record *record, uint32_t index,
                       uint32_t width)
{
  uint32_t value = 0;
  for (uint32_t i = index; i < index + width; i++) {
    value = value << 8 | record->bytes[i];
  }
  return value;
}

uint8_t record_sum(const struct record *record)
{
  uint32_t sum = 0;
  for (uint32_t i = 0; i + 1 < record->count; i++) {
    sum += record->bytes[i];
  }
  return (uint8_t)sum;
}

enum sim_status record_check(const struct record *record, uint8_t expected,
                             struct sim_error *err)
{
  uint8_t is = record->bytes[record->count - 1];
  if (is == expected) return SIM_OK;
  struct sim_place where = record_place(record, record->count - 1);
  return sim_fail(err, SIM_SYNTAX, &where,
                  "checksum is 0x%02X; expected 0x%02X", is, expected);
}

enum sim_status records_finish(struct records *records, struct sim_error *err)
{
  struct record record;
  if (!records_next(records, &record)) return SIM_OK;
  struct sim_place where = {
      .file = record.file, .line = record.line, .column = 1};
  return sim_fail(err, SIM_SYNTAX, &where,
                  "stands behind the end record; expected nothing there");
}
