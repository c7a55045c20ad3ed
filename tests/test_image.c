/* Intel HEX, S-records and raw binaries.
 *
 * The formats are those of Intel "Hexadecimal Object File Format
 * Specification", revision A, 6 January 1988 (from memory), and of the
 * S-record format as it is published in many manuals (from memory). Records
 * marked "published" are worked examples that stand in many public texts;
 * their checksums were summed again by hand.
 */
#include "image_files.h"

static const struct good_row {
  const char *name;
  const char *content;
  const char *picture;
} good_rows[] = {
    /* Intel HEX. Published records. */
    {"hex: data of 3 bytes at 0x0030 (published)",
     ":0300300002337A1E\n:00000001FF\n", "00000030:02337A"},
    {"hex: data of 16 bytes at 0x0100 (published)",
     ":10010000214601360121470136007EFE09D2190140\n:00000001FF\n",
     "00000100:214601360121470136007EFE09D21901"},
    {"hex: a segment base is shifted by 4 (published)",
     ":020000021200EA\n:010030005A75\n:00000001FF\n", "00012030:5A"},
    {"hex: a segment start is CS * 16 + IP (published)",
     ":010030005A75\n:0400000300003800C1\n:00000001FF\n",
     "00000030:5A entry 00003800"},
    {"hex: both halves of a segment start count",
     ":010030005A75\n:0400000312000038AF\n:00000001FF\n",
     "00000030:5A entry 00012038"},
    {"hex: a linear base is shifted by 16 (published)",
     ":020000040800F2\n:010030005A75\n:00000001FF\n", "08000030:5A"},
    {"hex: the highest linear base (published)",
     ":02000004FFFFFC\n:010030005A75\n:00000001FF\n", "FFFF0030:5A"},
    {"hex: a linear start is the entry (published)",
     ":010030005A75\n:04000005000000CD2A\n:00000001FF\n",
     "00000030:5A entry 000000CD"},
    /* Intel HEX. Rules. */
    {"hex: lines end in CR LF as well", ":0300300002337A1E\r\n:00000001FF\r\n",
     "00000030:02337A"},
    {"hex: the last line needs no end", ":0300300002337A1E\n:00000001FF",
     "00000030:02337A"},
    {"hex: digits are of either case", ":0300300002337a1e\n:00000001ff\n",
     "00000030:02337A"},
    {"hex: empty lines are passed over",
     ":0300300002337A1E\n\n\r\n:00000001FF\n\n", "00000030:02337A"},
    {"hex: neighbours become one segment",
     ":01001000AA45\n:01001100BB33\n:00000001FF\n", "00000010:AABB"},
    {"hex: records come in any order",
     ":01001200CC21\n:01001000AA45\n:01001100BB33\n:00000001FF\n",
     "00000010:AABBCC"},
    {"hex: a hole of one byte makes two segments",
     ":01001200CC21\n:01001000AA45\n:00000001FF\n", "00000010:AA 00000012:CC"},
    {"hex: a segment may be filled to its last byte",
     ":020000021200EA\n:08FFF8000001020304050607E5\n:00000001FF\n",
     "00021FF8:0001020304050607"},
    {"hex: a linear record may cross a 64 KiB line",
     ":020000040400F6\n:09FFF800000102030405060708DC\n:00000001FF\n",
     "0400FFF8:000102030405060708"},
    {"hex: the later of two bases holds",
     ":020000021200EA\n:020000040400F6\n:010030005A75\n:00000001FF\n",
     "04000030:5A"},
    {"hex: a data record may be empty",
     ":0000000000\n:010030005A75\n:00000001FF\n", "00000030:5A"},
    {"hex: the byte before the last address is the highest",
     ":02000004FFFFFC\n:01FFFE0011F1\n:00000001FF\n", "FFFFFFFE:11"},
    {"hex: two start records may agree",
     ":010030005A75\n:0400000300003800C1\n:0400000300003800C1\n:00000001FF\n",
     "00000030:5A entry 00003800"},
    /* S-records. Published records. */
    {"srec: header, data, count and end (published)",
     "S00F000068656C6C6F202020202000003C\n"
     "S11F00007C0802A6900100049421FFF07C6C1B787C8C23783C6000003863000026\n"
     "S11F001C4BFFFFE5398000007D83637880010014382100107C0803A64E800020E9\n"
     "S111003848656C6C6F20776F726C642E0A0042\n"
     "S5030003F9\n"
     "S9030000FC\n",
     "00000000:7C0802A6900100049421FFF07C6C1B787C8C23783C60000038630000"
     "4BFFFFE5398000007D83637880010014382100107C0803A64E800020"
     "48656C6C6F20776F726C642E0A00"},
    {"srec: a header of the text HDR, addresses of 2 bytes (published)",
     "S00600004844521B\nS1130000285F245F2212226A000424290008237C2A\n"
     "S9030000FC\n",
     "00000000:285F245F2212226A000424290008237C"},
    {"srec: addresses of 3 bytes (published)",
     "S214000000285F245F2212226A000424290008237C29\nS804000000FB\n",
     "00000000:285F245F2212226A000424290008237C"},
    {"srec: addresses of 4 bytes (published)",
     "S31500000000285F245F2212226A000424290008237C28\nS70500000000FA\n",
     "00000000:285F245F2212226A000424290008237C"},
    {"srec: a count of 4 data records (published)",
     "S10500100102E7\nS104001203E6\nS104002004D7\nS104002105D5\n"
     "S5030004F8\nS9030000FC\n",
     "00000010:010203 00000020:0405"},
    /* S-records. Rules. */
    {"srec: S9 has the entry", "S10500100102E7\nS9030041BB\n",
     "00000010:0102 entry 00000041"},
    {"srec: S8 has the entry", "S2050400005A9C\nS804040041B6\n",
     "00040000:5A entry 00040041"},
    {"srec: S7 has the entry", "S30704000010A55AE5\nS70504000041B5\n",
     "04000010:A55A entry 04000041"},
    {"srec: an entry of 0 is none", "S10500100102E7\nS9030000FC\n",
     "00000010:0102"},
    {"srec: a count of 3 bytes",
     "S10500100102E7\nS104001203E6\nS104002004D7\nS604000003F8\n"
     "S9030000FC\n",
     "00000010:010203 00000020:04"},
    {"srec: the end belongs to the widest address",
     "S10500100102E7\nS30704000010A55AE5\nS70500000000FA\n",
     "00000010:0102 04000010:A55A"},
    {"srec: lines end in CR LF as well", "S10500100102E7\r\nS9030000FC\r\n",
     "00000010:0102"},
};

static const struct bad_row {
  const char *name;
  const char *content;
  uint32_t line, column;
  enum sim_status status;
  const char *message;
} bad_rows[] = {
    {"hex: a wrong checksum", ":0300300002337A1F\n:00000001FF\n", 1, 16,
     SIM_SYNTAX, "checksum is 0x1F; expected 0x1E"},
    {"hex: no hex digit", ":0300300002337A1E\n:000000G1FF\n", 2, 8, SIM_SYNTAX,
     "is 'G'; expected a hex digit"},
    {"hex: a space behind the record", ":0300300002337A1E \n:00000001FF\n", 1,
     18, SIM_SYNTAX, "is 0x20; expected a hex digit"},
    {"hex: CR alone is no end of line", ":0300300002337A1E\r:00000001FF\n", 1,
     18, SIM_SYNTAX, "is 0x0D; expected a hex digit"},
    {"hex: a line without the colon", ":0300300002337A1E\n00000001FF\n", 2, 1,
     SIM_SYNTAX, "is '0'; expected ':'"},
    {"hex: one digit", ":0\n", 1, 2, SIM_SYNTAX,
     "ends before its byte count; expected 2 hex digits"},
    {"hex: half a byte", ":0300300002337A1\n:00000001FF\n", 1, 2, SIM_SYNTAX,
     "has 15 hex digits; expected 16 for a byte count of 0x03"},
    {"hex: fewer bytes than counted", ":0400300002337A1D\n:00000001FF\n", 1, 2,
     SIM_SYNTAX, "has 16 hex digits; expected 18 for a byte count of 0x04"},
    {"hex: more bytes than counted", ":0200300002337A1F\n:00000001FF\n", 1, 2,
     SIM_SYNTAX, "has 16 hex digits; expected 14 for a byte count of 0x02"},
    {"hex: a record type that is none", ":010030005A75\n:00000006FA\n", 2, 8,
     SIM_SYNTAX, "record type is 0x06; expected 00 to 05"},
    {"hex: a linear base of 1 byte", ":0100000404F7\n:00000001FF\n", 1, 2,
     SIM_SYNTAX, "byte count is 1; expected 2 in a record of type 04"},
    {"hex: a linear base with an offset",
     ":020010040400E6\n:010030005A75\n:00000001FF\n", 1, 4, SIM_SYNTAX,
     "offset is 0x0010; expected 0000 in a record of type 04"},
    {"hex: an end record with data", ":010030005A75\n:0100000100FE\n", 2, 2,
     SIM_SYNTAX, "byte count is 1; expected 0 in a record of type 01"},
    {"hex: an end record with an offset", ":010030005A75\n:00000101FE\n", 2, 4,
     SIM_SYNTAX, "offset is 0x0001; expected 0000 in a record of type 01"},
    {"hex: no end record", ":0300300002337A1E\n", 1, 0, SIM_SYNTAX,
     "is the last record; expected an end record (type 01)"},
    {"hex: a record behind the end",
     ":010030005A75\n:00000001FF\n\n:00000001FF\n", 4, 1, SIM_SYNTAX,
     "stands behind the end record; expected nothing there"},
    {"hex: no data", ":00000001FF\n", 0, 0, SIM_SYNTAX,
     "holds nothing to program; expected at least one byte"},
    {"hex: two starts that differ",
     ":010030005A75\n:0400000300003800C1\n:04000005000000CD2A\n:00000001FF\n",
     3, 10, SIM_SYNTAX,
     "starts at 0x000000CD; expected 0x00003800 as an earlier record says"},
    {"hex: a record that leaves its segment",
     ":020000021200EA\n:09FFF800000102030405060708DC\n:00000001FF\n", 2, 4,
     SIM_RANGE,
     "puts 9 bytes at offset 0xFFF8 of a segment; expected at most 8"},
    {"hex: a record that ends behind the last address",
     ":02000004FFFFFC\n:02FFFE001122CE\n:00000001FF\n", 2, 4, SIM_RANGE,
     "reaches 0xFFFFFFFF; expected addresses up to 0xFFFFFFFE"},
    {"hex: one address with different bytes",
     ":0400100001020304E2\n:020013000909D9\n:00000001FF\n", 2, 0, SIM_RANGE,
     "gives bytes 0x00000013 to 0x00000013 again, after line 1; expected each "
     "address once"},
    {"hex: one address with equal bytes",
     ":0400100001020304E2\n:020013000405E2\n:00000001FF\n", 2, 0, SIM_RANGE,
     "gives bytes 0x00000013 to 0x00000013 again, after line 1; expected each "
     "address once"},
    {"hex: the later record is blamed, though it lies below",
     ":020013000909D9\n:0400100001020304E2\n:00000001FF\n", 2, 0, SIM_RANGE,
     "gives bytes 0x00000013 to 0x00000013 again, after line 1; expected each "
     "address once"},
    {"hex: a record inside another",
     ":0400100001020304E2\n:01001100BB33\n:00000001FF\n", 2, 0, SIM_RANGE,
     "gives bytes 0x00000011 to 0x00000011 again, after line 1; expected each "
     "address once"},
    {"srec: a wrong checksum", "S10500100102E8\nS9030000FC\n", 1, 13,
     SIM_SYNTAX, "checksum is 0xE8; expected 0xE7"},
    {"srec: no hex digit", "S1050010010xE7\nS9030000FC\n", 1, 12, SIM_SYNTAX,
     "is 'x'; expected a hex digit"},
    {"srec: a line without the S", "S10500100102E7\n9030000FC\n", 2, 1,
     SIM_SYNTAX, "is '9'; expected 'S'"},
    {"srec: a small s", "S10500100102E7\ns9030000FC\n", 2, 1, SIM_SYNTAX,
     "is 's'; expected 'S'"},
    {"srec: a type that is reserved", "S10500100102E7\nS4030000FC\n", 2, 2,
     SIM_SYNTAX, "is '4'; expected a record type, 0 to 3 or 5 to 9"},
    {"srec: a type that is no digit", "S10500100102E7\nSA030000FC\n", 2, 2,
     SIM_SYNTAX, "is 'A'; expected a record type, 0 to 3 or 5 to 9"},
    {"srec: an S alone", "S10500100102E7\nS\n", 2, 2, SIM_SYNTAX,
     "is the end of the line; expected a record type"},
    {"srec: no byte count", "S1\n", 1, 3, SIM_SYNTAX,
     "ends before its byte count; expected 2 hex digits"},
    {"srec: fewer bytes than counted", "S10600100102E6\nS9030000FC\n", 1, 3,
     SIM_SYNTAX, "has 12 hex digits; expected 14 for a byte count of 0x06"},
    {"srec: a count of 0", "S100\nS9030000FC\n", 1, 3, SIM_SYNTAX,
     "byte count is 0; expected at least 3 in a record S1"},
    {"srec: no room for the address", "S304000010EB\nS9030000FC\n", 1, 3,
     SIM_SYNTAX, "byte count is 4; expected at least 5 in a record S3"},
    {"srec: an end record with data", "S10500100102E7\nS904000000FB\n", 2, 3,
     SIM_SYNTAX, "byte count is 4; expected 3 in a record S9"},
    {"srec: one data record fewer than counted",
     "S10500100102E7\nS104001203E6\nS5030003F9\nS9030000FC\n", 3, 5,
     SIM_SYNTAX, "counts 3 data records; expected 2, as there are"},
    {"srec: one data record more than counted (3 bytes)",
     "S10500100102E7\nS104001203E6\nS104002004D7\nS104002105D5\n"
     "S604000003F8\nS9030000FC\n",
     5, 5, SIM_SYNTAX, "counts 3 data records; expected 4, as there are"},
    {"srec: no end record", "S10500100102E7\n", 1, 0, SIM_SYNTAX,
     "is the last record; expected an end record (S7, S8 or S9)"},
    {"srec: the end record of another width",
     "S10500100102E7\nS30704000010A55AE5\nS9030000FC\n", 3, 2, SIM_SYNTAX,
     "is S9; expected S7 at the end of a file with S3 records"},
    {"srec: a record behind the end", "S10500100102E7\nS9030000FC\nS", 3, 1,
     SIM_SYNTAX, "stands behind the end record; expected nothing there"},
    {"srec: no data", "S00600004844521B\nS9030000FC\n", 0, 0, SIM_SYNTAX,
     "holds nothing to program; expected at least one byte"},
    {"srec: a record that ends behind the last address",
     "S306FFFFFFFF01FC\nS70500000000FA\n", 1, 5, SIM_RANGE,
     "reaches 0xFFFFFFFF; expected addresses up to 0xFFFFFFFE"},
    {"srec: one address twice",
     "S10500100102E7\nS104002004D7\nS104001107E3\nS9030000FC\n", 3, 0,
     SIM_RANGE,
     "gives bytes 0x00000011 to 0x00000011 again, after line 1; expected each "
     "address once"},
    {"any: an empty file", "", 0, 0, SIM_SYNTAX,
     "begins like neither ELF, Intel HEX nor S-records; expected one of "
     "these, or a base address for a raw binary"},
    {"any: some text", "Some text\n", 0, 0, SIM_SYNTAX,
     "begins like neither ELF, Intel HEX nor S-records; expected one of "
     "these, or a base address for a raw binary"},
};

static void good(void **state)
{
  const struct good_row *row = *state;
  struct temp_file temp = temp_open();
  temp_put(&temp, row->content, strlen(row->content));
  struct arena arena;
  arena_init(&arena);
  const struct image *image = NULL;
  struct sim_error err = {0};

  enum sim_status status =
      image_read(&arena, temp.path, false, 0, &image, &err);
  temp_close(&temp);

  assert_string_equal(err.message, "");
  assert_int_equal(status, SIM_OK);
  assert_string_equal(image_picture(&arena, image), row->picture);
  assert_string_equal(image->file, temp.path);
  assert_int_equal(image->format,
                   row->name[0] == 'h' ? IMAGE_HEX : IMAGE_SREC);
  assert_int_equal(image->symbol_count, 0);
  arena_free(&arena);
}

static void bad(void **state)
{
  const struct bad_row *row = *state;
  struct temp_file temp = temp_open();
  temp_put(&temp, row->content, strlen(row->content));
  struct arena arena;
  arena_init(&arena);
  const struct image *image = NULL;
  struct sim_error err = {0};

  enum sim_status status =
      image_read(&arena, temp.path, false, 0, &image, &err);
  temp_close(&temp);

  assert_string_equal(err.message, row->message);
  assert_int_equal(status, row->status);
  assert_int_equal(err.status, row->status);
  assert_string_equal(err.file, temp.path);
  assert_int_equal(err.line, row->line);
  assert_int_equal(err.column, row->column);
  assert_null(image);
  arena_free(&arena);
}

/* With a base address; a raw binary has none of its own. */
static const struct base_row {
  const char *name;
  const char *content;
  size_t size;
  addr_t base;
  const char *expected; /* the picture, or the message */
} base_rows[] = {
    {"bin: the bytes begin at the base", "\0\030\0 \t\0\0\004", 8, 0x04000000,
     "04000000:0018002009000004"},
    {"bin: a first byte like that of a record is no record", ":\0S1", 4, 0x10,
     "00000010:3A005331"},
    {"bin: an S without a digit is no record", "SP", 2, 0x10, "00000010:5350"},
    {"bin: a magic cut short is no ELF", "\177EL", 3, 0x10, "00000010:7F454C"},
    {"bin: no byte", "", 0, 0x04000000,
     "holds nothing to program; expected at least one byte"},
    {"bin: a file that leaves the address space", "\1\2\3", 3, 0xFFFFFFFD,
     "reaches 0xFFFFFFFF; expected addresses up to 0xFFFFFFFE"},
    {"bin: Intel HEX takes no base", ":00000001FF\n", 12, 0x04000000,
     "is of format Intel HEX, with addresses of its own; expected no base "
     "address"},
    {"bin: S-records take no base", "S9030000FC\n", 11, 0x04000000,
     "is of format S-record, with addresses of its own; expected no base "
     "address"},
    {"bin: ELF takes no base", "\177ELF", 4, 0x04000000,
     "is of format ELF, with addresses of its own; expected no base address"},
};

static void with_base(void **state)
{
  const struct base_row *row = *state;
  struct temp_file temp = temp_open();
  temp_put(&temp, row->content, row->size);
  struct arena arena;
  arena_init(&arena);
  const struct image *image = NULL;
  struct sim_error err = {0};

  enum sim_status status =
      image_read(&arena, temp.path, true, row->base, &image, &err);
  temp_close(&temp);

  const char *got =
      status == SIM_OK ? image_picture(&arena, image) : err.message;
  assert_string_equal(got, row->expected);
  if (status == SIM_OK) assert_int_equal(image->format, IMAGE_BIN);
  arena_free(&arena);
}

static void too_large(void **state)
{
  (void)state;
  struct temp_file temp = temp_open();
  assert_int_equal(ftruncate(temp.handle, (off_t)IMAGE_MAX_BYTES + 1), 0);
  struct arena arena;
  arena_init(&arena);
  const struct image *image = NULL;
  struct sim_error err = {0};
  assert_int_equal(image_read(&arena, temp.path, true, 0, &image, &err),
                   SIM_LIMIT);
  temp_close(&temp);
  arena_free(&arena);
}

static void missing(void **state)
{
  (void)state;
  struct arena arena;
  arena_init(&arena);
  const struct image *image = NULL;
  struct sim_error err = {0};
  assert_int_equal(
      image_read(&arena, "/nowhere/app.hex", false, 0, &image, &err),
      SIM_FILE);
  assert_string_equal(err.file, "/nowhere/app.hex");
  arena_free(&arena);
}

#define COUNT(rows) (sizeof(rows) / sizeof((rows)[0]))

int main(void)
{
  struct CMUnitTest
      tests[COUNT(good_rows) + COUNT(bad_rows) + COUNT(base_rows) + 2];
  size_t n = 0;
  for (size_t i = 0; i < COUNT(good_rows); i++) {
    tests[n++] = (struct CMUnitTest){good_rows[i].name, good, NULL, NULL,
                                     (void *)&good_rows[i]};
  }
  for (size_t i = 0; i < COUNT(bad_rows); i++) {
    tests[n++] = (struct CMUnitTest){bad_rows[i].name, bad, NULL, NULL,
                                     (void *)&bad_rows[i]};
  }
  for (size_t i = 0; i < COUNT(base_rows); i++) {
    tests[n++] = (struct CMUnitTest){base_rows[i].name, with_base, NULL, NULL,
                                     (void *)&base_rows[i]};
  }
  tests[n++] = (struct CMUnitTest){"any: a file over the limit", too_large,
                                   NULL, NULL, NULL};
  tests[n++] = (struct CMUnitTest){"any: a file that is not there", missing,
                                   NULL, NULL, NULL};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
