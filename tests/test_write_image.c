/* A write of an image: which unit comes first, and records for option cells in
 * it. Orders are seen in the trace, cells through what the part then does. */
#include "describe/trace_kinds.h"
#include "played.h"
#include "run/machine.h"

#define BANKED FIRSTFETCH_ROOT "/models/latched-banked.json"

/* Addresses of the units that were programmed, in order. */
struct programmed {
  addr_t at[64];
  uint32_t count;
};

static void note(void *context, const struct trace_record *r)
{
  struct programmed *p = context;
  if (r->a != FLASH_PROGRAM || p->count == 64) return;
  p->at[p->count++] = r->b;
}

static const char case_text[] =
    "{ \"case\": \"A write\", \"part\": \"latched-banked\",\n"
    "  \"images\": { \"app\": { \"file\": \"%s\"%s } },\n"
    "  \"steps\": [ { \"power\": \"on\" }, { \"run\": \"2ms\" },\n"
    "    { \"probe\": \"attach\", \"reset\": \"held\" },\n"
    "    { \"write\": \"app\"%s } ] }\n";

static struct play *prepared(struct played_bench *bench, const char *file,
                             const char *base, const char *more)
{
  const char *path = played_text_file(
      bench, "case.json", played_format(bench, case_text, file, base, more));
  return played_prepare(played_case(bench, path), played_part(bench, BANKED));
}

/* --- order --------------------------------------------------------------- */

static const struct order_row {
  const char *name, *order;
  uint32_t base; /* of 32 bytes */
  addr_t units[4];
} orders[] = {
    {"ascending, where nothing is said",
     "",
     0x04000000,
     {0x04000000, 0x04000008, 0x04000010, 0x04000018}},
    {"ascending",
     ", \"order\": \"ascending\"",
     0x04000000,
     {0x04000000, 0x04000008, 0x04000010, 0x04000018}},
    {"vectors first",
     ", \"order\": \"vectors-first\"",
     0x04000000,
     {0x04000000, 0x04000008, 0x04000010, 0x04000018}},
    {"vectors last",
     ", \"order\": \"vectors-last\"",
     0x04000000,
     {0x04000008, 0x04000010, 0x04000018, 0x04000000}},
    {"vectors of an image elsewhere",
     ", \"order\": \"vectors-last\"",
     0x04020100,
     {0x04020108, 0x04020110, 0x04020118, 0x04020100}},
};

static void order_row(void **state)
{
  struct played_bench *bench = *state;
  const struct order_row *row = bench->row;
  static const uint8_t bytes[32] = {1, 2, 3, 4};
  struct programmed p = {.count = 0};
  played_file(bench, "app.bin", bytes, sizeof bytes);
  struct play *play = prepared(
      bench, "app.bin",
      played_format(bench, ", \"base\": \"0x%08x\"", (unsigned)row->base),
      row->order);
  trace_listen(play_trace(play), TRACE_BIT(TRACE_FLASH_BEGIN), note, &p);
  play_run(play);
  assert_int_equal(p.count, 4);
  assert_memory_equal(p.at, row->units, sizeof row->units);
  play_free(play);
}

/* The first word is what a blank check may be about: it comes last of all. */
static void vectors_in_two_units_come_downwards(void **state)
{
  struct played_bench *bench = *state;
  static const uint8_t bytes[16] = {1, 2, 3, 4};
  const addr_t expected[4] = {0x04000008, 0x0400000c, 0x04000004, 0x04000000};
  struct programmed p = {.count = 0};
  played_file(bench, "app.bin", bytes, sizeof bytes);
  const char *path = played_text_file(
      bench, "case.json",
      played_format(bench, case_text, "app.bin", ", \"base\": \"0x04000000\"",
                    ", \"order\": \"vectors-last\""));
  struct play *play = played_prepare(played_case(bench, path),
                                     played_part(bench, PLAYED_LATCHED));
  trace_listen(play_trace(play), TRACE_BIT(TRACE_FLASH_BEGIN), note, &p);
  play_run(play);
  assert_int_equal(p.count, 4);
  assert_memory_equal(p.at, expected, sizeof expected);
  play_free(play);
}

/* --- option cells -------------------------------------------------------- */

static bool finding_of(const struct result *result, enum finding_kind kind)
{
  for (uint32_t i = 0; i < result->finding_count; i++)
    if (result->findings[i].kind == kind) return true;
  return false;
}

/* A record of Intel HEX, whose bytes and checksum sum up to zero (from
 * memory). */
static const char *hex_record(struct played_bench *bench, const char *digits)
{
  unsigned sum = 0;
  for (const char *d = digits; *d != '\0'; d += 2) {
    char two[3] = {d[0], d[1], '\0'};
    sum += (unsigned)strtoul(two, NULL, 16);
  }
  return played_format(bench, ":%s%02X\n", digits,
                       (0x100 - (sum & 255)) & 255);
}

static const char *hex_file(struct played_bench *bench, const char *cells)
{
  const char *text = played_format(
      bench, "%s%s%s%s:00000001FF\n", hex_record(bench, "020000040400"),
      hex_record(bench, "080000000010002041000004"),
      hex_record(bench, "020000044400"), hex_record(bench, cells));
  return played_text_file(bench, "app.hex", text);
}

static const struct cell_row {
  const char *name, *by;
} cells[] = {{"by the probe", ""},
             {"by the programmer before assembly", ", \"by\": \"preset\""}};

static void a_record_for_an_option_cell_is_an_option_write(void **state)
{
  struct played_bench *bench = *state;
  const struct cell_row *row = bench->row;
  hex_file(bench, "0404000003010000");
  struct play *play = prepared(bench, "app.hex", "", row->by);
  const struct result *result = play_run(play);
  const struct chip *chip = &play_machine(play)->chip;
  assert_int_equal(chip->options.cells[0], 0x103);
  assert_int_equal(chip->options.cells[1], 0x10096); /* as from the factory */
  assert_true(options_sound(&chip->options, 0));
  assert_true(finding_of(result, FINDING_OPTIONS_IN_IMAGE));
  uint32_t word;
  assert_true(bus_peek(&chip->bus, 0x04000000, 4, &word));
  assert_int_equal(word, 0x20001000);
  play_free(play);
}

static void an_image_without_them_says_nothing(void **state)
{
  struct played_bench *bench = *state;
  static const uint8_t bytes[32] = {1, 2, 3, 4};
  played_file(bench, "app.bin", bytes, sizeof bytes);
  struct play *play =
      prepared(bench, "app.bin", ", \"base\": \"0x04000000\"", "");
  assert_false(finding_of(play_run(play), FINDING_OPTIONS_IN_IMAGE));
  play_free(play);
}

static const struct refused_row {
  const char *name, *record, *error;
} refusals[] = {
    {"half a word is refused", "020400000301",
     "app.hex: has 2 bytes at 0x44000400, of which those at 0x44000400 are no "
     "whole option word of part latched-banked; expected whole words"},
    {"so is what lies behind the last cell",
     "0C040000030100009600010000000000",
     "app.hex: has 12 bytes at 0x44000400, of which those at 0x44000408 are "
     "no whole option word of part latched-banked; expected whole words"},
};

static void refused_row(void **state)
{
  struct played_bench *bench = *state;
  const struct refused_row *row = bench->row;
  hex_file(bench, row->record);
  const char *path = played_text_file(
      bench, "case.json", played_format(bench, case_text, "app.hex", "", ""));
  static const struct play_options judging = {.judge = true};
  struct play *play = NULL;
  struct sim_error err;
  char text[1200];
  assert_int_equal(play_prepare(played_case(bench, path),
                                played_part(bench, BANKED), &judging, &play,
                                &err),
                   SIM_RANGE);
  assert_string_equal(
      sim_error_text(&err, text, sizeof text),
      played_format(bench, "%s/%s", bench->folder, row->error));
}

int main(void)
{
  struct CMUnitTest tests[ROWS_COUNT(orders) + ROWS_COUNT(cells) +
                          ROWS_COUNT(refusals) + 2] = {
      PLAYED_TEST(vectors_in_two_units_come_downwards),
      PLAYED_TEST(an_image_without_them_says_nothing)};
  size_t n = 2 + PLAYED_ADD(tests + 2, order_row, orders);
  n += PLAYED_ADD(tests + n, a_record_for_an_option_cell_is_an_option_write,
                  cells);
  n += PLAYED_ADD(tests + n, refused_row, refusals);
  assert_int_equal(n, ROWS_COUNT(tests));
  return cmocka_run_group_tests(tests, NULL, NULL);
}
