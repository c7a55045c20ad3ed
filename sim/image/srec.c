/* S-records: "Sn", count, address, data, checksum.
 *
 * The count is of the bytes behind it; the checksum is the ones' complement
 * of the low byte of their sum with it. S0 is a header and says nothing to
 * us. S5 and S6 say how many data records came before them. A file ends with
 * S9, S8 or S7, whichever belongs to the widest address it uses; its address
 * is the entry, and 0 there means that there is none (common practice).
 */
#include <inttypes.h>
#include <string.h>

#include "image/image_records.h"

#define MARK    2 /* characters: 'S' and the type */
#define ADDRESS 1 /* index in the bytes of a record */

struct srec {
  struct image_parts *parts;
  uint32_t data_records;
  uint32_t widest; /* data record type so far: 1, 2 or 3; 0 before the first */
  bool ended;
};

enum role { ROLE_HEADER, ROLE_DATA, ROLE_RESERVED, ROLE_COUNT, ROLE_END };

/* The index is the record type. */
static const struct record_type {
  enum role role;
  uint32_t address_bytes;
} types[] = {
    {ROLE_HEADER, 2},   {ROLE_DATA, 2},  {ROLE_DATA, 3},  {ROLE_DATA, 4},
    {ROLE_RESERVED, 0}, {ROLE_COUNT, 2}, {ROLE_COUNT, 3}, {ROLE_END, 4},
    {ROLE_END, 3},      {ROLE_END, 2},
};

static uint32_t type_of(const struct record *record)
{
  return (uint32_t)(record->text[1] - '0');
}

static uint32_t address_of(const struct record *record)
{
  return record_number(record, ADDRESS, types[type_of(record)].address_bytes);
}

static enum sim_status take_data(struct srec *srec,
                                 const struct record *record,
                                 struct sim_error *err)
{
  uint32_t type = type_of(record);
  uint32_t before = ADDRESS + types[type].address_bytes;
  uint32_t size = record->count - before - 1;
  uint8_t *bytes = arena_get(&srec->parts->scratch, size);
  memcpy(bytes, record->bytes + before, size);

  srec->data_records++;
  if (type > srec->widest) srec->widest = type;
  struct sim_place where = record_place(record, ADDRESS);
  return image_parts_add(srec->parts, &where, address_of(record), bytes, size,
                         err);
}

static enum sim_status check_data_records(const struct srec *srec,
                                          const struct record *record,
                                          struct sim_error *err)
{
  if (address_of(record) == srec->data_records) return SIM_OK;
  struct sim_place where = record_place(record, ADDRESS);
  return sim_fail(err, SIM_SYNTAX, &where,
                  "counts %" PRIu32 " data records; expected %" PRIu32
                  ", as there are",
                  address_of(record), srec->data_records);
}

/* S9, S8 and S7 end files of S1, S2 and S3. */
static enum sim_status take_end(struct srec *srec, const struct record *record,
                                struct sim_error *err)
{
  uint32_t type = type_of(record);
  if (srec->widest != 0 && type != 10 - srec->widest) {
    struct sim_place where = {
        .file = record->file, .line = record->line, .column = MARK};
    return sim_fail(err, SIM_SYNTAX, &where,
                    "is S%" PRIu32 "; expected S%" PRIu32
                    " at the end of a file with S%" PRIu32 " records",
                    type, 10 - srec->widest, srec->widest);
  }
  srec->ended = true;
  srec->parts->entry = address_of(record);
  srec->parts->has_entry = srec->parts->entry != 0;
  return SIM_OK;
}

/* 'S' and a digit that is a type. */
static enum sim_status check_mark(const struct record *record,
                                  struct sim_error *err)
{
  char shown[8];
  struct sim_place where = {
      .file = record->file, .line = record->line, .column = 1};
  if (record->text[0] != 'S') {
    return sim_fail(err, SIM_SYNTAX, &where, "is %s; expected 'S'",
                    record_character(shown, record->text[0]));
  }
  where.column = MARK;
  if (record->length < MARK) {
    return sim_fail(err, SIM_SYNTAX, &where,
                    "is the end of the line; expected a record type");
  }
  uint8_t type = record->text[1];
  if (type < '0' || type > '9' || types[type - '0'].role == ROLE_RESERVED) {
    return sim_fail(err, SIM_SYNTAX, &where,
                    "is %s; expected a record type, 0 to 3 or 5 to 9",
                    record_character(shown, type));
  }
  return SIM_OK;
}

/* Room for the address and the checksum; no data but in headers and data. */
static enum sim_status check_count(const struct record *record,
                                   struct sim_error *err)
{
  const struct record_type *type = &types[type_of(record)];
  uint32_t least = type->address_bytes + 1;
  bool data = type->role == ROLE_HEADER || type->role == ROLE_DATA;
  uint32_t count = record->bytes[0];
  if (count == least || (data && count > least)) return SIM_OK;
  struct sim_place where = record_place(record, 0);
  return sim_fail(err, SIM_SYNTAX, &where,
                  "byte count is %" PRIu32 "; expected %s%" PRIu32
                  " in a record S%" PRIu32,
                  count, data ? "at least " : "", least, type_of(record));
}

static enum sim_status take(struct srec *srec, struct record *record,
                            struct sim_error *err)
{
  enum sim_status status = check_mark(record, err);
  if (status == SIM_OK) status = record_decode(record, MARK, 1, err);
  if (status == SIM_OK) status = check_count(record, err);
  if (status == SIM_OK) {
    status = record_check(record, (uint8_t)~record_sum(record), err);
  }
  if (status != SIM_OK) return status;

  switch (types[type_of(record)].role) {
  case ROLE_DATA: return take_data(srec, record, err);
  case ROLE_COUNT: return check_data_records(srec, record, err);
  case ROLE_END: return take_end(srec, record, err);
  case ROLE_HEADER:
  case ROLE_RESERVED: break;
  }
  return SIM_OK;
}

enum sim_status image_read_srec(struct image_parts *parts,
                                struct sim_error *err)
{
  struct srec srec = {.parts = parts};
  struct records records;
  struct record record;
  records_init(&records, parts);
  while (!srec.ended && records_next(&records, &record)) {
    enum sim_status status = take(&srec, &record, err);
    if (status != SIM_OK) return status;
  }
  if (srec.ended) return records_finish(&records, err);

  struct sim_place where = {.file = parts->file, .line = records.line};
  return sim_fail(err, SIM_SYNTAX, &where,
                  "is the last record; expected an end record (S7, S8 or S9)");
}
