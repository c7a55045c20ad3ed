/* Intel HEX: ":LLAAAATT", LL data bytes, checksum.
 *
 * Intel "Hexadecimal Object File Format Specification", revision A, 1988
 * (from memory). A record 02 makes data addresses base + offset with the
 * offset inside 64 KiB; a record 04 makes them linear, and a linear record
 * may cross a 64 KiB line. Before either, the base is linear 0.
 *
 * The specification lets an offset beyond 0xFFFF wrap to the start of its
 * segment. No firmware means that, so it is refused here.
 */
#include <inttypes.h>
#include <string.h>

#include "image/image_records.h"

#define OFFSET 1 /* index of each field in the bytes of a record */
#define TYPE   3
#define DATA   4
#define AROUND 5 /* bytes of a record that are no data */

#define SEGMENT_BYTES 0x10000u

enum hex_type {
  HEX_DATA,
  HEX_END,
  HEX_SEGMENT,
  HEX_SEGMENT_START,
  HEX_LINEAR,
  HEX_LINEAR_START
};

#define HEX_TYPES 6

/* What the count must be; data records have any. */
static const uint8_t fixed_count[HEX_TYPES] = {
    [HEX_SEGMENT] = 2,
    [HEX_SEGMENT_START] = 4,
    [HEX_LINEAR] = 2,
    [HEX_LINEAR_START] = 4,
};

struct hex {
  struct image_parts *parts;
  bool segmented; /* the last base came from a record 02 */
  uint32_t base;
  bool ended;
};

static enum sim_status take_data(struct hex *hex, const struct record *record,
                                 struct sim_error *err)
{
  uint32_t offset = record_number(record, OFFSET, 2);
  uint32_t size = record->count - AROUND;
  struct sim_place where = record_place(record, OFFSET);
  if (hex->segmented && offset + size > SEGMENT_BYTES) {
    return sim_fail(err, SIM_RANGE, &where,
                    "puts %" PRIu32 " bytes at offset 0x%04" PRIX32
                    " of a segment; expected at most %" PRIu32,
                    size, offset, SEGMENT_BYTES - offset);
  }
  uint8_t *bytes = arena_get(&hex->parts->scratch, size);
  memcpy(bytes, record->bytes + DATA, size);
  return image_parts_add(hex->parts, &where, (uint64_t)hex->base + offset,
                         bytes, size, err);
}

static void set_base(struct hex *hex, bool segmented, uint32_t base)
{
  hex->segmented = segmented;
  hex->base = base;
}

static enum sim_status set_entry(struct hex *hex, const struct record *record,
                                 addr_t entry, struct sim_error *err)
{
  struct image_parts *parts = hex->parts;
  if (parts->has_entry && parts->entry != entry) {
    struct sim_place where = record_place(record, DATA);
    return sim_fail(err, SIM_SYNTAX, &where,
                    "starts at 0x%08" PRIX32 "; expected 0x%08" PRIX32
                    " as an earlier record says",
                    entry, parts->entry);
  }
  parts->has_entry = true;
  parts->entry = entry;
  return SIM_OK;
}

static enum sim_status check_fixed(const struct record *record, uint32_t type,
                                   struct sim_error *err)
{
  if (record->bytes[0] != fixed_count[type]) {
    struct sim_place where = record_place(record, 0);
    return sim_fail(
        err, SIM_SYNTAX, &where,
        "byte count is %u; expected %u in a record of type %02" PRIX32,
        record->bytes[0], fixed_count[type], type);
  }
  uint32_t offset = record_number(record, OFFSET, 2);
  if (offset != 0) {
    struct sim_place where = record_place(record, OFFSET);
    return sim_fail(err, SIM_SYNTAX, &where,
                    "offset is 0x%04" PRIX32
                    "; expected 0000 in a record of type %02" PRIX32,
                    offset, type);
  }
  return SIM_OK;
}

static enum sim_status check_record(const struct record *record,
                                    struct sim_error *err)
{
  enum sim_status status =
      record_check(record, (uint8_t)(0u - record_sum(record)), err);
  if (status != SIM_OK) return status;

  uint32_t type = record->bytes[TYPE];
  if (type >= HEX_TYPES) {
    struct sim_place where = record_place(record, TYPE);
    return sim_fail(err, SIM_SYNTAX, &where,
                    "record type is 0x%02" PRIX32 "; expected 00 to 05", type);
  }
  return type == HEX_DATA ? SIM_OK : check_fixed(record, type, err);
}

static enum sim_status decode(struct record *record, struct sim_error *err)
{
  if (record->text[0] != ':') {
    char shown[8];
    struct sim_place where = {
        .file = record->file, .line = record->line, .column = 1};
    return sim_fail(err, SIM_SYNTAX, &where, "is %s; expected ':'",
                    record_character(shown, record->text[0]));
  }
  enum sim_status status = record_decode(record, 1, AROUND, err);
  return status == SIM_OK ? check_record(record, err) : status;
}

static enum sim_status take(struct hex *hex, const struct record *record,
                            struct sim_error *err)
{
  uint32_t high = record_number(record, DATA, 2);
  uint32_t low = record_number(record, DATA + 2, 2);
  switch ((enum hex_type)record->bytes[TYPE]) {
  case HEX_DATA: return take_data(hex, record, err);
  case HEX_END: hex->ended = true; break;
  case HEX_SEGMENT: set_base(hex, true, high << 4); break;
  case HEX_SEGMENT_START:
    return set_entry(hex, record, (high << 4) + low, err);
  case HEX_LINEAR: set_base(hex, false, high << 16); break;
  case HEX_LINEAR_START: return set_entry(hex, record, high << 16 | low, err);
  }
  return SIM_OK;
}

enum sim_status image_read_hex(struct image_parts *parts,
                               struct sim_error *err)
{
  struct hex hex = {.parts = parts};
  struct records records;
  struct record record;
  records_init(&records, parts);
  while (!hex.ended && records_next(&records, &record)) {
    enum sim_status status = decode(&record, err);
    if (status == SIM_OK) status = take(&hex, &record, err);
    if (status != SIM_OK) return status;
  }
  if (hex.ended) return records_finish(&records, err);

  struct sim_place where = {.file = parts->file, .line = records.line};
  return sim_fail(err, SIM_SYNTAX, &where,
                  "is the last record; expected an end record (type 01)");
}
