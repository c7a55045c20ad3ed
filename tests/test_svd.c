/* CMSIS-SVD files: what is read of one, and that a hostile one is refused.
 *
 * The format is Arm's (CMSIS-SVD Description, schema 1.3; elements and rules
 * of inheritance from memory). tests/sample.svd is ours; addresses and values
 * here are worked out from it by hand. */
#include "rows.h"

#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "describe/svd.h"

#define SAMPLE FIRSTFETCH_ROOT "/tests/sample.svd"

struct reading {
  struct arena arena;
  const struct svd *svd;
  struct sim_error err;
};

static void begin(struct reading *r)
{
  char text[1200];
  arena_init(&r->arena);
  if (svd_read(&r->arena, SAMPLE, &r->svd, &r->err) != SIM_OK) {
    fail_msg("%s", sim_error_text(&r->err, text, sizeof text));
  }
}

/* --- what is read -------------------------------------------------------- */

static const struct place_row {
  const char *name;
  addr_t at;
  const char *register_name; /* NULL: nothing is there */
  uint32_t reset;            /* of the word */
} place_rows[] = {
    {"a register without a value has the device's", 0x40200000,
     "CLOCKS.CONTROL", 0},
    {"space around a name is none of it", 0x40200004, "CLOCKS.SELECTION",
     0x81},
    {"bits outside the mask are 0", 0x40200008, "CLOCKS.TRIM", 0xbeef},
    {"nothing stands behind the last", 0x4020000c, NULL, 0},
    {"of registers on one another the first is meant", 0x40210000, "PORT0.LOW",
     0x77660911},
    {"narrow registers share a word", 0x40210001, "PORT0.HIGH", 0x77660911},
    {"what they leave is another's", 0x40210002, "PORT0.WHOLE", 0x77660911},
    {"an array has a name each", 0x40210012, "PORT0.LANE[1]", 0x12341234},
    {"to the last of it", 0x40210014, "PORT0.LANE[2]", 0x1234},
    {"a register is derived from its neighbour", 0x40210020, "PORT0.SHADOW",
     0x11},
    {"a peripheral is derived from another", 0x40211010, "PORT1.LANE[0]",
     0x12341234},
    {"with all its registers", 0x40211020, "PORT1.SHADOW", 0x11},
    {"a register is derived from another peripheral's", 0x40220000,
     "MOVER.PICK", 0x81},
    {"a cluster is an array", 0x40220104, "MOVER.CHANNEL_A.COUNT", 7},
    {"whose index is a word", 0x40220124, "MOVER.CHANNEL_B.COUNT", 7},
    {"clusters stand in clusters", 0x40220130, "MOVER.CHANNEL_B.ENDS.FROM", 5},
    {"a register of 64 bits: its lower word", 0x40220200, "MOVER.LONG",
     0x55667788},
    {"and its upper one", 0x40220204, "MOVER.LONG", 0x11223344},
    {"an index counts from a number", 0x40220304, "MOVER.SLOT4", 7},
    {"or from a letter", 0x40220314, "MOVER.BANK_D", 7},
};

static void place_row(void **state)
{
  const struct place_row *row = *state;
  struct reading r;
  begin(&r);
  uint32_t reset;
  const char *name = svd_name(r.svd, row->at);
  if (row->register_name) {
    assert_non_null(name);
    assert_string_equal(name, row->register_name);
  } else {
    assert_null(name);
  }
  assert_int_equal(svd_word(r.svd, row->at & ~3u, &reset), name != NULL);
  assert_int_equal(reset, row->reset);
  arena_free(&r.arena);
}

static void the_device_has_a_name_and_registers_ascend(void **state)
{
  (void)state;
  struct reading r;
  begin(&r);
  assert_string_equal(r.svd->device, "SAMPLE");
  assert_int_equal(r.svd->register_count, 3 + 2 * 7 + 4 + 2 + 4);
  for (uint32_t i = 1; i < r.svd->register_count; i++) {
    assert_true(r.svd->registers[i - 1].at <= r.svd->registers[i].at);
  }
  arena_free(&r.arena);
}

static void no_file_knows_nothing(void **state)
{
  (void)state;
  uint32_t reset = 1;
  assert_null(svd_name(NULL, 0x40200000));
  assert_false(svd_word(NULL, 0x40200000, &reset));
  assert_int_equal(reset, 0);
}

/* --- what is refused ----------------------------------------------------- */

/* Reads a text as if it were a file. */
static enum sim_status read_bytes(struct arena *arena, const char *bytes,
                                  size_t length, const struct svd **svd,
                                  struct sim_error *err)
{
  char path[] = "/tmp/firstfetch-svd-XXXXXX";
  int handle = mkstemp(path);
  assert_true(handle >= 0);
  assert_int_equal(write(handle, bytes, length), length);
  close(handle);
  enum sim_status status = svd_read(arena, path, svd, err);
  unlink(path);
  return status;
}

#define HEAD "<device><name>X</name><peripherals>"
#define PART                                                                  \
  "<peripheral><name>P</name><baseAddress>0x40000000</baseAddress>"           \
  "<registers>"
#define TAIL "</registers></peripheral></peripherals></device>"
#define REGISTER(inside)                                                      \
  HEAD PART "<register><name>R</name>" inside "</register>" TAIL

static const struct refused_row {
  const char *name;
  const char *text;
  enum sim_status status;
  const char *message; /* how it begins, behind the place */
} refused_rows[] = {
    {"an empty file", "", SIM_SYNTAX, "is no XML (no element found)"},
    {"no XML", "plainly not", SIM_SYNTAX, "is no XML (syntax error)"},
    {"another kind of document", "<svg/>", SIM_SYNTAX,
     "does not begin with a device; expected a CMSIS-SVD file"},
    {"an element that is not closed", "<device><name>X</device>", SIM_SYNTAX,
     "is no XML (mismatched tag)"},
    {"a device without peripherals", "<device><name>X</name></device>",
     SIM_KEY, "has no peripherals; expected a CMSIS-SVD file"},
    {"entities that grow without end",
     "<!DOCTYPE device [<!ENTITY a \"aaaaaaaaaa\">"
     "<!ENTITY b \"&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;\">"
     "<!ENTITY c \"&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;\">"
     "<!ENTITY d \"&c;&c;&c;&c;&c;&c;&c;&c;&c;&c;\">]>"
     "<device><name>&d;</name></device>",
     SIM_SYNTAX, "has a document type declaration"},
    {"an entity from another file",
     "<!DOCTYPE device SYSTEM \"/etc/passwd\"><device/>", SIM_SYNTAX,
     "has a document type declaration"},
    {"an entity that nobody declared", "<device><name>&x;</name></device>",
     SIM_SYNTAX, "is no XML (undefined entity)"},
    {"a register without a name",
     HEAD PART "<register><addressOffset>0</addressOffset></register>" TAIL,
     SIM_KEY, "has no name; expected one"},
    {"a register without an offset", REGISTER(""), SIM_KEY,
     "has no addressOffset; expected one"},
    {"a peripheral without an address",
     HEAD "<peripheral><name>P</name></peripheral></peripherals></device>",
     SIM_KEY, "has no baseAddress; expected one"},
    {"an offset that is no number",
     REGISTER("<addressOffset>4x</addressOffset>"), SIM_SYNTAX,
     "is no number; expected one such as 0x40"},
    {"an offset that is nothing", REGISTER("<addressOffset/>"), SIM_SYNTAX,
     "is no number; expected one such as 0x40"},
    {"a number beyond 64 bits",
     REGISTER("<addressOffset>99999999999999999999</addressOffset>"),
     SIM_SYNTAX, "is no number; expected one such as 0x40"},
    {"a number beyond 32 bits",
     REGISTER("<addressOffset>0x100000000</addressOffset>"), SIM_RANGE,
     "is too large; expected a smaller number"},
    {"an address beyond 32 bits",
     REGISTER("<addressOffset>0xC0000000</addressOffset>"), SIM_RANGE,
     "lies beyond 32 bits; expected an address that fits"},
    {"a register wider than 64 bits",
     REGISTER("<addressOffset>0</addressOffset><size>65</size>"), SIM_RANGE,
     "is too large; expected a smaller number"},
    {"an array without an increment",
     REGISTER("<addressOffset>0</addressOffset><dim>2</dim>"), SIM_KEY,
     "has no dimIncrement; expected one beside dim"},
    {"an array without end",
     REGISTER("<addressOffset>0</addressOffset><dim>0x10000000</dim>"
              "<dimIncrement>4</dimIncrement>"),
     SIM_RANGE, "is too large; expected a smaller number"},
    {"arrays in arrays without end",
     HEAD PART
     "<cluster><name>A</name><addressOffset>0</addressOffset><dim>65536</dim>"
     "<dimIncrement>0</dimIncrement><cluster><name>B</name><addressOffset>0"
     "</addressOffset><dim>65536</dim><dimIncrement>0</dimIncrement>"
     "</cluster></cluster>" TAIL,
     SIM_LIMIT, "makes too many registers; expected fewer"},
    {"too many registers",
     HEAD PART
     "<cluster><name>A</name><addressOffset>0</addressOffset><dim>3</dim>"
     "<dimIncrement>0</dimIncrement><register><name>B</name><addressOffset>0"
     "</addressOffset><dim>65536</dim><dimIncrement>0</dimIncrement>"
     "</register></cluster>" TAIL,
     SIM_LIMIT, "is one register too many; expected fewer"},
    {"something derived from nothing",
     HEAD PART "<register derivedFrom=\"Q\"><name>R</name></register>" TAIL,
     SIM_REFERENCE, "is derived from something that is not there"},
    {"a register derived from a peripheral",
     HEAD PART "<register derivedFrom=\"P\"><name>R</name></register>" TAIL,
     SIM_REFERENCE, "is derived from something that is not there"},
    {"something derived from itself",
     HEAD PART "<register derivedFrom=\"R\"><name>R</name></register>" TAIL,
     SIM_REFERENCE, "is derived in a circle; expected an end to it"},
    {"a cluster in itself",
     HEAD PART
     "<cluster><name>A</name><addressOffset>0</addressOffset>"
     "<cluster derivedFrom=\"P.A\"><name>B</name></cluster></cluster>" TAIL,
     SIM_LIMIT, "has clusters in clusters without end; expected an end"},
};

static void refused_row(void **state)
{
  const struct refused_row *row = *state;
  struct arena arena;
  const struct svd *svd = NULL;
  struct sim_error err = {.status = SIM_OK};
  arena_init(&arena);
  enum sim_status status =
      read_bytes(&arena, row->text, strlen(row->text), &svd, &err);
  assert_int_equal(status, row->status);
  assert_int_equal(err.status, row->status);
  assert_null(svd);
  assert_true(err.line >= 1 && err.file[0]);
  if (strncmp(err.message, row->message, strlen(row->message)) != 0)
    fail_msg("%s", err.message);
  assert_non_null(strstr(err.message, "expected"));
  arena_free(&arena);
}

/* A text of `count` pieces between two ends; to be freed. */
static char *repeated(const char *head, const char *piece, size_t count,
                      const char *tail)
{
  size_t length = strlen(piece);
  char *text = malloc(strlen(head) + length * count + strlen(tail) + 1);
  assert_non_null(text);
  char *at = stpcpy(text, head);
  for (size_t i = 0; i < count; i++) {
    at = stpcpy(at, piece);
  }
  strcpy(at, tail);
  return text;
}

static const struct long_row {
  const char *name;
  const char *head, *piece;
  size_t count;
  const char *tail;
  const char *message;
} long_rows[] = {
    {"elements in elements without end", "", "<device>", 100000, "",
     "nests too deep"},
    {"what is skipped counts too", "<device>", "<x>", 100000, "",
     "nests too deep"},
    {"elements without end", "<device>", "<name/>", (1u << 20) + 1, "",
     "has too many elements"},
    {"a name without end", "<device><name>", "N", 100000, "</name></device>",
     "has a very long text"},
    {"a reference without end", "<device><name derivedFrom=\"", "N", 100000,
     "\"/></device>", "has a very long derivedFrom"},
    {"names in names without end", HEAD PART "<cluster><name>", "N", 250,
     "</name><addressOffset>0</addressOffset><register><name>LONGER</name>"
     "<addressOffset>0</addressOffset></register></cluster>" TAIL,
     "has a very long name"},
};

static void long_row(void **state)
{
  const struct long_row *row = *state;
  struct arena arena;
  const struct svd *svd = NULL;
  struct sim_error err = {.status = SIM_OK};
  char *text = repeated(row->head, row->piece, row->count, row->tail);
  arena_init(&arena);
  assert_int_equal(read_bytes(&arena, text, strlen(text), &svd, &err),
                   SIM_LIMIT);
  if (strncmp(err.message, row->message, strlen(row->message)) != 0)
    fail_msg("%s", err.message);
  arena_free(&arena);
  free(text);
}

static void a_file_that_is_not_there_is_an_error(void **state)
{
  (void)state;
  struct arena arena;
  const struct svd *svd = NULL;
  struct sim_error err = {.status = SIM_OK};
  arena_init(&arena);
  assert_int_equal(svd_read(&arena, "tests/none.svd", &svd, &err), SIM_FILE);
  arena_free(&arena);
}

/* Whatever becomes of the sample, there is an answer or one error. */
static void read_damaged(const char *bytes, size_t length)
{
  struct arena arena;
  const struct svd *svd = NULL;
  struct sim_error err = {.status = SIM_OK};
  arena_init(&arena);
  enum sim_status status = read_bytes(&arena, bytes, length, &svd, &err);
  assert_int_equal(status != SIM_OK, svd == NULL);
  assert_int_equal(status, err.status);
  arena_free(&arena);
}

static void the_sample_cut_or_spoilt_anywhere_is_survived(void **state)
{
  (void)state;
  static const char instead[] = {'\0', '<', '&', '%', '9', (char)0xff};
  struct arena arena;
  struct sim_error err;
  uint8_t *bytes;
  size_t length;
  arena_init(&arena);
  assert_int_equal(file_read(&arena, SAMPLE, 1u << 20, &bytes, &length, &err),
                   SIM_OK);
  for (size_t i = 0; i < length; i += 3) {
    read_damaged((const char *)bytes, i);
    char kept = (char)bytes[i];
    bytes[i] = (uint8_t)instead[i / 3 % sizeof instead];
    read_damaged((const char *)bytes, length);
    bytes[i] = (uint8_t)kept;
  }
  arena_free(&arena);
}

int main(void)
{
  static const struct CMUnitTest singles[] = {
      cmocka_unit_test(the_device_has_a_name_and_registers_ascend),
      cmocka_unit_test(no_file_knows_nothing),
      cmocka_unit_test(a_file_that_is_not_there_is_an_error),
      cmocka_unit_test(the_sample_cut_or_spoilt_anywhere_is_survived),
  };
  struct CMUnitTest tests[ROWS_COUNT(place_rows) + ROWS_COUNT(refused_rows) +
                          ROWS_COUNT(long_rows)];
  size_t n = ROWS_ADD(tests, place_row, place_rows);
  n += ROWS_ADD(tests + n, refused_row, refused_rows);
  ROWS_ADD(tests + n, long_row, long_rows);
  int failed = cmocka_run_group_tests_name("svd", tests, NULL, NULL);
  return failed + cmocka_run_group_tests_name("singles", singles, NULL, NULL);
}
